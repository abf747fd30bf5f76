package org.estampage.io.exr;

import java.util.Arrays;
import java.util.zip.DataFormatException;
import java.util.zip.Deflater;
import java.util.zip.Inflater;

/**
 * How the bytes of a block are stored: first every other byte, then the ones between; each as its difference from the one before, plus 128; then
 * deflated or in runs. What would not become smaller is stored as it is.
 *
 * @threads stateless
 * @source OpenEXR File Layout, "Compression"; RFC 1950, RFC 1951
 */
final class BlockCoding {
    private BlockCoding() {
    }

    /** Returns a block's bytes deflated; {@code raw} itself if that is not smaller. */
    static byte[] deflate(byte[] raw, int level) {
        Deflater deflater = new Deflater(level);
        try {
            deflater.setInput(spread(raw));
            deflater.finish();
            byte[] out = new byte[raw.length];
            int length = deflater.deflate(out);
            // Stopped at the end of the room: not smaller.
            return deflater.finished() && length < raw.length ? Arrays.copyOf(out, length) : raw;
        } finally {
            deflater.end();
        }
    }

    /**
     * Returns the bytes of a deflated block.
     *
     * @param rawLength how many they must be
     * @throws DataFormatException if they are fewer or more, or damaged
     */
    static byte[] inflate(byte[] stored, int rawLength) throws DataFormatException {
        Inflater inflater = new Inflater();
        try {
            inflater.setInput(stored);
            byte[] spread = new byte[rawLength];
            int length = inflater.inflate(spread);
            // Once more for the checksum behind the last byte, which nothing may precede.
            if (length < rawLength || inflater.inflate(new byte[1]) != 0 || !inflater.finished()) {
                throw new DataFormatException("a stream that does not end after " + rawLength + " bytes");
            }
            return gather(spread);
        } finally {
            inflater.end();
        }
    }

    /**
     * Returns the bytes of a block in runs: a count n ≥ 0 and a byte that stands n + 1 times, or a count n &lt; 0 and −n bytes as they are.
     *
     * @param rawLength how many they must be
     * @throws DataFormatException if they are fewer or more
     */
    static byte[] runs(byte[] stored, int rawLength) throws DataFormatException {
        byte[] spread = new byte[rawLength];
        int to = 0;
        for (int at = 0; at < stored.length;) {
            int count = stored[at++];
            int length = count < 0 ? -count : count + 1;
            int taken = count < 0 ? length : 1;
            if (length > rawLength - to || taken > stored.length - at) {
                throw new DataFormatException("a run of " + length + " bytes that does not fit");
            }
            if (count < 0) {
                System.arraycopy(stored, at, spread, to, length);
            } else {
                Arrays.fill(spread, to, to + length, stored[at]);
            }
            at += taken;
            to += length;
        }
        if (to < rawLength) {
            throw new DataFormatException("runs of only " + to + " bytes");
        }
        return gather(spread);
    }

    /** Returns bytes with every other one in front, as differences. */
    static byte[] spread(byte[] raw) {
        byte[] out = new byte[raw.length];
        int half = (raw.length + 1) / 2;
        for (int i = 0; i < raw.length / 2; i++) {
            out[i] = raw[2 * i];
            out[half + i] = raw[2 * i + 1];
        }
        if (half > raw.length / 2) {
            out[half - 1] = raw[raw.length - 1];
        }
        // From the end, so that each one's neighbour still stands.
        for (int i = out.length - 1; i > 0; i--) {
            out[i] = (byte) (out[i] - out[i - 1] + 128);
        }
        return out;
    }

    /** Undoes {@link #spread}; {@code spread} is used up. */
    static byte[] gather(byte[] spread) {
        for (int i = 1; i < spread.length; i++) {
            spread[i] = (byte) (spread[i - 1] + spread[i] - 128);
        }
        byte[] out = new byte[spread.length];
        int half = (spread.length + 1) / 2;
        for (int i = 0; i < spread.length / 2; i++) {
            out[2 * i] = spread[i];
            out[2 * i + 1] = spread[half + i];
        }
        if (half > spread.length / 2) {
            out[spread.length - 1] = spread[half - 1];
        }
        return out;
    }
}
