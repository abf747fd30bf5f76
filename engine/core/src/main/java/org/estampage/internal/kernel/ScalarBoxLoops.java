package org.estampage.internal.kernel;

/** {@link BoxLoops} in plain code: the reference. */
final class ScalarBoxLoops extends BoxLoops {
    static final BoxLoops INSTANCE = new ScalarBoxLoops();

    private ScalarBoxLoops() {
    }

    @Override
    void swap(float[] refs, int i, int j) {
        for (int k = 0; k < LANES; k++) {
            float f = refs[i + k];
            refs[i + k] = refs[j + k];
            refs[j + k] = f;
        }
    }

    @Override
    void grow(float[] refs, int begin, int end, float scale, float[] inoutMeasures, int at) {
        int centres = at + LANES;
        float lowX = inoutMeasures[at];
        float lowY = inoutMeasures[at + 1];
        float lowZ = inoutMeasures[at + 2];
        float highX = inoutMeasures[at + HIGH];
        float highY = inoutMeasures[at + HIGH + 1];
        float highZ = inoutMeasures[at + HIGH + 2];
        float leastX = inoutMeasures[centres];
        float leastY = inoutMeasures[centres + 1];
        float leastZ = inoutMeasures[centres + 2];
        float mostX = inoutMeasures[centres + HIGH];
        float mostY = inoutMeasures[centres + HIGH + 1];
        float mostZ = inoutMeasures[centres + HIGH + 2];
        for (int r = FIRST + LANES * begin; r < FIRST + LANES * end; r += LANES) {
            float lx = refs[r];
            float ly = refs[r + 1];
            float lz = refs[r + 2];
            float hx = refs[r + HIGH];
            float hy = refs[r + HIGH + 1];
            float hz = refs[r + HIGH + 2];
            lowX = Math.max(lowX, lx);
            lowY = Math.max(lowY, ly);
            lowZ = Math.max(lowZ, lz);
            highX = Math.max(highX, hx);
            highY = Math.max(highY, hy);
            highZ = Math.max(highZ, hz);
            leastX = Math.max(leastX, lx * scale - hx * scale);
            leastY = Math.max(leastY, ly * scale - hy * scale);
            leastZ = Math.max(leastZ, lz * scale - hz * scale);
            mostX = Math.max(mostX, hx * scale - lx * scale);
            mostY = Math.max(mostY, hy * scale - ly * scale);
            mostZ = Math.max(mostZ, hz * scale - lz * scale);
        }
        put(inoutMeasures, at, lowX, lowY, lowZ);
        put(inoutMeasures, at + HIGH, highX, highY, highZ);
        put(inoutMeasures, centres, leastX, leastY, leastZ);
        put(inoutMeasures, centres + HIGH, mostX, mostY, mostZ);
    }

    private static void put(float[] dest, int at, float x, float y, float z) {
        dest[at] = x;
        dest[at + 1] = y;
        dest[at + 2] = z;
    }

    @Override
    public void bin(float[] refs, int begin, int end, float scale, float[] low, float[] factor, float[] inoutBins, int[] inoutCounts,
            int[] scratch) {
        float lowX = low[0];
        float lowY = low[1];
        float lowZ = low[2];
        float factorX = factor[0];
        float factorY = factor[1];
        float factorZ = factor[2];
        for (int r = FIRST + LANES * begin; r < FIRST + LANES * end; r += LANES) {
            float lx = refs[r];
            float ly = refs[r + 1];
            float lz = refs[r + 2];
            float hx = refs[r + HIGH];
            float hy = refs[r + HIGH + 1];
            float hz = refs[r + HIGH + 2];
            int x = round((hx * scale - lx * scale - lowX) * factorX);
            int y = round((hy * scale - ly * scale - lowY) * factorY) + MOST_BINS;
            int z = round((hz * scale - lz * scale - lowZ) * factorZ) + 2 * MOST_BINS;
            inoutCounts[x]++;
            inoutCounts[y]++;
            inoutCounts[z]++;
            grow(inoutBins, LANES * x, lx, ly, lz, hx, hy, hz);
            grow(inoutBins, LANES * y, lx, ly, lz, hx, hy, hz);
            grow(inoutBins, LANES * z, lx, ly, lz, hx, hy, hz);
        }
    }

    private static int round(float f) {
        return Float.floatToRawIntBits(f + ROUNDER) - ROUNDER_BITS;
    }

    private static void grow(float[] box, int at, float lx, float ly, float lz, float hx, float hy, float hz) {
        box[at] = Math.max(box[at], lx);
        box[at + 1] = Math.max(box[at + 1], ly);
        box[at + 2] = Math.max(box[at + 2], lz);
        box[at + HIGH] = Math.max(box[at + HIGH], hx);
        box[at + HIGH + 1] = Math.max(box[at + HIGH + 1], hy);
        box[at + HIGH + 2] = Math.max(box[at + HIGH + 2], hz);
    }

    @Override
    public void sweep(float[] bins, int firstBin, int binCount, float scale, float[] dest) {
        int half = LANES * MOST_BINS;
        sweep(bins, LANES * firstBin, LANES, binCount, scale, dest, 0);
        sweep(bins, LANES * (firstBin + binCount - 1), -LANES, binCount, scale, dest, half + LANES * (binCount - 1));
    }

    private static void sweep(float[] bins, int from, int step, int binCount, float scale, float[] dest, int to) {
        float lx = Float.NEGATIVE_INFINITY;
        float ly = lx;
        float lz = lx;
        float hx = lx;
        float hy = lx;
        float hz = lx;
        int b = from;
        int d = to;
        for (int i = 0; i < binCount; i++) {
            lx = Math.max(lx, bins[b]);
            ly = Math.max(ly, bins[b + 1]);
            lz = Math.max(lz, bins[b + 2]);
            hx = Math.max(hx, bins[b + HIGH]);
            hy = Math.max(hy, bins[b + HIGH + 1]);
            hz = Math.max(hz, bins[b + HIGH + 2]);
            put(dest, d, hx * scale + lx * scale, hy * scale + ly * scale, hz * scale + lz * scale);
            b += step;
            d += step;
        }
    }
}
