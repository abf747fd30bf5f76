package org.estampage.cage;

import java.math.BigDecimal;

/**
 * Tells exactly whether two triangles with float corners meet.
 *
 * <p>Everything rests on the sign of two determinants. A sign is taken from doubles where the size of the result rules out that rounding made it, and is
 * computed without rounding otherwise. Triangles are closed sets: touching counts.
 *
 * @shape points are xyz interleaved; arguments such as {@code a} are the place of a point's x in its array
 * @edge a triangle without area holds no point: nothing meets it
 * @threads stateless
 * @source Shewchuk, Adaptive Precision Floating-Point Arithmetic and Fast Robust Geometric Predicates, 1997 (the first error bound; from memory: derived
 *         anew below). The exact stage is plain big decimals
 */
final class ExactTriangles {
    /**
     * Bound of a 3 × 3 determinant's rounding error, as a part of the sum of its terms' absolute values: a term is a product of three differences and
     * two sums away from the result, at most 8 roundings of 2⁻⁵³ each, and the sum of absolute values is itself rounded; 16 covers both. Floats can
     * neither over- nor underflow in doubles there: three factors of at most 2¹²⁹, or of at least 2⁻¹⁴⁹.
     */
    private static final double BOUND = 16 * 0x1p-53;

    private ExactTriangles() {
    }

    /** Returns the sign of the volume of points a, b, c of {@code p} and point d of {@code q}: 0 exactly when they lie in one plane. */
    static int orientation(float[] p, int a, int b, int c, float[] q, int d) {
        double ax = (double) p[a] - q[d], ay = (double) p[a + 1] - q[d + 1], az = (double) p[a + 2] - q[d + 2];
        double bx = (double) p[b] - q[d], by = (double) p[b + 1] - q[d + 1], bz = (double) p[b + 2] - q[d + 2];
        double cx = (double) p[c] - q[d], cy = (double) p[c + 1] - q[d + 1], cz = (double) p[c + 2] - q[d + 2];
        double bycz = by * cz, bzcy = bz * cy, cyaz = cy * az, czay = cz * ay, aybz = ay * bz, azby = az * by;
        double det = ax * (bycz - bzcy) + bx * (cyaz - czay) + cx * (aybz - azby);
        double size = Math.abs(ax) * (Math.abs(bycz) + Math.abs(bzcy)) + Math.abs(bx) * (Math.abs(cyaz) + Math.abs(czay))
                + Math.abs(cx) * (Math.abs(aybz) + Math.abs(azby));
        if (Math.abs(det) > BOUND * size) {
            return det > 0 ? 1 : -1;
        }
        return size == 0 ? 0 : exactly(p, a, b, c, q, d);
    }

    private static int exactly(float[] p, int a, int b, int c, float[] q, int d) {
        BigDecimal[] u = difference(p, a, q, d), v = difference(p, b, q, d), w = difference(p, c, q, d);
        return u[0].multiply(minor(v, w, 1, 2)).add(v[0].multiply(minor(w, u, 1, 2))).add(w[0].multiply(minor(u, v, 1, 2))).signum();
    }

    private static BigDecimal[] difference(float[] p, int a, float[] q, int d) {
        BigDecimal[] out = new BigDecimal[3];
        for (int k = 0; k < 3; k++) {
            out[k] = new BigDecimal(p[a + k]).subtract(new BigDecimal(q[d + k]));
        }
        return out;
    }

    private static BigDecimal minor(BigDecimal[] u, BigDecimal[] v, int i, int j) {
        return u[i].multiply(v[j]).subtract(u[j].multiply(v[i]));
    }

    /** Returns the sign of the area of three points seen along an axis, the coordinates i and j taken for x and y. */
    private static int orientation(float[] p, int a, int b, float[] q, int c, int i, int j) {
        double ax = (double) p[a + i] - q[c + i], ay = (double) p[a + j] - q[c + j];
        double bx = (double) p[b + i] - q[c + i], by = (double) p[b + j] - q[c + j];
        double left = ax * by, right = ay * bx;
        double det = left - right;
        double size = Math.abs(left) + Math.abs(right);
        if (Math.abs(det) > BOUND * size) { // even fewer roundings
            return det > 0 ? 1 : -1;
        }
        return size == 0 ? 0 : minor(difference(p, a, q, c), difference(p, b, q, c), i, j).signum();
    }

    /** Returns the axis along which the triangle's area is not 0, or −1 when it has none. */
    private static int flatAxis(float[] p, int a, int b, int c) {
        for (int axis = 0; axis < 3; axis++) {
            if (orientation(p, a, b, p, c, (axis + 1) % 3, (axis + 2) % 3) != 0) {
                return axis;
            }
        }
        return -1;
    }

