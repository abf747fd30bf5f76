package org.estampage.image;

import java.util.Arrays;
import java.util.BitSet;

/**
 * One bit a texel; row 0 on top.
 *
 * @threads confined while it is filled, then safe to read from many threads
 */
public final class Mask {
    private final int width;
    private final int height;
    private final BitSet bits;

    /**
     * Makes a mask with no bit set.
     *
     * @throws IllegalArgumentException if a side is below 1 or the area above 2³¹ − 1
     */
    public Mask(int width, int height) {
        this(width, height, new BitSet(Math.max(0, width * height))); // a wrong size is refused below
    }

    private Mask(int width, int height, BitSet bits) {
        if (width < 1 || height < 1 || (long) width * height > Integer.MAX_VALUE) {
            throw new IllegalArgumentException("size " + width + " × " + height + " must be positive and below 2^31 texels");
        }
        this.width = width;
        this.height = height;
        this.bits = bits;
    }

    /**
     * Returns a mask of given bits.
     *
     * @param bits texel (x, y) is bit y · width + x; copied
     * @throws IllegalArgumentException if a side is below 1, the area above 2³¹ − 1, or there are bits beyond it
     */
    public static Mask of(int width, int height, BitSet bits) {
        Mask mask = new Mask(width, height, (BitSet) bits.clone());
        if (bits.length() > width * height) {
            throw new IllegalArgumentException("bit " + (bits.length() - 1) + " must be below " + width + " × " + height);
        }
        return mask;
    }

    /** Returns a copy of the bits: texel (x, y) is bit y · width + x. */
    public BitSet bits() {
        return (BitSet) bits.clone();
    }

    /** Returns the width in texels. */
    public int width() {
        return width;
    }

    /** Returns the height in texels. */
    public int height() {
        return height;
    }

    /** Returns whether the texel's bit is set. */
    public boolean get(int x, int y) {
        return bits.get(y * width + x);
    }

    /** Sets the texel's bit. */
    public void set(int x, int y) {
        bits.set(y * width + x);
    }

    /** Copies row {@code y} into {@code dest}, which is at least {@code width} long. */
    void readRow(int y, boolean[] dest) {
        int start = y * width;
        int end = start + width;
        Arrays.fill(dest, 0, width, false);
        // Run by run: charts are long runs, and a run costs two searches for a whole stretch of texels.
        for (int from = bits.nextSetBit(start); from >= 0 && from < end;) {
            int to = Math.min(end, bits.nextClearBit(from));
            Arrays.fill(dest, from - start, to - start, true);
            from = to < end ? bits.nextSetBit(to) : -1;
        }
    }

    /** Returns how many bits are set. */
    public int count() {
        return bits.cardinality();
    }
}
