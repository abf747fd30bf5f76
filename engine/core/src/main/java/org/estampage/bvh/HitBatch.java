package org.estampage.bvh;

/**
 * Closest hits as parallel arrays; entry i answers ray i.
 *
 * @shape triangle −1 means no hit, the other values of that entry are then undefined
 * @units t in multiples of the ray's direction; barycentrics b1, b2 of corners 1 and 2, b0 = 1 − b1 − b2
 * @threads confined
 */
public final class HitBatch {
    /** Distances. */
    public final float[] t;
    /** Barycentric of corner 1. */
    public final float[] b1;
    /** Barycentric of corner 2. */
    public final float[] b2;
    /** Triangle numbers of the mesh, −1 for no hit. */
    public final int[] triangle;

    /** Makes room for {@code capacity} hits. */
    public HitBatch(int capacity) {
        t = new float[capacity];
        b1 = new float[capacity];
        b2 = new float[capacity];
        triangle = new int[capacity];
    }

    /** Returns how many hits there is room for. */
    public int capacity() {
        return t.length;
    }
}
