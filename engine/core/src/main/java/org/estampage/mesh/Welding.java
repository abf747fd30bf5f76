package org.estampage.mesh;

/** Finds vertices that stand at the same place. */
public final class Welding {
    private Welding() {
    }

    /**
     * Returns for every vertex the lowest-numbered vertex at exactly the same position.
     *
     * @edge −0 equals 0; a position with a NaN equals nothing but its own vertex
     * @cost linear time; a table of 8 … 16 bytes a vertex
     */
    public static int[] canonicalVertices(Mesh mesh) {
        return canonicalPoints(mesh.positions());
    }

    /** Returns for every point, xyz interleaved, the lowest-numbered point that equals it. */
    static int[] canonicalPoints(float[] xyz) {
        int count = xyz.length / 3;
        int[] canonical = new int[count];
        int bits = 64 - Long.numberOfLeadingZeros(Math.max(2, 2L * count) - 1);
        int[] table = new int[1 << bits]; // a point's number + 1; points enter in ascending order, so the first of equals is the lowest
        int mask = table.length - 1;
        for (int i = 0; i < count; i++) {
            // Adding zero makes −0 into 0.
            float x = xyz[3 * i] + 0f, y = xyz[3 * i + 1] + 0f, z = xyz[3 * i + 2] + 0f;
            canonical[i] = i;
            if (x != x || y != y || z != z) {
                continue;
            }
            int slot = hash(x, y, z) & mask;
            while (true) {
                int other = table[slot] - 1;
                if (other < 0) {
                    table[slot] = i + 1;
                    break;
                }
                if (xyz[3 * other] + 0f == x && xyz[3 * other + 1] + 0f == y && xyz[3 * other + 2] + 0f == z) {
                    canonical[i] = other;
                    break;
                }
                slot = (slot + 1) & mask;
            }
        }
        return canonical;
    }

    private static int hash(float x, float y, float z) {
        long h = Float.floatToRawIntBits(x) * 0x9e3779b97f4a7c15L;
        h = (h ^ (h >>> 29) ^ Float.floatToRawIntBits(y)) * 0xbf58476d1ce4e5b9L;
        h = (h ^ (h >>> 32) ^ Float.floatToRawIntBits(z)) * 0x94d049bb133111ebL;
        return (int) (h ^ (h >>> 31));
    }
}
