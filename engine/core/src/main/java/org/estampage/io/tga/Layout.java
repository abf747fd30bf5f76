package org.estampage.io.tga;

import java.nio.charset.StandardCharsets;

/** Where things stand in a file, and what numbers mean. */
final class Layout {
    static final int HEADER = 18;
    static final int PALETTE_TYPE = 1;
    static final int COLOUR_TYPE = 2;
    static final int GREY_TYPE = 3;
    /** Added to a type whose texels are run-length encoded. */
    static final int RUNS = 8;
    /** Bits of the descriptor: how many bits of a texel are alpha, first texel on the right, first row on top. */
    static final int ALPHA_BITS = 0x0f;
    static final int FROM_RIGHT = 0x10;
    static final int FROM_TOP = 0x20;
    /** The most texels of a packet. */
    static final int PACKET = 128;
    static final int FOOTER = 26;
    static final byte[] SIGNATURE = "TRUEVISION-XFILE.\0".getBytes(StandardCharsets.US_ASCII);
    static final int EXTENSION = 495;
    /** The engine's own field of the developer area: lines {@code keyword: text} in UTF-8. */
    static final int TEXT_FIELD = 0x4553;

    private Layout() {
    }

    static int shortAt(byte[] bytes, int at) {
        return (bytes[at] & 0xff) | ((bytes[at + 1] & 0xff) << 8);
    }

    static long intAt(byte[] bytes, int at) {
        return shortAt(bytes, at) | ((long) shortAt(bytes, at + 2) << 16);
    }

    static void putShort(byte[] bytes, int at, int value) {
        bytes[at] = (byte) value;
        bytes[at + 1] = (byte) (value >> 8);
    }

    static void putInt(byte[] bytes, int at, long value) {
        putShort(bytes, at, (int) value);
        putShort(bytes, at + 2, (int) (value >> 16));
    }
}
