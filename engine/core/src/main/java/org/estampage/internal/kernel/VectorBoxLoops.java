package org.estampage.internal.kernel;

import static jdk.incubator.vector.VectorOperators.LT;

import jdk.incubator.vector.FloatVector;
import jdk.incubator.vector.VectorShuffle;
import jdk.incubator.vector.VectorSpecies;

/**
 * {@link BoxLoops} with a reference a vector of 8 lanes.
 *
 * <p>The greater of two is written a.blend(b, a.compare(LT, b)): {@code max} costs more, for NaN and −0, which don't occur. And it is written out each
 * time: in a method of its own the compiler inlines it only as long as the whole is small, and vectors that meet a call are allocated.
 */
final class VectorBoxLoops extends BoxLoops {
    static final BoxLoops INSTANCE = new VectorBoxLoops();
    private static final VectorSpecies<Float> BOX = FloatVector.SPECIES_256;
    /** Exchanges the halves. */
    private static final VectorShuffle<Float> TURN = VectorShuffle.fromValues(BOX, 4, 5, 6, 7, 0, 1, 2, 3);
    /** {@link #ROUNDER} with each axis' first bin. */
    private static final float[] ROUNDERS = {0, 0, 0, 0, ROUNDER, ROUNDER + MOST_BINS, ROUNDER + 2 * MOST_BINS, 0};

    /** Where spare bins begin. */
    private static final int SPARE = BINS / 2;
    /** From how many references on emptying and merging the spare bins costs less than it saves. */
    private static final int WORTH_SPARE_BINS = 64;

    private VectorBoxLoops() {
    }

    @Override
    void swap(float[] refs, int i, int j) {
        FloatVector a = FloatVector.fromArray(BOX, refs, i);
        FloatVector b = FloatVector.fromArray(BOX, refs, j);
        b.intoArray(refs, i);
        a.intoArray(refs, j);
    }

    @Override
    void grow(float[] refs, int begin, int end, float scale, float[] inoutMeasures, int at) {
        // From both ends, so that one maximum need not wait for the one before; the reference in the middle counts twice. Each starts with a vector of
        // its own, and nothing follows the loop: otherwise the compiler was seen to allocate them in every pass.
        FloatVector box = FloatVector.fromArray(BOX, inoutMeasures, at);
        FloatVector box2 = FloatVector.broadcast(BOX, Float.NEGATIVE_INFINITY);
        FloatVector centres = FloatVector.fromArray(BOX, inoutMeasures, at + LANES);
        FloatVector centres2 = FloatVector.broadcast(BOX, Float.NEGATIVE_INFINITY);
        FloatVector s = FloatVector.broadcast(BOX, scale);
        for (int r = FIRST + LANES * begin, q = FIRST + LANES * (end - 1); r <= q; r += LANES, q -= LANES) {
            FloatVector v = FloatVector.fromArray(BOX, refs, r);
            FloatVector w = FloatVector.fromArray(BOX, refs, q);
            FloatVector sv = v.mul(s);
            FloatVector sw = w.mul(s);
            box = box.blend(v, box.compare(LT, v));
            box2 = box2.blend(w, box2.compare(LT, w));
            FloatVector cv = sv.sub(sv.rearrange(TURN));
            FloatVector cw = sw.sub(sw.rearrange(TURN));
            centres = centres.blend(cv, centres.compare(LT, cv));
            centres2 = centres2.blend(cw, centres2.compare(LT, cw));
        }
        box.blend(box2, box.compare(LT, box2)).intoArray(inoutMeasures, at);
        centres.blend(centres2, centres.compare(LT, centres2)).intoArray(inoutMeasures, at + LANES);
    }

    // In three loops: one with all that would be too much for the compiler to inline, and what is not inlined allocates its vectors.
    @Override
    public void bin(float[] refs, int begin, int end, float scale, float[] low, float[] factor, float[] inoutBins, int[] inoutCounts,
            int[] scratch) {
        boolean spare = end - begin >= WORTH_SPARE_BINS;
        int second = spare ? SPARE : 0;
        if (spare) {
            clear(inoutBins, SPARE, SPARE);
        }
        for (int from = begin; from < end; from += BLOCK) {
            int count = Math.min(BLOCK, end - from);
            int at = FIRST + LANES * from;
            place(refs, at, count, scale, low, factor, scratch);
            fill(refs, at, count, scratch, second, inoutBins, inoutCounts);
        }
        if (spare) {
            merge(inoutBins, inoutCounts);
        }
    }

