package org.estampage.console;

import java.io.InputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.Map;
import org.jline.terminal.TerminalBuilder;

/**
 * The console's entry: {@code estampage [--stacktrace] [script.jsh [name=value …]]}.
 *
 * <p>Exit codes: 0 success, 1 a snippet failed, 2 the call was not understood, 130 cancelled; asked to end by a signal, 128 and its
 * number.
 */
public final class Main {
    private static final String USAGE = """
            estampage                              opens the prompt
            estampage script.jsh [name=value ...]  runs a script
            estampage --stacktrace script.jsh ...  runs a script and shows where in the code an error arose
            estampage --help | --version

            At the prompt and in scripts, help() lists the verbs and help("bake") explains one.
            Exit codes: 0 success, 1 a snippet failed, 2 the call was not understood, 130 cancelled.
            """;

    private Main() {
    }

    /** Runs the console and ends the JVM with its exit code. */
    public static void main(String[] arguments) {
        PrintStream out = new PrintStream(System.out, true, StandardCharsets.UTF_8);
        PrintStream err = new PrintStream(System.err, true, StandardCharsets.UTF_8);
        boolean terminal = System.console() != null && System.console().isTerminal();
        // Java can't tell about the error stream alone; the launcher can.
        String told = System.getProperty("estampage.errorTerminal");
        boolean errorTerminal = told == null ? terminal : Boolean.parseBoolean(told);
        System.exit(run(arguments, Path.of("").toAbsolutePath(), System.in, out, err, terminal, errorTerminal));
    }

    /**
     * Runs the console.
     *
     * @param arguments     as on the command line
     * @param folder        the caller's folder
     * @param terminal      whether people type the input and read the output
     * @param errorTerminal whether {@code err} is a terminal, which gets a progress bar
     * @return the exit code
     */
    static int run(String[] arguments, Path folder, InputStream in, PrintStream out, PrintStream err, boolean terminal,
            boolean errorTerminal) {
        boolean stackTraces = false;
        String script = null;
        Map<String, String> values = new LinkedHashMap<>();
        for (String argument : arguments) {
            if (script == null && argument.equals("--help")) {
                out.print(USAGE);
                return ScriptRunner.OK;
            } else if (script == null && argument.equals("--version")) {
                String version = Main.class.getPackage().getImplementationVersion();
                out.println("estampage " + (version == null ? "(not packaged)" : version) + ", Java " + Runtime.version());
                return ScriptRunner.OK;
            } else if (script == null && argument.equals("--stacktrace")) {
                stackTraces = true;
            } else if (script == null && argument.startsWith("-")) {
                err.println("estampage: " + argument + " is not an option; estampage --help lists them");
                return ScriptRunner.USAGE;
            } else if (script == null) {
                script = argument;
            } else {
                int equals = argument.indexOf('=');
                if (equals < 1) {
                    err.println("estampage: arguments of a script are name=value, found " + argument);
                    return ScriptRunner.USAGE;
                }
                values.put(argument.substring(0, equals), argument.substring(equals + 1));
            }
        }
        if (script == null) {
            return new Prompt(folder, in, out, err, terminal, errorTerminal).run();
        }
        ScriptRunner runner = new ScriptRunner(folder, in, out, err, errorTerminal, stackTraces);
        // Signals stay with the console, whatever the terminal is asked.
        runner.setScreen(
                new Screen(System.getenv(), terminal ? () -> TerminalBuilder.builder().system(true).nativeSignals(false).build() : null));
        try (Interrupts interrupts = Interrupts.take(runner::cancel, err)) {
            return interrupts.exitCode(runner.run(script, values));
        }
    }
}
