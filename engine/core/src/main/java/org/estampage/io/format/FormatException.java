package org.estampage.io.format;

import java.io.IOException;
import java.util.Objects;
import java.util.Optional;
import org.estampage.finding.Place;
import org.jspecify.annotations.Nullable;

/**
 * A file's content is not what its format allows. The message is one line: which file, where, what was found, what was expected.
 *
 * @threads immutable
 */
public final class FormatException extends IOException {
    private static final long serialVersionUID = 1;
    private static final int LONGEST_QUOTE = 60;

    private final String source;
    private final transient @Nullable Place place;

    private FormatException(String source, @Nullable Place place, String message) {
        super(message);
        this.source = source;
        this.place = place;
    }

    /**
     * Returns an exception about a line of a text file.
     *
     * @param source   the file's name
     * @param line     the line, counted from 1
     * @param found    what stands there
     * @param expected what should stand there
     */
    public static FormatException atLine(String source, long line, String found, String expected) {
        Place place = new Place.Line(source, line);
        return new FormatException(source, place, place + ": found " + found + ", expected " + expected);
    }

    /**
     * Returns an exception about a byte of a binary file.
     *
     * @param source   the file's name
     * @param offset   the byte, counted from 0
     * @param found    what stands there
     * @param expected what should stand there
     */
    public static FormatException atByte(String source, long offset, String found, String expected) {
        Place place = new Place.Byte(source, offset);
        return new FormatException(source, place, place + ": found " + found + ", expected " + expected);
    }

    /**
     * Returns an exception about a whole file.
     *
     * @param source   the file's name
     * @param sentence what is wrong and what to do; it continues the name, as in "has no faces: …"
     */
    public static FormatException ofFile(String source, String sentence) {
        Objects.requireNonNull(sentence, "sentence");
        return new FormatException(Objects.requireNonNull(source, "source"), null, source + " " + sentence);
    }

    /** Returns the file's name. */
    public String source() {
        return source;
    }

    /** Returns the line or byte; empty when the whole file is meant. */
    public Optional<Place> place() {
        return Optional.ofNullable(place);
    }

    /**
     * Returns {@code text} in quotation marks, fit to stand in a message of one line.
     *
     * @edge characters outside printable ASCII become {@code ?} unless they are letters or digits; long text is cut
     */
    public static String quote(String text) {
        StringBuilder out = new StringBuilder("\"");
        int end = Math.min(text.length(), LONGEST_QUOTE);
        for (int i = 0; i < end; i++) {
            char c = text.charAt(i);
            out.append((c >= ' ' && c < 127) || (c > 127 && Character.isLetterOrDigit(c)) ? c : '?');
        }
        return out.append(text.length() > end ? "…\"" : "\"").toString();
    }
}
