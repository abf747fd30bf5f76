package org.estampage.uv;

import java.util.Arrays;

/**
 * Whether the border of a disk laid flat crosses itself.
 *
 * <p>A flat disk without flipped triangles covers nothing twice exactly if its border is a simple polygon. Both sides of a cut may touch, as they do when a
 * flat sheet with a slit is laid flat, and rounding must not turn that into a crossing: so the border is first drawn in by {@value #DEPTH} of its extent, or
 * less where its edges are short, and then may not even touch itself. Overlaps shallower than twice that are not seen.
 *
 * <p>Boxes around runs of the border form a tree, which stays when vertices move; pairs of boxes that meet are opened until edges are left.
 *
 * @threads confined
 * @cost O(n log n) for borders that don't crowd, n edges
 */
final class Outline {
    /** Far below a texel of the largest image (2⁻¹⁵), far above rounding (2⁻⁵³) and what solvers leave. */
    static final double DEPTH = 1e-7;
    /** How far an edge shorter than that may be drawn in, of its length. */
    private static final double PART = 0.05;

    private final int[] border;
    private final int size;
    private final double[] point;
    private final double[] box;
    private int[] stack = new int[256];

    Outline(int[] border) {
        this.border = border;
        int leaves = 1;
        while (leaves < border.length) {
            leaves *= 2;
        }
        size = leaves;
        point = new double[2 * border.length];
        box = new double[8 * leaves];
    }

    /** Whether it crosses itself where its vertices are at uv. */
    boolean crosses(double[] uv) {
        drawIn(uv);
        int n = border.length;
        for (int i = 0; i < size; i++) {
            int at = 4 * (size + i);
            if (i < n) {
                int j = i + 1 == n ? 0 : i + 1;
                box[at] = Math.min(point[2 * i], point[2 * j]);
                box[at + 1] = Math.min(point[2 * i + 1], point[2 * j + 1]);
                box[at + 2] = Math.max(point[2 * i], point[2 * j]);
                box[at + 3] = Math.max(point[2 * i + 1], point[2 * j + 1]);
            } else {
                box[at] = Double.POSITIVE_INFINITY;
                box[at + 1] = Double.POSITIVE_INFINITY;
                box[at + 2] = Double.NEGATIVE_INFINITY;
                box[at + 3] = Double.NEGATIVE_INFINITY;
            }
        }
        for (int i = size - 1; i > 0; i--) {
            for (int k = 0; k < 2; k++) {
                box[4 * i + k] = Math.min(box[8 * i + k], box[8 * i + 4 + k]);
                box[4 * i + 2 + k] = Math.max(box[8 * i + 2 + k], box[8 * i + 6 + k]);
            }
        }
        return meets();
    }

    private void drawIn(double[] uv) {
        int n = border.length;
        double left = Double.POSITIVE_INFINITY;
        double right = Double.NEGATIVE_INFINITY;
        double bottom = Double.POSITIVE_INFINITY;
        double top = Double.NEGATIVE_INFINITY;
        for (int v : border) {
            left = Math.min(left, uv[2 * v]);
            right = Math.max(right, uv[2 * v]);
            bottom = Math.min(bottom, uv[2 * v + 1]);
            top = Math.max(top, uv[2 * v + 1]);
        }
        double depth = DEPTH * Math.max(right - left, top - bottom);
        for (int i = 0; i < n; i++) {
            int v = 2 * border[i];
            int p = 2 * border[i == 0 ? n - 1 : i - 1];
            int q = 2 * border[i + 1 == n ? 0 : i + 1];
            double before = length(uv, p, v);
            double after = length(uv, v, q);
            double dx = uv[q] - uv[p];
            double dy = uv[q + 1] - uv[p + 1];
            double across = Math.sqrt(dx * dx + dy * dy);
            double reach = Math.min(depth, PART * Math.min(before, after));
            // At the end of a slit there is no way in, and none is needed.
            boolean end = !(across > PART * Math.max(before, after));
            point[2 * i] = uv[v] - (end ? 0 : reach * dy / across);
            point[2 * i + 1] = uv[v + 1] + (end ? 0 : reach * dx / across);
        }
    }

    private static double length(double[] uv, int a, int b) {
        double dx = uv[b] - uv[a];
        double dy = uv[b + 1] - uv[a + 1];
        return Math.sqrt(dx * dx + dy * dy);
    }

    private boolean meets() {
        int depth = 0;
        stack[depth++] = 1;
        stack[depth++] = 1;
        while (depth > 0) {
            int b = stack[--depth];
            int a = stack[--depth];
            if (depth + 8 > stack.length) {
                stack = Arrays.copyOf(stack, 2 * stack.length);
            }
            if (a == b) {
                if (a < size) {
                    stack[depth++] = 2 * a;
                    stack[depth++] = 2 * a;
                    stack[depth++] = 2 * a + 1;
                    stack[depth++] = 2 * a + 1;
                    stack[depth++] = 2 * a;
                    stack[depth++] = 2 * a + 1;
                }
                continue;
            }
            if (!(box[4 * a] <= box[4 * b + 2] && box[4 * b] <= box[4 * a + 2] && box[4 * a + 1] <= box[4 * b + 3]
                    && box[4 * b + 1] <= box[4 * a + 3])) {
                continue;
            }
            // Both are on one level: the tree is full, and pairs start as pairs of brothers.
            if (a >= size) {
                if (edgesMeet(a - size, b - size)) {
                    return true;
                }
                continue;
            }
            for (int i = 0; i < 2; i++) {
                for (int j = 0; j < 2; j++) {
                    stack[depth++] = 2 * a + i;
                    stack[depth++] = 2 * b + j;
                }
            }
        }
        return false;
    }

    private boolean edgesMeet(int i, int j) {
        int n = border.length;
        int gap = Math.abs(i - j);
        if (gap == 1 || gap == n - 1) {
            return false;
        }
        int i1 = i + 1 == n ? 0 : i + 1;
        int j1 = j + 1 == n ? 0 : j + 1;
        return apart(i, i1, j) * apart(i, i1, j1) <= 0 && apart(j, j1, i) * apart(j, j1, i1) <= 0;
    }

    /** −1, 0 or 1: the side of a line on which a point lies. */
    private int apart(int a, int b, int c) {
        double d = (point[2 * b] - point[2 * a]) * (point[2 * c + 1] - point[2 * a + 1])
                - (point[2 * b + 1] - point[2 * a + 1]) * (point[2 * c] - point[2 * a]);
        return d > 0 ? 1 : d < 0 ? -1 : 0;
    }
}
