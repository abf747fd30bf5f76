package org.estampage.mesh;

/**
 * An axis-aligned box, in mesh units; the ends belong to it.
 *
 * @param minX the least x
 * @param minY the least y
 * @param minZ the least z
 * @param maxX the greatest x
 * @param maxY the greatest y
 * @param maxZ the greatest z
 * @edge of nothing, the box is empty: minimum +∞, maximum −∞
 * @threads immutable
 */
public record Bounds(float minX, float minY, float minZ, float maxX, float maxY, float maxZ) {
    /** The box of nothing. */
    public static final Bounds EMPTY = new Bounds(Float.POSITIVE_INFINITY, Float.POSITIVE_INFINITY, Float.POSITIVE_INFINITY,
            Float.NEGATIVE_INFINITY, Float.NEGATIVE_INFINITY, Float.NEGATIVE_INFINITY);

    /** Returns the box of points xyz interleaved; points with a NaN are passed over. */
    public static Bounds of(float[] xyz) {
        float x0 = Float.POSITIVE_INFINITY, y0 = x0, z0 = x0, x1 = -x0, y1 = -x0, z1 = -x0;
        for (int i = 0; i < xyz.length; i += 3) {
            float x = xyz[i], y = xyz[i + 1], z = xyz[i + 2];
            if (Float.isNaN(x) || Float.isNaN(y) || Float.isNaN(z)) {
                continue;
            }
            x0 = Math.min(x0, x);
            y0 = Math.min(y0, y);
            z0 = Math.min(z0, z);
            x1 = Math.max(x1, x);
            y1 = Math.max(y1, y);
            z1 = Math.max(z1, z);
        }
        return new Bounds(x0, y0, z0, x1, y1, z1);
    }

    /** Returns the smallest box around all of some meshes; of none, {@link #EMPTY}. */
    public static Bounds around(Iterable<Mesh> meshes) {
        Bounds all = EMPTY;
        for (Mesh mesh : meshes) {
            all = all.union(mesh.bounds());
        }
        return all;
    }

    /** Returns whether nothing is in it. */
    public boolean isEmpty() {
        return minX > maxX;
    }

    /** Returns the smallest box around both. */
    public Bounds union(Bounds o) {
        return new Bounds(Math.min(minX, o.minX), Math.min(minY, o.minY), Math.min(minZ, o.minZ), Math.max(maxX, o.maxX),
                Math.max(maxY, o.maxY), Math.max(maxZ, o.maxZ));
    }

    /** Returns the low end along an axis. */
    public float min(Axis axis) {
        return switch (axis) {
            case X -> minX;
            case Y -> minY;
            case Z -> minZ;
        };
    }

    /** Returns the high end along an axis. */
    public float max(Axis axis) {
        return switch (axis) {
            case X -> maxX;
            case Y -> maxY;
            case Z -> maxZ;
        };
    }

    /** Returns the middle, xyz; NaN when empty. */
    public double[] middle() {
        return new double[] {0.5 * ((double) minX + maxX), 0.5 * ((double) minY + maxY), 0.5 * ((double) minZ + maxZ)};
    }

    /** Returns the length of the longest side; 0 when empty. */
    public double longestSide() {
        return isEmpty() ? 0 : Math.max((double) maxX - minX, Math.max((double) maxY - minY, (double) maxZ - minZ));
    }

    /** Returns the length of the diagonal; 0 when empty. */
    public double diagonal() {
        if (isEmpty()) {
            return 0;
        }
        double x = (double) maxX - minX, y = (double) maxY - minY, z = (double) maxZ - minZ;
        return Math.sqrt(x * x + y * y + z * z);
    }
}
