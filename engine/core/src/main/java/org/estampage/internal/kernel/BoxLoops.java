package org.estampage.internal.kernel;

import java.util.Arrays;

/**
 * The loops of tree building over boxes: measure, sort into bins, sweep, part. A scalar reference and its vector twin; both leave the same
 * numbers, and a tree built by either has the same bits.
 *
 * <p>A reference is a box and a number in 8 floats: −min xyz, the number, max xyz, nothing. With low planes negated, growing a box is one maximum of 8
 * lanes. No reference holds −0 or NaN, so that the order of maxima says nothing. Numbers are stored as bits of ordinary floats, because arithmetic on
 * small integers seen as floats is slow: those are subnormal.
 *
 * <p>Centres are doubled and scaled: max · scale + min · scale. The scale is a power of two that keeps sums and areas finite, so a tree doesn't depend
 * on the mesh's units.
 *
 * @threads immutable; safe for concurrent calls on different arrays or ranges
 */
public abstract sealed class BoxLoops permits ScalarBoxLoops, VectorBoxLoops {
    /** Floats a reference, a bin, and a box. */
    public static final int LANES = 8;
    /** Where the first reference begins, so that none lies in two cache lines: a large array's elements begin 16 bytes into a line. */
    public static final int FIRST = 12;
    /** Where a box's high planes begin. */
    public static final int HIGH = 4;
    /** The most bins an axis. */
    public static final int MOST_BINS = 16;
    /** Numbers of scratch that {@link #bin} needs. */
    public static final int SCRATCH = LANES * 64;
    private static final int MEASURE_BLOCK = 256;
    /** How many references it works on at a time. */
    static final int BLOCK = SCRATCH / LANES;
    /** Bins of three axes, and as many to spare. */
    public static final int BINS = 6 * MOST_BINS;
    /** Floats that {@link #measure} writes: a box, and the box of its centres. */
    public static final int MEASURES = 2 * LANES;
    /** Added to a number so that its bits are those of an ordinary float. */
    private static final int NUMBER = 0x40000000;
    /** 1.5 · 2²³: added to a float from 0 to 2²² it leaves the nearest integer in the low bits. */
    static final float ROUNDER = 12582912f;
    /** Bits of {@link #ROUNDER}. */
    static final int ROUNDER_BITS = 0x4B400000;

    BoxLoops() {
    }

    /** Returns the reference. */
    public static BoxLoops scalar() {
        return ScalarBoxLoops.INSTANCE;
    }

    /** Returns the vector twin; only where {@link Kernels} found vectors. */
    public static BoxLoops vector() {
        return VectorBoxLoops.INSTANCE;
    }

    /**
     * Writes the references of some triangles, and grows a box by them.
     *
     * @param begin    the first index of {@code triangles} and of the reference
     * @param inoutBox −min xyz, nothing, max xyz, nothing
     */
    public static void refer(float[] positions, int[] corners, int[] triangles, int begin, int end, float[] refs, float[] inoutBox) {
        float lowX = inoutBox[0];
        float lowY = inoutBox[1];
        float lowZ = inoutBox[2];
        float highX = inoutBox[HIGH];
        float highY = inoutBox[HIGH + 1];
        float highZ = inoutBox[HIGH + 2];
        for (int i = begin; i < end; i++) {
            int number = triangles[i];
            int a = 3 * corners[3 * number];
            int b = 3 * corners[3 * number + 1];
            int c = 3 * corners[3 * number + 2];
            int at = FIRST + LANES * i;
            // 0 − x and x + 0 are never −0.
            float x = 0f - Math.min(Math.min(positions[a], positions[b]), positions[c]);
            float y = 0f - Math.min(Math.min(positions[a + 1], positions[b + 1]), positions[c + 1]);
            float z = 0f - Math.min(Math.min(positions[a + 2], positions[b + 2]), positions[c + 2]);
            lowX = Math.max(lowX, x);
            lowY = Math.max(lowY, y);
            lowZ = Math.max(lowZ, z);
            refs[at] = x;
            refs[at + 1] = y;
            refs[at + 2] = z;
            refs[at + 3] = Float.intBitsToFloat(NUMBER + number);
            x = Math.max(Math.max(positions[a], positions[b]), positions[c]) + 0f;
            y = Math.max(Math.max(positions[a + 1], positions[b + 1]), positions[c + 1]) + 0f;
            z = Math.max(Math.max(positions[a + 2], positions[b + 2]), positions[c + 2]) + 0f;
            highX = Math.max(highX, x);
            highY = Math.max(highY, y);
            highZ = Math.max(highZ, z);
            refs[at + HIGH] = x;
            refs[at + HIGH + 1] = y;
            refs[at + HIGH + 2] = z;
            refs[at + HIGH + 3] = 0f;
        }
        inoutBox[0] = lowX;
        inoutBox[1] = lowY;
        inoutBox[2] = lowZ;
        inoutBox[HIGH] = highX;
        inoutBox[HIGH + 1] = highY;
        inoutBox[HIGH + 2] = highZ;
    }

