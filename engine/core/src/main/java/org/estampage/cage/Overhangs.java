package org.estampage.cage;

import org.estampage.bvh.PointBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.mesh.Mesh;

/**
 * How far the high-poly triangle of a crossing stands out above its cage triangle, and by how much the cage must rise there.
 *
 * <p>The high-poly triangle is cut to the column over the cage triangle; what is highest there says the missing height, and every corner of the cut asks
 * for a rise. A crossing with a far sheet (the high poly seen from its front, with its nearest low-poly point on a triangle that does not touch the
 * cage's) asks for none: rising makes it worse.
 *
 * @threads confined
 */
final class Overhangs {
    private final Shell shell;
    private final double[] directions;
    private final Mesh high;
    private final RayTracer low;
    private final float[] cage;
    private final PointBatch foot = new PointBatch(1);
    private final double[] weights = new double[3];
    private final double[] normal = new double[3];
    private final double[] corners = new double[9];
    // a triangle cut by three planes has at most six corners
    private double[] cut = new double[3 * 8];
    private double[] rest = new double[3 * 8];
    private int cutSize;

    /** Missing height of the last crossing measured. */
    double missing;
    /** Its place, xyz. */
    final double[] place = new double[3];

    /**
     * Prepares measuring.
     *
     * @param low  tracer of the low poly
     * @param cage positions of the cage's nodes
     */
    Overhangs(Shell shell, double[] directions, Mesh high, RayTracer low, float[] cage) {
        this.shell = shell;
        this.directions = directions;
        this.high = high;
        this.low = low;
        this.cage = cage;
    }

    /**
     * Measures a crossing.
     *
     * @param pair high-poly triangle · 2³² + cage triangle
     * @param air  added to every rise
     * @param inoutRises the largest rise of each node so far
     */
    void measure(long pair, double air, double[] inoutRises) {
        int h = (int) (pair >>> 32), t = (int) pair;
        float[] p = high.positions();
        for (int k = 0; k < 3; k++) {
            int v = 3 * high.positionIndices()[3 * h + k];
            int n = 3 * shell.triangles[3 * t + k];
            for (int x = 0; x < 3; x++) {
                cut[3 * k + x] = p[v + x];
                corners[3 * k + x] = cage[n + x];
            }
        }
        cutSize = 3;
        boolean facing = facing(t);
        for (int k = 0; k < 3; k++) {
            cut(k);
        }
        int highest = -1;
        missing = 0;
        for (int i = 0; i < cutSize; i++) {
            double above = above(i);
            if (highest < 0 || above > missing) {
                highest = i;
                missing = above;
            }
        }
        missing = Math.max(0, missing);
        for (int x = 0; x < 3; x++) { // where rounding left nothing, the triangles touch at the column's rim
            place[x] = highest >= 0 ? cut[3 * highest + x] : p[3 * high.positionIndices()[3 * h] + x];
        }
        if (facing && isFar(t)) {
            return;
        }
        if (highest < 0) {
            weights[0] = weights[1] = weights[2] = 1.0 / 3;
            Rises.note(shell, directions, t, weights, air, normal[0], normal[1], normal[2], inoutRises);
        }
        for (int i = 0; i < cutSize; i++) {
            double above = above(i);
            if (above >= 0 || i == highest) {
                weights(i);
                Rises.note(shell, directions, t, weights, Math.max(0, above) + air, normal[0], normal[1], normal[2], inoutRises);
            }
        }
    }

    /** Sets the cage triangle's unit normal; tells whether the high-poly triangle faces it. */
    private boolean facing(int t) {
        double[] n = new double[3];
        Shell.unitNormal(cut, 0, 1, 2, n, 0);
        if (!Shell.unitNormal(corners, 0, 1, 2, normal, 0)) {
            System.arraycopy(shell.normals, 3 * t, normal, 0, 3);
        }
        return n[0] * normal[0] + n[1] * normal[1] + n[2] * normal[2] < 0;
    }

    private boolean isFar(int t) {
        foot.size = 0;
        foot.add((float) place[0], (float) place[1], (float) place[2], Float.POSITIVE_INFINITY);
        low.nearestPoints(foot);
        int f = foot.triangle[0];
        for (int k = 0; f >= 0 && k < 9; k++) {
            if (shell.triangles[3 * f + k / 3] == shell.triangles[3 * t + k % 3]) {
                return false;
            }
        }
        return f >= 0;
    }

    private double above(int i) {
        double sum = 0;
        for (int x = 0; x < 3; x++) {
            sum += normal[x] * (cut[3 * i + x] - corners[x]);
        }
        return sum;
    }

    /** Returns how far inside of edge k a point lies, times the edge's length. */
    private double inward(int k, double[] points, int i) {
        int a = 3 * k, b = 3 * ((k + 1) % 3);
        double ex = corners[b] - corners[a], ey = corners[b + 1] - corners[a + 1], ez = corners[b + 2] - corners[a + 2];
        double x = points[3 * i] - corners[a], y = points[3 * i + 1] - corners[a + 1], z = points[3 * i + 2] - corners[a + 2];
        return normal[0] * (ey * z - ez * y) + normal[1] * (ez * x - ex * z) + normal[2] * (ex * y - ey * x);
    }

    private void cut(int k) {
        int size = 0;
        for (int i = 0; i < cutSize; i++) {
            int j = (i + 1) % cutSize;
            double here = inward(k, cut, i), there = inward(k, cut, j);
            if (here >= 0) {
                System.arraycopy(cut, 3 * i, rest, 3 * size++, 3);
            }
            if (here >= 0 != there >= 0) {
                double s = here / (here - there);
                for (int x = 0; x < 3; x++) {
                    rest[3 * size + x] = cut[3 * i + x] + s * (cut[3 * j + x] - cut[3 * i + x]);
                }
                size++;
            }
        }
        double[] swap = cut;
        cut = rest;
        rest = swap;
        cutSize = size;
    }

    private void weights(int i) {
        double sum = 0;
        for (int k = 0; k < 3; k++) { // the weight of a corner is the area over the edge opposite to it
            weights[k] = Math.max(0, inward((k + 1) % 3, cut, i));
            sum += weights[k];
        }
        for (int k = 0; k < 3; k++) {
            weights[k] = sum > 0 ? weights[k] / sum : 1.0 / 3;
        }
    }
}
