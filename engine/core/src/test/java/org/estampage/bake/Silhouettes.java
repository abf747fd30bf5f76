package org.estampage.bake;

import java.util.BitSet;
import org.estampage.mesh.Mesh;

/** Areas of shadows that light from one side throws: counted in cells of a grid, without rays. */
final class Silhouettes {
    private static final int SIDE = 256;
    /** Turn from one direction to the next of a spiral from pole to equator: the golden angle, which leaves no gaps. */
    private static final double GOLDEN = Math.PI * (3 - Math.sqrt(5));

    private Silhouettes() {
    }

    /**
     * Returns the mean area of a mesh's shadows over all directions; those to either side are the same.
     *
     * @param directions how many are taken, evenly over half of the sphere
     */
    static double meanArea(Mesh mesh, int directions) {
        double sum = 0;
        for (int i = 0; i < directions; i++) {
            double z = (i + 0.5) / directions, r = Math.sqrt(1 - z * z);
            double x = r * Math.cos(GOLDEN * i), y = r * Math.sin(GOLDEN * i);
            // Two directions at right angles to it: x and y are not both 0, z is below 1.
            sum += area(mesh, new double[] {-y / r, x / r, 0}, new double[] {-z * x / r, -z * y / r, r});
        }
        return sum / directions;
    }

    private static double area(Mesh mesh, double[] u, double[] v) {
        float[] p = mesh.positions();
        double[] a = new double[2 * mesh.vertexCount()];
        double least = Double.POSITIVE_INFINITY, most = Double.NEGATIVE_INFINITY;
        for (int i = 0; i < mesh.vertexCount(); i++) {
            for (int k = 0; k < 2; k++) {
                double[] axis = k == 0 ? u : v;
                a[2 * i + k] = p[3 * i] * axis[0] + p[3 * i + 1] * axis[1] + p[3 * i + 2] * axis[2];
                least = Math.min(least, a[2 * i + k]);
                most = Math.max(most, a[2 * i + k]);
            }
        }
        double cell = (most - least) / SIDE;
        for (int i = 0; i < a.length; i++) {
            a[i] = (a[i] - least) / cell;
        }
        BitSet shadow = new BitSet(SIDE * SIDE);
        int[] c = mesh.positionIndices();
        for (int t = 0; t < c.length; t += 3) {
            fill(shadow, a, 2 * c[t], 2 * c[t + 1], 2 * c[t + 2]);
        }
        return shadow.cardinality() * cell * cell;
    }

    /** Sets the cells whose middle lies in a triangle, whichever way it is turned. */
    private static void fill(BitSet shadow, double[] p, int a, int b, int c) {
        int top = first(Math.min(p[a + 1], Math.min(p[b + 1], p[c + 1]))), bottom = last(Math.max(p[a + 1], Math.max(p[b + 1], p[c + 1])));
        int left = first(Math.min(p[a], Math.min(p[b], p[c]))), right = last(Math.max(p[a], Math.max(p[b], p[c])));
        for (int y = top; y <= bottom; y++) {
            for (int x = left; x <= right; x++) {
                double e0 = edge(p, a, b, x + 0.5, y + 0.5), e1 = edge(p, b, c, x + 0.5, y + 0.5), e2 = edge(p, c, a, x + 0.5, y + 0.5);
                if ((e0 >= 0 && e1 >= 0 && e2 >= 0) || (e0 <= 0 && e1 <= 0 && e2 <= 0)) {
                    shadow.set(y * SIDE + x);
                }
            }
        }
    }

    private static int first(double from) {
        return Math.max(0, (int) Math.ceil(from - 0.5));
    }

    private static int last(double to) {
        return Math.min(SIDE - 1, (int) Math.floor(to - 0.5));
    }

    private static double edge(double[] p, int a, int b, double x, double y) {
        return (p[b] - p[a]) * (y - p[a + 1]) - (p[b + 1] - p[a + 1]) * (x - p[a]);
    }
}
