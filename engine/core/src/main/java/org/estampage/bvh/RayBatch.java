package org.estampage.bvh;

/**
 * Rays as parallel arrays. The fields are public because kernels read and callers fill them directly; the first {@link #size} entries count.
 *
 * <p>A ray is origin + t · direction for t in (tMin, tMax]: a hit exactly at tMin does not count, one exactly at tMax does. Directions need not
 * have unit length; t is in multiples of the direction.
 *
 * @edge a ray with a NaN, a zero direction or tMax ≤ tMin hits nothing
 * @threads confined
 */
public final class RayBatch {
    /** Origins, in mesh units. */
    public final float[] originX;
    /** Origins, in mesh units. */
    public final float[] originY;
    /** Origins, in mesh units. */
    public final float[] originZ;
    /** Directions. */
    public final float[] directionX;
    /** Directions. */
    public final float[] directionY;
    /** Directions. */
    public final float[] directionZ;
    /** Lower ends, not included; at least 0. */
    public final float[] tMin;
    /** Upper ends, included. */
    public final float[] tMax;
    /** How many entries count. */
    public int size;

    /** Makes room for {@code capacity} rays. */
    public RayBatch(int capacity) {
        originX = new float[capacity];
        originY = new float[capacity];
        originZ = new float[capacity];
        directionX = new float[capacity];
        directionY = new float[capacity];
        directionZ = new float[capacity];
        tMin = new float[capacity];
        tMax = new float[capacity];
    }

    /** Returns how many rays there is room for. */
    public int capacity() {
        return originX.length;
    }

    /**
     * Appends a ray.
     *
     * @throws ArrayIndexOutOfBoundsException if there is no room
     */
    public void add(float ox, float oy, float oz, float dx, float dy, float dz, float near, float far) {
        int i = size;
        originX[i] = ox;
        originY[i] = oy;
        originZ[i] = oz;
        directionX[i] = dx;
        directionY[i] = dy;
        directionZ[i] = dz;
        tMin[i] = near;
        tMax[i] = far;
        size = i + 1;
    }
}
