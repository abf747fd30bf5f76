package org.estampage.console;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Places are counted by hand: lines and columns from 1, a tab is one column, as javac and most editors count characters. */
class ScriptPlacesTest {
    @TempDir
    Path folder;

    private String messages = "";

    private int run(String text, String... arguments) throws IOException {
        Files.writeString(folder.resolve("s.jsh"), text);
        return runFile("s.jsh", arguments);
    }

    private int runFile(String script, String... arguments) {
        Map<String, String> values = new LinkedHashMap<>();
        for (String argument : arguments) {
            values.put(argument.substring(0, argument.indexOf('=')), argument.substring(argument.indexOf('=') + 1));
        }
        ByteArrayOutputStream err = new ByteArrayOutputStream();
        PrintStream out = new PrintStream(OutputStream.nullOutputStream(), true, StandardCharsets.UTF_8);
        int code = new ScriptRunner(folder, InputStream.nullInputStream(), out, new PrintStream(err, true, StandardCharsets.UTF_8), false,
                false)
                .run(script, values);
        messages = err.toString(StandardCharsets.UTF_8).replace("\r\n", "\n");
        return code;
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
            // the words of the snippet stand in the comment before it, and no semicolon ends the file
            "// var s = bad;\\nvar s = bad | 2:9",
            "/* int a = 1, b = bad; */ int a = 1, b = 2, c = bad | 1:49",
            "\\r\\n/** x */\\r\\n\\tvar q = 1 +\\r\\n\\t\\tbad | 4:3",
            "var x = \\t\\t1; var y = 2; int z = x + bad; | 1:37",
            "class A {\\n  int x;\\n  int g() {\\n    return (String) bad;\\n  }\\n} | 4:21",
            // quotation marks in text blocks, characters and comments
            "var x = \"\"\"\\n  // bad \"q\"\\n  \"\"\"; char c = '\"'; /* ' */ int y = bad; | 3:38",
            "/* c\\n c2 */ for (int i = 0; i < 3; i++) {\\n  List.of().get(i);\\n} | 2:8"})
    void failure_isPlacedExactly(String text, String place) throws IOException {
        assertThat(run(text.replace("\\r", "\r").replace("\\n", "\n").replace("\\t", "\t"))).isEqualTo(ScriptRunner.FAILED);
        assertThat(messages).startsWith("s.jsh:" + place + ": ");
    }

    @Test
    void declaration_thatNamesWhatIsDeclaredNowhere_failsBeforeAnythingElseRuns() throws IOException {
        assertThat(run(
                "// laod\nint f() {\n  // laod\n  return laod(\"laod\").vertexCount();\n}\nFiles.writeString(path(\"after.txt\"), \"\");\n"))
                .isEqualTo(ScriptRunner.FAILED);
        assertThat(messages).startsWith("s.jsh:4:10: there is no method laod(String) (did you mean load?)");
        assertThat(folder.resolve("after.txt")).doesNotExist();
    }

    @Test
    void declarations_mayNameWhatFollows() throws IOException {
        assertThat(run("""
                int even(int n) { return n == 0 ? 1 : odd(n - 1); }
                class A extends B {
                    int q() { return k; }
                }
                class B { int k = 4; }
                int odd(int n) { return n == 0 ? 0 : even(n - 1); }
                Files.writeString(path("sum.txt"), "" + (even(10) + new A().q()));
                """)).as(messages).isEqualTo(ScriptRunner.OK);
        assertThat(Files.readString(folder.resolve("sum.txt"))).isEqualTo("5");
    }

    @Test
    void byteOrderMark_isNotPartOfTheScript() throws IOException {
        assertThat(run("\ufeffvar a = bad;")).isEqualTo(ScriptRunner.FAILED);
        assertThat(messages).startsWith("s.jsh:1:9: there is no variable bad");
    }

    @Test
    void unknownArgument_isNamedBeforeTheScriptRuns_andSoEvenWhenItFails() throws IOException {
        assertThat(run("var n = arg(\"size\", 3);\nthrow new IllegalStateException(\"halfway\");\n", "sise=5"))
                .isEqualTo(ScriptRunner.FAILED);
        assertThat(messages).startsWith("estampage: warning: the script does not read the argument sise; did you mean size?\n")
                .contains("s.jsh:2:1: halfway");
    }

    @Test
    void argument_thatIsMentionedButNeverRead_isNamedAtTheEnd_once() throws IOException {
        assertThat(run("if (arg(\"deep\", false)) {\n    arg(\"levels\", 3);\n}\n", "levels=5")).isEqualTo(ScriptRunner.OK);
        assertThat(messages).isEqualTo("estampage: warning: the script does not read the argument levels; it reads deep\n");
    }

    @Test
    void pathThatNoSystemCanHold_isOneLine() {
        assertThat(runFile("a\0b.jsh")).isEqualTo(ScriptRunner.USAGE);
        assertThat(messages).contains("can't be a path").hasLineCount(1);
    }

    @Test
    void masking_keepsLengthAndLines_andHidesOnlyCommentsAndLiterals() {
        String text = "a/*b\n*/c\"d\\\"e\"f'\\''g\"\"\"\nh\"i\\\"\"\"j\"\"\"k//l\r\nm\"n";
        assertThat(Masked.of(text)).isEqualTo("a   \n  c      f    g   \n           k   \r\nm  ").hasSameSizeAs(text);
        assertThat(Masked.find("xload(load_ + \"load\"); /* load */ load(", "load")).isEqualTo(34);
        assertThat(Masked.find("\"load\"", "load")).isEqualTo(-1);
        assertThat(Masked.start(" // a\n/* b */\tc")).isEqualTo(14);
    }
}
