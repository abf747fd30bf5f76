package org.estampage.io.shared;

import org.estampage.io.format.FormatException;
import java.io.IOException;
import java.lang.invoke.MethodHandles;
import java.lang.invoke.VarHandle;
import java.nio.ByteOrder;
import java.util.Arrays;

/**
 * A window of bytes that moves over a file: ask for bytes with {@link #need}, then take them from {@link #bytes} at {@link #at}.
 *
 * @threads confined to one thread at a time
 */
public final class BinaryInput {
    private static final VarHandle SHORT = MethodHandles.byteArrayViewVarHandle(short[].class, ByteOrder.LITTLE_ENDIAN);
    private static final VarHandle INT = MethodHandles.byteArrayViewVarHandle(int[].class, ByteOrder.LITTLE_ENDIAN);
    private static final VarHandle LONG = MethodHandles.byteArrayViewVarHandle(long[].class, ByteOrder.LITTLE_ENDIAN);
    private static final int WINDOW = 1 << 19;

    private final FileSource source;
    private byte[] bytes;
    private int at;
    private int filled;

    /** Begins with the next byte of a source. */
    public BinaryInput(FileSource source) {
        this.source = source;
        bytes = new byte[(int) Math.min(WINDOW, Math.max(16, source.size() - source.position()))];
    }

    /** Returns the window; it may be another array after {@link #need}. */
    public byte[] bytes() {
        return bytes;
    }

    /** Returns the place of the next byte in the window. */
    public int at() {
        return at;
    }

    /** Returns how many bytes are in the window. */
    public int available() {
        return filled - at;
    }

    /** Returns the next byte's place in the file. */
    public long offset() {
        return source.position() - filled + at;
    }

    /** Returns how many bytes the file has from here on. */
    public long left() {
        return source.size() - offset();
    }

    /** Goes so many bytes on inside the window. */
    public void advance(int count) {
        at += count;
    }

    /**
     * Brings at least {@code count} bytes into the window, as far as the file has them.
     *
     * @param count    how many are needed now
     * @param expected what they are, for the message
     * @throws FormatException if the file ends before
     */
    public void need(int count, String expected) throws IOException {
        if (filled - at >= count) {
            return;
        }
        long here = offset();
        if (left() < count) { // before any room is made for them
            throw FormatException.atByte(source.name(), source.size(), "the end of the file", expected + " (begins at byte " + here + ")");
        }
        System.arraycopy(bytes, at, bytes, 0, filled - at);
        filled -= at;
        at = 0;
        if (bytes.length < count) {
            bytes = Arrays.copyOf(bytes, Growth.next(count, 0));
        }
        filled += source.read(bytes, filled, bytes.length - filled);
        if (filled < count) { // the file became shorter while it was read
            throw FormatException.atByte(source.name(), here + filled, "the end of the file", expected);
        }
    }

    /**
     * Goes past bytes without reading them.
     *
     * @throws FormatException if the file ends before
     */
    public void skip(long count, String expected) throws IOException {
        if (count <= filled - at) {
            at += (int) count;
            return;
        }
        if (count > left()) {
            throw FormatException.atByte(source.name(), source.size(), "the end of the file",
                    expected + " (begins at byte " + offset() + ")");
        }
        long target = offset() + count;
        source.seek(target);
        at = 0;
        filled = 0;
    }

    /** Returns two bytes, least first. */
    public static short shortAt(byte[] bytes, int at) {
        return (short) SHORT.get(bytes, at);
    }

    /** Returns four bytes, least first. */
    public static int intAt(byte[] bytes, int at) {
        return (int) INT.get(bytes, at);
    }

    /** Returns eight bytes, least first. */
    public static long longAt(byte[] bytes, int at) {
        return (long) LONG.get(bytes, at);
    }

    /** Returns four bytes, least first, as a float. */
    public static float floatAt(byte[] bytes, int at) {
        return Float.intBitsToFloat((int) INT.get(bytes, at));
    }

    /** Puts two bytes, least first. */
    public static void putShort(byte[] bytes, int at, short value) {
        SHORT.set(bytes, at, value);
    }

    /** Puts four bytes, least first. */
    public static void putInt(byte[] bytes, int at, int value) {
        INT.set(bytes, at, value);
    }

    /** Puts a float as four bytes, least first. */
    public static void putFloat(byte[] bytes, int at, float value) {
        INT.set(bytes, at, Float.floatToRawIntBits(value));
    }
}
