package org.estampage.console;

import java.util.List;
import org.jline.reader.CompletingParsedLine;
import org.jline.reader.EOFError;
import org.jline.reader.ParsedLine;
import org.jline.reader.Parser;

/** Tells the line editor what a snippet is: the key Enter goes on to a new line while a bracket or a quotation mark is open. */
final class SnippetParser implements Parser {
    private final Snippets snippets;
    private final Aside aside;

    SnippetParser(Snippets snippets, Aside aside) {
        this.snippets = snippets;
        this.aside = aside;
    }

    @Override
    public ParsedLine parse(String line, int cursor, ParseContext context) {
        if (context == ParseContext.ACCEPT_LINE && aside.ask(() -> snippets.isUnfinished(line)).orElse(false)) {
            throw new EOFError(-1, -1, "a bracket or a quotation mark is still open");
        }
        return new Word(line, cursor, CodeAtCursor.of(line, cursor).wordStart());
    }

    @Override
    public boolean isEscapeChar(char c) {
        return false; // a backslash is Java's own
    }

    /** The word that ends at the cursor; what follows the cursor stays as it is. */
    private record Word(String line, int cursor, int start) implements CompletingParsedLine {
        @Override
        public String word() {
            return line.substring(start, cursor);
        }

        @Override
        public int wordCursor() {
            return cursor - start;
        }

        @Override
        public int wordIndex() {
            return 0;
        }

        @Override
        public List<String> words() {
            return List.of(word());
        }

        @Override
        public CharSequence escape(CharSequence candidate, boolean complete) {
            return candidate;
        }

        @Override
        public int rawWordCursor() {
            return wordCursor();
        }

        @Override
        public int rawWordLength() {
            return wordCursor();
        }
    }
}
