package org.estampage.internal.kernel;

import jdk.incubator.vector.FloatVector;
import jdk.incubator.vector.VectorOperators;
import jdk.incubator.vector.VectorShuffle;
import jdk.incubator.vector.VectorSpecies;

/** {@link BoxLoops} with a reference a vector of 8 lanes. */
final class VectorBoxLoops extends BoxLoops {
    static final BoxLoops INSTANCE = new VectorBoxLoops();
    private static final VectorSpecies<Float> BOX = FloatVector.SPECIES_256;
    /** Exchanges the halves. */
    private static final VectorShuffle<Float> TURN = VectorShuffle.fromValues(BOX, 4, 5, 6, 7, 0, 1, 2, 3);
    /** {@link #ROUNDER} with each axis' first bin. */
    private static final float[] ROUNDERS = {0, 0, 0, 0, ROUNDER, ROUNDER + MOST_BINS, ROUNDER + 2 * MOST_BINS, 0};

    private VectorBoxLoops() {
    }

    /** The greater one, lane by lane. {@code max} of the Vector API costs more, for NaN and −0, which don't occur. */
    private static FloatVector greater(FloatVector a, FloatVector b) {
        return a.blend(b, a.compare(VectorOperators.LT, b));
    }

    @Override
    void swap(float[] refs, int i, int j) {
        FloatVector a = FloatVector.fromArray(BOX, refs, i);
        FloatVector b = FloatVector.fromArray(BOX, refs, j);
        b.intoArray(refs, i);
        a.intoArray(refs, j);
    }

    @Override
    public void measure(float[] refs, int begin, int end, float scale, float[] dest, int at) {
        // Two of each, so that one maximum need not wait for the one before.
        FloatVector box = FloatVector.broadcast(BOX, Float.NEGATIVE_INFINITY);
        FloatVector box2 = box;
        FloatVector centres = box;
        FloatVector centres2 = box;
        FloatVector s = FloatVector.broadcast(BOX, scale);
        int last = LANES * (end - 1);
        int r = LANES * begin;
        for (; r < last; r += 2 * LANES) {
            FloatVector v = FloatVector.fromArray(BOX, refs, r);
            FloatVector w = FloatVector.fromArray(BOX, refs, r + LANES);
            box = greater(box, v);
            box2 = greater(box2, w);
            v = v.mul(s);
            w = w.mul(s);
            centres = greater(centres, v.sub(v.rearrange(TURN)));
            centres2 = greater(centres2, w.sub(w.rearrange(TURN)));
        }
        if (r == last) {
            FloatVector v = FloatVector.fromArray(BOX, refs, r);
            box = greater(box, v);
            v = v.mul(s);
            centres = greater(centres, v.sub(v.rearrange(TURN)));
        }
        greater(box, box2).intoArray(dest, at);
        greater(centres, centres2).intoArray(dest, at + LANES);
    }

    @Override
    public void bin(float[] refs, int begin, int end, float scale, float[] low, float[] factor, float[] inoutBins, int[] inoutCounts) {
        int[] bins = new int[LANES];
        FloatVector s = FloatVector.broadcast(BOX, scale);
        FloatVector l = FloatVector.fromArray(BOX, new float[] {0, 0, 0, 0, low[0], low[1], low[2], 0}, 0);
        FloatVector f = FloatVector.fromArray(BOX, new float[] {0, 0, 0, 0, factor[0], factor[1], factor[2], 0}, 0);
        FloatVector rounder = FloatVector.fromArray(BOX, ROUNDERS, 0);
        for (int r = LANES * begin; r < LANES * end; r += LANES) {
            FloatVector v = FloatVector.fromArray(BOX, refs, r);
            FloatVector t = v.mul(s);
            t.sub(t.rearrange(TURN)).sub(l).mul(f).add(rounder).reinterpretAsInts().intoArray(bins, 0);
            int x = bins[HIGH] - ROUNDER_BITS;
            int y = bins[HIGH + 1] - ROUNDER_BITS;
            int z = bins[HIGH + 2] - ROUNDER_BITS;
            inoutCounts[x]++;
            inoutCounts[y]++;
            inoutCounts[z]++;
            greater(FloatVector.fromArray(BOX, inoutBins, LANES * x), v).intoArray(inoutBins, LANES * x);
            greater(FloatVector.fromArray(BOX, inoutBins, LANES * y), v).intoArray(inoutBins, LANES * y);
            greater(FloatVector.fromArray(BOX, inoutBins, LANES * z), v).intoArray(inoutBins, LANES * z);
        }
    }

    @Override
    public void sweep(float[] bins, int firstBin, int binCount, float scale, float[] dest) {
        FloatVector s = FloatVector.broadcast(BOX, scale);
        FloatVector left = FloatVector.broadcast(BOX, Float.NEGATIVE_INFINITY);
        FloatVector right = left;
        int up = LANES * firstBin;
        int down = LANES * (firstBin + binCount - 1);
        int half = LANES * MOST_BINS;
        for (int i = 0; i < LANES * binCount; i += LANES) {
            left = greater(left, FloatVector.fromArray(BOX, bins, up + i));
            right = greater(right, FloatVector.fromArray(BOX, bins, down - i));
            FloatVector l = left.mul(s);
            FloatVector r = right.mul(s);
            l.add(l.rearrange(TURN)).intoArray(dest, i);
            r.add(r.rearrange(TURN)).intoArray(dest, half + down - LANES * firstBin - i);
        }
    }
}
