package org.estampage.session;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;

/**
 * Numbers and texts as bytes, the lowest byte first.
 *
 * @threads confined
 */
final class ByteOut {
    private final OutputStream out;
    private final ByteBuffer buffer = ByteBuffer.allocate(1 << 16).order(ByteOrder.LITTLE_ENDIAN);

    ByteOut(OutputStream out) {
        this.out = out;
    }

    void put(int value) throws IOException {
        room(1).put((byte) value);
    }

    void putInt(int value) throws IOException {
        room(Integer.BYTES).putInt(value);
    }

    void putLong(long value) throws IOException {
        room(Long.BYTES).putLong(value);
    }

    /** Puts a text as it is, lone surrogates too: names come from files, which hold anything. */
    void putText(String text) throws IOException {
        putInt(text.length());
        for (int i = 0; i < text.length(); i++) {
            room(Character.BYTES).putChar(text.charAt(i));
        }
    }

    void putBytes(byte[] values) throws IOException {
        flush();
        out.write(values);
    }

    void putInts(int[] values) throws IOException {
        for (int i = 0; i < values.length;) {
            int run = run(values.length - i, Integer.BYTES);
            buffer.asIntBuffer().put(values, i, run);
            pass(run * Integer.BYTES);
            i += run;
        }
    }

    void putFloats(float[] values, int count) throws IOException {
        for (int i = 0; i < count;) {
            int run = run(count - i, Float.BYTES);
            buffer.asFloatBuffer().put(values, i, run);
            pass(run * Float.BYTES);
            i += run;
        }
    }

    void putLongs(long[] values) throws IOException {
        for (int i = 0; i < values.length;) {
            int run = run(values.length - i, Long.BYTES);
            buffer.asLongBuffer().put(values, i, run);
            pass(run * Long.BYTES);
            i += run;
        }
    }

    /** Returns how many of so many entries fit now; at least one. */
    private int run(int wanted, int width) throws IOException {
        return Math.min(wanted, room(width).remaining() / width);
    }

    private void pass(int bytes) {
        buffer.position(buffer.position() + bytes);
    }

    private ByteBuffer room(int bytes) throws IOException {
        if (buffer.remaining() < bytes) {
            flush();
        }
        return buffer;
    }

    /** Hands on all that was put. */
    void flush() throws IOException {
        out.write(buffer.array(), 0, buffer.position());
        buffer.clear();
    }
}
