package org.estampage.session;

import java.io.EOFException;
import java.io.IOException;
import java.io.InputStream;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;

/**
 * Reads what {@link ByteOut} wrote. Nothing is allocated for more than the bytes that are left.
 *
 * @threads confined
 */
final class ByteIn {
    private final InputStream in;
    private final ByteBuffer buffer = ByteBuffer.allocate(1 << 16).order(ByteOrder.LITTLE_ENDIAN).limit(0);
    /** Bytes that neither were taken nor are in the buffer. */
    private long behind;

    ByteIn(InputStream in, long size) {
        this.in = in;
        this.behind = size;
    }

    int get() throws IOException {
        return there(1).get() & 0xff;
    }

    int getInt() throws IOException {
        return there(Integer.BYTES).getInt();
    }

    long getLong() throws IOException {
        return there(Long.BYTES).getLong();
    }

    String getText() throws IOException {
        char[] text = new char[count(Character.BYTES)];
        for (int i = 0; i < text.length; i++) {
            text[i] = there(Character.BYTES).getChar();
        }
        return new String(text);
    }

    byte[] getBytes(int count) throws IOException {
        byte[] values = new byte[checked(count, 1)];
        for (int i = 0; i < count;) {
            int run = Math.min(count - i, there(1).remaining());
            buffer.get(values, i, run);
            i += run;
        }
        return values;
    }

    int[] getInts(int count) throws IOException {
        int[] values = new int[checked(count, Integer.BYTES)];
        for (int i = 0; i < count;) {
            int run = Math.min(count - i, there(Integer.BYTES).remaining() / Integer.BYTES);
            buffer.asIntBuffer().get(values, i, run);
            buffer.position(buffer.position() + run * Integer.BYTES);
            i += run;
        }
        return values;
    }

    float[] getFloats(int count) throws IOException {
        float[] values = new float[checked(count, Float.BYTES)];
        getFloats(values, count);
        return values;
    }

    void getFloats(float[] dest, int count) throws IOException {
        for (int i = 0; i < count;) {
            int run = Math.min(count - i, there(Float.BYTES).remaining() / Float.BYTES);
            buffer.asFloatBuffer().get(dest, i, run);
            buffer.position(buffer.position() + run * Float.BYTES);
            i += run;
        }
    }

    long[] getLongs(int count) throws IOException {
        long[] values = new long[checked(count, Long.BYTES)];
        for (int i = 0; i < count;) {
            int run = Math.min(count - i, there(Long.BYTES).remaining() / Long.BYTES);
            buffer.asLongBuffer().get(values, i, run);
            buffer.position(buffer.position() + run * Long.BYTES);
            i += run;
        }
        return values;
    }

    /** Returns a count of entries of so many bytes, which are there. */
    int count(int width) throws IOException {
        return checked(getInt(), width);
    }

    private int checked(int count, int width) throws IOException {
        requireLeft((long) count * width);
        return count;
    }

    /** Checks that so many bytes are left. */
    void requireLeft(long bytes) throws IOException {
        if (bytes < 0 || bytes > behind + buffer.remaining()) {
            throw new EOFException(bytes + " bytes are not there");
        }
    }

    private ByteBuffer there(int bytes) throws IOException {
        if (buffer.remaining() < bytes) {
            buffer.compact();
            int wanted = (int) Math.min(buffer.remaining(), behind);
            int read = in.readNBytes(buffer.array(), buffer.position(), wanted);
            behind -= read;
            buffer.position(buffer.position() + read).flip();
            if (buffer.remaining() < bytes) {
                throw new EOFException("it ends too early");
            }
        }
        return buffer;
    }
}
