package org.estampage.mesh;

import java.util.ArrayList;
import java.util.List;
import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;

/** Small closed and open meshes for the tests of this package. */
final class TestShapes {
    private TestShapes() {
    }

    /** The cube −1 … 1 with eight vertices and two triangles a face. */
    static Mesh cube() {
        float[] p = new float[24];
        for (int v = 0; v < 8; v++) {
            p[3 * v] = (v & 1) == 0 ? -1 : 1;
            p[3 * v + 1] = (v & 2) == 0 ? -1 : 1;
            p[3 * v + 2] = (v & 4) == 0 ? -1 : 1;
        }
        int[] quads = {0, 4, 6, 2, 1, 3, 7, 5, 0, 1, 5, 4, 2, 6, 7, 3, 0, 2, 3, 1, 4, 5, 7, 6};
        int[] t = new int[36];
        for (int q = 0; q < 6; q++) {
            int[] split = {0, 1, 2, 0, 2, 3};
            for (int k = 0; k < 6; k++) {
                t[6 * q + k] = quads[4 * q + split[k]];
            }
        }
        return Mesh.builder(p, t).name("cube").build();
    }

    /** The same surface with three vertices of its own for each triangle. */
    static Mesh exploded(Mesh mesh) {
        float[] p = new float[3 * mesh.positionIndices().length];
        int[] t = new int[mesh.positionIndices().length];
        for (int c = 0; c < t.length; c++) {
            System.arraycopy(mesh.positions(), 3 * mesh.positionIndices()[c], p, 3 * c, 3);
            t[c] = c;
        }
        return Mesh.builder(p, t).name(mesh.name()).build();
    }

    /** A ball of radius 1 about the origin, turned by circles of latitude, with UVs that have a seam and split poles. */
    static Mesh sphere(int slices, int stacks) {
        float[] p = new float[3 * (slices + 1) * (stacks + 1)];
        float[] uv = new float[2 * (slices + 1) * (stacks + 1)];
        for (int j = 0; j <= stacks; j++) {
            for (int i = 0; i <= slices; i++) {
                int v = j * (slices + 1) + i;
                double theta = Math.PI * j / stacks, phi = 2 * Math.PI * (i % slices) / slices;
                double ring = j == 0 || j == stacks ? 0 : StrictMath.sin(theta);
                p[3 * v] = (float) (ring * StrictMath.sin(phi));
                p[3 * v + 1] = j == 0 ? 1 : j == stacks ? -1 : (float) StrictMath.cos(theta);
                p[3 * v + 2] = (float) (ring * StrictMath.cos(phi));
                uv[2 * v] = (float) i / slices;
                uv[2 * v + 1] = 1 - (float) j / stacks;
            }
        }
        List<Integer> t = new ArrayList<>();
        for (int j = 0; j < stacks; j++) {
            for (int i = 0; i < slices; i++) {
                int a = j * (slices + 1) + i, b = a + slices + 1;
                if (j > 0) {
                    t.addAll(List.of(a, b, a + 1));
                }
                if (j + 1 < stacks) {
                    t.addAll(List.of(a + 1, b, b + 1));
                }
            }
        }
        int[] indices = t.stream().mapToInt(Integer::intValue).toArray();
        return Mesh.builder(p, indices).name("sphere").uvSet(new Attribute("uv", 2, uv, indices)).build();
    }

    /** An open sheet of {@code n × n} squares over 0 … 1, bumpy in z, with UVs. */
    static Mesh sheet(int n, double height) {
        float[] p = new float[3 * (n + 1) * (n + 1)];
        float[] uv = new float[2 * (n + 1) * (n + 1)];
        for (int j = 0; j <= n; j++) {
            for (int i = 0; i <= n; i++) {
                int v = j * (n + 1) + i;
                double x = (double) i / n, y = (double) j / n;
                p[3 * v] = (float) x;
                p[3 * v + 1] = (float) y;
                p[3 * v + 2] = (float) (height * StrictMath.sin(9 * x) * StrictMath.cos(7 * y));
                uv[2 * v] = (float) x;
                uv[2 * v + 1] = (float) y;
            }
        }
        int[] t = new int[6 * n * n];
        for (int q = 0, c = 0; q < n * n; q++) {
            int a = q / n * (n + 1) + q % n;
            int[] corners = {a, a + 1, a + n + 2, a, a + n + 2, a + n + 1};
            for (int corner : corners) {
                t[c++] = corner;
            }
        }
        return Mesh.builder(p, t).name("sheet").uvSet(new Attribute("uv", 2, uv, t)).build();
    }

