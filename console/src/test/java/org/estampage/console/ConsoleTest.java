package org.estampage.console;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.lang.reflect.Modifier;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class ConsoleTest {
    @TempDir
    Path folder;

    private record Outcome(int code, String out, String err) {
    }

    private Outcome console(String input, String... arguments) {
        ByteArrayOutputStream out = new ByteArrayOutputStream(), err = new ByteArrayOutputStream();
        int code = Main.run(arguments, folder, new ByteArrayInputStream(input.getBytes(StandardCharsets.UTF_8)),
                new PrintStream(out, true, StandardCharsets.UTF_8), new PrintStream(err, true, StandardCharsets.UTF_8), false, false);
        return new Outcome(code, out.toString(StandardCharsets.UTF_8).replace("\r\n", "\n"),
                err.toString(StandardCharsets.UTF_8).replace("\r\n", "\n"));
    }

    private Outcome script(String text, String... arguments) throws IOException {
        Files.writeString(folder.resolve("s.jsh"), text);
        String[] all = new String[arguments.length + 1];
        all[0] = "s.jsh";
        System.arraycopy(arguments, 0, all, 1, arguments.length);
        return console("", all);
    }

    @Test
    void script_runsWithTypedArguments() throws IOException {
        Outcome outcome = script("""
                // a comment first
                var n = arg("n", 3);
                var x = arg("x", 0.5);
                var b = arg("b", false);
                String s = arg("s",
                        "none");
                int twice(int v) {
                    return 2 * v;
                }
                Files.writeString(path("seen.txt"), twice(n) + " " + x + " " + b + " " + s);
                """, "n=1_000", "x=1e3", "b=yes", "s=a=b");
        assertThat(outcome.err).isEmpty();
        assertThat(outcome.code).isZero();
        assertThat(Files.readString(folder.resolve("seen.txt"))).isEqualTo("2000 1000.0 true a=b");
    }

    @Test
    void compileError_isPlacedByLineAndColumn_alsoWithTabsCarriageReturnsAndUmlauts() throws IOException {
        Outcome outcome = script("var ok = 1;\r\n\r\n// größer\r\nvar s = \"ü\";\r\n\tint x =\r\n\t\tnowhere + 1;\r\nvar later = 2;\r\n");
        assertThat(outcome.code).isEqualTo(ScriptRunner.FAILED);
        assertThat(outcome.err).startsWith("s.jsh:6:3: there is no variable nowhere");
        assertThat(outcome.err).contains("    \t\tnowhere + 1;\n    \t\t^\n");
    }

    @Test
    void misspeltVerb_suggestsTheNearest() throws IOException {
        assertThat(script("var m = laod(\"a.obj\");\n").err).startsWith("s.jsh:1:9: ").contains("did you mean load?");
    }

    @Test
    void exception_isOneLineWithItsPlace_andStopsTheScript() throws IOException {
        Outcome outcome = script(
                "var a = 1;\nfor (int i = 0; i < 2; i++) {\n    load(\"nowhere.ply\");\n}\nFiles.writeString(path(\"after.txt\"), \"\");\n");
        assertThat(outcome.code).isEqualTo(ScriptRunner.FAILED);
        assertThat(outcome.err).startsWith("s.jsh:2:1: ").contains("nowhere.ply").contains("does not exist").doesNotContain("\tat ");
        assertThat(folder.resolve("after.txt")).doesNotExist();
        assertThat(console("", "--stacktrace", "s.jsh").err).contains("\tat ");
        // A statement of several lines, behind a blank line and a comment, is shown where it begins.
        Outcome late = script(
                "var a = 1;\n\n// why\nvar b = List.of(1)\n        .stream()\n        .map(x -> x / 0)\n        .toList();\n");
        assertThat(late.err).startsWith("s.jsh:4:1: ArithmeticException").contains("    var b = List.of(1)\n    ^\n");
    }

    @Test
    void savingAMesh_saysWhatTheFormatLeavesOut() throws IOException {
        Outcome outcome = script("""
                float[] p = {0, 0, 0, 1, 0, 0, 0, 1, 0};
                int[] t = {0, 1, 2};
                save(smooth(mesh(p, t)), "a.stl");
                """);
        assertThat(outcome.code).as(outcome.err).isZero();
        assertThat(outcome.err).startsWith("estampage: a.stl: ").contains("normals");
        assertThat(folder.resolve("a.stl")).exists();
    }

    @Test
    void savingMaps_needsTheBeginningOfTheirNames_andAPossibleDepth() throws IOException {
        String bake = """
                float[] p = {-1, 0, 1, 1, 0, 1, 1, 0, -1};
                int[] t = {0, 1, 2};
                var m = mesh(p, t).uvSet(new Attribute("uv", 2, new float[] {0, 0, 1, 0, 1, 1}, t)).build();
                var result = bake(m, m).cage(cage(m).offset(0.1)).size(4).run();
                """;
        // An empty base would name the maps after the caller's folder and put them beside it.
        for (String base : List.of("", "out/")) {
            Outcome outcome = script(bake + "save(result, \"" + base + "\");\n");
            assertThat(outcome.code).isEqualTo(ScriptRunner.FAILED);
            assertThat(outcome.err).contains("s.jsh:5:1: ").contains("base = \"" + base + "\" must end with");
        }
        assertThat(script("var o = bits(12);\n").err).startsWith("s.jsh:1:").contains("bits = 12 must be 8 or 16");
        try (var files = Files.list(folder)) {
            assertThat(files).extracting(file -> file.getFileName().toString()).containsExactly("s.jsh");
        }
    }

    @Test
    void malformedArgument_andUnknownOne_areNamed() throws IOException {
        assertThat(script("var n = arg(\"size\", 3);", "size=big").err).contains("size=big is not a whole number");
        assertThat(script("var n = arg(\"size\", 3);", "sise=5").err).contains("does not read the argument sise; did you mean size?");
    }

    @Test
    void unfinishedSnippet_isSaidSo() throws IOException {
        Outcome outcome = script("var a = 1;\nfor (;;) {\n");
        assertThat(outcome.code).isEqualTo(ScriptRunner.FAILED);
        assertThat(outcome.err).startsWith("s.jsh:2:1: this is not finished");
    }

    @Test
    void calls_thatAreNotUnderstood_exitWithTwo() {
        assertThat(console("", "no.jsh")).satisfies(o -> {
            assertThat(o.code).isEqualTo(ScriptRunner.USAGE);
            assertThat(o.err).isEqualTo("estampage: the script no.jsh does not exist; give a path to a .jsh file\n");
        });
        assertThat(console("", "--colour").code).isEqualTo(ScriptRunner.USAGE);
        assertThat(console("", "s.jsh", "word").err).contains("name=value");
        assertThat(console("", "--help").out).contains("estampage script.jsh");
        assertThat(console("", "--version").out).startsWith("estampage ");
    }

    @Test
    void prompt_keepsWhatADeclarationThatFailedWasToReplace_andSaysSo() {
        Outcome outcome = console("var high = 40;\nvar high = load(\"nowhere.ply\");\nhigh + 2\n");
        assertThat(outcome.err).contains("does not exist").endsWith("high is still what it was\n");
        assertThat(outcome.out).endsWith("42\n");
    }

    @Test
    void prompt_echoesValues_survivesErrors_andEnds() {
        Outcome outcome = console("1 + 2\nnonsense\nint f(int x) {\n  return 3 * x;\n}\nf(14)\nhelp(\"bake\")\nleave\n99\n");
        assertThat(outcome.code).isZero();
        assertThat(outcome.out).startsWith("3\n42\n".substring(0, 2)).contains("42\n").contains("bake: carries").doesNotContain("99");
        assertThat(outcome.err).contains("there is no variable nonsense");
    }

    @Test
    void everyVerb_hasAHelpEntry_andEveryEntryIsAVerb() {
        var verbs = Arrays.stream(Verbs.class.getDeclaredMethods()).filter(m -> Modifier.isPublic(m.getModifiers())).map(m -> m.getName())
                .distinct()
                .toList();
        assertThat(Help.names()).containsExactlyInAnyOrderElementsOf(verbs);
        assertThat(script0("help(\"baek\");")).contains("did you mean bake?");
    }

    private String script0(String text) {
        try {
            return script(text).err;
        } catch (IOException e) {
            throw new AssertionError(e);
        }
    }

    @Test
    void progress_onATerminalIsOneLine_elsewhereALineForLongStagesOnly() {
        assertThat(ProgressLine.line("baking", 50, 200, 10_000_000_000L, 157_000_000))
                .isEqualTo("baking                   [##........]  25 %  10 s, 30 s left, 15.7 M rays/s");
        ByteArrayOutputStream quiet = new ByteArrayOutputStream();
        ProgressLine line = new ProgressLine(new PrintStream(quiet, true, StandardCharsets.UTF_8), false);
        for (int i = 0; i <= 10; i++) {
            line.report("quick", i, 10);
        }
        assertThat(quiet.toString(StandardCharsets.UTF_8)).isEmpty();
    }

    @Test
    void launcher_findsAJdkThatIsNewEnough_andSaysWhenThereIsNone() throws Exception {
        Path launcher = Path.of("estampage").toAbsolutePath();
        Path old = jdk("old", "21.0.3"), young = jdk("young", "26"), exact = jdk("exact", "25.0.1");
        assertThat(which(launcher, old.toString(), exact.toString())).isEqualTo(exact.toString());
        assertThat(which(launcher, young.toString(), exact.toString())).isEqualTo(young.toString());
        assertThat(which(launcher, "", old + " " + young)).isEqualTo(young.toString());
        assertThat(which(launcher, "", old.toString())).contains("no JDK 25 or newer was found").contains("JAVA_HOME");
    }

    @Test
    void interrupt_fromTheKeyboard_endsABakeWithinSeconds_andLeavesNoFile() throws Exception {
        Files.writeString(folder.resolve("long.jsh"), """
                import org.estampage.testresources.Bollard;
                var shape = Bollard.generate(20_000);
                var high = mesh(shape.positions(), shape.triangles()).build();
                var low = lathe(high).build();
                var c = cage(low).offset(0.05);
                IO.println("baking");
                var result = bake(low, high).cage(c).size(4096).maps(occlusion(4096)).run();
                save(result, "out/never");
                """);
        List<String> command = new ArrayList<>(withSignals());
        command.addAll(List.of(Path.of(System.getProperty("java.home"), "bin", "java").toString(), "--add-modules", "jdk.incubator.vector",
                "-Xmx1g",
                "-cp", System.getProperty("java.class.path"), "org.estampage.console.Main", "long.jsh"));
        Process process = new ProcessBuilder(command).directory(folder.toFile()).redirectError(ProcessBuilder.Redirect.DISCARD).start();
        try {
            assertThat(process.inputReader().readLine()).isEqualTo("baking");
            Thread.sleep(1500); // into the blocks; a cancellation before them would do as well
            assertThat(process.isAlive()).isTrue();
            new ProcessBuilder("kill", "-INT", String.valueOf(process.pid())).start().waitFor();
            assertThat(process.waitFor(20, TimeUnit.SECONDS)).isTrue();
            assertThat(process.exitValue()).isEqualTo(ScriptRunner.CANCELLED);
            assertThat(folder.resolve("out")).doesNotExist();
        } finally {
            process.destroyForcibly();
        }
    }

    /**
     * Returns what goes in front of a command that is to be sent signals. A build that was started in the background ignores them, and what it starts
     * inherits that; GNU env gives them back.
     */
    static List<String> withSignals() throws Exception {
        List<String> env = List.of("env", "--default-signal");
        List<String> trial = new ArrayList<>(env);
        trial.add("true");
        boolean works = new ProcessBuilder(trial).redirectErrorStream(true).redirectOutput(ProcessBuilder.Redirect.DISCARD).start()
                .waitFor() == 0;
        return works ? env : List.of();
    }

    private Path jdk(String name, String version) throws IOException {
        Path home = Files.createDirectories(folder.resolve(name));
        Files.createDirectories(home.resolve("bin"));
        Files.writeString(home.resolve("release"), "IMPLEMENTOR=\"test\"\nJAVA_VERSION=\"" + version + "\"\n");
        for (String tool : new String[] {"java", "javac"}) {
            Files.writeString(home.resolve("bin/" + tool), "#!/bin/sh\n").toFile().setExecutable(true);
        }
        return home;
    }

    private static String which(Path launcher, String javaHome, String folders) throws Exception {
        ProcessBuilder builder = new ProcessBuilder("bash", launcher.toString(), "--which-jdk").redirectErrorStream(true);
        builder.environment().put("JAVA_HOME", javaHome);
        builder.environment().put("PATH", "/usr/bin:/bin"); // whatever java is there is older, or the test's own choice wins by JAVA_HOME
        builder.environment().put("ESTAMPAGE_JDK_FOLDERS", folders);
        Process process = builder.start();
        String said = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8).strip();
        assertThat(process.waitFor(20, TimeUnit.SECONDS)).isTrue();
        return said;
    }
}
