package org.estampage.io.shared;

import org.estampage.io.format.FormatException;
import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.StandardCharsets;
import java.util.Locale;

/**
 * Reads numbers and words from whole lines of bytes. Numbers are decimal, optionally with an exponent, in any locale with a point, or the words nan,
 * inf and infinity; they come out as the nearest float or double.
 *
 * <p>A backslash at a line's end makes the next line go on with it, if so chosen. A failed number leaves the cursor before it and sets
 * {@link #failed}, so that a reader need look only once a line.
 *
 * @threads confined to one thread at a time
 * @source Clinger, "How to Read Floating Point Numbers Accurately", 1990 (the fast path; from memory); our bound is derived at {@link #number}
 */
public final class TextCursor {
    /** 10^k, each the nearest double; exact up to 22. */
    private static final double[] POWERS = new double[66];
    /** The doubles around the middle between two floats that are too near to it to be told on which side the true value lies. */
    private static final int AMBIGUOUS_ULPS = 4;
    /** Enough for any message; a file may hold a word of a gigabyte. */
    private static final int LONGEST_WORD = 120;
    private static final int FLOAT_MIDDLE = 1 << 28;
    private static final int LOW_BITS = (1 << 29) - 1;

    static {
        for (int k = 0; k < POWERS.length; k++) {
            POWERS[k] = Double.parseDouble("1e" + k);
        }
    }

    private final boolean continuing;
    private byte[] bytes = new byte[0];
    private int at;
    private int end;
    private int line;
    private boolean failed;

    /**
     * Makes a cursor over nothing.
     *
     * @param continuing whether a backslash at a line's end makes the next line go on with it
     */
    public TextCursor(boolean continuing) {
        this.continuing = continuing;
    }

    /** Goes to the start of a run of whole lines, whose first line is number 0. */
    public void reset(byte[] wholeLines, int from, int to) {
        bytes = wholeLines;
        at = from;
        end = to;
        line = 0;
        failed = false;
    }

    /** Returns whether lines are left. */
    public boolean hasMore() {
        return at < end;
    }

    /** Returns the number of ends of lines that were passed since {@link #reset}. */
    public int line() {
        return line;
    }

    /** Returns whether a number was asked for where none stands, since this was last asked. */
    public boolean failed() {
        return failed;
    }

    /** Returns the byte at the cursor. */
    public int peek() {
        return bytes[at];
    }

    /** Returns the byte so many behind the cursor; not to be asked for beyond the line's end. */
    public int peek(int ahead) {
        return bytes[at + ahead];
    }

    /** Goes so many bytes on. */
    public void skip(int count) {
        at += count;
    }

    /** Goes past blanks, and past ends of lines that are continued. */
    public void skipBlanks() {
        int c = bytes[at];
        if (c > ' ' && c != '\\') {
            return;
        }
        skipMoreBlanks();
    }

    private void skipMoreBlanks() {
        while (true) {
            int c = bytes[at];
            if (isBlank(c)) {
                at++;
            } else if (c == '\\' && continuing && continuationLength(at) > 0) {
                at += continuationLength(at);
                line++;
            } else {
                return;
            }
        }
    }

    private int continuationLength(int p) {
        int next = bytes[p + 1];
        return next == '\n' ? 2 : next == '\r' ? bytes[p + 2] == '\n' ? 3 : 2 : 0;
    }

    /** Returns whether a byte is a blank inside a line. */
    public static boolean isBlank(int c) {
        return c == ' ' || c == '\t' || c == 0x0b || c == 0x0c;
    }

    /** Returns whether the line, or what counts of it, ends at the cursor: here is an end of line or a {@code #}. */
    public boolean atLineEnd() {
        int c = bytes[at];
        return c == '\n' || c == '\r' || c == '#';
    }

    /** Goes past blanks and the end of the line; false, and the cursor before it, if something else stands there. A comment is passed. */
    public boolean endLine() {
        skipBlanks();
        if (bytes[at] == '\n') {
            at++;
            line++;
            return true;
        }
        if (!atLineEnd()) {
            return false;
        }
        skipLine();
        return true;
    }