    /** Writes the bins of some references into the upper half of 8 numbers each. */
    private static void place(float[] refs, int at, int count, float scale, float[] low, float[] factor, int[] dest) {
        FloatVector s = FloatVector.broadcast(BOX, scale);
        FloatVector l = FloatVector.zero(BOX).withLane(HIGH, low[0]).withLane(HIGH + 1, low[1]).withLane(HIGH + 2, low[2]);
        FloatVector f = FloatVector.zero(BOX).withLane(HIGH, factor[0]).withLane(HIGH + 1, factor[1]).withLane(HIGH + 2, factor[2]);
        FloatVector rounder = FloatVector.fromArray(BOX, ROUNDERS, 0);
        for (int i = 0; i < LANES * count; i += LANES) {
            FloatVector v = FloatVector.fromArray(BOX, refs, at + i).mul(s);
            v.sub(v.rearrange(TURN)).sub(l).mul(f).add(rounder).reinterpretAsInts().intoArray(dest, i);
        }
    }

    /**
     * Grows bins by references. Neighbours mostly fall into the same bin: every other reference goes to bins of its own, so that one need not wait for
     * the one before.
     *
     * @param second where the bins of every other reference begin
     */
    private static void fill(float[] refs, int at, int count, int[] places, int second, float[] inoutBins, int[] inoutCounts) {
        for (int i = 0; i < LANES * count; i += LANES) {
            int to = (i & LANES) == 0 ? 0 : second;
            FloatVector v = FloatVector.fromArray(BOX, refs, at + i);
            int x = places[i + HIGH] - ROUNDER_BITS + to;
            int y = places[i + HIGH + 1] - ROUNDER_BITS + to;
            int z = places[i + HIGH + 2] - ROUNDER_BITS + to;
            inoutCounts[x]++;
            inoutCounts[y]++;
            inoutCounts[z]++;
            FloatVector bX = FloatVector.fromArray(BOX, inoutBins, LANES * x);
            bX.blend(v, bX.compare(LT, v)).intoArray(inoutBins, LANES * x);
            FloatVector bY = FloatVector.fromArray(BOX, inoutBins, LANES * y);
            bY.blend(v, bY.compare(LT, v)).intoArray(inoutBins, LANES * y);
            FloatVector bZ = FloatVector.fromArray(BOX, inoutBins, LANES * z);
            bZ.blend(v, bZ.compare(LT, v)).intoArray(inoutBins, LANES * z);
        }
    }

    private static void merge(float[] inoutBins, int[] inoutCounts) {
        for (int i = 0; i < SPARE; i++) {
            inoutCounts[i] += inoutCounts[SPARE + i];
            inoutCounts[SPARE + i] = 0;
            FloatVector a = FloatVector.fromArray(BOX, inoutBins, LANES * i);
            FloatVector b = FloatVector.fromArray(BOX, inoutBins, LANES * (SPARE + i));
            a.blend(b, a.compare(LT, b)).intoArray(inoutBins, LANES * i);
        }
    }

    @Override
    public void sweep(float[] bins, int firstBin, int binCount, float scale, float[] dest) {
        FloatVector s = FloatVector.broadcast(BOX, scale);
        FloatVector left = FloatVector.broadcast(BOX, Float.NEGATIVE_INFINITY);
        FloatVector right = FloatVector.broadcast(BOX, Float.NEGATIVE_INFINITY);
        int up = LANES * firstBin;
        int down = LANES * (firstBin + binCount - 1);
        int half = LANES * MOST_BINS;
        for (int i = 0; i < LANES * binCount; i += LANES) {
            FloatVector a = FloatVector.fromArray(BOX, bins, up + i);
            FloatVector b = FloatVector.fromArray(BOX, bins, down - i);
            left = left.blend(a, left.compare(LT, a));
            right = right.blend(b, right.compare(LT, b));
            FloatVector l = left.mul(s);
            FloatVector r = right.mul(s);
            l.add(l.rearrange(TURN)).intoArray(dest, i);
            r.add(r.rearrange(TURN)).intoArray(dest, half + down - LANES * firstBin - i);
        }
    }
}
