package org.estampage.bvh;

/**
 * Points that ask for the nearest point of a surface, as parallel arrays, with room for the answers; the first {@link #size} entries count.
 *
 * @shape triangle −1 means that nothing lies within the limit
 * @units mesh units; barycentrics b1, b2 of corners 1 and 2, b0 = 1 − b1 − b2
 * @edge ties go to the lower triangle number; a point with a NaN finds nothing
 * @threads confined
 */
public final class PointBatch {
    /** Points. */
    public final float[] x;
    /** Points. */
    public final float[] y;
    /** Points. */
    public final float[] z;
    /** How far to look, included; infinity for everywhere. */
    public final float[] limit;
    /** Answer: the triangle, −1 for none. */
    public final int[] triangle;
    /** Answer: barycentric of corner 1. */
    public final float[] b1;
    /** Answer: barycentric of corner 2. */
    public final float[] b2;
    /** Answer: the distance. */
    public final float[] distance;
    /** How many entries count. */
    public int size;

    /** Makes room for {@code capacity} points. */
    public PointBatch(int capacity) {
        x = new float[capacity];
        y = new float[capacity];
        z = new float[capacity];
        limit = new float[capacity];
        triangle = new int[capacity];
        b1 = new float[capacity];
        b2 = new float[capacity];
        distance = new float[capacity];
    }

    /** Returns how many points there is room for. */
    public int capacity() {
        return x.length;
    }

    /**
     * Appends a point.
     *
     * @throws ArrayIndexOutOfBoundsException if there is no room
     */
    public void add(float px, float py, float pz, float within) {
        int i = size;
        x[i] = px;
        y[i] = py;
        z[i] = pz;
        limit[i] = within;
        size = i + 1;
    }
}
