package org.estampage.console;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.fail;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.function.Predicate;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;

/**
 * The console as people meet it: keys are pressed in a real terminal (tmux draws it), and the screen is read. In one session, since each start takes
 * seconds.
 */
@Timeout(180)
class TerminalTest {
    /** Ctrl-C must bring the prompt back within half a second. */
    private static final double PROMPT_SECONDS = 0.5;
    /** The time is measured from outside, on a machine that may build at the same time: the quickest of so many presses counts. */
    private static final int PRESSES = 3;
    private static final int COLUMNS = 100;
    private static final int ROWS = 40;

    @TempDir
    Path folder;
    private final String server = "estampage-" + ProcessHandle.current().pid();

    @BeforeEach
    void needTmux() throws Exception {
        boolean there = run(List.of("sh", "-c", "command -v tmux")).code == 0;
        if (System.getenv("CI") != null) {
            assertThat(there).as("tmux is installed where CI is set").isTrue();
        }
        assumeTrue(there, "needs tmux");
    }

    @AfterEach
    void endServer() throws Exception {
        run(List.of("tmux", "-L", server, "kill-server"));
    }

    private record Outcome(int code, String text) {
    }

    private static Outcome run(List<String> command) throws IOException, InterruptedException {
        Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
        String text = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertThat(process.waitFor(20, TimeUnit.SECONDS)).isTrue();
        return new Outcome(process.exitValue(), text);
    }

    private String tmux(String... arguments) throws Exception {
        List<String> command = new ArrayList<>(List.of("tmux", "-L", server, "-f", "/dev/null"));
        command.addAll(List.of(arguments));
        Outcome outcome = run(command);
        assertThat(outcome.code).as(command + ": " + outcome.text).isZero();
        return outcome.text;
    }

    private void open(String name, String... environment) throws Exception {
        open(name, List.of(), environment);
    }

    /** Opens a console that a command starts. */
    private void open(String name, List<String> starter, String... environment) throws Exception {
        List<String> console = new ArrayList<>(starter);
        console.addAll(List.of("env", "XDG_STATE_HOME=" + folder.resolve("state"), "LC_ALL=C.UTF-8"));
        console.addAll(List.of(environment));
        console.addAll(List.of(Path.of(System.getProperty("java.home"), "bin", "java").toString(), "--add-modules", "jdk.incubator.vector",
                "--enable-native-access=ALL-UNNAMED", "-Xmx1g", "-XX:TieredStopAtLevel=1", "-cp", System.getProperty("java.class.path"),
                "org.estampage.console.Main"));
        List<String> command = new ArrayList<>(List.of("new-session", "-d", "-s", name, "-x", String.valueOf(COLUMNS), "-y",
                String.valueOf(ROWS), "-c", folder.toString()));
        command.addAll(console);
        tmux(command.toArray(String[]::new));
        await(name, screen -> lastLine(screen).equals("estampage>"));
    }

    private String screen(String name, String... options) throws Exception {
        List<String> command = new ArrayList<>(List.of("capture-pane", "-p", "-t", name));
        command.addAll(List.of(options));
        return tmux(command.toArray(String[]::new));
    }

    private static String lastLine(String screen) {
        String text = screen.stripTrailing();
        return text.substring(text.lastIndexOf('\n') + 1).strip();
    }

    /** Waits until the screen is as wanted. */
    private String await(String name, Predicate<String> wanted) throws Exception {
        String screen = "";
        for (long end = System.nanoTime() + TimeUnit.SECONDS.toNanos(40); System.nanoTime() < end;) {
            screen = screen(name);
            if (wanted.test(screen)) {
                return screen;
            }
            Thread.sleep(20);
        }
        return fail("the screen stayed\n" + screen);
    }

    private void type(String name, String text) throws Exception {
        tmux("send-keys", "-t", name, "-l", "--", text.endsWith(";") ? text.substring(0, text.length() - 1) + "\\;" : text);
    }

    private void press(String name, String... keys) throws Exception {
        for (String key : keys) {
            tmux("send-keys", "-t", name, key);
        }
    }

    /** Clears the screen, so that nothing on it is old. */
    private void clear(String name) throws Exception {
        press(name, "C-l");
        await(name, screen -> screen.strip().equals("estampage>"));
    }

    /** Drops what is typed. */
    private void drop(String name) throws Exception {
        press(name, "C-c");
        await(name, screen -> lastLine(screen).equals("estampage>"));
    }

    /** Runs a line on a clear screen, and returns what is on it when the prompt is back. */
    private String runLine(String name, String line) throws Exception {
        clear(name);
        type(name, line);
        press(name, "Enter");
        return await(name,
                screen -> screen.contains(line.substring(0, Math.min(line.length(), 40))) && lastLine(screen).equals("estampage>"));
    }

