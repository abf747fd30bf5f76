package org.estampage.cage;

import java.util.Arrays;

/**
 * A tree of boxes around the triangles of a cage that finds those whose boxes meet another box.
 *
 * <p>A rayless twin of the tracers: a ray can't ask for a box, and an exact test may not start from rounded hits.
 *
 * @shape node i has the box at 6i (least xyz, most xyz) and the children 2i + 1 and 2i + 2; the leaves of the full tree hold {@value #LEAF} triangles at
 *        most
 * @edge triangles without area are left out
 * @threads immutable by contract
 * @cost O(n log² n) to build, about 30 bytes a triangle
 */
final class BoxPairs {
    private static final int LEAF = 4;

    private final int count;
    private final int leaves;
    private final int[] numbers;
    private final float[] boxes;
    private final float[] own;

    /**
     * Builds the tree.
     *
     * @param xyz       positions
     * @param triangles three point numbers each
     */
    BoxPairs(float[] xyz, int[] triangles) {
        int all = triangles.length / 3;
        own = new float[6 * all];
        int[] kept = new int[all];
        int n = 0;
        for (int t = 0; t < all; t++) {
            int a = 3 * triangles[3 * t], b = 3 * triangles[3 * t + 1], c = 3 * triangles[3 * t + 2];
            for (int k = 0; k < 3; k++) {
                own[6 * t + k] = Math.min(xyz[a + k], Math.min(xyz[b + k], xyz[c + k]));
                own[6 * t + 3 + k] = Math.max(xyz[a + k], Math.max(xyz[b + k], xyz[c + k]));
            }
            if (ExactTriangles.hasArea(xyz, a, b, c)) {
                kept[n++] = t;
            }
        }
        count = n;
        numbers = Arrays.copyOf(kept, n);
        int size = 1;
        while (size * LEAF < n) {
            size *= 2;
        }
        leaves = size;
        boxes = new float[6 * (2 * size - 1)];
        if (n > 0) {
            split(0, 0, n, new long[n]);
        }
    }

    private void split(int node, int start, int end, long[] keys) {
        for (int k = 0; k < 3; k++) {
            float least = Float.POSITIVE_INFINITY, most = Float.NEGATIVE_INFINITY;
            for (int i = start; i < end; i++) {
                least = Math.min(least, own[6 * numbers[i] + k]);
                most = Math.max(most, own[6 * numbers[i] + 3 + k]);
            }
            boxes[6 * node + k] = least;
            boxes[6 * node + 3 + k] = most;
        }
        if (node >= leaves - 1) {
            return;
        }
        int axis = 0;
        for (int k = 1; k < 3; k++) {
            if (boxes[6 * node + 3 + k] - boxes[6 * node + k] > boxes[6 * node + 3 + axis] - boxes[6 * node + axis]) {
                axis = k;
            }
        }
        for (int i = start; i < end; i++) {
            int t = numbers[i];
            keys[i] = (long) ordered(0.5f * own[6 * t + axis] + 0.5f * own[6 * t + 3 + axis]) << 32 | t;
        }
        Arrays.sort(keys, start, end);
        for (int i = start; i < end; i++) {
            numbers[i] = (int) keys[i];
        }
        int middle = (start + end) >>> 1;
        split(2 * node + 1, start, middle, keys);
        split(2 * node + 2, middle, end, keys);
    }

    /** Returns bits whose order as integers is that of the floats. */
    private static int ordered(float value) {
        int bits = Float.floatToRawIntBits(value + 0f);
        return bits >= 0 ? bits : bits ^ 0x7fffffff;
    }

    /** Returns how many triangles can be found at most. */
    int count() {
        return count;
    }

    /**
     * Finds the triangles whose boxes meet a box, touching included.
     *
     * @param box  least xyz, most xyz
     * @param dest where the triangle numbers go, in the tree's order; it has room for {@link #count} of them
     * @return how many there are
     */
    int find(float[] box, int[] dest) {
        return count == 0 ? 0 : find(0, 0, count, box, dest, 0);
    }

    private int find(int node, int start, int end, float[] box, int[] dest, int found) {
        if (apart(boxes, 6 * node, box)) {
            return found;
        }
        int next = found;
        if (node >= leaves - 1) {
            for (int i = start; i < end; i++) {
                if (!apart(own, 6 * numbers[i], box)) {
                    dest[next++] = numbers[i];
                }
            }
            return next;
        }
        int middle = (start + end) >>> 1;
        next = find(2 * node + 1, start, middle, box, dest, next);
        return find(2 * node + 2, middle, end, box, dest, next);
    }

    /** Returns whether the box of a triangle and another have no point in common. */
    boolean apart(int triangle, float[] box) {
        return apart(own, 6 * triangle, box);
    }

    private static boolean apart(float[] boxes, int i, float[] box) {
        return boxes[i] > box[3] || boxes[i + 3] < box[0] || boxes[i + 1] > box[4] || boxes[i + 4] < box[1] || boxes[i + 2] > box[5]
                || boxes[i + 5] < box[2];
    }

    /** Writes the box of triangle t into {@code dest}. */
    void box(int t, float[] dest) {
        System.arraycopy(own, 6 * t, dest, 0, 6);
    }
}
