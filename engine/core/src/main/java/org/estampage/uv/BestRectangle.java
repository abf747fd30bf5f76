package org.estampage.uv;

import java.util.Arrays;

/**
 * The smallest rectangle around a set of points, at any turn.
 *
 * @threads stateless
 * @source the smallest rectangle has a side along an edge of the convex hull: Freeman, Shapira, Determining the minimum-area encasing rectangle for an arbitrary
 *         closed curve, 1975 (from memory)
 */
final class BestRectangle {
    private BestRectangle() {
    }

    /**
     * Returns cosines and sines of turns at equal steps, beginning with the one that lays the best rectangle along the axes.
     *
     * @param count a multiple of four
     */
    static double[] turns(double[] uv, int count) {
        double[] best = best(uv);
        double[] result = new double[2 * count];
        for (int i = 0; i < count; i++) {
            double c = StrictMath.cos(2 * Math.PI * i / count);
            double s = StrictMath.sin(2 * Math.PI * i / count);
            result[2 * i] = c * best[0] - s * best[1];
            result[2 * i + 1] = s * best[0] + c * best[1];
        }
        return result;
    }

    /** Returns the longer side of the best rectangle. */
    static double longest(double[] uv) {
        double[] best = best(uv);
        return Math.max(best[2], best[3]);
    }

    /** Returns cosine and sine of the turn that lays the best rectangle along the axes, its longer side along x, and its width and height then. */
    static double[] best(double[] uv) {
        int[] hull = hull(uv);
        double[] best = {1, 0, 0, 0};
        double least = Double.POSITIVE_INFINITY;
        for (int i = 0; i < hull.length; i++) {
            int a = 2 * hull[i];
            int b = 2 * hull[(i + 1) % hull.length];
            double dx = uv[b] - uv[a];
            double dy = uv[b + 1] - uv[a + 1];
            double l = Math.sqrt(dx * dx + dy * dy);
            if (!(l > 0)) {
                continue;
            }
            double c = dx / l;
            double s = -dy / l;
            double x0 = Double.POSITIVE_INFINITY;
            double x1 = Double.NEGATIVE_INFINITY;
            double y0 = Double.POSITIVE_INFINITY;
            double y1 = Double.NEGATIVE_INFINITY;
            for (int v : hull) {
                double x = c * uv[2 * v] - s * uv[2 * v + 1];
                double y = s * uv[2 * v] + c * uv[2 * v + 1];
                x0 = Math.min(x0, x);
                x1 = Math.max(x1, x);
                y0 = Math.min(y0, y);
                y1 = Math.max(y1, y);
            }
            double w = x1 - x0;
            double h = y1 - y0;
            // a hair's breadth less does not count: rounding would choose
            if (w * h < least * (1 - 1e-9)) {
                least = w * h;
                best = w >= h ? new double[] {c, s, w, h} : new double[] {-s, c, h, w};
            }
        }
        return best;
    }

    /** Returns the lower left corner of the rectangle around the turned points. */
    static double[] corner(double[] uv, double cosine, double sine) {
        double[] corner = {Double.POSITIVE_INFINITY, Double.POSITIVE_INFINITY};
        for (int i = 0; i < uv.length; i += 2) {
            corner[0] = Math.min(corner[0], cosine * uv[i] - sine * uv[i + 1]);
            corner[1] = Math.min(corner[1], sine * uv[i] + cosine * uv[i + 1]);
        }
        return corner;
    }

    /** Returns the vertices of the convex hull, counter-clockwise. */
    static int[] hull(double[] uv) {
        int n = uv.length / 2;
        Integer[] order = new Integer[n];
        Arrays.setAll(order, i -> i);
        Arrays.sort(order,
                (a, b) -> uv[2 * a] != uv[2 * b] ? Double.compare(uv[2 * a], uv[2 * b]) : Double.compare(uv[2 * a + 1], uv[2 * b + 1]));
        int[] hull = new int[2 * n + 1];
        int size = 0;
        for (int pass = 0; pass < 2; pass++) {
            int floor = size + 1;
            for (int i = 0; i < n; i++) {
                int v = order[pass == 0 ? i : n - 1 - i];
                while (size > floor && turn(uv, hull[size - 2], hull[size - 1], v) <= 0) {
                    size--;
                }
                hull[size++] = v;
            }
            size--;
        }
        return Arrays.copyOf(hull, Math.max(1, size));
    }

    private static double turn(double[] uv, int a, int b, int c) {
        return (uv[2 * b] - uv[2 * a]) * (uv[2 * c + 1] - uv[2 * a + 1]) - (uv[2 * b + 1] - uv[2 * a + 1]) * (uv[2 * c] - uv[2 * a]);
    }
}