    /** Stops a line that runs, and holds the time from the key to the prompt. */
    private void stop(String name, String line, Predicate<String> begun) throws Exception {
        double quickest = Double.MAX_VALUE;
        for (int i = 0; i < PRESSES && quickest >= PROMPT_SECONDS; i++) {
            quickest = Math.min(quickest, stopOnce(name, line, begun));
        }
        assertThat(quickest).as("seconds from Ctrl-C to the prompt: " + line).isLessThan(PROMPT_SECONDS);
    }

    private double stopOnce(String name, String line, Predicate<String> begun) throws Exception {
        clear(name);
        type(name, line);
        press(name, "Enter");
        await(name, begun);
        long start = System.nanoTime();
        press(name, "C-c");
        String screen = await(name, s -> lastLine(s).equals("estampage>"));
        double seconds = (System.nanoTime() - start) * 1e-9;
        assertThat(screen).contains("cancelled; no partial file was left").doesNotContain("Exception");
        return seconds;
    }

    @Test
    void newcomersSession() throws Exception {
        Files.writeString(folder.resolve("bollard.ply"), "not a mesh");
        open("first");

        // What can be typed is shown with what it is, and is put in by the same key.
        type("first", "ba");
        press("first", "Tab");
        await("first", screen -> lastLine(screen).equals("estampage> bake("));
        press("first", "Tab");
        String list = await("first", screen -> screen.contains("bake(MeshSource low, MeshSource… high)"));
        assertThat(list).containsPattern("lathe\\(high\\) +a low poly turned around a mesh").contains("load(path) ").doesNotContain("arg(");
        drop("first");
        type("first", "unwrap(load(\"b");
        press("first", "Tab");
        await("first", screen -> screen.contains("unwrap(load(\"bollard.ply\""));
        type("first", ")).seamsBy");
        press("first", "Tab");
        list = await("first", screen -> screen.contains("seamsByPart()"));
        assertThat(list).containsPattern("seamsByAngle\\(degrees\\) +Puts seams where the surface turns by more than an angle");
        drop("first");

        // A slip is answered with what was meant.
        assertThat(runLine("first", "var m = laod(\"bollard.ply\")")).contains("load").contains("did you mean").doesNotContain("\tat ");
        clear("first");

        // Colours, of the terminal's own.
        type("first", "var s = baek(low, \"text\"); // 1");
        await("first", screen -> screen.contains("// 1"));
        String coloured = screen("first", "-e");
        assertThat(coloured).contains("\033[35mvar\033[39m").contains("\033[31mbaek\033[39m").contains("\033[32m\"text\"\033[39m");
        drop("first");

        // A snippet of several lines is one; so is what is pasted.
        clear("first");
        type("first", "int knots(int n) {");
        press("first", "Enter");
        await("first", screen -> screen.contains("int knots(int n) {") && lastLine(screen).equals(".."));
        type("first", "    return 7 * n;");
        press("first", "Enter");
        type("first", "}");
        press("first", "Enter");
        await("first", screen -> screen.contains("}") && lastLine(screen).equals("estampage>"));
        tmux("set-buffer", "int a = knots(1);\nint b = knots(2);\n\nint both() {\n\treturn a + b;\n}\nIO.println(\"both \" + both());");
        tmux("paste-buffer", "-p", "-t", "first");
        await("first", screen -> screen.contains("\"both \" + both()"));
        press("first", "Enter");
        await("first", screen -> screen.contains("both 21") && lastLine(screen).equals("estampage>"));

        // What does not stop of itself, and what does: the prompt is back, and so is all that was made.
        runLine("first", "import org.estampage.testresources.Bollard;");
        runLine("first", "var shape = Bollard.generate(60_000);");
        runLine("first", "var high = mesh(shape.positions(), shape.triangles()).build();");
        runLine("first", "var low = lathe(high).build();");
        stop("first", "bake(low, high).cage(cage(low).offset(0.05)).size(2048).maps(normal(), occlusion(256)).run()",
                screen -> screen.contains("baking "));
        stop("first", "IO.println(\"loops\"); while (true) { }", screen -> screen.contains("\nloops"));
        stop("first", "IO.println(\"sleeps\"); Thread.sleep(100_000);", screen -> screen.contains("\nsleeps"));
        stop("first", "IO.println(\"deaf\"); new java.util.concurrent.Semaphore(0).acquireUninterruptibly();",
                screen -> screen.contains("\ndeaf"));
        // Hard upon Enter, before anything runs.
        clear("first");
        type("first", "while (true) { }");
        await("first", screen -> screen.contains("while (true) { }"));
        tmux("send-keys", "-t", "first", "Enter", "C-c");
        await("first", screen -> lastLine(screen).equals("estampage>"));
        assertThat(runLine("first", "IO.println(high.triangleCount() > 50_000 ? \"still there\" : \"gone\")")).contains("\nstill there");
        clear("first");
        type("first", " 1 + 41"); // of a line with a space in front nothing is kept
        press("first", "Enter");
        await("first", screen -> screen.contains("\n42"));
        press("first", "C-d");
        await0Sessions();

        // The next session has it all in its history, the lines of a snippet together.
        open("second", "NO_COLOR=1");
        press("second", "Up");
        await("second", screen -> lastLine(screen).contains("still there"));
        drop("second");
        clear("second");
        press("second", "C-r");
        type("second", "knots(int");
        String found = await("second", screen -> screen.contains("return 7 * n;"));
        assertThat(found).contains("int knots(int n) {").contains(".. }");
        press("second", "Enter");
        assertThat(runLine("second", "IO.println(\"six \" + knots(6))")).contains("\nsix 42");
        type("second", "var s = \"text\"");
        await("second", screen -> screen.contains("\"text\""));
        assertThat(screen("second", "-e")).doesNotContain("\033[32m");
        drop("second");
        type("second", "leave");
        press("second", "Enter");
        await0Sessions();
        assertThat(Files.readString(folder.resolve("state/estampage/history"))).contains("int knots(int n) {").doesNotContain("1 + 41");
    }

