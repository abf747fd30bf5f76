package org.estampage.console;

import java.io.IOException;
import java.io.InputStream;
import java.io.PrintStream;
import java.nio.charset.MalformedInputException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.Map;
import java.util.Optional;
import jdk.jshell.SourceCodeAnalysis.Completeness;
import jdk.jshell.SourceCodeAnalysis.CompletionInfo;

/**
 * Runs a script snippet by snippet and stops at the first that fails.
 *
 * <p>What fails is reported as {@code file:line:column: message}, with the line and a mark under the place. Values of expressions are not printed;
 * scripts print what they want to.
 *
 * @threads confined; one script at a time in a JVM
 */
public final class ScriptRunner {
    /** Exit code of success. */
    public static final int OK = 0;
    /** Exit code of a script that failed. */
    public static final int FAILED = 1;
    /** Exit code of a call that was not understood. */
    public static final int USAGE = 2;
    /** Exit code of a script that was cancelled, as shells have it. */
    public static final int CANCELLED = 130;

    private final Path folder;
    private final InputStream in;
    private final PrintStream out;
    private final PrintStream err;
    private final ProgressLine progress;
    private final boolean stackTraces;

    /**
     * Makes a runner.
     *
     * @param folder      the caller's folder, where relative paths start
     * @param in          what scripts can read
     * @param out         what scripts print
     * @param err         messages and progress
     * @param terminal    whether {@code err} is a terminal, which gets a progress bar
     * @param stackTraces whether exceptions are printed with their stack traces
     */
    public ScriptRunner(Path folder, InputStream in, PrintStream out, PrintStream err, boolean terminal, boolean stackTraces) {
        this.folder = folder;
        this.in = in;
        this.out = out;
        this.err = err;
        this.progress = new ProgressLine(err, terminal);
        this.stackTraces = stackTraces;
    }

    /**
     * Runs a script.
     *
     * @param script    its path, relative to the caller's folder
     * @param arguments what {@code arg} gives
     * @return an exit code
     */
    public int run(String script, Map<String, String> arguments) {
        String text;
        try {
            text = Files.readString(folder.resolve(script));
        } catch (NoSuchFileException e) {
            err.println("estampage: the script " + script + " does not exist; give a path to a .jsh file");
            return USAGE;
        } catch (MalformedInputException e) {
            err.println("estampage: the script " + script + " is not UTF-8 text");
            return USAGE;
        } catch (IOException e) {
            err.println("estampage: the script " + script + " can't be read: " + e.getMessage());
            return USAGE;
        }
        Session session = new Session(folder, arguments, progress, out, err);
        Session.setCurrent(session);
        Thread script0 = Thread.currentThread();
        Thread hook = new Thread(() -> {
            // An interrupt from the keyboard ends the JVM: stop the work first, so that no half-written file stays.
            session.cancel();
            try {
                script0.join(2000);
            } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
            }
        });
        Runtime.getRuntime().addShutdownHook(hook);
        try (Snippets snippets = new Snippets(in, out, err)) {
            return run(script, text, snippets, session);
        } finally {
            progress.clear();
            out.flush();
            err.flush();
            Session.setCurrent(null);
            try {
                Runtime.getRuntime().removeShutdownHook(hook);
            } catch (IllegalStateException e) {
                // The JVM is going down already, and the hook waits for this thread.
            }
        }
    }

    private int run(String script, String text, Snippets snippets, Session session) {
        String rest = text;
        while (!rest.isBlank()) {
            int offset = text.length() - rest.length();
            CompletionInfo info = snippets.first(rest);
            if (info.completeness() == Completeness.EMPTY) {
                break;
            }
            String source = info.source() == null ? rest : info.source();
            if (info.completeness() == Completeness.DEFINITELY_INCOMPLETE) {
                report(script, text, offset + leadingSpace(rest), "this is not finished: a bracket or a quotation mark is still open");
                return FAILED;
            }
            Optional<Snippets.Failure> failure = snippets.run(source, null);
            if (failure.isPresent()) {
                progress.clear();
                Snippets.Failure f = failure.get();
                report(script, text, offset + place(rest, source, f.offset()), f.message());
                if (stackTraces && f.exception() != null) {
                    f.exception().printStackTrace(err);
                }
                return session.task().cancellation().isCancelled() ? CANCELLED : FAILED;
            }
            String remaining = info.remaining() == null ? "" : info.remaining();
            if (remaining.length() >= rest.length()) {
                break;
            }
            rest = remaining;
        }
        for (String name : session.unknownArguments()) {
            err.println("estampage: warning: the script does not read the argument " + name + Nearest.to(name, session.askedArguments())
                    .map(meant -> "; did you mean " + meant + "?").orElse("; it reads " + String.join(", ", session.askedArguments())));
        }
        return OK;
    }

    /** Returns where a snippet's offset lies in the rest of the text: the snippet is the text's own, but for space before and a semicolon behind. */
    private static int place(String rest, String source, int offset) {
        int from = rest.startsWith(source) ? 0 : Math.max(0, rest.indexOf(source.strip().split("\\R", 2)[0])) - leadingSpace(source);
        int at = Math.max(0, from + offset);
        // An error at the snippet as a whole is shown at its first letter.
        return offset == 0 ? Math.max(at, leadingSpace(rest)) : Math.min(at, rest.length());
    }

    private static int leadingSpace(String text) {
        int i = 0;
        while (i < text.length()) {
            if (Character.isWhitespace(text.charAt(i))) {
                i++;
            } else if (text.startsWith("//", i)) {
                int end = text.indexOf('\n', i);
                i = end < 0 ? text.length() : end + 1;
            } else if (text.startsWith("/*", i)) {
                int end = text.indexOf("*/", i + 2);
                i = end < 0 ? text.length() : end + 2;
            } else {
                break;
            }
        }
        return i;
    }

    private void report(String script, String text, int offset, String message) {
        int line = 1;
        int lineStart = 0;
        for (int i = 0; i < offset; i++) {
            if (text.charAt(i) == '\n') {
                line++;
                lineStart = i + 1;
            }
        }
        int lineEnd = text.indexOf('\n', lineStart);
        String content = text.substring(lineStart, lineEnd < 0 ? text.length() : lineEnd).stripTrailing();
        err.println(script + ":" + line + ":" + (offset - lineStart + 1) + ": " + message);
        err.println("    " + content);
        StringBuilder mark = new StringBuilder("    ");
        for (int i = lineStart; i < offset && i < lineStart + content.length(); i++) {
            mark.append(text.charAt(i) == '\t' ? '\t' : ' ');
        }
        err.println(mark.append('^'));
    }
}
