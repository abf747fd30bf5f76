package org.estampage.cage;

import java.util.Arrays;
import org.estampage.mesh.Mesh;

/** Meshes for the tests of this package, and an inside test that shares no code with it. */
final class Shapes {
    /** A surface over a grid of parameters. */
    interface Surface {
        void at(double s, double t, double[] dest);
    }

    /** A radius over a direction. */
    interface Radius {
        double at(double x, double y, double z);
    }

    private Shapes() {
    }

    /** A closed surface around the origin: the faces of a subdivided cube, pushed out to a radius. */
    static Mesh star(int n, Radius radius) {
        int[] next = {0};
        int[] number = new int[(n + 1) * (n + 1) * (n + 1)];
        Arrays.fill(number, -1);
        float[] p = new float[3 * 6 * (n + 1) * (n + 1)];
        int[] t = new int[3 * 12 * n * n];
        int corner = 0;
        for (int face = 0; face < 6; face++) {
            int axis = face / 2;
            for (int i = 0; i < n; i++) {
                for (int j = 0; j < n; j++) {
                    int[] quad = new int[4];
                    for (int k = 0; k < 4; k++) {
                        int a = k == 1 || k == 2 ? i + 1 : i;
                        int b = k >= 2 ? j + 1 : j;
                        int[] q = new int[3];
                        q[axis] = face % 2 == 0 ? 0 : n;
                        q[(axis + 1) % 3] = face % 2 == 0 ? b : a;
                        q[(axis + 2) % 3] = face % 2 == 0 ? a : b;
                        int key = (q[0] * (n + 1) + q[1]) * (n + 1) + q[2];
                        if (number[key] < 0) {
                            number[key] = next[0]++;
                            double[] d = new double[3];
                            double square = 0;
                            for (int c = 0; c < 3; c++) {
                                d[c] = Math.tan((q[c] * 2.0 / n - 1) * Math.PI / 4); // nearly equal faces
                                square += d[c] * d[c];
                            }
                            double length = Math.sqrt(square);
                            double r = radius.at(d[0] / length, d[1] / length, d[2] / length);
                            for (int c = 0; c < 3; c++) {
                                p[3 * number[key] + c] = (float) (r * d[c] / length);
                            }
                        }
                        quad[k] = number[key];
                    }
                    for (int k : new int[] {0, 1, 2, 0, 2, 3}) {
                        t[corner++] = quad[k];
                    }
                }
            }
        }
        return Mesh.builder(Arrays.copyOf(p, 3 * next[0]), t).name("star").build();
    }

    /** A grid of (n + 1) × (m + 1) points of a surface over [0, 1]², its triangles counter-clockwise as s × t sees them. */
    static Mesh grid(int n, int m, Surface surface) {
        float[] p = new float[3 * (n + 1) * (m + 1)];
        double[] xyz = new double[3];
        for (int i = 0; i <= n; i++) {
            for (int j = 0; j <= m; j++) {
                surface.at((double) i / n, (double) j / m, xyz);
                for (int k = 0; k < 3; k++) {
                    p[3 * (i * (m + 1) + j) + k] = (float) xyz[k];
                }
            }
        }
        int[] t = new int[6 * n * m];
        int c = 0;
        for (int i = 0; i < n; i++) {
            for (int j = 0; j < m; j++) {
                int a = i * (m + 1) + j, b = a + m + 1;
                for (int v : new int[] {a, b, b + 1, a, b + 1, a + 1}) {
                    t[c++] = v;
                }
            }
        }
        return Mesh.builder(p, t).name("grid").build();
    }

    /** A closed cylinder about Y with flat ends: sides × rings of quads and a fan at each end; the radius may depend on angle and height. */
    static Mesh cylinder(int sides, int rings, double height, Surface bump) {
        float[] p = new float[3 * (sides * (rings + 1) + 2)];
        double[] r = new double[3];
        for (int k = 0; k <= rings; k++) {
            for (int s = 0; s < sides; s++) {
                double angle = 2 * Math.PI * s / sides, y = height * k / rings;
                bump.at(angle, y, r);
                int v = 3 * (k * sides + s);
                p[v] = (float) (r[0] * Math.cos(angle));
                p[v + 1] = (float) y;
                p[v + 2] = (float) (-r[0] * Math.sin(angle));
            }
        }
        int bottom = sides * (rings + 1), top = bottom + 1;
        p[3 * top + 1] = (float) height;
        int[] t = new int[6 * sides * rings + 6 * sides];
        int c = 0;
        for (int k = 0; k < rings; k++) {
            for (int s = 0; s < sides; s++) {
                int a = k * sides + s, b = k * sides + (s + 1) % sides;
                for (int v : new int[] {a, b, b + sides, a, b + sides, a + sides}) {
                    t[c++] = v;
                }
            }
        }
        for (int s = 0; s < sides; s++) {
            int a = s, b = (s + 1) % sides, up = rings * sides;
            for (int v : new int[] {bottom, b, a, top, up + a, up + b}) {
                t[c++] = v;
            }
        }
        return Mesh.builder(p, t).name("cylinder").build();
    }

