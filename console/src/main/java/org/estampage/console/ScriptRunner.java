package org.estampage.console;

import java.io.IOException;
import java.io.InputStream;
import java.io.PrintStream;
import java.nio.charset.MalformedInputException;
import java.nio.file.Files;
import java.nio.file.InvalidPathException;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.LinkedHashSet;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import jdk.jshell.SourceCodeAnalysis.Completeness;
import jdk.jshell.SourceCodeAnalysis.CompletionInfo;
import org.jspecify.annotations.Nullable;

/**
 * Runs a script snippet by snippet and stops at the first that fails.
 *
 * <p>What fails is reported as {@code file:line:column: message}, with the line and a mark under the place. Values of expressions are not printed;
 * scripts print what they want to.
 *
 * @threads confined, but for {@link #cancel}; one script at a time in a JVM
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
    private Voice voice;
    private final boolean stackTraces;
    private @Nullable Session runningSession;
    private @Nullable Snippets runningSnippets;
    private boolean cancelled;
    private Screen screen = Screen.none();

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
        this.voice = new ProgressLine(err, terminal);
        this.stackTraces = stackTraces;
    }

    /** Sets who tells of progress and errors; without it a text on the error stream. */
    void setVoice(Voice value) {
        voice = value;
    }

    /** Sets where pictures are shown; without it they become files. */
    void setScreen(Screen value) {
        screen = value;
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
            voice.refused("the script " + script + " does not exist; give a path to a .jsh file");
            return USAGE;
        } catch (InvalidPathException e) {
            voice.refused(script + " can't be a path on this system: " + e.getReason());
            return USAGE;
        } catch (MalformedInputException e) {
            voice.refused("the script " + script + " is not UTF-8 text");
            return USAGE;
        } catch (IOException e) {
            voice.refused("the script " + script + " can't be read: " + e.getMessage());
            return USAGE;
        }
        if (text.startsWith("\ufeff")) { // some editors put a byte order mark in front
            text = text.substring(1);
        }
        Session session = new Session(folder, arguments, voice, out);
        session.setScreen(screen);
        session.script(text);
        Session.setCurrent(session);
        try (Snippets snippets = new Snippets(in, out, err)) {
            started(session, snippets);
            warnEarly(text, arguments);
            return run(script, text, snippets, session);
        } finally {
            started(null, null);
            voice.clear();
            out.flush();
            err.flush();
            Session.setCurrent(null);
        }
    }

    private synchronized void started(@Nullable Session session, @Nullable Snippets snippets) {
        runningSession = session;
        runningSnippets = snippets;
        if (cancelled) {
            stop();
        }
    }

    /**
     * Asks the script to stop, which then ends with {@link #CANCELLED}; a script that has not begun will not begin.
     *
     * @threads safe for concurrent calls
     */
    public synchronized void cancel() {
        cancelled = true;
        stop();
    }

    private void stop() {
        if (runningSession != null && runningSnippets != null) {
            runningSession.cancel();
            runningSnippets.stop();
        }
    }

    private int run(String script, String text, Snippets snippets, Session session) {
        String rest = text;
        while (!rest.isBlank()) {
            // What is left is always the text's own end.
            int offset = text.length() - rest.length();
            if (session.isCancelled()) {
                return cancelled(script, text, offset + Masked.start(rest));
            }
            CompletionInfo info = snippets.first(rest);
            if (info.completeness() == Completeness.EMPTY) {
                break;
            }
            if (info.completeness() == Completeness.DEFINITELY_INCOMPLETE) {
                report(script, text, offset + Masked.start(rest), "this is not finished: a bracket or a quotation mark is still open");
                return FAILED;
            }
            String source = info.source() == null ? rest : info.source();
            String remaining = info.remaining() == null ? "" : info.remaining();
            Optional<Snippets.Failure> failure = snippets.run(source, remaining, null);
            if (session.isCancelled()) {
                return cancelled(script, text, offset + Masked.start(rest));
            }
            if (failure.isPresent()) {
                Snippets.Failure f = failure.get();
                report(script, text,
                        new Snippets.Failure(Math.min(offset + f.offset(), text.length()), f.message(), f.advice(), f.exception()));
                if (stackTraces && f.exception() != null) {
                    voice.trace(f.exception());
                }
                return FAILED;
            }
            if (remaining.length() >= rest.length()) {
                break;
            }
            rest = remaining;
        }
        for (String name : session.unknownArguments()) {
            if (mentions(text, name)) { // the others were named at the start
                warnUnread(name, session.askedArguments());
            }
        }
        return session.hasFailed() ? FAILED : OK;
    }

    private int cancelled(String script, String text, int offset) {
        report(script, text, offset, "cancelled; no partial file was left");
        return CANCELLED;
    }

    private static final Pattern READ = Pattern.compile("\\barg\\s*\\(\\s*\"(\\w+)\"");

    /** Names arguments that the script can't read, before hours of work are spent with a misspelt one. */
    private void warnEarly(String text, Map<String, String> arguments) {
        Set<String> read = new LinkedHashSet<>();
        Matcher matcher = READ.matcher(text);
        while (matcher.find()) {
            read.add(matcher.group(1));
        }
        for (String name : arguments.keySet()) {
            if (!mentions(text, name)) {
                warnUnread(name, read);
            }
        }
    }

    /** A name that is put together while the script runs is not found; then the warning is one too many. */
    private static boolean mentions(String text, String name) {
        return text.contains("\"" + name + "\"");
    }

    private void warnUnread(String name, Set<String> read) {
        String hint = Nearest.to(name, read).map(meant -> "; did you mean " + meant + "?")
                .orElse(read.isEmpty() ? "; it reads none" : "; it reads " + String.join(", ", read));
        voice.warn("the script does not read the argument " + name + hint);
    }

    private void report(String script, String text, int offset, String message) {
        report(script, text, new Snippets.Failure(offset, message, "", null));
    }

    private void report(String script, String text, Snippets.Failure failure) {
        voice.failed(script, Place.of(text, failure.offset()), failure);
    }
}