    /** Returns whether a triangle has an area. */
    static boolean hasArea(float[] p, int a, int b, int c) {
        return flatAxis(p, a, b, c) >= 0;
    }

    /** Returns whether the triangles a, b, c of {@code p} and d, e, f of {@code q} have a point in common. */
    static boolean meet(float[] p, int a, int b, int c, float[] q, int d, int e, int f) {
        int sd = orientation(p, a, b, c, q, d), se = orientation(p, a, b, c, q, e), sf = orientation(p, a, b, c, q, f);
        if (sd == se && se == sf && sd != 0) {
            return false;
        }
        int sa = orientation(q, d, e, f, p, a), sb = orientation(q, d, e, f, p, b), sc = orientation(q, d, e, f, p, c);
        if ((sa == sb && sb == sc && sa != 0) || !hasArea(p, a, b, c) || !hasArea(q, d, e, f)) {
            return false;
        }
        // two triangles meet exactly when an edge of one meets the other
        return edgeMeets(p, a, b, c, q, d, sd, e, se) || edgeMeets(p, a, b, c, q, e, se, f, sf) || edgeMeets(p, a, b, c, q, f, sf, d, sd)
                || edgeMeets(q, d, e, f, p, a, sa, b, sb) || edgeMeets(q, d, e, f, p, b, sb, c, sc)
                || edgeMeets(q, d, e, f, p, c, sc, a, sa);
    }

    /** Returns whether the edge from point d to point e of {@code q} meets triangle a, b, c of {@code p}. */
    static boolean edgeMeets(float[] p, int a, int b, int c, float[] q, int d, int e) {
        return hasArea(p, a, b, c)
                && edgeMeets(p, a, b, c, q, d, orientation(p, a, b, c, q, d), e, orientation(p, a, b, c, q, e));
    }

    /** As above for a triangle with area, with the sides of its plane that the ends lie on. */
    private static boolean edgeMeets(float[] p, int a, int b, int c, float[] q, int d, int sideOfD, int e, int sideOfE) {
        if (sideOfD * sideOfE > 0) {
            return false;
        }
        if (sideOfD == 0 && sideOfE == 0) {
            return edgeMeetsInPlane(p, a, b, c, q, d, e);
        }
        // the line passes all three edges on the same side, or touches them
        int s1 = passes(p, a, b, q, d, e), s2 = passes(p, b, c, q, d, e), s3 = passes(p, c, a, q, d, e);
        return (s1 >= 0 && s2 >= 0 && s3 >= 0) || (s1 <= 0 && s2 <= 0 && s3 <= 0);
    }

    private static int passes(float[] p, int a, int b, float[] q, int d, int e) {
        // the volume of d, e, a, b; the array that holds two points comes first, so a third one is copied into a small array
        float[] three = {q[d], q[d + 1], q[d + 2], q[e], q[e + 1], q[e + 2], p[a], p[a + 1], p[a + 2]};
        return orientation(three, 0, 3, 6, p, b);
    }

    private static boolean edgeMeetsInPlane(float[] p, int a, int b, int c, float[] q, int d, int e) {
        int axis = flatAxis(p, a, b, c);
        int i = (axis + 1) % 3, j = (axis + 2) % 3;
        return inside(p, a, b, c, q, d, i, j) || inside(p, a, b, c, q, e, i, j) || cross(p, a, b, q, d, e, i, j)
                || cross(p, b, c, q, d, e, i, j) || cross(p, c, a, q, d, e, i, j);
    }

    private static boolean inside(float[] p, int a, int b, int c, float[] q, int d, int i, int j) {
        int s1 = orientation(p, a, b, q, d, i, j), s2 = orientation(p, b, c, q, d, i, j), s3 = orientation(p, c, a, q, d, i, j);
        return (s1 >= 0 && s2 >= 0 && s3 >= 0) || (s1 <= 0 && s2 <= 0 && s3 <= 0);
    }

    /** Returns whether two edges in one plane cross; ends inside the triangle were found before, so those on one line need no care. */
    private static boolean cross(float[] p, int a, int b, float[] q, int d, int e, int i, int j) {
        return orientation(p, a, b, q, d, i, j) * orientation(p, a, b, q, e, i, j) <= 0
                && orientation(q, d, e, p, a, i, j) * orientation(q, d, e, p, b, i, j) <= 0
                && overlap(p, a, b, q, d, e, i) && overlap(p, a, b, q, d, e, j);
    }

    private static boolean overlap(float[] p, int a, int b, float[] q, int d, int e, int k) {
        return Math.max(p[a + k], p[b + k]) >= Math.min(q[d + k], q[e + k]) && Math.max(q[d + k], q[e + k]) >= Math.min(p[a + k], p[b + k]);
    }
}
