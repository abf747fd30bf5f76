package org.estampage.io.png;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.util.zip.CRC32;

/**
 * The frame of a PNG file: its signature and its chunks.
 *
 * @threads stateless
 * @source W3C Portable Network Graphics (Third Edition), section 5
 */
final class PngChunks {
    private PngChunks() {
    }

    /** Returns the eight bytes that every PNG file begins with. */
    static byte[] signature() {
        return new byte[] {(byte) 0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n'};
    }

    /** Writes a chunk: length, type, data, and the CRC-32 of type and data. */
    static void write(OutputStream out, String type, byte[] data, int length) throws IOException {
        byte[] name = type.getBytes(StandardCharsets.US_ASCII);
        CRC32 crc = new CRC32();
        crc.update(name);
        crc.update(data, 0, length);
        byte[] number = new byte[4];
        putInt(number, 0, length);
        out.write(number);
        out.write(name);
        out.write(data, 0, length);
        putInt(number, 0, (int) crc.getValue());
        out.write(number);
    }

    static void write(OutputStream out, String type, byte[] data) throws IOException {
        write(out, type, data, data.length);
    }

    /** Puts a big-endian number. */
    static void putInt(byte[] dest, int at, int value) {
        dest[at] = (byte) (value >> 24);
        dest[at + 1] = (byte) (value >> 16);
        dest[at + 2] = (byte) (value >> 8);
        dest[at + 3] = (byte) value;
    }

    /** Returns a big-endian number. */
    static int getInt(byte[] bytes, int at) {
        return bytes[at] << 24 | (bytes[at + 1] & 0xff) << 16 | (bytes[at + 2] & 0xff) << 8 | (bytes[at + 3] & 0xff);
    }
}
