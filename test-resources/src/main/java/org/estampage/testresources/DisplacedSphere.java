package org.estampage.testresources;

import java.util.Arrays;

/**
 * A star-shaped surface with an exact radius and an exact normal in every direction, and low polys that make a bake of it exactly predictable.
 *
 * <p>x(w) = r(w) · w over unit directions w, with r(w) = 1 + Σ aᵢ · exp(kᵢ · (w · cᵢ − 1)) and the normal along r · w − ∇r, ∇r = Σ aᵢ kᵢ eᵢ (cᵢ −
 * (cᵢ · w) w). A low poly has its
 * vertices on the unit sphere with the position as the normal, so the interpolated normal at a facet's point p points along p: the ray through p is
 * radial, the object-space normal to expect is {@link #normal} of w = p/|p|, the height r(w) − |p|. The table {@code displaced-sphere.csv} holds both
 * for ten directions.
 *
 * @space object space; the centre is the origin
 * @units mesh units; radii within 0.95 … 1.081
 * @threads stateless
 */
public final class DisplacedSphere {
    /** The largest |r − 1|: the first bump's height with 1e-4 to spare for its neighbours' tails. */
    public static final double LARGEST_DISPLACEMENT = 0.0801;

    /** Height, sharpness and centre of each bump. */
    private static final double[][] BUMPS = {{0.08, 20, 0.6, 0, 0.8}, {-0.05, 40, 0, 1, 0}, {0.03, 120, -0.48, 0.64, 0.6}};

    /** Cube sides as right and up directions; outwards is right × up. */
    private static final int[][] SIDES = {{0, 0, -1, 0, 1, 0}, {0, 0, 1, 0, 1, 0}, {1, 0, 0, 0, 0, -1}, {1, 0, 0, 0, 0, 1},
            {1, 0, 0, 0, 1, 0},
            {-1, 0, 0, 0, 1, 0}};

    private DisplacedSphere() {
    }

    /** Returns the radius along a unit direction. */
    public static double radius(double wx, double wy, double wz) {
        double r = 1;
        for (double[] bump : BUMPS) {
            r += bump[0] * StrictMath.exp(bump[1] * (wx * bump[2] + wy * bump[3] + wz * bump[4] - 1));
        }
        return r;
    }

    /**
     * Writes the unit normal of the surface along a unit direction.
     *
     * @param dest three values
     */
    public static void normal(double wx, double wy, double wz, double[] dest) {
        double r = 1;
        double gx = 0;
        double gy = 0;
        double gz = 0;
        for (double[] bump : BUMPS) {
            double cosine = wx * bump[2] + wy * bump[3] + wz * bump[4];
            double e = bump[0] * StrictMath.exp(bump[1] * (cosine - 1));
            r += e;
            gx += bump[1] * e * (bump[2] - cosine * wx);
            gy += bump[1] * e * (bump[3] - cosine * wy);
            gz += bump[1] * e * (bump[4] - cosine * wz);
        }
        double nx = r * wx - gx;
        double ny = r * wy - gy;
        double nz = r * wz - gz;
        double length = Math.sqrt(nx * nx + ny * ny + nz * nz);
        dest[0] = nx / length;
        dest[1] = ny / length;
        dest[2] = nz / length;
    }

    /** Returns the surface as an evenly cut icosahedron of about {@code triangles} triangles, with the exact normals. */
    public static Shape highPoly(int triangles) {
        if (triangles < 20) {
            throw new IllegalArgumentException("triangles: " + triangles + " must be 20 or more");
        }
        Shape sphere = SphereGrids.icosphere((int) Math.round(Math.sqrt(triangles / 20.0)));
        float[] p = sphere.positions();
        float[] n = new float[p.length];
        double[] normal = new double[3];
        for (int v = 0; v < sphere.vertexCount(); v++) {
            double x = p[3 * v];
            double y = p[3 * v + 1];
            double z = p[3 * v + 2];
            double length = Math.sqrt(x * x + y * y + z * z);
            double r = radius(x / length, y / length, z / length);
            normal(x / length, y / length, z / length, normal);
            Shapes.set(p, v, r * x / length, r * y / length, r * z / length);
            Shapes.set(n, v, normal[0], normal[1], normal[2]);
        }
        return new Shape(p, sphere.triangles()).withNormals(n);
    }

    /**
     * Returns a low poly: a cube's grid pushed onto the unit sphere, closed and without split vertices, every side of the cube a chart of its own,
     * six
     * squares in two rows of three.
     *
     * @param cells  cells along a cube's edge; 12 · cells² triangles
     * @param gutter gap between charts in UV units, half of it along the border; 0 … 0.2
     */
    public static Shape lowPoly(int cells, double gutter) {
        if (cells < 1 || cells > 400) {
            throw new IllegalArgumentException("cells: " + cells + " must be 1 … 400");
        }
        if (!(gutter >= 0 && gutter <= 0.2)) {
            throw new IllegalArgumentException("gutter: " + gutter + " must be 0 … 0.2");
        }
        int side = cells + 1;
        int[] vertexAt = new int[side * side * side];
        Arrays.fill(vertexAt, -1);
        float[] p = new float[3 * (6 * cells * cells + 2)];
        float[] uv = new float[2 * 6 * side * side];
        int[] t = new int[36 * cells * cells];
        int[] uvT = new int[t.length];
        int[] corner = new int[side * side];
        int vertices = 0;
        int at = 0;
        double chart = 1.0 / 3 - gutter;
        for (int f = 0; f < 6; f++) {
            int[] s = SIDES[f];
            int[] out = {s[1] * s[5] - s[2] * s[4], s[2] * s[3] - s[0] * s[5], s[0] * s[4] - s[1] * s[3]};
            int column = f % 3;
            int row = f / 3;
            for (int j = 0; j <= cells; j++) {
                for (int i = 0; i <= cells; i++) {
                    // Twice the cell number, counted from the middle, so that all is whole.
                    int a = 2 * i - cells;
                    int b = 2 * j - cells;
                    int x = a * s[0] + b * s[3] + cells * out[0];
                    int y = a * s[1] + b * s[4] + cells * out[1];
                    int z = a * s[2] + b * s[5] + cells * out[2];
                    int place = ((x + cells) / 2 * side + (y + cells) / 2) * side + (z + cells) / 2;
                    if (vertexAt[place] < 0) {
                        double length = Math.sqrt((double) x * x + (double) y * y + (double) z * z);
                        Shapes.set(p, vertices, x / length, y / length, z / length);
                        vertexAt[place] = vertices++;
                    }
                    int local = j * side + i;
                    corner[local] = vertexAt[place];
                    int texel = f * side * side + local;
                    uv[2 * texel] = (float) (column / 3.0 + gutter / 2 + chart * i / cells);
                    uv[2 * texel + 1] = (float) (row / 2.0 + gutter / 2 + chart * j / cells);
                }
            }
            for (int j = 0; j < cells; j++) {
                for (int i = 0; i < cells; i++) {
                    int v = j * side + i;
                    for (int local : new int[] {v, v + 1, v + side + 1, v, v + side + 1, v + side}) {
                        t[at] = corner[local];
                        uvT[at++] = f * side * side + local;
                    }
                }
            }
        }
        return new Shape(p, t).withNormals(p).withUvs(uv, uvT);
    }
}