    /** Returns a reference's number. */
    public static int number(float[] refs, int index) {
        return Float.floatToRawIntBits(refs[FIRST + LANES * index + 3]) - NUMBER;
    }

    /** Returns whether a reference lies below a cut: by the operations of {@link #bin}, in their order. */
    private static boolean isBelow(float[] refs, int at, int axis, float scale, float low, float factor, float limit) {
        float centre = refs[at + HIGH + axis] * scale - refs[at + axis] * scale;
        return (centre - low) * factor + ROUNDER < limit;
    }

    /**
     * Moves the references that lie below a cut to the front, in an order that the references alone decide.
     *
     * @param begin  index of the first reference
     * @param low    where the axis' bins begin, see {@link #bin}
     * @param factor bins a unit of centres
     * @param bin    the first bin that is not below
     * @return the index of the first reference that is not below
     */
    public final int part(float[] refs, int begin, int end, int axis, float scale, float low, float factor, int bin) {
        float limit = ROUNDER + bin;
        int i = FIRST + LANES * begin;
        int j = FIRST + LANES * (end - 1);
        while (true) {
            while (i <= j && isBelow(refs, i, axis, scale, low, factor, limit)) {
                i += LANES;
            }
            while (i <= j && !isBelow(refs, j, axis, scale, low, factor, limit)) {
                j -= LANES;
            }
            if (i >= j) {
                return (i - FIRST) / LANES;
            }
            swap(refs, i, j);
            i += LANES;
            j -= LANES;
        }
    }

    /** Swaps references a and b for a count of neighbours each. */
    public final void swapRuns(float[] refs, int a, int b, int count) {
        for (int k = 0; k < count; k++) {
            swap(refs, FIRST + LANES * (a + k), FIRST + LANES * (b + k));
        }
    }

    abstract void swap(float[] refs, int i, int j);

    /**
     * Writes the box of a range of references and the box of their centres, both as −min xyz, anything, max xyz, anything.
     *
     * @param at where to write {@link #MEASURES} floats
     */
    public final void measure(float[] refs, int begin, int end, float scale, float[] dest, int at) {
        Arrays.fill(dest, at, at + MEASURES, Float.NEGATIVE_INFINITY);
        // In short calls: a JVM that has just started finds compiled code at the next call, but would stay in a long loop.
        for (int from = begin; from < end; from += MEASURE_BLOCK) {
            grow(refs, from, Math.min(end, from + MEASURE_BLOCK), scale, dest, at);
        }
    }

    /** Grows what {@link #measure} writes by a range of references. */
    abstract void grow(float[] refs, int begin, int end, float scale, float[] inoutMeasures, int at);

    /**
     * Grows boxes of bins by the references that fall into them, and counts these. The bin of a centre on an axis is (centre − low) · factor, rounded to
     * the nearest integer.
     *
     * @param low    where bins begin, three axes
     * @param factor bins a unit of centres, three axes; 0 puts all into the first bin
     * @shape inoutBins: {@link #BINS} boxes, inoutCounts: as many numbers; the bins of axis i begin at bin i · {@link #MOST_BINS}; the second half is for
     *        the loop's own use, its numbers are 0 before and after
     */
    public abstract void bin(float[] refs, int begin, int end, float scale, float[] low, float[] factor, float[] inoutBins,
            int[] inoutCounts, int[] scratch);

    /**
     * Writes the extents of all unions of bins from an end: of bins 0 … i at i of the first half of {@code dest}, of bins i … binCount − 1 at i of its
     * second half.
     *
     * @shape dest: twice as many boxes as bins are; of a box the first three floats count, which are its extents times the scale
     */
    public abstract void sweep(float[] bins, int firstBin, int binCount, float scale, float[] dest);

    /** Empties some boxes. */
    public static void clear(float[] boxes, int first, int count) {
        Arrays.fill(boxes, LANES * first, LANES * (first + count), Float.NEGATIVE_INFINITY);
    }
}
