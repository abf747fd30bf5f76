package org.estampage.raster;

import java.math.BigDecimal;

/**
 * On which side of a line a point lies, exactly.
 *
 * <p>All methods are about d = (ax − sx)(by − sy) − (ay − sy)(bx − sx): twice the area of the triangle a, b, s; positive when s lies left of the
 * line from a to b, with x to the right and y up.
 *
 * @edge finite coordinates only, of a size between 1e−60 and 1e60 or 0, so that no product over- or underflows
 * @threads stateless
 * @source Shewchuk, Adaptive Precision Floating-Point Arithmetic and Fast Robust Geometric Predicates, 1997, section 4.2: the first filter and
 *         the second stage; the last stage here is decimal arithmetic, since it is reached only where a difference is not exact
 */
final class Orientation {
    /** (3 + 16ε)ε with ε = 2⁻⁵³: the bound of the first filter, relative to |left| + |right| (Shewchuk 1997, figure 21). */
    private static final double SIGN_BOUND = 3.3306690738754716e-16;

    /**
     * Above this share of |left| + |right|, rounding changed d by less than {@link #SIGN_BOUND} · 2²⁰ ≈ 3.5e−10 of itself: far below the 6e−8 of
     * the floats that barycentrics are rounded to.
     */
    private static final double VALUE_BOUND = 0x1p-20;

    /** Veltkamp's constant 2²⁷ + 1, which splits a double into two halves of 26 bits. */
    private static final double SPLITTER = 0x1p27 + 1;

    private Orientation() {
    }

    /** Returns a number with the exact sign of d; 0 exactly when the three points lie on one line. */
    static double sign(double ax, double ay, double bx, double by, double sx, double sy) {
        return compute(ax, ay, bx, by, sx, sy, SIGN_BOUND);
    }

    /** Returns d with a relative error below 4e−10, hence with its exact sign. */
    static double value(double ax, double ay, double bx, double by, double sx, double sy) {
        return compute(ax, ay, bx, by, sx, sy, VALUE_BOUND);
    }

    private static double compute(double ax, double ay, double bx, double by, double sx, double sy, double bound) {
        double left = (ax - sx) * (by - sy);
        double right = (ay - sy) * (bx - sx);
        double d = left - right;
        double sum = Math.abs(left) + Math.abs(right);
        if (Math.abs(d) > bound * sum) {
            return d;
        }
        return refined(ax, ay, bx, by, sx, sy);
    }

    private static double refined(double ax, double ay, double bx, double by, double sx, double sy) {
        double p = ax - sx, q = by - sy, r = ay - sy, s = bx - sx;
        if (tail(ax, sx, p) != 0 || tail(by, sy, q) != 0 || tail(ay, sy, r) != 0 || tail(bx, sx, s) != 0) {
            return decimal(ax, ay, bx, by, sx, sy);
        }
        // The differences are exact. Rounding is monotonic: unequal rounded products are in the order of the exact ones.
        double left = p * q;
        double right = r * s;
        double d = left - right; // exact: the two are within a factor of 2 of each other, or both 0
        double rest = productTail(p, q, left) - productTail(r, s, right);
        if (d == 0) {
            return rest;
        }
        // Where the two nearly cancel, their sum would not be good to 4e−10.
        return Math.abs(rest) <= 0.5 * Math.abs(d) ? d + rest : decimal(ax, ay, bx, by, sx, sy);
    }

    /** Returns what a − b lost when it was rounded to {@code difference} (Knuth's two-sum, for a difference). */
    private static double tail(double a, double b, double difference) {
        double bVirtual = a - difference;
        double aVirtual = difference + bVirtual;
        return (a - aVirtual) + (bVirtual - b);
    }

    /** Returns what a · b lost when it was rounded to {@code product} (Dekker's product; no fused operation, so every machine agrees). */
    private static double productTail(double a, double b, double product) {
        double t = SPLITTER * a;
        double aHigh = t - (t - a);
        double aLow = a - aHigh;
        t = SPLITTER * b;
        double bHigh = t - (t - b);
        double bLow = b - bHigh;
        return aLow * bLow - (((product - aHigh * bHigh) - aLow * bHigh) - aHigh * bLow);
    }

    /** The last stage allocates; only points within rounding of a line reach it, and few of them. */
    private static double decimal(double ax, double ay, double bx, double by, double sx, double sy) {
        BigDecimal x = new BigDecimal(sx);
        BigDecimal y = new BigDecimal(sy);
        BigDecimal left = new BigDecimal(ax).subtract(x).multiply(new BigDecimal(by).subtract(y));
        BigDecimal right = new BigDecimal(ay).subtract(y).multiply(new BigDecimal(bx).subtract(x));
        return left.subtract(right).doubleValue();
    }
}
