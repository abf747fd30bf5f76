package org.estampage.io.tiff;

import java.util.Arrays;
import java.util.zip.DataFormatException;
import java.util.zip.Inflater;

/**
 * Brings a strip's or tile's bytes back to what they were before they were compressed. A stream that ends too soon is told by the count.
 *
 * @threads stateless
 * @source TIFF Revision 6.0, sections 9 (PackBits) and 13 (LZW); RFC 1950
 */
final class Unpacking {
    private static final int CLEAR = 256;
    private static final int END = 257;
    private static final int TABLE = 4096;

    private Unpacking() {
    }

    /**
     * Unpacks {@code length} bytes from {@code at} on.
     *
     * @return how many bytes came out, at most as many as {@code dest} holds
     * @throws DataFormatException if the stream is damaged
     */
    static int unpack(int compression, byte[] bytes, int at, int length, byte[] dest) throws DataFormatException {
        return switch (compression) {
            case Tags.DEFLATE, Tags.OLD_DEFLATE -> inflate(bytes, at, length, dest);
            case Tags.PACK_BITS -> packBits(bytes, at, at + length, dest);
            case Tags.LZW -> lzw(bytes, at, at + length, dest);
            default -> {
                int count = Math.min(length, dest.length);
                System.arraycopy(bytes, at, dest, 0, count);
                yield count;
            }
        };
    }

    private static int inflate(byte[] bytes, int at, int length, byte[] dest) throws DataFormatException {
        Inflater inflater = new Inflater();
        try {
            inflater.setInput(bytes, at, length);
            int out = 0;
            while (out < dest.length) {
                int count = inflater.inflate(dest, out, dest.length - out);
                if (count == 0) { // ended, or needs more than there is
                    break;
                }
                out += count;
            }
            return out;
        } finally {
            inflater.end();
        }
    }

    private static int packBits(byte[] bytes, int from, int end, byte[] dest) {
        int at = from;
        int out = 0;
        while (at < end && out < dest.length) {
            int n = bytes[at++];
            if (n >= 0) {
                int count = Math.min(Math.min(n + 1, dest.length - out), end - at);
                System.arraycopy(bytes, at, dest, out, count);
                at += count;
                out += count;
            } else if (n != -128 && at < end) {
                int count = Math.min(1 - n, dest.length - out);
                Arrays.fill(dest, out, out + count, bytes[at++]);
                out += count;
            }
        }
        return out;
    }

    /** Every string in the table is one that already stands in {@code dest}: by its place and length. */
    private static int lzw(byte[] bytes, int from, int end, byte[] dest) throws DataFormatException {
        int[] places = new int[TABLE];
        int[] lengths = new int[TABLE];
        int next = END + 1;
        int width = 9;
        int out = 0;
        int before = -1; // the place of the string before; none after a clear code
        int beforeLength = 0;
        long held = 0;
        int heldBits = 0;
        int at = from;
        while (out < dest.length) {
            while (heldBits < width && at < end) {
                held = held << 8 | (bytes[at++] & 0xff);
                heldBits += 8;
            }
            if (heldBits < width) {
                return out;
            }
            int code = (int) (held >>> (heldBits - width)) & (1 << width) - 1;
            heldBits -= width;
            if (code == END) {
                return out;
            }
            if (code == CLEAR) {
                next = END + 1;
                width = 9;
                before = -1;
                continue;
            }
            if (before >= 0 && next < TABLE) { // the string before and the first byte of this one, which follow each other in dest
                places[next] = before;
                lengths[next] = beforeLength + 1;
                next++;
            }
            if (code >= next || (before < 0 && code > END)) {
                throw new DataFormatException("an LZW code " + code + " of " + next);
            }
            int length = code < CLEAR ? 1 : lengths[code];
            int start = out;
            for (int i = 0; i < length && out < dest.length; i++) {
                dest[out] = code < CLEAR ? (byte) code : dest[places[code] + i];
                out++;
            }
            before = start;
            beforeLength = length;
            if (next + 1 >= 1 << width && width < 12) { // one early: the writer's table is one ahead
                width++;
            }
        }
        return out;
    }
}
