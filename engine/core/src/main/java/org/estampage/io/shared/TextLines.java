package org.estampage.io.shared;

import org.estampage.io.format.FormatException;
import java.io.IOException;
import org.estampage.finding.Place;

/**
 * A cursor over all lines of a text file, for formats that are read from the first line to the last.
 *
 * @threads confined to one thread at a time
 */
public final class TextLines {
    private final FileSource file;
    private final LineChunks chunks;
    private final TextCursor cursor = new TextCursor(false);
    private long linesBefore;
    private boolean begun;

    /** Begins with the next byte of a file, before which {@code linesBefore} lines stand. */
    public TextLines(FileSource file, long linesBefore) {
        this.file = file;
        this.linesBefore = linesBefore;
        chunks = new LineChunks(file);
    }

    /** Returns the cursor; it stays the same object. */
    public TextCursor cursor() {
        return cursor;
    }

    /** Goes past blanks and ends of lines to the next word; false at the file's end. */
    public boolean toNextWord() throws IOException {
        while (true) {
            while (begun && cursor.hasMore()) {
                cursor.skipBlanks();
                if (cursor.peek() != '\n' && cursor.peek() != '\r') {
                    return true;
                }
                cursor.skipLine();
            }
            linesBefore += begun ? cursor.line() : 0;
            begun = chunks.next();
            if (!begun) {
                return false;
            }
            cursor.reset(chunks.bytes(), 0, chunks.end());
        }
    }

    /** Returns the cursor's line, counted from 1. */
    public long line() {
        return linesBefore + (begun ? cursor.line() : 0) + 1;
    }

    /** Returns the cursor's line as a place. */
    public Place place() {
        return new Place.Line(file.name(), line());
    }

    /** Returns an exception about the word at the cursor. */
    public FormatException wrong(String expected) {
        return FormatException.atLine(file.name(), line(), cursor.quotedWord(), expected);
    }

    /** Returns an exception about the file's end. */
    public FormatException ended(String expected) {
        return FormatException.atByte(file.name(), file.size(), "the end of the file", expected);
    }
}
