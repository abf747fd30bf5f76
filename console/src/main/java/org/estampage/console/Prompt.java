package org.estampage.console;

import java.io.IOException;
import java.io.InputStream;
import java.io.PrintStream;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import jdk.jshell.SourceCodeAnalysis.Completeness;
import jdk.jshell.SourceCodeAnalysis.CompletionInfo;
import org.jline.terminal.Terminal;
import org.jline.terminal.TerminalBuilder;

/**
 * The prompt: reads snippets, runs them, prints what expressions give. An error is printed and the prompt goes on; the end of the input, or
 * {@code leave}, ends it.
 *
 * @threads confined
 */
final class Prompt {
    /** What people type who look for the way out. */
    private static final Set<String> ENDS = Set.of("exit", "quit", "end", "bye", "/exit", ":q");

    private final Path folder;
    private final InputStream in;
    private final PrintStream out;
    private final PrintStream err;
    private final boolean terminal;
    private final boolean errorTerminal;
    private final Map<String, String> environment = System.getenv();

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
        Session session = new Session(folder, Map.of(), progress, out);
        Session.setCurrent(session);
        try (Snippets snippets = new Snippets(InputStream.nullInputStream(), out, err);
                Lines lines = lines(snippets, session)) {
            snippets.leaveWhatDoesNotStop();
            if (terminal) {
                out.println("help() lists the verbs, Tab completes them, leave or Ctrl-D ends");
            }
            return run(lines, snippets, session, progress);
        } catch (IOException e) {
            err.println("estampage: the input can't be read: " + e.getMessage());
            return ScriptRunner.FAILED;
        } finally {
            Session.setCurrent(null);
        }
    }

    private int run(Lines lines, Snippets snippets, Session session, ProgressLine progress) throws IOException {
        StringBuilder text = new StringBuilder();
        Runnable stop = () -> {
            session.cancel();
            snippets.stop();
        };
        lines.whenInterrupted(stop);
        while (true) {
            String line = lines.next(!text.isEmpty());
            if (line == null || (text.isEmpty() && line.strip().equals("leave"))) {
                return ScriptRunner.OK;
            }
            if (text.isEmpty() && ENDS.contains(line.strip())) {
                err.println("to end, type leave or press Ctrl-D");
                continue;
            }
            text.append(line).append('\n');
            snippets.begin();
            if (session.isCancelled()) {
                session.renew();
            }
            try (Interrupts interrupts = Interrupts.takeAtPrompt(stop, err)) {
                if (lines.interrupted()) { // before this heard of it
                    session.cancel();
                }
                runWhatIsComplete(text, snippets, session, progress);
                if (interrupts.mustEnd()) {
                    return interrupts.exitCode(ScriptRunner.FAILED);
                }
            } catch (RuntimeException | Error e) {
                // Of the compiler or of ours, since a snippet's own are its failure: what is loaded is worth more than a clean end.
                text.setLength(0);
                progress.clear();
                err.println("that could not be run: " + e);
            }
            if (session.isCancelled()) {
                text.setLength(0);
            }
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
            Optional<Snippets.Failure> failure = session.isCancelled() ? Optional.empty() : snippets.run(source, null, values);
            progress.clear();
            List<String> notes = snippets.takeNotes();
            if (session.isCancelled()) {
                err.println("cancelled; no partial file was left");
                notes.forEach(err::println);
                return;
            }
            failure.ifPresent(what -> err.print(what.atPrompt(source)));
            notes.forEach(err::println);
            if (failure.isPresent()) {
                if (!rest.isBlank()) { // it was written for what this should have made
                    err.println("what follows it was not run");
                }
                break;
            }
            values.forEach(out::println);
            inoutText.append(rest);
        }
        inoutText.setLength(0);
    }

    private Lines lines(Snippets snippets, Session session) throws IOException {
        if (!terminal) {
            session.setScreen(new Screen(environment, null));
            return new PlainLines(in);
        }
        Terminal device = TerminalBuilder.builder().system(true).build();
        session.setScreen(new Screen(environment, () -> device));
        boolean dumb = device.getType().startsWith(Terminal.TYPE_DUMB);
        // NO_COLOR: any value but an empty one, says no-color.org.
        boolean colours = !dumb && environment.getOrDefault("NO_COLOR", "").isEmpty();
        Path history = HistoryFile.of(environment, Path.of(System.getProperty("user.home")),
                System.getProperty("os.name").startsWith("Windows"));
        return new EditedLines(device, snippets, new Completions(snippets, folder), history, colours, err);
    }
}