    static Mesh scaled(Mesh mesh, double factor) {
        return mesh.unit(factor);
    }

    static Mesh moved(Mesh mesh, float x, float y, float z) {
        float[] p = mesh.positions().clone();
        for (int i = 0; i < p.length; i += 3) {
            p[i] += x;
            p[i + 1] += y;
            p[i + 2] += z;
        }
        return mesh.toBuilder().positions(p).build();
    }

    /** Gives every triangle three vertices of its own, as a file with hard edges everywhere has it. */
    static Mesh exploded(Mesh mesh) {
        int[] corners = mesh.positionIndices();
        float[] p = new float[3 * corners.length];
        int[] t = new int[corners.length];
        for (int c = 0; c < corners.length; c++) {
            System.arraycopy(mesh.positions(), 3 * corners[c], p, 3 * c, 3);
            t[c] = c;
        }
        return Mesh.builder(p, t).build();
    }

    /**
     * Returns the winding number of a closed surface about a point: 1 inside, 0 outside.
     *
     * @source van Oosterom, Strackee, The Solid Angle of a Plane Triangle, 1983, equation 8 (from memory)
     */
    static double winding(float[] xyz, int[] triangles, double x, double y, double z) {
        double sum = 0;
        for (int i = 0; i < triangles.length; i += 3) {
            double[] v = new double[9];
            double[] l = new double[3];
            for (int k = 0; k < 3; k++) {
                int n = 3 * triangles[i + k];
                v[3 * k] = xyz[n] - x;
                v[3 * k + 1] = xyz[n + 1] - y;
                v[3 * k + 2] = xyz[n + 2] - z;
                l[k] = Math.sqrt(v[3 * k] * v[3 * k] + v[3 * k + 1] * v[3 * k + 1] + v[3 * k + 2] * v[3 * k + 2]);
            }
            double volume = v[0] * (v[4] * v[8] - v[5] * v[7]) + v[1] * (v[5] * v[6] - v[3] * v[8]) + v[2] * (v[3] * v[7] - v[4] * v[6]);
            double ab = v[0] * v[3] + v[1] * v[4] + v[2] * v[5];
            double bc = v[3] * v[6] + v[4] * v[7] + v[5] * v[8];
            double ca = v[6] * v[0] + v[7] * v[1] + v[8] * v[2];
            sum += 2 * Math.atan2(volume, l[0] * l[1] * l[2] + ab * l[2] + bc * l[0] + ca * l[1]);
        }
        return sum / (4 * Math.PI);
    }

    /** Counts the vertices of a mesh, each {@code step}th one, that a closed cage does not hold. */
    static int outside(Cage cage, Mesh high, int step) {
        int count = 0;
        float[] q = high.positions();
        for (int v = 0; v < high.vertexCount(); v += step) {
            if (winding(cage.positions(), cage.low().positionIndices(), q[3 * v], q[3 * v + 1], q[3 * v + 2]) < 0.5) {
                count++;
            }
        }
        return count;
    }

    /**
     * Returns the smallest signed volume of the cells that a lattice cuts every prism into, as a part of the low triangle's area times the offset times
     * the number of cells: positive when no prism folds.
     */
    static double smallestCell(Cage cage, int steps) {
        int[] t = cage.low().positionIndices();
        double least = Double.POSITIVE_INFINITY;
        double[][] f = new double[4][3];
        for (int i = 0; i < t.length; i += 3) {
            for (int a = 0; a < steps; a++) {
                for (int b = 0; a + b < steps; b++) {
                    for (int h = 0; h < steps; h++) {
                        map(cage, t, i, a, b, h, steps, f[0]);
                        map(cage, t, i, a + 1, b, h, steps, f[1]);
                        map(cage, t, i, a, b + 1, h, steps, f[2]);
                        map(cage, t, i, a, b, h + 1, steps, f[3]);
                        least = Math.min(least, volume(f));
                    }
                }
            }
        }
        return least;
    }

    private static void map(Cage cage, int[] t, int i, int a, int b, int h, int steps, double[] dest) {
        double w1 = (double) a / steps, w2 = (double) b / steps, w0 = 1 - w1 - w2, s = (double) h / steps;
        float[] p = cage.low().positions(), q = cage.positions();
        for (int k = 0; k < 3; k++) {
            int x = 3 * t[i] + k, y = 3 * t[i + 1] + k, z = 3 * t[i + 2] + k;
            dest[k] = (1 - s) * (w0 * p[x] + w1 * p[y] + w2 * p[z]) + s * (w0 * q[x] + w1 * q[y] + w2 * q[z]);
        }
    }

    private static double volume(double[][] f) {
        double[] u = new double[9];
        for (int e = 0; e < 3; e++) {
            for (int k = 0; k < 3; k++) {
                u[3 * e + k] = f[e + 1][k] - f[0][k];
            }
        }
        return u[0] * (u[4] * u[8] - u[5] * u[7]) + u[1] * (u[5] * u[6] - u[3] * u[8]) + u[2] * (u[3] * u[7] - u[4] * u[6]);
    }
}
