package org.estampage.console;

import static org.assertj.core.api.Assertions.assertThat;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class CodeAtCursorTest {
    private static CodeAtCursor atEnd(String text) {
        return CodeAtCursor.of(text, text.length());
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
            "unwrap(low).gu | unwrap(low)",
            "var a = unwrap( low ) . size(2).x | unwrap( low ) . size(2)",
            "f(a, b[3].c.d | b[3].c",
            "(a + b).x | (a + b)",
            "new Foo(1).x | new Foo(1)",
            "return low.b | low",
            "bake(low, high).maps(occlusion(\")(\").re | occlusion(\")(\")",
            "x -> y.z | y"})
    void receiver_isTheChainBeforeTheDot(String text, String receiver) {
        assertThat(atEnd(text.strip()).receiver()).contains(receiver);
        assertThat(atEnd(text.strip()).isMember()).isTrue();
    }

    @Test
    void receiver_isNotGuessed_whereALetterSaysNothing() {
        assertThat(atEnd("low").receiver()).isEmpty();
        assertThat(atEnd("low").isMember()).isFalse();
        assertThat(atEnd("\"text\".le").receiver()).isEmpty();
        assertThat(atEnd("\"text\".le").isMember()).isTrue();
        assertThat(atEnd("a)].b").receiver()).isEmpty();
    }

    @Test
    void call_isTheInnermostOpenOne_withTheArgumentsNumber() {
        assertThat(atEnd("bake(low, high).maps(normal(), occl").call()).contains(new CodeAtCursor.Call("bake(low, high)", "maps", 1));
        assertThat(atEnd("save(result, \"out/").call()).contains(new CodeAtCursor.Call(null, "save", 1));
        assertThat(atEnd("f(g(1, 2), h(3), ").call()).contains(new CodeAtCursor.Call(null, "f", 2));
        assertThat(atEnd("f(1); g").call()).isEmpty();
        assertThat(atEnd("list.forEach(x -> { lo").call()).isEmpty();
        assertThat(atEnd("a[lo").call()).isEmpty();
        assertThat(atEnd("(lo").call()).isEmpty();
    }

    @Test
    void word_ofAPath_isWhatFollowsItsLastSlash() {
        CodeAtCursor code = atEnd("load(\"maps/old/bo");
        assertThat(code.isInString()).isTrue();
        assertThat(code.word()).isEqualTo("bo");
        assertThat(code.string()).isEqualTo("maps/old/bo");
        assertThat(CodeAtCursor.of("load(\"a.ply\")", 7).word()).isEqualTo("a");
    }

    @Test
    void commentsTextBlocksAndCharacters_areOpaque_closedOnesAreNot() {
        assertThat(atEnd("// lo").isOpaque()).isTrue();
        assertThat(atEnd("/* lo").isOpaque()).isTrue();
        assertThat(atEnd("'l").isOpaque()).isTrue();
        assertThat(atEnd("\"\"\"\nlo").isOpaque()).isTrue();
        assertThat(atEnd("/* a */ 'b' \"\"\"\nc\"\"\" \"d\" + lo").isOpaque()).isFalse();
        assertThat(atEnd("\"a\\\" b").isInString()).isTrue();
        assertThat(atEnd("\"a\" + b").isInString()).isFalse();
    }
}
