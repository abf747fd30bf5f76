package org.estampage.internal.kernel;

/**
 * The bits of Morton codes in space.
 *
 * @threads stateless
 * @source Morton, A Computer Oriented Geodetic Data Base, 1966 (from memory)
 */
public final class MortonBits {
    private MortonBits() {
    }

    /** Returns the code of a place on a grid: the low 21 bits of x, y, z by turns, x lowest. */
    public static long of(int x, int y, int z) {
        return spread(x) | spread(y) << 1 | spread(z) << 2;
    }

    /** Puts two zeros before each of the low 21 bits. */
    private static long spread(int bits) {
        long x = bits & 0x1fffffL;
        x = (x | x << 32) & 0x001f00000000ffffL;
        x = (x | x << 16) & 0x001f0000ff0000ffL;
        x = (x | x << 8) & 0x100f00f00f00f00fL;
        x = (x | x << 4) & 0x10c30c30c30c30c3L;
        return (x | x << 2) & 0x1249249249249249L;
    }
}
