package org.estampage.bvh;

/**
 * Points that ask how open the half space about a normal is, as parallel arrays, with room for the sums; the first {@link #size} entries count.
 *
 * <p>An entry draws the points {@code first … first + count − 1} of the direction sequence of its {@code seed}; the sequence does not depend on
 * batches or devices. Sums are added in the order of the sequence.
 *
 * @space object space; normals have unit length
 * @threads confined
 */
public final class HemisphereBatch {
    /** Starts of the rays, already off the surface. */
    public final float[] x;
    /** Starts of the rays. */
    public final float[] y;
    /** Starts of the rays. */
    public final float[] z;
    /** Axes of the hemispheres. */
    public final float[] normalX;
    /** Axes of the hemispheres. */
    public final float[] normalY;
    /** Axes of the hemispheres. */
    public final float[] normalZ;
    /** Seeds of the direction sequences. */
    public final int[] seed;
    /** First point of the sequence. */
    public final int[] first;
    /** How many points of the sequence. */
    public final int[] count;
    /** Answer: how many of the rays are open: meet nothing within the reach. */
    public final int[] open;
    /** Answer: sum of the open directions. */
    public final float[] sumX;
    /** Answer: sum of the open directions. */
    public final float[] sumY;
    /** Answer: sum of the open directions. */
    public final float[] sumZ;
    /** Answer of a query about distances: the sum of the blockers' distances; open rays add nothing. */
    public final float[] distance;
    /**
     * Answer of a query about distances: the sum of what blockers at distance t within the reach R count when they fade out smoothly, (1 − (t/R)²)²; each
     * counts 1 where the reach is infinite.
     */
    public final float[] faded;
    /** How many entries count. */
    public int size;

    /** Makes room for {@code capacity} points. */
    public HemisphereBatch(int capacity) {
        x = new float[capacity];
        y = new float[capacity];
        z = new float[capacity];
        normalX = new float[capacity];
        normalY = new float[capacity];
        normalZ = new float[capacity];
        seed = new int[capacity];
        first = new int[capacity];
        count = new int[capacity];
        open = new int[capacity];
        sumX = new float[capacity];
        sumY = new float[capacity];
        sumZ = new float[capacity];
        distance = new float[capacity];
        faded = new float[capacity];
    }

    /** Returns how many points there is room for. */
    public int capacity() {
        return x.length;
    }
}
