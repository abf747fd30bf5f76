package org.estampage.bvh;

import java.util.Arrays;
import org.estampage.internal.kernel.MortonBits;
import org.estampage.mesh.Mesh;

/**
 * Triangles along the Morton curve of the centres of their boxes.
 *
 * <p>A key is the code, then the triangle's place in a list by number: no two are equal, and triangles of equal codes are in the order of their
 * numbers. With 2²¹ triangles 14 bits an axis remain for the code, with 2²⁸ still 11.
 *
 * @shape keys: one a triangle, ascending; triangles: the numbers in the same order
 * @cost O(n) time; 16 bytes a triangle while sorting
 * @source Morton, A Computer Oriented Geodetic Data Base, 1966 (the curve; from memory); Lauterbach et al., Fast BVH Construction on GPUs, 2009 (sorting
 *         triangles along it; from memory)
 */
final class MortonOrder {
    /** Bits that one pass of sorting looks at. */
    private static final int DIGIT = 11;
    private static final int MOST_AXIS_BITS = 21;
    /** Keys are not negative, so that their order as numbers is that of their bits. */
    private static final int KEY_BITS = 63;
    /** The most bytes a triangle that making the order takes: two arrays of keys, the numbers in and out. */
    static final int PEAK_BYTES = 24;

    final long[] keys;
    final int[] triangles;

    private MortonOrder(long[] keys, int[] triangles) {
        this.keys = keys;
        this.triangles = triangles;
    }

    /** Sorts some triangles of a mesh, at least one. */
    static MortonOrder of(Mesh mesh, int[] triangles) {
        int count = triangles.length;
        int[] byNumber = ascending(triangles);
        double[] bounds = bounds(mesh, byNumber);
        int placeBits = 32 - Integer.numberOfLeadingZeros(count - 1);
        int axisBits = Math.min(MOST_AXIS_BITS, (KEY_BITS - placeBits) / 3);
        double extent = Math.max(bounds[3] - bounds[0], Math.max(bounds[4] - bounds[1], bounds[5] - bounds[2]));
        // All axes share one measure, so that cells are cubes; the largest product is below 2^axisBits by more than it can be rounded.
        double factor = extent > 0 ? ((1 << axisBits) - 0.01) / extent : 0;
        long[] keys = new long[count];
        Pools.each(0, count, (chunk, begin, end) -> {
            double[] centre = new double[3];
            for (int i = begin; i < end; i++) {
                centre(mesh, byNumber[i], centre);
                long code = MortonBits.of((int) ((centre[2] - bounds[2]) * factor), (int) ((centre[1] - bounds[1]) * factor),
                        (int) ((centre[0] - bounds[0]) * factor));
                keys[i] = code << placeBits | i;
            }
        });
        long[] sorted = sort(keys, placeBits, 3 * axisBits);
        int[] numbers = new int[count];
        long places = (1L << placeBits) - 1;
        Pools.each(0, count, (chunk, begin, end) -> {
            for (int i = begin; i < end; i++) {
                numbers[i] = byNumber[(int) (sorted[i] & places)];
            }
        });
        return new MortonOrder(sorted, numbers);
    }

    /**
     * Returns where a range of keys is cut: before the first that has the highest bit in which the range's ends differ.
     *
     * @param end at least {@code begin} + 2
     */
    int cut(int begin, int end) {
        long bit = Long.highestOneBit(keys[begin] ^ keys[end - 1]);
        long least = keys[end - 1] & -bit;
        int low = begin;
        int high = end - 1;
        while (low < high) {
            int middle = (low + high) >>> 1;
            if (keys[middle] >= least) {
                high = middle;
            } else {
                low = middle + 1;
            }
        }
        return low;
    }

    private static int[] ascending(int[] triangles) {
        for (int i = 1; i < triangles.length; i++) {
            if (triangles[i] < triangles[i - 1]) {
                int[] sorted = triangles.clone();
                Arrays.sort(sorted);
                return sorted;
            }
        }
        return triangles;
    }

    private static double[] bounds(Mesh mesh, int[] triangles) {
        double[][] chunks = new double[Pools.chunks(0, triangles.length)][];
        Pools.each(0, triangles.length, (chunk, begin, end) -> {
            double[] own = emptyBounds();
            double[] centre = new double[3];
            for (int i = begin; i < end; i++) {
                centre(mesh, triangles[i], centre);
                for (int axis = 0; axis < 3; axis++) {
                    own[axis] = Math.min(own[axis], centre[axis]);
                    own[3 + axis] = Math.max(own[3 + axis], centre[axis]);
                }
            }
            chunks[chunk] = own;
        });
        double[] all = emptyBounds();
        for (double[] own : chunks) {
            for (int axis = 0; axis < 3; axis++) {
                all[axis] = Math.min(all[axis], own[axis]);
                all[3 + axis] = Math.max(all[3 + axis], own[3 + axis]);
            }
        }
        return all;
    }

    private static double[] emptyBounds() {
        double[] b = new double[6];
        Arrays.fill(b, 0, 3, Double.POSITIVE_INFINITY);
        Arrays.fill(b, 3, 6, Double.NEGATIVE_INFINITY);
        return b;
    }

    /** Writes twice the centre of a triangle's box; sums of floats are far from overflowing in doubles. */
    private static void centre(Mesh mesh, int triangle, double[] dest) {
        float[] p = mesh.positions();
        int[] corners = mesh.positionIndices();
        int a = 3 * corners[3 * triangle];
        int b = 3 * corners[3 * triangle + 1];
        int c = 3 * corners[3 * triangle + 2];
        for (int axis = 0; axis < 3; axis++) {
            float x = p[a + axis];
            float y = p[b + axis];
            float z = p[c + axis];
            dest[axis] = (double) Math.min(Math.min(x, y), z) + Math.max(Math.max(x, y), z);
        }
    }

    /**
     * Sorts keys by some of their bits; keys whose bits are equal stay in order. Each pass counts the digits of every chunk, then each chunk writes its
     * keys behind those of smaller digits, and of its own digit in earlier chunks.
     */
    private static long[] sort(long[] keys, int firstBit, int bits) {
        int buckets = 1 << DIGIT;
        int chunks = Pools.chunks(0, keys.length);
        long[] from = keys;
        long[] to = new long[keys.length];
        int[] counts = new int[chunks * buckets];
        for (int shift = firstBit; shift < firstBit + bits; shift += DIGIT) {
            int s = shift;
            long[] source = from;
            long[] dest = to;
            Pools.each(0, keys.length, (chunk, begin, end) -> {
                int first = chunk * buckets;
                Arrays.fill(counts, first, first + buckets, 0);
                for (int i = begin; i < end; i++) {
                    counts[first + ((int) (source[i] >>> s) & buckets - 1)]++;
                }
            });
            int sum = 0;
            for (int bucket = 0; bucket < buckets; bucket++) {
                for (int at = bucket; at < counts.length; at += buckets) {
                    int count = counts[at];
                    counts[at] = sum;
                    sum += count;
                }
            }
            Pools.each(0, keys.length, (chunk, begin, end) -> {
                int first = chunk * buckets;
                for (int i = begin; i < end; i++) {
                    long key = source[i];
                    dest[counts[first + ((int) (key >>> s) & buckets - 1)]++] = key;
                }
            });
            from = dest;
            to = source;
        }
        return from;
    }
}
