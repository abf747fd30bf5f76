package org.estampage.io.exr;

import org.jspecify.annotations.Nullable;

/** How blocks are compressed. */
enum Compression {
    NONE(0, 1, 1),
    /** Two bytes stand for at most 128. */
    RLE(1, 1, 64),
    /** Deflate can't do better than 258 bytes for two bits (RFC 1951: a length of 258 with one-bit codes for it and for its distance). */
    ZIPS(2, 1, 258 * 4), ZIP(3, 16, 258 * 4),
    // Known by name only.
    PIZ(4), PXR24(5), B44(6), B44A(7), DWAA(8), DWAB(9);

    private final int number;
    private final int rows;
    private final int largestRatio;

    Compression(int number) {
        this(number, 0, 0);
    }

    Compression(int number, int rows, int largestRatio) {
        this.number = number;
        this.rows = rows;
        this.largestRatio = largestRatio;
    }

    /** Returns the compression that a file's number stands for; null if none does. */
    static @Nullable Compression numbered(int number) {
        for (Compression compression : values()) {
            if (compression.number == number) {
                return compression;
            }
        }
        return null;
    }

    /** Returns its number in a file. */
    int number() {
        return number;
    }

    /** Returns whether it can be read here. */
    boolean isRead() {
        return rows > 0;
    }

    /** Returns how many scan lines a block has. */
    int rows() {
        return rows;
    }

    /** Returns how many bytes one stored byte can stand for at most. */
    int largestRatio() {
        return largestRatio;
    }
}
