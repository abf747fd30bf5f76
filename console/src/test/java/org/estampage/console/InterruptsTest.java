package org.estampage.console;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CancellationException;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import org.estampage.cage.CageFit;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Signals are sent to processes of their own; what must hold within seconds has a limit many times larger than what it takes, for busy machines. */
@Timeout(60)
class InterruptsTest {
    @TempDir
    Path folder;

    private Process console(String... arguments) throws Exception {
        List<String> command = new ArrayList<>(ConsoleTest.withSignals());
        command.addAll(List.of(Path.of(System.getProperty("java.home"), "bin", "java").toString(), "--add-modules",
                "jdk.incubator.vector", "-Xmx256m", "-cp", System.getProperty("java.class.path"), "org.estampage.console.Main"));
        command.addAll(List.of(arguments));
        return new ProcessBuilder(command).directory(folder.toFile()).redirectError(ProcessBuilder.Redirect.DISCARD).start();
    }

    private static void send(String signal, Process process) throws Exception {
        assertThat(new ProcessBuilder("kill", "-" + signal, String.valueOf(process.pid())).start().waitFor()).isZero();
    }

    @ParameterizedTest
    @ValueSource(strings = {"while (true) { }", "Thread.sleep(100_000);"})
    void cancelling_endsWhatNeverLooksAtItsTask(String statement) throws Exception {
        Files.writeString(folder.resolve("s.jsh"),
                "Files.writeString(path(\"begun\"), \"\");\n" + statement + "\nFiles.writeString(path(\"after\"), \"\");\n");
        ByteArrayOutputStream err = new ByteArrayOutputStream();
        ScriptRunner runner = runner(err);
        CompletableFuture<Integer> code = CompletableFuture.supplyAsync(() -> runner.run("s.jsh", Map.of()));
        while (!Files.exists(folder.resolve("begun"))) {
            Thread.sleep(20);
        }
        Thread.sleep(300); // into the second statement; before it would do as well
        runner.cancel();
        assertThat(code.get(30, TimeUnit.SECONDS)).isEqualTo(ScriptRunner.CANCELLED);
        assertThat(err.toString(StandardCharsets.UTF_8)).startsWith("s.jsh:2:1: cancelled");
        assertThat(folder.resolve("after")).doesNotExist();
    }

    @Test
    void cancelling_beforeAScriptBegins_runsNothing() throws IOException {
        Files.writeString(folder.resolve("s.jsh"), "Files.writeString(path(\"begun\"), \"\");\n");
        ScriptRunner runner = runner(new ByteArrayOutputStream());
        runner.cancel();
        assertThat(runner.run("s.jsh", Map.of())).isEqualTo(ScriptRunner.CANCELLED);
        assertThat(folder.resolve("begun")).doesNotExist();
    }

    private ScriptRunner runner(OutputStream err) {
        return new ScriptRunner(folder, InputStream.nullInputStream(), new PrintStream(OutputStream.nullOutputStream()),
                new PrintStream(err, true, StandardCharsets.UTF_8), false, false);
    }

    @Test
    void secondSignal_endsWhatCannotBeCancelled() throws Exception {
        Files.writeString(folder.resolve("deaf.jsh"),
                "IO.println(\"deaf\");\nnew java.util.concurrent.Semaphore(0).acquireUninterruptibly();\n");
        Process process = console("deaf.jsh");
        try {
            assertThat(process.inputReader().readLine()).isEqualTo("deaf");
            Thread.sleep(300);
            send("TERM", process);
            assertThat(process.waitFor(1, TimeUnit.SECONDS)).as("ended by the first signal").isFalse();
            send("TERM", process);
            // Less than the grace that the first signal left it.
            assertThat(process.waitFor(Interrupts.GRACE_MILLIS - 2000, TimeUnit.MILLISECONDS)).isTrue();
            assertThat(process.exitValue()).isEqualTo(128 + 15);
        } finally {
            process.destroyForcibly();
        }
    }

    @Test
    void scriptThatExits_exitsAtOnceWithItsCode() throws Exception {
        Files.writeString(folder.resolve("exit.jsh"), "IO.println(\"leaving\");\nSystem.exit(7);\n");
        // A hook that waited for the script's thread, which waits in exit, took 2 s here; a busy machine gets more tries.
        double quickest = Double.MAX_VALUE;
        for (int i = 0; i < 3 && quickest >= 1.8; i++) {
            Process process = console("exit.jsh");
            try {
                assertThat(process.inputReader().readLine()).isEqualTo("leaving");
                long start = System.nanoTime();
                assertThat(process.waitFor(20, TimeUnit.SECONDS)).isTrue();
                quickest = Math.min(quickest, (System.nanoTime() - start) * 1e-9);
                assertThat(process.exitValue()).isEqualTo(7);
            } finally {
                process.destroyForcibly();
            }
        }
        assertThat(quickest).as("seconds from exit to the end").isLessThan(1.8);
    }

    @Test
    void interruptAtThePrompt_endsWhatRuns_andThePromptGoesOn() throws Exception {
        Process process = console();
        try {
            var input = process.outputWriter();
            var output = process.inputReader();
            input.write("var kept = 40;\nIO.println(\"ready\")\nfor (;;) { }\n");
            input.flush();
            String line = output.readLine();
            while (!line.equals("ready")) {
                line = output.readLine();
            }
            Thread.sleep(1000); // into the loop
            send("INT", process);
            input.write("kept + 2\n");
            input.flush();
            assertThat(output.readLine()).isEqualTo("42");
            input.close();
            assertThat(process.waitFor(20, TimeUnit.SECONDS)).isTrue();
            assertThat(process.exitValue()).isZero();
        } finally {
            process.destroyForcibly();
        }
    }

    @Test
    void cageThatWaitsToBeFitted_isFitted_afterItsTaskWasCancelled() {
        PrintStream nowhere = new PrintStream(OutputStream.nullOutputStream());
        Session session = new Session(folder, Map.of(), new ProgressLine(nowhere, false), nowhere);
        float[] positions = {0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1};
        Mesh mesh = Mesh.builder(positions, new int[] {0, 2, 1, 0, 1, 3, 0, 3, 2, 1, 2, 3}).build();
        Task first = session.task();
        CageFit fit = CageFit.around(mesh, mesh).task(first);
        session.cancel();
        assertThatThrownBy(fit::build).isInstanceOf(CancellationException.class);
        session.renew();
        assertThat(session.present(fit).build().low()).isSameAs(mesh);
        assertThat(first.cancellation().isCancelled()).isTrue();
    }

    @Test
    void progress_neverGoesBack_andFitsEightyColumns() {
        String line = ProgressLine.line("reading a-very-long-name-of-a-sculpt-from-the-harbour.ply", 99_999, 100_000, 36_000_000_000_000L,
                1L << 45);
        assertThat(line).hasSizeLessThan(80).startsWith("reading a-ve").contains("…").contains("harbour.ply");
        ByteArrayOutputStream err = new ByteArrayOutputStream();
        ProgressLine progress = new ProgressLine(new PrintStream(err, true, StandardCharsets.UTF_8), true, 0);
        progress.report("baking", 0, 100);
        progress.report("baking", 60, 100);
        progress.report("baking", 40, 100);
        String shown = err.toString(StandardCharsets.UTF_8);
        assertThat(shown).contains(" 60 %").doesNotContain(" 40 %");
        progress.clear();
        assertThat(err.toString(StandardCharsets.UTF_8)).endsWith(" \r");
    }
}