    /** Goes to the start of the next line; a continued line counts as one. */
    public void skipLine() {
        byte[] b = bytes;
        int p = at;
        while (true) {
            int c = b[p++];
            if (c == '\n' || c == '\r') {
                if (c == '\r' && b[p] == '\n') {
                    p++;
                }
                line++;
                break;
            }
            if (c == '\\' && continuing && continuationLength(p - 1) > 0) {
                p += continuationLength(p - 1) - 1;
                line++;
                if (p >= end) { // the file ends in a backslash
                    break;
                }
            }
        }
        at = p;
    }

    private boolean endsWord(int c) {
        return c == ' ' || c == '\n' || c == '\r' || (c == '\\' && continuing) || isBlank(c) || c == '#';
    }

    /** Returns whether a blank or the end of the line stands at the cursor. */
    public boolean atWordEnd() {
        return endsWord(bytes[at]);
    }

    /** Returns the word at the cursor, without going past it and cut when very long; a number that was refused, for example. */
    public String word() {
        return text(at, Math.min(wordEnd(), at + LONGEST_WORD));
    }

    private int wordEnd() {
        int p = at;
        while (!endsWord(bytes[p])) {
            p++;
        }
        return p;
    }

    /** Returns the word at the cursor in quotation marks, or a name for the end of the line. */
    public String quotedWord() {
        return atLineEnd() ? "the end of the line" : FormatException.quote(word());
    }

    /** Returns the word at the cursor and goes past it; empty at the end of the line. */
    public String nextWord() {
        skipBlanks();
        int from = at;
        at = wordEnd();
        return text(from, at);
    }

    /** Returns whether the word at the cursor is {@code keyword}, which is in lower case, and goes past it if so; the file's case is passed over. */
    public boolean take(String keyword) {
        int length = keyword.length();
        for (int i = 0; i < length; i++) {
            int c = bytes[at + i];
            if (c != keyword.charAt(i) && (c < 'A' || c > 'Z' || c + 32 != keyword.charAt(i))) {
                return false;
            }
        }
        if (!endsWord(bytes[at + length])) {
            return false;
        }
        at += length;
        return true;
    }

    /** Returns the rest of the line without blanks around it, and goes to the next line. A {@code #} is part of it. */
    public String rest() {
        skipBlanks();
        int from = at;
        int lineBefore = line;
        skipLine();
        int to = Math.min(at, end);
        String text = text(from, to);
        if (line - lineBefore > 1) {
            text = text.replaceAll("\\\\(\r\n|\n|\r)", " ");
        }
        return text.strip();
    }

    private String text(int from, int to) {
        try {
            return StandardCharsets.UTF_8.newDecoder().decode(ByteBuffer.wrap(bytes, from, to - from)).toString();
        } catch (CharacterCodingException e) { // an older file: Latin-1 gives every byte a letter
            return new String(bytes, from, to - from, StandardCharsets.ISO_8859_1);
        }
    }

    /**
     * Returns the float nearest to the decimal number at the cursor and goes past it.
     *
     * @edge where no number stands: NaN, {@link #failed} is set and the cursor stays
     */
    public float number() {
        byte[] b = bytes;
        int p = at;
        int c = b[p];
        boolean negative = c == '-';
        if (negative || c == '+') {
            c = b[++p];
        }
        int first = p;
        long mantissa = 0;
        while ((char) (c - '0') <= 9) {
            mantissa = mantissa * 10 + (c - '0');
            c = b[++p];
        }
        int digits = p - first;
        int scale = 0;
        if (c == '.') {
            int dot = ++p;
            c = b[p];
            while ((char) (c - '0') <= 9) {
                mantissa = mantissa * 10 + (c - '0');
                c = b[++p];
            }
            scale = p - dot;
            digits += scale;
        }
        if (c == 'e' || c == 'E') {
            int sign = b[p + 1];
            int from = sign == '-' || sign == '+' ? p + 2 : p + 1;
            int exponent = 0;
            p = from;
            c = b[p];
            while ((char) (c - '0') <= 9 && p - from < 4) {
                exponent = exponent * 10 + (c - '0');
                c = b[++p];
            }
            if (p == from) {
                return (float) slowNumber(true);
            }
            scale += sign == '-' ? exponent : -exponent;
        }
        // With at most 18 digits the mantissa is exact.
        if (digits == 0 || digits > 18 || Math.abs(scale) >= POWERS.length || (c != ' ' && c != '\n' && (c == '#' || !endsWord(c)))) {
            return (float) slowNumber(true);
        }
        // Three roundings to double (mantissa, power of ten, quotient), each by half an ulp of a value of the quotient's binade or a neighbouring
        // one: less than 3 ulps in all. Rounding the quotient to float can only differ from rounding the true value when a middle between two
        // floats lies between the two; then the low 29 bits of the quotient are within 4 of that middle.
        double value = scale >= 0 ? mantissa / POWERS[scale] : mantissa * POWERS[-scale];
        int low = (int) Double.doubleToRawLongBits(value) & LOW_BITS;
        if (Math.abs(low - FLOAT_MIDDLE) <= AMBIGUOUS_ULPS || (mantissa != 0 && (value < Float.MIN_NORMAL || value > Float.MAX_VALUE))) {
            return (float) slowNumber(true);
        }
        at = p;
        return (float) (negative ? -value : value);
    }

