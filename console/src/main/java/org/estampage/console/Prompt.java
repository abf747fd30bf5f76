package org.estampage.console;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStream;
import java.io.InputStreamReader;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import jdk.jshell.SourceCodeAnalysis.Completeness;
import jdk.jshell.SourceCodeAnalysis.CompletionInfo;
import org.jline.reader.EndOfFileException;
import org.jline.reader.LineReader;
import org.jline.reader.LineReaderBuilder;
import org.jline.reader.UserInterruptException;
import org.jline.terminal.Terminal;
import org.jline.terminal.TerminalBuilder;
import org.jspecify.annotations.Nullable;

/**
 * A plain prompt: reads snippets, runs them, prints what expressions give. An error is printed and the prompt goes on; the end of the input, or
 * {@code leave}, ends it.
 *
 * @threads confined
 */
final class Prompt {
    private static final String ASK = "estampage> ";
    private static final String MORE = "        .. ";

    /** Where lines come from. */
    private interface Lines extends AutoCloseable {
        /** Returns the next line, null at the end. */
        @Nullable
        String next(String prompt) throws IOException;

        @Override
        void close() throws IOException;
    }

    private final Path folder;
    private final InputStream in;
    private final PrintStream out;
    private final PrintStream err;
    private final boolean terminal;
    private final boolean errorTerminal;

    Prompt(Path folder, InputStream in, PrintStream out, PrintStream err, boolean terminal, boolean errorTerminal) {
        this.folder = folder;
        this.in = in;
        this.out = out;
        this.err = err;
        this.terminal = terminal;
        this.errorTerminal = errorTerminal;
    }

    int run() {
        ProgressLine progress = new ProgressLine(err, errorTerminal);
        Session session = new Session(folder, Map.of(), progress, out, err);
        Session.setCurrent(session);
        try (Lines lines = terminal ? editedLines() : plainLines();
                Snippets snippets = new Snippets(InputStream.nullInputStream(), out, err)) {
            if (terminal) {
                out.println("help() lists the verbs, leave or the end of the input ends");
            }
            StringBuilder text = new StringBuilder();
            while (true) {
                String line = lines.next(text.isEmpty() ? ASK : MORE);
                if (line == null || (text.isEmpty() && line.strip().equals("leave"))) {
                    return ScriptRunner.OK;
                }
                text.append(line).append('\n');
                try (Interrupts interrupts = Interrupts.take(() -> {
                    session.cancel();
                    snippets.stop();
                }, err)) {
                    runWhatIsComplete(text, snippets, session, progress);
                    if (interrupts.mustEnd()) {
                        return interrupts.exitCode(ScriptRunner.FAILED);
                    }
                }
                if (session.isCancelled()) {
                    text.setLength(0);
                    session.renew();
                }
            }
        } catch (IOException e) {
            err.println("estampage: the input can't be read: " + e.getMessage());
            return ScriptRunner.FAILED;
        } finally {
            Session.setCurrent(null);
        }
    }

    private void runWhatIsComplete(StringBuilder inoutText, Snippets snippets, Session session, ProgressLine progress) {
        while (!inoutText.toString().isBlank()) {
            CompletionInfo info = snippets.first(inoutText.toString());
            if (info.completeness() == Completeness.DEFINITELY_INCOMPLETE) {
                return;
            }
            String source = info.source() == null ? inoutText.toString() : info.source();
            String rest = info.source() == null || info.remaining() == null ? "" : info.remaining();
            inoutText.setLength(0);
            if (info.completeness() == Completeness.EMPTY) {
                return;
            }
            List<String> values = new ArrayList<>();
            Optional<Snippets.Failure> failure = snippets.run(source, null, values);
            progress.clear();
            if (session.isCancelled()) {
                err.println("cancelled; no partial file was left");
                return;
            }
            failure.ifPresentOrElse(f -> err.println(f.message()), () -> values.forEach(out::println));
            inoutText.append(rest);
        }
        inoutText.setLength(0);
    }

    private Lines plainLines() {
        BufferedReader reader = new BufferedReader(new InputStreamReader(in, StandardCharsets.UTF_8));
        return new Lines() {
            @Override
            public @Nullable String next(String prompt) throws IOException {
                return reader.readLine();
            }

            @Override
            public void close() {
                // the stream is the caller's
            }
        };
    }

    private static Lines editedLines() throws IOException {
        Terminal device = TerminalBuilder.builder().system(true).build();
        LineReader reader = LineReaderBuilder.builder().terminal(device).build();
        return new Lines() {
            @Override
            public @Nullable String next(String prompt) {
                while (true) {
                    try {
                        return reader.readLine(prompt);
                    } catch (UserInterruptException e) {
                        return ""; // what was typed is dropped
                    } catch (EndOfFileException e) {
                        return null;
                    }
                }
            }

            @Override
            public void close() throws IOException {
                device.close();
            }
        };
    }
}
