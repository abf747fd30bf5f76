package org.estampage.uv;

import java.util.Arrays;

/**
 * Tells whether a closed polyline meets itself.
 *
 * @threads confined
 */
final class BorderCrossing {
    private final int[] loop;
    private final double[] low;
    private final double[] high;
    private final long[] order;

    /** Prepares for a loop of vertex numbers. */
    BorderCrossing(int[] loop) {
        this.loop = loop;
        low = new double[loop.length];
        high = new double[loop.length];
        order = new long[loop.length];
    }

    /**
     * Returns whether two edges of the loop that don't follow one another have a point in common.
     *
     * @edge touching counts as crossing
     * @cost O(b log b) for b edges, times how many lie above each other
     */
    boolean crosses(double[] uv) {
        int b = loop.length;
        double left = Double.POSITIVE_INFINITY;
        double right = Double.NEGATIVE_INFINITY;
        for (int i = 0; i < b; i++) {
            double p = uv[2 * loop[i]];
            double q = uv[2 * loop[(i + 1) % b]];
            low[i] = Math.min(p, q);
            high[i] = Math.max(p, q);
            left = Math.min(left, low[i]);
            right = Math.max(right, high[i]);
        }
        if (!(right > left)) {
            return true;
        }
        // Sorted by the cell of the left end; what lies in one cell is compared both ways.
        double cells = (1 << 30) / (right - left);
        for (int i = 0; i < b; i++) {
            order[i] = (long) ((low[i] - left) * cells) << 32 | i;
        }
        Arrays.sort(order);
        for (int s = 0; s < b; s++) {
            int i = (int) order[s];
            long last = (long) ((high[i] - left) * cells);
            for (int r = s + 1; r < b && order[r] >>> 32 <= last; r++) {
                int j = (int) order[r];
                int apart = Math.abs(i - j);
                if (apart > 1 && apart < b - 1 && meet(uv, i, j)) {
                    return true;
                }
            }
        }
        return false;
    }

    private boolean meet(double[] uv, int i, int j) {
        int a = loop[i];
        int b = loop[(i + 1) % loop.length];
        int c = loop[j];
        int d = loop[(j + 1) % loop.length];
        double cy = uv[2 * c + 1];
        double dy = uv[2 * d + 1];
        if (Math.max(uv[2 * a + 1], uv[2 * b + 1]) < Math.min(cy, dy) || Math.min(uv[2 * a + 1], uv[2 * b + 1]) > Math.max(cy, dy)) {
            return false;
        }
        return side(uv, a, b, c) * side(uv, a, b, d) <= 0 && side(uv, c, d, a) * side(uv, c, d, b) <= 0;
    }

    private static double side(double[] uv, int a, int b, int c) {
        return Math.signum((uv[2 * b] - uv[2 * a]) * (uv[2 * c + 1] - uv[2 * a + 1])
                - (uv[2 * b + 1] - uv[2 * a + 1]) * (uv[2 * c] - uv[2 * a]));
    }
}