    /**
     * Returns the double nearest to the decimal number at the cursor and goes past it.
     *
     * @edge where no number stands: NaN, {@link #failed} is set and the cursor stays
     */
    public double exactNumber() {
        return slowNumber(false);
    }

    /** Checks the shape, then lets the JDK do it; also takes exponents and the words for what is not finite. */
    private double slowNumber(boolean toFloat) {
        byte[] b = bytes;
        int p = at;
        boolean negative = b[p] == '-';
        if (negative || b[p] == '+') {
            p++;
        }
        int first = p;
        p = digits(p);
        int digits = p - first;
        if (b[p] == '.') {
            int dot = ++p;
            p = digits(p);
            digits += p - dot;
        }
        if (digits > 0 && (b[p] == 'e' || b[p] == 'E')) {
            int sign = p + 1;
            int exponent = b[sign] == '-' || b[sign] == '+' ? sign + 1 : sign;
            p = digits(exponent);
            if (p == exponent) {
                digits = 0;
            }
        }
        if (digits > 0 && b[p] == '#' && b[p - 1] == '.') { // "1.#INF" and the like, which would pass for a number and a comment
            double value = wordBehindHash(p + 1);
            if (value != 0) {
                return negative ? -value : value;
            }
        }
        if (digits > 0 && endsWord(b[p])) {
            String text = new String(b, at, p - at, StandardCharsets.ISO_8859_1);
            at = p;
            return toFloat ? Float.parseFloat(text) : Double.parseDouble(text);
        }
        return word(negative, first);
    }

    private double wordBehindHash(int first) {
        int p = first;
        while (p - first < 5 && Character.isLetter(bytes[p] & 0xff)) {
            p++;
        }
        double value = switch (text(first, p).toLowerCase(Locale.ROOT)) {
            case "ind", "qnan", "snan" -> Double.NaN;
            case "inf" -> Double.POSITIVE_INFINITY;
            default -> 0;
        };
        if (value != 0) { // true of NaN, too
            at = p;
        }
        return value;
    }

    private int digits(int p) {
        int q = p;
        while ((char) (bytes[q] - '0') <= 9) {
            q++;
        }
        return q;
    }

    private double word(boolean negative, int first) {
        int start = at;
        at = first;
        int wordEnd = wordEnd();
        String word = wordEnd - first > 16 ? "" : text(first, wordEnd).toLowerCase(Locale.ROOT);
        double value = switch (word) {
            case "nan", "nan(ind)", "nan(snan)" -> Double.NaN;
            case "inf", "infinity" -> Double.POSITIVE_INFINITY;
            default -> 0;
        };
        if (value == 0) {
            at = start;
            failed = true;
            return Double.NaN;
        }
        at = wordEnd;
        return negative ? -value : value;
    }

    /**
     * Returns the whole number at the cursor and goes past its digits, whatever follows them.
     *
     * @edge where no number stands, or one beyond ±(2³¹ − 1): 0, {@link #failed} is set and the cursor stays
     */
    public int integer() {
        byte[] b = bytes;
        int p = at;
        int c = b[p];
        boolean negative = c == '-';
        if (negative || c == '+') {
            c = b[++p];
        }
        int first = p;
        long value = 0;
        while ((char) (c - '0') <= 9 && p - first < 18) {
            value = value * 10 + (c - '0');
            c = b[++p];
        }
        if (p == first || value > Integer.MAX_VALUE) {
            failed = true;
            return 0;
        }
        at = p;
        return negative ? (int) -value : (int) value;
    }
}
