package org.estampage.uv;

import java.util.Arrays;

/**
 * The smallest rectangle around a set of points, at any turn.
 *
 * @threads immutable
 * @source the smallest rectangle has a side along an edge of the convex hull: Freeman, Shapira, Determining the minimum-area encasing rectangle for an arbitrary
 *         closed curve, 1975 (from memory)
 */
final class BestRectangle {
    /** The turn that lays it along the axes, its longer side along x. */
    final double cosine;
    final double sine;
    /** The longer side. */
    final double width;
    final double height;
    /** Its lower left corner, turned. */
    final double left;
    final double bottom;

    private BestRectangle(double cosine, double sine, double width, double height, double left, double bottom) {
        this.cosine = cosine;
        this.sine = sine;
        this.width = width;
        this.height = height;
        this.left = left;
        this.bottom = bottom;
    }

    /**
     * Finds the rectangle around some vertices.
     *
     * @param vertices their numbers, in any order; all that lie outermost must be among them
     * @edge where all lie at one place: no turn, no size
     * @cost O(n log n), and the square of the hull's corners
     */
    static BestRectangle around(double[] uv, int[] vertices) {
        int[] hull = hull(uv, vertices);
        double[] box = new double[4];
        box(uv, hull, 1, 0, box);
        BestRectangle best = new BestRectangle(1, 0, 0, 0, box[0], box[1]);
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
            box(uv, hull, c, s, box);
            double w = box[2] - box[0];
            double h = box[3] - box[1];
            // a hair's breadth less does not count: rounding would choose
            if (w * h < least * (1 - 1e-9)) {
                least = w * h;
                best = w >= h ? new BestRectangle(c, s, w, h, box[0], box[1]) : new BestRectangle(-s, c, h, w, -box[3], box[0]);
            }
        }
        return best;
    }

    double area() {
        return width * height;
    }

    /**
     * Returns cosines and sines of turns at equal steps, beginning with the one that lays the rectangle along the axes.
     *
     * @param count a multiple of four
     */
    double[] turns(int count) {
        double[] result = new double[2 * count];
        for (int i = 0; i < count; i++) {
            double c = StrictMath.cos(2 * Math.PI * i / count);
            double s = StrictMath.sin(2 * Math.PI * i / count);
            result[2 * i] = c * cosine - s * sine;
            result[2 * i + 1] = s * cosine + c * sine;
        }
        return result;
    }

    /** Writes the least and the largest turned coordinates. */
    private static void box(double[] uv, int[] vertices, double cosine, double sine, double[] dest) {
        dest[0] = Double.POSITIVE_INFINITY;
        dest[1] = Double.POSITIVE_INFINITY;
        dest[2] = Double.NEGATIVE_INFINITY;
        dest[3] = Double.NEGATIVE_INFINITY;
        for (int v : vertices) {
            double x = cosine * uv[2 * v] - sine * uv[2 * v + 1];
            double y = sine * uv[2 * v] + cosine * uv[2 * v + 1];
            dest[0] = Math.min(dest[0], x);
            dest[1] = Math.min(dest[1], y);
            dest[2] = Math.max(dest[2], x);
            dest[3] = Math.max(dest[3], y);
        }
    }

    /** Returns the vertices of the convex hull, counter-clockwise. */
    private static int[] hull(double[] uv, int[] vertices) {
        Integer[] order = Arrays.stream(vertices).boxed().toArray(Integer[]::new);
        Arrays.sort(order,
                (a, b) -> uv[2 * a] != uv[2 * b] ? Double.compare(uv[2 * a], uv[2 * b]) : Double.compare(uv[2 * a + 1], uv[2 * b + 1]));
        int n = order.length;
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
