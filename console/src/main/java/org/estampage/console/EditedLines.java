package org.estampage.console;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.file.Path;
import java.util.Optional;
import org.jline.reader.EndOfFileException;
import org.jline.reader.LineReader;
import org.jline.reader.LineReaderBuilder;
import org.jline.reader.UserInterruptException;
import org.jline.terminal.Attributes;
import org.jline.terminal.Terminal;
import org.jspecify.annotations.Nullable;

/** Lines that people type at a terminal: with completion, history, colours, and snippets of several lines as one. */
final class EditedLines implements Lines {
    private static final String ASK = "estampage> ";
    private static final String MORE = "        .. ";
    /** So many snippets are kept: years of evenings, and still read at once. */
    private static final int HISTORY = 5000;

    private final Terminal terminal;
    private final LineReader reader;
    private final Aside aside = new Aside();
    private volatile boolean interrupted;
    private volatile Runnable stop = () -> {
    };

    /**
     * Takes a terminal, which is closed with these lines.
     *
     * @param history where what is typed is kept
     * @param colours whether text is coloured
     * @param err     is told once if the history can't be kept
     */
    EditedLines(Terminal terminal, Snippets snippets, Completions completions, Path history, boolean colours, PrintStream err) {
        this.terminal = terminal;
        LineReaderBuilder builder = LineReaderBuilder.builder().terminal(terminal).appName("estampage")
                .parser(new SnippetParser(snippets, aside))
                .completer(new SuggestionList(completions, aside)).highlighter(new SnippetColours(snippets, colours))
                .variable(LineReader.SECONDARY_PROMPT_PATTERN, MORE).variable(LineReader.LIST_MAX, 0)
                .variable(LineReader.HISTORY_SIZE, HISTORY).variable(LineReader.HISTORY_FILE_SIZE, HISTORY)
                .variable(LineReader.BLINK_MATCHING_PAREN, 0) // the cursor stays where people type
                .option(LineReader.Option.DISABLE_EVENT_EXPANSION, true) // in Java ! is "not"
                .option(LineReader.Option.HISTORY_IGNORE_SPACE, true).option(LineReader.Option.HISTORY_REDUCE_BLANKS, false)
                .option(LineReader.Option.INSERT_TAB, false).option(LineReader.Option.AUTO_FRESH_LINE, true);
        Optional<String> trouble = HistoryFile.prepare(history);
        if (trouble.isEmpty()) {
            builder.variable(LineReader.HISTORY_FILE, history);
        } else {
            err.println("estampage: what is typed is not kept for the next session: " + trouble.get());
        }
        reader = builder.build();
        reader.getWidgets().put(LineReader.CALLBACK_INIT, this::hearSignals);
        aside.begin(completions::warmUp);
        // The editor's signals come late, from a thread of its own: also when what was typed runs already.
        terminal.handle(Terminal.Signal.INT, signal -> {
            interrupted = true;
            stop.run();
        });
    }

    /** Lets Ctrl-C be a signal while a line is typed, too: as a letter, one that is pressed hard upon Enter would wait until the next line is typed. */
    private boolean hearSignals() {
        Attributes attributes = terminal.getAttributes();
        attributes.setLocalFlag(Attributes.LocalFlag.ISIG, true);
        terminal.setAttributes(attributes);
        return true;
    }

    @Override
    public @Nullable String next(boolean begun) {
        interrupted = false;
        try {
            String line = reader.readLine(begun ? MORE : ASK);
            if (Thread.interrupted()) { // Ctrl-C hard upon Enter, too late for the editor to tell
                return "";
            }
            aside.finish(); // what runs next asks the same compiler
            return line;
        } catch (UserInterruptException e) {
            return ""; // what was typed is dropped
        } catch (EndOfFileException e) {
            return null;
        } finally {
            Thread.interrupted(); // how the editor was stopped is no matter of what runs next
        }
    }

    @Override
    public void whenInterrupted(Runnable what) {
        stop = what;
    }

    @Override
    public boolean interrupted() {
        return interrupted;
    }

    @Override
    public void close() throws IOException {
        aside.close();
        terminal.close();
    }
}
