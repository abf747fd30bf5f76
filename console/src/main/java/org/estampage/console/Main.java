package org.estampage.console;

import java.io.InputStream;
import java.io.OutputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.jline.terminal.TerminalBuilder;

/**
 * The console's entry: {@code estampage [--quiet | --json] [--stacktrace] [script.jsh [name=value …]]}.
 *
 * <p>Exit codes: 0 success, 1 a snippet failed, 2 the call was not understood, 130 cancelled; asked to end by a signal, 128 and its
 * number.
 */
public final class Main {
    private static final String USAGE = """
            estampage                                 opens the prompt
            estampage script.jsh [name=value ...]     runs a script
            estampage --json script.jsh ...           with an option in front
            estampage --help | --version

            Options of a script's run:
              --quiet       tells of errors only, on the error stream
              --json        tells on the error stream what happens as JSON, an object a line: start, progress (twice a second
                            at most), stage, file, finding, warning, note, error (file, line, column, message, advice), end
                            (exitCode); what the script prints stays on the output
              --no-cache    works everything out, and keeps nothing for the next run
              --stacktrace  shows where in the code an error arose

            Exit codes: 0 success; 1 a snippet failed, or the script called fail("why"); 2 the call was not understood;
            129, 130 and 143 ended by hang-up, interrupt (Ctrl-C) and termination: 128 and the signal's number.

            At the prompt and in scripts, help() lists the verbs and help("bake") explains one.
            """;

    /** How a script's run is told of. */
    private enum Manner {
        USUAL, QUIET, JSON
    }

    private static final List<String> OPTIONS = List.of("--help", "--version", "--quiet", "--json", "--no-cache", "--stacktrace");

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
        System.getProperties().putIfAbsent(Session.CACHE, Session.USUAL);
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
        Manner manner = Manner.USUAL;
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
            } else if (script == null && (argument.equals("--quiet") || argument.equals("--json"))) {
                Manner asked = argument.equals("--json") ? Manner.JSON : Manner.QUIET;
                if (manner != Manner.USUAL && manner != asked) {
                    err.println("estampage: --quiet and --json exclude each other");
                    return ScriptRunner.USAGE;
                }
                manner = asked;
            } else if (script == null && argument.equals("--no-cache")) {
                System.setProperty(Session.CACHE, Session.OFF);
            } else if (script == null && argument.startsWith("-")) {
                err.println("estampage: " + argument + " is not an option" + Nearest.to(argument, OPTIONS)
                        .map(near -> "; did you mean " + near + "?").orElse("; estampage --help lists them"));
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
        if (script == null && manner != Manner.USUAL) {
            err.println("estampage: --" + manner.name().toLowerCase(Locale.ROOT) + " needs a script");
            return ScriptRunner.USAGE;
        }
        if (script == null) {
            return new Prompt(folder, in, out, err, terminal, errorTerminal).run();
        }
        ScriptRunner runner = new ScriptRunner(folder, in, out, err, errorTerminal, stackTraces);
        // Signals stay with the console, whatever the terminal is asked.
        runner.setScreen(
                new Screen(System.getenv(), terminal ? () -> TerminalBuilder.builder().system(true).nativeSignals(false).build() : null));
        JsonVoice json = manner == Manner.JSON ? new JsonVoice(err) : null;
        if (json != null) {
            json.started(script, values);
            runner.setVoice(json);
        } else if (manner == Manner.QUIET) {
            runner.setVoice(ProgressLine.quiet(err));
        }
        // Interrupting says a word to people; programs get their lines only.
        PrintStream told = manner == Manner.USUAL ? err : new PrintStream(OutputStream.nullOutputStream(), false, StandardCharsets.UTF_8);
        try (Interrupts interrupts = Interrupts.take(runner::cancel, told)) {
            int code = interrupts.exitCode(runner.run(script, values));
            if (json != null) {
                json.ended(code);
            }
            return code;
        }
    }
}