    /** The icosahedron with vertices on the unit sphere: cyclic permutations of (0, ±1, ±φ). */
    static Mesh icosahedron() {
        double phi = (1 + Math.sqrt(5)) / 2, r = Math.sqrt(1 + phi * phi);
        float[] p = new float[36];
        for (int v = 0; v < 12; v++) {
            int axis = v / 4;
            p[3 * v + (axis + 1) % 3] = (float) ((v & 1) == 0 ? 1 / r : -1 / r);
            p[3 * v + (axis + 2) % 3] = (float) ((v & 2) == 0 ? phi / r : -phi / r);
        }
        // Its triangles are all triples of vertices at the shortest distance, turned outwards.
        double edge = 2 / r;
        List<Integer> t = new ArrayList<>();
        for (int a = 0; a < 12; a++) {
            for (int b = a + 1; b < 12; b++) {
                for (int c = b + 1; c < 12; c++) {
                    if (near(p, a, b, edge) && near(p, b, c, edge) && near(p, c, a, edge)) {
                        t.addAll(outwards(p, a, b, c) ? List.of(a, b, c) : List.of(a, c, b));
                    }
                }
            }
        }
        return Mesh.builder(p, t.stream().mapToInt(Integer::intValue).toArray()).name("icosahedron").build();
    }

    private static boolean near(float[] p, int a, int b, double length) {
        return Math.abs(StrictMath.sqrt(distanceSquared(p, a, b)) - length) < 1e-3;
    }

    static double distanceSquared(float[] p, int a, int b) {
        double x = p[3 * a] - (double) p[3 * b], y = p[3 * a + 1] - (double) p[3 * b + 1], z = p[3 * a + 2] - (double) p[3 * b + 2];
        return x * x + y * y + z * z;
    }

    private static boolean outwards(float[] p, int a, int b, int c) {
        double[] n = cross(p, a, b, c);
        return n[0] * p[3 * a] + n[1] * p[3 * a + 1] + n[2] * p[3 * a + 2] > 0;
    }

    /** The cross product of two edges of a triangle: twice its area along its normal. */
    static double[] cross(float[] p, int a, int b, int c) {
        double[] u = new double[3], v = new double[3];
        for (int k = 0; k < 3; k++) {
            u[k] = (double) p[3 * b + k] - p[3 * a + k];
            v[k] = (double) p[3 * c + k] - p[3 * a + k];
        }
        return new double[] {u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]};
    }

    /** Any triangles over the points of a small lattice: doubled vertices, triangles without area, edges of one to many triangles in any winding. */
    static Arbitrary<Mesh> soups() {
        Arbitrary<float[]> points = Arbitraries.integers().between(-2, 2).map(i -> (float) i).list().ofMinSize(9).ofMaxSize(45)
                .map(list -> {
                    float[] p = new float[list.size() / 3 * 3];
                    for (int i = 0; i < p.length; i++) {
                        p[i] = list.get(i);
                    }
                    return p;
                });
        return points.flatMap(p -> Arbitraries.integers().between(0, p.length / 3 - 1).array(int[].class).ofMinSize(0).ofMaxSize(72)
                .map(t -> Mesh.builder(p, java.util.Arrays.copyOf(t, t.length / 3 * 3)).name("soup").build()));
    }

    /** Closed bumpy balls without slivers: radii 0.8 … 1.2 over a sphere of latitudes. */
    static Arbitrary<Mesh> bumpyBalls() {
        return Combinators.combine(Arbitraries.integers().between(5, 14), Arbitraries.integers().between(3, 9),
                Arbitraries.integers().between(0, 1 << 20)).as((slices, stacks, seed) -> {
                    Mesh ball = sphere(slices, stacks);
                    float[] p = ball.positions().clone();
                    int[] canonical = Welding.canonicalVertices(ball);
                    for (int v = 0; v < canonical.length; v++) {
                        int h = (canonical[v] + 1) * 0x9E3779B1 ^ seed * 0x85EBCA6B;
                        h = (h ^ h >>> 15) * 0x2C1B3C6D;
                        float r = 0.8f + 0.4f * (h >>> 8) / (1 << 24);
                        for (int k = 0; k < 3; k++) {
                            p[3 * v + k] *= r;
                        }
                    }
                    return ball.toBuilder().positions(p).name("ball").build();
                });
    }

    static float[] normalAt(Mesh mesh, int corner) {
        Attribute n = mesh.normals().orElseThrow();
        int i = 3 * n.indices()[corner];
        return new float[] {n.values()[i], n.values()[i + 1], n.values()[i + 2]};
    }
}
