package org.estampage.bvh;

import java.util.Random;
import org.estampage.mesh.Mesh;

/** Meshes for the tests of this package. */
final class TestMeshes {
    private TestMeshes() {
    }

    static Mesh mesh(float[] positions, int... corners) {
        return Mesh.builder(positions, corners).build();
    }

    /**
     * Returns a closed, outward ball of radius about 1 with bumps; poles are single vertices, so that slivers fan around them.
     *
     * @param bump height of the bumps
     * @shape 2 · sectors · (rings − 1) triangles
     */
    static Mesh ball(int rings, int sectors, double bump) {
        float[] p = new float[3 * (2 + (rings - 1) * sectors)];
        int n = 0;
        n = put(p, n, 0, 1 + bump * 0.5, 0);
        for (int r = 1; r < rings; r++) {
            double polar = Math.PI * r / rings;
            for (int s = 0; s < sectors; s++) {
                double turn = 2 * Math.PI * s / sectors;
                double waves = Math.sin(40 * turn) * Math.sin(27 * polar) + 0.5 * Math.sin(7 * turn + 11 * polar) * Math.sin(polar);
                double radius = 1 + bump * waves;
                n = put(p, n, radius * Math.sin(polar) * Math.cos(turn), radius * Math.cos(polar),
                        -radius * Math.sin(polar) * Math.sin(turn));
            }
        }
        put(p, n, 0, -1 - bump * 0.5, 0);
        int[] c = new int[6 * sectors * (rings - 1)];
        int last = p.length / 3 - 1;
        int i = 0;
        for (int s = 0; s < sectors; s++) {
            int e = (s + 1) % sectors;
            i = put(c, i, 0, 1 + s, 1 + e);
            for (int r = 0; r < rings - 2; r++) {
                int upper = 1 + r * sectors;
                int lower = upper + sectors;
                i = put(c, i, upper + s, lower + s, lower + e);
                i = put(c, i, upper + s, lower + e, upper + e);
            }
            i = put(c, i, last - sectors + s, last, last - sectors + e);
        }
        return mesh(p, c);
    }

    /** Returns an open plane z = 0 over [0, size]², facing +z, cells × cells × 2 triangles whose vertices are exact floats. */
    static Mesh grid(int cells, float size) {
        float[] p = new float[3 * (cells + 1) * (cells + 1)];
        int n = 0;
        for (int y = 0; y <= cells; y++) {
            for (int x = 0; x <= cells; x++) {
                n = put(p, n, (double) x * size / cells, (double) y * size / cells, 0);
            }
        }
        int[] c = new int[6 * cells * cells];
        int i = 0;
        for (int y = 0; y < cells; y++) {
            for (int x = 0; x < cells; x++) {
                int v = y * (cells + 1) + x;
                i = put(c, i, v, v + 1, v + cells + 2);
                i = put(c, i, v, v + cells + 2, v + cells + 1);
            }
        }
        return mesh(p, c);
    }

    /** Returns the axis-aligned box, outward, 12 triangles. */
    static Mesh box(float x0, float y0, float z0, float x1, float y1, float z1) {
        float[] p = {x0, y0, z0, x1, y0, z0, x0, y1, z0, x1, y1, z0, x0, y0, z1, x1, y0, z1, x0, y1, z1, x1, y1, z1};
        return mesh(p, 0, 2, 3, 0, 3, 1, 4, 5, 7, 4, 7, 6, 0, 1, 5, 0, 5, 4, 2, 6, 7, 2, 7, 3, 0, 4, 6, 0, 6, 2, 1, 3, 7, 1, 7, 5);
    }

    /**
     * Returns loose triangles in a cube of edge 2: ordinary ones, needles of a few ulps, flat ones in axis planes, repeated ones, ones without area and,
     * if asked, some with NaN or infinity.
     */
    static Mesh soup(Random random, int triangles, boolean broken) {
        float[] p = new float[9 * triangles];
        int[] c = new int[3 * triangles];
        for (int t = 0; t < triangles; t++) {
            for (int k = 0; k < 3; k++) {
                c[3 * t + k] = 3 * t + k;
            }
            int at = 9 * t;
            float size = (float) Math.pow(10, -3 * random.nextDouble());
            for (int axis = 0; axis < 3; axis++) {
                float centre = 2 * random.nextFloat() - 1;
                for (int k = 0; k < 3; k++) {
                    p[at + 3 * k + axis] = centre + size * (random.nextFloat() - 0.5f);
                }
            }
            switch (random.nextInt(10)) {
                case 0 -> { // a needle: corner 1 a few ulps from corner 0
                    for (int axis = 0; axis < 3; axis++) {
                        p[at + 3 + axis] = p[at + axis] + random.nextInt(4) * Math.ulp(p[at + axis]);
                    }
                }
                case 1 -> { // a speck of a few ulps
                    for (int axis = 0; axis < 3; axis++) {
                        p[at + 3 + axis] = p[at + axis] + random.nextInt(4) * Math.ulp(p[at + axis]);
                        p[at + 6 + axis] = p[at + axis] + random.nextInt(4) * Math.ulp(p[at + axis]);
                    }
                }
                case 2 -> { // in an axis plane, corners on a coarse lattice
                    int flat = random.nextInt(3);
                    for (int k = 0; k < 3; k++) {
                        for (int axis = 0; axis < 3; axis++) {
                            p[at + 3 * k + axis] = axis == flat ? 0.25f : random.nextInt(9) / 4f - 1;
                        }
                    }
                }
                case 3 -> { // the one before again
                    if (t > 0) {
                        System.arraycopy(p, at - 9, p, at, 9);
                    }
                }
                case 4 -> { // no area
                    System.arraycopy(p, at, p, at + 3 * (1 + random.nextInt(2)), 3);
                }
                case 5 -> {
                    if (broken) {
                        float[] bad = {Float.NaN, Float.POSITIVE_INFINITY, Float.NEGATIVE_INFINITY};
                        p[at + random.nextInt(9)] = bad[random.nextInt(3)];
                    }
                }
                default -> {
                    // as it is
                }
            }
        }
        return mesh(p, c);
    }

    static Mesh transformed(Mesh mesh, float scale, float dx, float dy, float dz) {
        float[] p = mesh.positions().clone();
        float[] d = {dx, dy, dz};
        for (int i = 0; i < p.length; i++) {
            p[i] = p[i] * scale + d[i % 3];
        }
        return mesh.toBuilder().positions(p).build();
    }

    private static int put(float[] p, int at, double x, double y, double z) {
        p[at] = (float) x;
        p[at + 1] = (float) y;
        p[at + 2] = (float) z;
        return at + 3;
    }

    private static int put(int[] c, int at, int i, int j, int k) {
        c[at] = i;
        c[at + 1] = j;
        c[at + 2] = k;
        return at + 3;
    }
}
