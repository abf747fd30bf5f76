package org.estampage.console;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.InputStream;
import java.io.OutputStream;
import java.io.PrintStream;
import org.jline.utils.AttributedString;
import org.jline.utils.AttributedStyle;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class SnippetColoursTest {
    private static Snippets snippets;

    @BeforeAll
    static void start() {
        PrintStream nowhere = new PrintStream(OutputStream.nullOutputStream());
        snippets = new Snippets(InputStream.nullInputStream(), nowhere, nowhere);
        assertThat(snippets.run("int knots(int n) { return n; }", null, null)).isEmpty();
    }

    @AfterAll
    static void end() {
        snippets.close();
    }

    private static AttributedStyle styleAt(String text, String word) {
        AttributedString coloured = new SnippetColours(snippets, true).highlight(text);
        assertThat(coloured.toString()).isEqualTo(text);
        int at = text.indexOf(word);
        AttributedStyle style = coloured.styleAt(at);
        assertThat(coloured.styleAt(at + word.length() - 1)).as("end of " + word).isEqualTo(style);
        return style;
    }

    private static final AttributedStyle PLAIN = AttributedStyle.DEFAULT;

    @Test
    void words_areColouredByWhatTheyAre() {
        String text = "var s = bake(lwo, \"a // b\").size(0x1f + 1.5e3) + 'c'; // why";
        assertThat(styleAt(text, "var")).isEqualTo(PLAIN.foreground(AttributedStyle.MAGENTA));
        assertThat(styleAt(text, "bake")).isEqualTo(PLAIN.bold());
        assertThat(styleAt(text, "\"a // b\"")).isEqualTo(PLAIN.foreground(AttributedStyle.GREEN));
        assertThat(styleAt(text, "'c'")).isEqualTo(PLAIN.foreground(AttributedStyle.GREEN));
        assertThat(styleAt(text, "0x1f")).isEqualTo(PLAIN.foreground(AttributedStyle.CYAN));
        assertThat(styleAt(text, "1.5e3")).isEqualTo(PLAIN.foreground(AttributedStyle.CYAN));
        assertThat(styleAt(text, "// why")).isEqualTo(PLAIN.faint());
        assertThat(styleAt(text, "size")).isEqualTo(PLAIN);
        assertThat(styleAt(text, "lwo")).isEqualTo(PLAIN);
    }

    @Test
    void callsOfWhatDoesNotExist_standOut() {
        assertThat(styleAt("baek(low)", "baek")).isEqualTo(PLAIN.foreground(AttributedStyle.RED));
        assertThat(styleAt("return baek(low)", "baek")).isEqualTo(PLAIN.foreground(AttributedStyle.RED));
    }

    @ParameterizedTest
    @ValueSource(strings = {"knots(3)", "a.baek(3)", "A::baek", "new Baek(3)", "int baek(int n) {", "List<String> baek() {",
            "float[] baek(",
            "class A { void f() { baek(); } }", "baek = 3", "record Baek(int n)"})
    void calls_thatMayWellExist_doNot(String text) {
        for (String word : new String[] {"knots", "baek", "Baek"}) {
            if (text.contains(word)) {
                assertThat(styleAt(text, word)).as(text).isEqualTo(PLAIN);
            }
        }
    }

    @Test
    void importedNames_mayExist() {
        assertThat(styleAt("hypot(3, 4)", "hypot")).isEqualTo(PLAIN.foreground(AttributedStyle.RED));
        assertThat(snippets.run("import static java.lang.Math.*;", null, null)).isEmpty();
        assertThat(styleAt("hypot(3, 4)", "hypot")).isEqualTo(PLAIN);
        assertThat(styleAt("hypto(3, 4)", "hypto")).isEqualTo(PLAIN.foreground(AttributedStyle.RED));
    }

    @Test
    void withoutColours_textIsPlain() {
        AttributedString text = new SnippetColours(snippets, false).highlight("var a = \"b\";");
        assertThat(text.toAnsi()).isEqualTo("var a = \"b\";");
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "\"open", "'", "/* open", "/", "1..2", "\"\"\"\na", "é(", "\\", "(\"a\\"})
    void unfinishedText_keepsItsLetters(String text) {
        assertThat(new SnippetColours(snippets, true).highlight(text).toString()).isEqualTo(text);
    }
}
