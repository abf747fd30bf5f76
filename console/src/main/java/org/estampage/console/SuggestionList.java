package org.estampage.console;

import java.util.List;
import org.jline.reader.Candidate;
import org.jline.reader.Completer;
import org.jline.reader.LineReader;
import org.jline.reader.ParsedLine;

/** Shows completions in the line editor's list: one a line with what it is, or names in columns where the lines would not fit. */
final class SuggestionList implements Completer {
    /** Rows that the prompt, a heading and the next prompt take. */
    private static final int OTHER_ROWS = 4;
    private static final int GAP = 2;
    /** A name gets at most this part of a row, so that something is left to say what it is. */
    private static final double NAME_PART = 0.5;

    private final Completions completions;
    private final Aside aside;

    SuggestionList(Completions completions, Aside aside) {
        this.completions = completions;
        this.aside = aside;
    }

    @Override
    public void complete(LineReader reader, ParsedLine line, List<Candidate> candidates) {
        Completions.Choice choice = aside.ask(() -> completions.at(line.line(), line.cursor())).orElse(Completions.Choice.NONE);
        add(choice, line.word(), reader.getTerminal().getColumns(), reader.getTerminal().getRows(), candidates);
    }

    static void add(Completions.Choice choice, String word, int width, int height, List<Candidate> candidates) {
        List<Completions.Suggestion> suggestions = choice.suggestions();
        String heading = choice.heading().isEmpty() ? null : cut(choice.heading(), width - 1);
        if (suggestions.isEmpty() && heading != null) {
            // Nothing to choose from: the call's parameters are shown, and what is typed stays.
            candidates.add(new Candidate(word, " ", heading, null, null, null, false, 1));
            candidates.add(new Candidate(word + " ", " ", heading, null, null, null, false, 2));
            return;
        }
        boolean rows = suggestions.size() <= Math.max(1, height - OTHER_ROWS);
        int longest = suggestions.stream().mapToInt(s -> s.shown().length()).max().orElse(0);
        int column = Math.min(longest, (int) (width * NAME_PART));
        int number = 1;
        for (Completions.Suggestion suggestion : suggestions) {
            String shown = rows ? row(suggestion, column, width - 1) : suggestion.text().replaceFirst("\\(\\)?$", "");
            candidates.add(new Candidate(suggestion.text(), shown, heading, null, null, null, false, number++));
        }
    }

    private static String row(Completions.Suggestion suggestion, int column, int width) {
        String name = cut(suggestion.shown(), suggestion.line().isEmpty() ? width : column);
        String padded = name + " ".repeat(Math.max(0, column - name.length()) + GAP) + suggestion.line();
        String cut = cut(padded, width);
        return cut + " ".repeat(width - cut.length()); // as wide as the screen, so that rows don't stand beside each other
    }

    private static String cut(String text, int width) {
        return text.length() <= width ? text : text.substring(0, Math.max(0, width - 1)) + "…";
    }
}
