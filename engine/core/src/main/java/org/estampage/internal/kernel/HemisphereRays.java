package org.estampage.internal.kernel;

import java.util.Arrays;

/**
 * The rays of some points' hemispheres on their way to a tracer and back: filled, drawn, traced, summed up, filled again.
 *
 * @threads confined; allocates nothing after construction
 */
final class HemisphereRays {
    final float[] originX;
    final float[] originY;
    final float[] originZ;
    final float[] directionX;
    final float[] directionY;
    final float[] directionZ;
    final float[] tMin;
    final float[] tMax;
    /** Whether each ray met something: the tracer's answer. */
    final boolean[] blocked;
    int size;
    private final int[] owner;
    private final int[] number;
    private final int[] seed;
    private final float[] normalX;
    private final float[] normalY;
    private final float[] normalZ;
    private final float[] direction = new float[3];
    private final boolean vectors;

    HemisphereRays(int capacity, boolean vectors) {
        this.vectors = vectors;
        originX = new float[capacity];
        originY = new float[capacity];
        originZ = new float[capacity];
        directionX = new float[capacity];
        directionY = new float[capacity];
        directionZ = new float[capacity];
        tMin = new float[capacity];
        tMax = new float[capacity];
        blocked = new boolean[capacity];
        owner = new int[capacity];
        number = new int[capacity];
        seed = new int[capacity];
        normalX = new float[capacity];
        normalY = new float[capacity];
        normalZ = new float[capacity];
    }

    /** Starts with no rays; those to come reach so far. */
    void begin(float reach) {
        size = 0;
        Arrays.fill(tMax, reach);
    }

    boolean isFull() {
        return size == owner.length;
    }

    /** Adds the ray from a point along direction {@code i} of a sequence, about a unit normal. */
    void add(int point, int i, int seedOfSequence, float x, float y, float z, float nx, float ny, float nz) {
        int r = size++;
        owner[r] = point;
        number[r] = i;
        seed[r] = seedOfSequence;
        originX[r] = x;
        originY[r] = y;
        originZ[r] = z;
        normalX[r] = nx;
        normalY[r] = ny;
        normalZ[r] = nz;
    }

    /** Draws the directions of all rays. */
    void draw(boolean uniform) {
        if (vectors) {
            VectorDirections.about(size, number, seed, uniform, normalX, normalY, normalZ, directionX, directionY, directionZ, direction);
            return;
        }
        for (int r = 0; r < size; r++) {
            Directions.about(number[r], seed[r], uniform, normalX[r], normalY[r], normalZ[r], direction, 0);
            directionX[r] = direction[0];
            directionY[r] = direction[1];
            directionZ[r] = direction[2];
        }
    }

    /** Adds the open rays to the sums of their points, in the order in which they came, and forgets them. */
    void sumUp(int[] inoutOpen, float[] inoutX, float[] inoutY, float[] inoutZ) {
        for (int r = 0; r < size; r++) {
            // A blocked ray adds +0, which changes no sum that began as +0; there is no branch, which every other ray would mispredict.
            int keep = blocked[r] ? 0 : -1;
            int p = owner[r];
            inoutOpen[p] -= keep;
            inoutX[p] += Float.intBitsToFloat(Float.floatToRawIntBits(directionX[r]) & keep);
            inoutY[p] += Float.intBitsToFloat(Float.floatToRawIntBits(directionY[r]) & keep);
            inoutZ[p] += Float.intBitsToFloat(Float.floatToRawIntBits(directionZ[r]) & keep);
        }
        size = 0;
    }
}
