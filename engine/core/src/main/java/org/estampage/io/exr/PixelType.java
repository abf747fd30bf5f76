package org.estampage.io.exr;

import org.estampage.io.format.SampleFormat;
import org.jspecify.annotations.Nullable;

/** How a channel's samples are stored. */
enum PixelType {
    /** Whole numbers without sign. */
    UINT(0, 4),
    /** IEEE 754 binary16. */
    HALF(1, 2),
    /** IEEE 754 binary32. */
    FLOAT(2, 4);

    private final int number;
    private final int bytes;

    PixelType(int number, int bytes) {
        this.number = number;
        this.bytes = bytes;
    }

    /** Returns the type that a file's number stands for; null if none does. */
    static @Nullable PixelType numbered(int number) {
        for (PixelType type : values()) {
            if (type.number == number) {
                return type;
            }
        }
        return null;
    }

    /** Returns its number in a file. */
    int number() {
        return number;
    }

    /** Returns the bytes a sample. */
    int bytes() {
        return bytes;
    }

    static PixelType of(SampleFormat samples) {
        return samples == SampleFormat.HALF ? HALF : FLOAT;
    }
}
