package org.estampage.io.shared;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;

/**
 * Writes numbers and words as bytes. Floats take the fewest digits that give the same float back.
 *
 * @threads confined to one thread at a time
 */
public final class TextOut {
    private static final int LONGEST_NUMBER = 32;

    private final OutputStream out;
    private final byte[] buffer = new byte[1 << 16];
    private int size;

    /** Begins to write to a stream, which {@link #flush} empties into. */
    public TextOut(OutputStream out) {
        this.out = out;
    }

    /** Writes one ASCII character. */
    public TextOut put(char c) throws IOException {
        room(1);
        buffer[size++] = (byte) c;
        return this;
    }

    /** Writes text in UTF-8. */
    public TextOut put(String text) throws IOException {
        byte[] bytes = text.getBytes(StandardCharsets.UTF_8);
        if (bytes.length > LONGEST_NUMBER) {
            flush();
            out.write(bytes);
        } else {
            room(bytes.length);
            System.arraycopy(bytes, 0, buffer, size, bytes.length);
            size += bytes.length;
        }
        return this;
    }

    /** Writes a whole number. */
    public TextOut put(int value) throws IOException {
        room(LONGEST_NUMBER);
        long left = value;
        if (left < 0) {
            buffer[size++] = '-';
            left = -left;
        }
        int digits = 1;
        for (long power = 10; power <= left; power *= 10) {
            digits++;
        }
        for (int i = size + digits - 1; i >= size; i--) {
            buffer[i] = (byte) ('0' + left % 10);
            left /= 10;
        }
        size += digits;
        return this;
    }

    /** Writes a float. */
    public TextOut put(float value) throws IOException {
        if (!Float.isFinite(value)) {
            return put(Float.isNaN(value) ? "nan" : value > 0 ? "inf" : "-inf");
        }
        if (value == (int) value && (value != 0 || 1 / value > 0)) {
            return put((int) value);
        }
        room(LONGEST_NUMBER);
        String text = Float.toString(value);
        int length = text.length();
        if (text.endsWith(".0")) {
            length -= 2;
        }
        for (int i = 0; i < length; i++) {
            buffer[size++] = (byte) text.charAt(i);
        }
        return this;
    }

    private void room(int count) throws IOException {
        if (buffer.length - size < count) {
            flush();
        }
    }

    /** Hands everything on. */
    public void flush() throws IOException {
        out.write(buffer, 0, size);
        size = 0;
    }

    /**
     * Returns a name that stays one line when written: without characters that would end or blur it, such as ends of lines, and without blanks
     * around it.
     */
    public static String oneLine(String name) {
        StringBuilder text = new StringBuilder(name.length());
        for (int i = 0; i < name.length(); i++) {
            char c = name.charAt(i);
            text.append(Character.isISOControl(c) || c == '\u2028' || c == '\u2029' ? ' ' : c);
        }
        return text.toString().strip();
    }
}
