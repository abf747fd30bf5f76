package org.estampage.raster;

import java.math.BigDecimal;
import java.util.Arrays;
import org.estampage.mesh.Mesh;

/**
 * Every sample against every triangle in exact decimal arithmetic, written from the words of {@link UvRaster}'s promise: a sample belongs to the
 * triangle that holds the point a whisker right of it and, far less, below it.
 */
final class UvOracle {
    private final BigDecimal[] u;
    private final BigDecimal[] v;
    private final int[] indices;
    private final int width;
    private final int height;
    private final int n;

    UvOracle(Mesh mesh, int width, int height, int n) {
        this.width = width;
        this.height = height;
        this.n = n;
        indices = mesh.uvSets().get(0).indices();
        float[] uv = mesh.uvSets().get(0).values();
        u = new BigDecimal[uv.length / 2];
        v = new BigDecimal[uv.length / 2];
        for (int i = 0; i < u.length; i++) {
            u[i] = new BigDecimal(uv[2 * i]).multiply(BigDecimal.valueOf(2L * n * width));
            v[i] = new BigDecimal(uv[2 * i + 1]).multiply(BigDecimal.valueOf(2L * n * height));
        }
    }

    int triangleCount() {
        return indices.length / 3;
    }

    /** Twice the area of a, b and a point in half sample steps, v up. */
    private BigDecimal cross(int a, int b, BigDecimal x, BigDecimal y) {
        return u[b].subtract(u[a]).multiply(y.subtract(v[a])).subtract(v[b].subtract(v[a]).multiply(x.subtract(u[a])));
    }

    int turn(int triangle) {
        return cross(indices[3 * triangle], indices[3 * triangle + 1], u[indices[3 * triangle + 2]], v[indices[3 * triangle + 2]]).signum();
    }

    boolean holds(int triangle, int sampleColumn, int sampleRow) {
        BigDecimal x = BigDecimal.valueOf(2L * sampleColumn + 1);
        BigDecimal y = BigDecimal.valueOf(2L * n * height - 2L * sampleRow - 1);
        int turn = turn(triangle);
        for (int k = 0; k < 3; k++) {
            int a = indices[3 * triangle + k];
            int b = indices[3 * triangle + (k + 1) % 3];
            int side = cross(a, b, x, y).signum();
            if (side == 0) {
                // Moving right by ε changes cross by −(vb − va)·ε; where that is nothing, moving down by ε² changes it by −(ub − ua)·ε².
                side = v[a].compareTo(v[b]);
                if (side == 0) {
                    side = u[a].compareTo(u[b]);
                }
            }
            if (side * turn <= 0) {
                return false;
            }
        }
        return turn != 0;
    }

    /** The lowest unmirrored triangle that holds a sample, else the lowest mirrored one; −1 for none. */
    int foremostHolder(int sampleColumn, int sampleRow) {
        for (int turn = 1; turn >= -1; turn -= 2) {
            for (int t = 0; t < triangleCount(); t++) {
                if (turn(t) == turn && holds(t, sampleColumn, sampleRow)) {
                    return t;
                }
            }
        }
        return -1;
    }

    int holderCount(int sampleColumn, int sampleRow) {
        int count = 0;
        for (int t = 0; t < triangleCount(); t++) {
            count += holds(t, sampleColumn, sampleRow) ? 1 : 0;
        }
        return count;
    }

    /** Whether a triangle's interior meets a texel's: clips the triangle to the square (Sutherland and Hodgman) and asks for its area. */
    boolean touches(int triangle, int x, int y) {
        if (turn(triangle) == 0) {
            return false;
        }
        double step = 2.0 * n;
        double[][] polygon = new double[3][];
        for (int k = 0; k < 3; k++) {
            polygon[k] = new double[] {u[indices[3 * triangle + k]].doubleValue(), v[indices[3 * triangle + k]].doubleValue()};
        }
        double top = step * height - step * y;
        polygon = clip(polygon, 0, 1, step * x);
        polygon = clip(polygon, 0, -1, -step * (x + 1));
        polygon = clip(polygon, 1, 1, top - step);
        polygon = clip(polygon, 1, -1, -top);
        double area = 0;
        for (int i = 0; i < polygon.length; i++) {
            double[] p = polygon[i];
            double[] q = polygon[(i + 1) % polygon.length];
            area += (p[0] - step * x) * (q[1] - top) - (p[1] - top) * (q[0] - step * x);
        }
        return Math.abs(area) > 0;
    }

    private static double[][] clip(double[][] polygon, int axis, double sign, double limit) {
        double[][] out = new double[2 * polygon.length + 2][];
        int count = 0;
        for (int i = 0; i < polygon.length; i++) {
            double[] p = polygon[i];
            double[] q = polygon[(i + 1) % polygon.length];
            double dp = sign * p[axis] - limit;
            double dq = sign * q[axis] - limit;
            if (dp >= 0) {
                out[count++] = p;
            }
            if ((dp > 0 && dq < 0) || (dp < 0 && dq > 0)) {
                double s = dp / (dp - dq);
                out[count++] = new double[] {p[0] + s * (q[0] - p[0]), p[1] + s * (q[1] - p[1])};
            }
        }
        return Arrays.copyOf(out, count);
    }

    int width() {
        return width;
    }

    int height() {
        return height;
    }

    int n() {
        return n;
    }
}
