package org.estampage.io.format;

/**
 * How an image file holds a number.
 */
public enum SampleFormat {
    /** Whole numbers 0 … 255, which stand for 0 … 1. */
    UNSIGNED_8(8, false),
    /** Whole numbers 0 … 65535, which stand for 0 … 1. */
    UNSIGNED_16(16, false),
    /** IEEE 754 binary16: raw values to 11 significant bits, up to 65504. */
    HALF(16, true),
    /** IEEE 754 binary32: raw values, exactly. */
    FLOAT(32, true);

    private final int bits;
    private final boolean isFloat;

    SampleFormat(int bits, boolean isFloat) {
        this.bits = bits;
        this.isFloat = isFloat;
    }

    /**
     * Returns whole numbers of a depth.
     *
     * @throws IllegalArgumentException if {@code bits} is neither 8 nor 16
     */
    public static SampleFormat unsigned(int bits) {
        return switch (bits) {
            case 8 -> UNSIGNED_8;
            case 16 -> UNSIGNED_16;
            default -> throw new IllegalArgumentException("bits = " + bits + " must be 8 or 16");
        };
    }

    /** Returns the bits a channel. */
    public int bits() {
        return bits;
    }

    /** Returns whether raw values are held, not shares of a range. */
    public boolean isFloat() {
        return isFloat;
    }

    /** Returns the name for messages, such as {@code 16-bit float}. */
    @Override
    public String toString() {
        return bits + "-bit" + (isFloat ? " float" : "");
    }
}
