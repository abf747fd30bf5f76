package org.estampage.internal.kernel;

/**
 * Where rays that leave a surface start: off the hit triangle's plane by a distance that does not depend on the scale of the scene.
 *
 * <p>The distance has two parts. 8 · 2⁻²³ times the largest coordinate, by magnitude, of the triangle's three corners on all three axes: eight units in
 * the last place of the numbers that the point was computed from; measured on closed meshes of small triangles: factor 2 still let rays through, 4 did
 * not. And 16 · 2⁻²³ times the largest difference of a coordinate between a corner and the point, which matters where triangles are as large as the
 * coordinates: the triangle test moves corners to the ray's origin and shears them, so with e = 2⁻²⁴ and M that difference its sheared corners are off by
 * 6·e·M on two axes and its t by another 8·e·M. It may see the plane up to 16·e·M away from where it is, and finds the ray's own triangle again within
 * that; twice that is taken, since the offset is measured along the normal and the error along the ray.
 */
public final class RayStart {
    private static final double COORDINATE_FACTOR = 8 * 0x1p-23;
    private static final double EXTENT_FACTOR = 16 * 0x1p-23;

    private RayStart() {
    }

    /**
     * Writes the start of rays that leave a point of a triangle on its outer side.
     *
     * @param positions xyz interleaved
     * @param indices   three vertex numbers a triangle
     * @param point     the point's xyz at {@code at}
     * @param dest      xyz
     * @edge a triangle without area: the point itself
     */
    public static void outside(float[] positions, int[] indices, int triangle, float[] point, int at, float[] dest) {
        write(positions, indices, triangle, point, at, 1, dest);
    }

    /** Writes the start of rays that leave a point of a triangle on its inner side. */
    public static void inside(float[] positions, int[] indices, int triangle, float[] point, int at, float[] dest) {
        write(positions, indices, triangle, point, at, -1, dest);
    }

    private static void write(float[] p, int[] indices, int triangle, float[] point, int at, int side, float[] dest) {
        int a = 3 * indices[3 * triangle], b = 3 * indices[3 * triangle + 1], c = 3 * indices[3 * triangle + 2];
        double ux = (double) p[b] - p[a], uy = (double) p[b + 1] - p[a + 1], uz = (double) p[b + 2] - p[a + 2];
        double vx = (double) p[c] - p[a], vy = (double) p[c + 1] - p[a + 1], vz = (double) p[c + 2] - p[a + 2];
        double nx = uy * vz - uz * vy, ny = uz * vx - ux * vz, nz = ux * vy - uy * vx;
        double length = Math.sqrt(nx * nx + ny * ny + nz * nz);
        float largest = 0;
        float extent = 0;
        for (int k = 0; k < 3; k++) {
            float o = point[at + k];
            largest = Math.max(largest, Math.max(Math.abs(p[a + k]), Math.max(Math.abs(p[b + k]), Math.abs(p[c + k]))));
            extent = Math.max(extent, Math.max(Math.abs(p[a + k] - o), Math.max(Math.abs(p[b + k] - o), Math.abs(p[c + k] - o))));
        }
        double step = length > 0 ? side * (COORDINATE_FACTOR * largest + EXTENT_FACTOR * extent) / length : 0;
        dest[0] = (float) (point[at] + nx * step);
        dest[1] = (float) (point[at + 1] + ny * step);
        dest[2] = (float) (point[at + 2] + nz * step);
    }
}