    private void await0Sessions() throws Exception {
        for (int i = 0; i < 500; i++) {
            if (run(List.of("tmux", "-L", server, "list-sessions")).code != 0) {
                return;
            }
            Thread.sleep(20);
        }
        fail("the console has not ended");
    }

    @Test
    void watch_isEndedByCtrlC_leavesVariablesAndNoThread_andCanBeginAgain() throws Exception {
        Path watched = Files.writeString(folder.resolve("sculpt.txt"), "0");
        open("watch");
        runLine("watch", "var kept = 41; var seen = new TreeSet<Integer>();");
        // The watch's own thread and those that run snippets; they may take a moment to end.
        runLine("watch", "long alive(long wanted) throws Exception { long n = -1; for (int i = 0; i < 500 && n != wanted; i++) {"
                + " Thread.sleep(20); n = Thread.getAllStackTraces().keySet().stream().map(Thread::getName)"
                + ".filter(List.of(\"FileSystemWatchService\", \"waits for a snippet\")::contains).count(); } return n; }");
        for (int i = 1; i <= 2; i++) {
            clear("watch");
            type("watch", "watch(\"sculpt.txt\", () -> { seen.add(" + i + "); IO.println(\"alive \" + alive(2)); })");
            press("watch", "Enter");
            await("watch", screen -> screen.contains("watching sculpt.txt"));
            writeUntil(watched, "watch", screen -> screen.contains("alive 2"));
            press("watch", "C-c");
            String screen = await("watch", s -> lastLine(s).equals("estampage>"));
            assertThat(screen).contains("cancelled; no partial file was left").doesNotContain("Exception");
            assertThat(runLine("watch", "IO.println(kept + seen.size() + \" \" + alive(1))")).contains("\n" + (41 + i) + " 1");
        }
        Files.writeString(watched, "nobody looks");
        assertThat(runLine("watch", "Thread.sleep(500); IO.println(\"still \" + seen.size())")).contains("\nstill 2")
                .doesNotContain("alive");
    }

    /** Writes a file again and again, since nobody tells when a watch has had its first look, until the screen is as wanted. */
    private void writeUntil(Path file, String name, Predicate<String> wanted) throws Exception {
        for (int i = 0; i < 40; i++) {
            Files.writeString(file, "written " + System.nanoTime());
            for (int looks = 0; looks < 50; looks++) {
                if (wanted.test(screen(name))) {
                    return;
                }
                Thread.sleep(20);
            }
        }
        fail("the screen stayed\n" + screen(name));
    }

    @Test
    void consoleEnds_withTheCodeOfASnippetThatExits_andKeepsItsHistory_evenWhereItCannot() throws Exception {
        Files.writeString(folder.resolve("state"), "a file where a folder should be");
        // The shell tells the code: the terminal itself may never hear of it.
        open("odd", List.of("sh", "-c", "\"$@\"; echo \"ended with $?\"; sleep 60", "sh"));
        assertThat(screen("odd")).containsOnlyOnce("is not kept for the next session");
        runLine("odd", "1 + 1");
        type("odd", "System.exit(7)");
        press("odd", "Enter");
        await("odd", screen -> screen.contains("ended with 7"));
    }
}
