package org.estampage.internal.kernel;

/** Properties of single triangles. */
public final class Triangles {
    private Triangles() {
    }

    /**
     * Returns whether a triangle takes part in queries: its coordinates are finite and its area is not zero.
     *
     * @param a where corner 0 starts in {@code v}; {@code b} and {@code c} likewise
     * @edge area: the cross product in double precision; it is exactly zero for corners in one line, and for areas lost in the 53rd bit of its products
     */
    public static boolean takesPart(float[] v, int a, int b, int c) {
        double ux = (double) v[b] - v[a];
        double uy = (double) v[b + 1] - v[a + 1];
        double uz = (double) v[b + 2] - v[a + 2];
        double wx = (double) v[c] - v[a];
        double wy = (double) v[c + 1] - v[a + 1];
        double wz = (double) v[c + 2] - v[a + 2];
        double nx = uy * wz - uz * wy;
        double ny = uz * wx - ux * wz;
        double nz = ux * wy - uy * wx;
        // Floats are at most 3.5e38, so that their products stay finite in double: only a NaN or infinity among them makes this NaN or infinite.
        return Math.abs(nx) + Math.abs(ny) + Math.abs(nz) > 0 && allFinite(v, a) && allFinite(v, b) && allFinite(v, c);
    }

    private static boolean allFinite(float[] v, int at) {
        return Float.isFinite(v[at]) && Float.isFinite(v[at + 1]) && Float.isFinite(v[at + 2]);
    }
}
