package org.estampage.uv;

import java.util.Arrays;

/**
 * A tree over boxes in the plane, for asking which are near another one.
 *
 * @shape four numbers a box: left, bottom, right, top
 * @threads immutable after construction
 * @cost O(n log² n) to build; 1 + 4 numbers a node, two nodes a box
 */
final class FlatBoxes {
    /** What to do with a box that was found. */
    interface Visitor {
        /** Visits a box and returns how far away, squared, boxes are asked for from then on; below 0 for no more. */
        double visit(int box);
    }

    private final double[] boxes;
    private final int[] order;
    /** Node i has the children 2i and 2i + 1; the leaves begin at {@link #leaves} and stand for the boxes in their order. */
    private final double[] nodes;
    private final int leaves;

    FlatBoxes(double[] boxes) {
        this.boxes = boxes;
        int n = boxes.length / 4;
        order = new int[n];
        Arrays.setAll(order, i -> i);
        sort(0, n);
        leaves = n <= 1 ? 1 : 2 * Integer.highestOneBit(n - 1);
        nodes = new double[8 * leaves];
        for (int i = 0; i < leaves; i++) {
            int at = 4 * (leaves + i);
            if (i < n) {
                System.arraycopy(boxes, 4 * order[i], nodes, at, 4);
            } else {
                Arrays.fill(nodes, at, at + 2, Double.POSITIVE_INFINITY);
                Arrays.fill(nodes, at + 2, at + 4, Double.NEGATIVE_INFINITY);
            }
        }
        for (int i = leaves - 1; i > 0; i--) {
            for (int k = 0; k < 2; k++) {
                nodes[4 * i + k] = Math.min(nodes[8 * i + k], nodes[8 * i + 4 + k]);
                nodes[4 * i + 2 + k] = Math.max(nodes[8 * i + 2 + k], nodes[8 * i + 6 + k]);
            }
        }
    }

    /** Sorts boxes along the longer side of what their middles span, then each half, cut where the leaves of a full tree are. */
    private void sort(int from, int to) {
        if (to - from <= 1) {
            return;
        }
        double[] span = {Double.POSITIVE_INFINITY, Double.POSITIVE_INFINITY, Double.NEGATIVE_INFINITY, Double.NEGATIVE_INFINITY};
        for (int i = from; i < to; i++) {
            for (int k = 0; k < 2; k++) {
                span[k] = Math.min(span[k], twiceMiddle(order[i], k));
                span[2 + k] = Math.max(span[2 + k], twiceMiddle(order[i], k));
            }
        }
        int axis = span[2] - span[0] >= span[3] - span[1] ? 0 : 1;
        Integer[] some = new Integer[to - from];
        Arrays.setAll(some, i -> order[from + i]);
        Arrays.sort(some, (a, b) -> {
            int byMiddle = Double.compare(twiceMiddle(a, axis), twiceMiddle(b, axis));
            return byMiddle != 0 ? byMiddle : Integer.compare(a, b);
        });
        for (int i = from; i < to; i++) {
            order[i] = some[i - from];
        }
        int half = Integer.highestOneBit(to - from - 1);
        sort(from, from + half);
        sort(from + half, to);
    }

    private double twiceMiddle(int box, int axis) {
        return boxes[4 * box + axis] + boxes[4 * box + 2 + axis];
    }

    /**
     * Visits the boxes whose squared distance to another box is at most a limit, near ones rather sooner.
     *
     * @param from  where the other box stands
     * @param at    the place of its first number there
     * @param limit the squared distance to begin with
     * @return the last limit
     */
    double near(double[] from, int at, double limit, Visitor visitor) {
        return near(1, from, at, limit, visitor);
    }

    private double near(int node, double[] from, int at, double limit, Visitor visitor) {
        if (!(distance(nodes, 4 * node, from, at) <= limit)) {
            return limit;
        }
        if (node >= leaves) {
            return node - leaves < order.length ? visitor.visit(order[node - leaves]) : limit;
        }
        int first = distance(nodes, 8 * node, from, at) <= distance(nodes, 8 * node + 4, from, at) ? 2 * node : 2 * node + 1;
        return near(first ^ 1, from, at, near(first, from, at, limit, visitor), visitor);
    }

    /** Returns the squared distance of two boxes. */
    static double distance(double[] p, int a, double[] q, int b) {
        double x = Math.max(0, Math.max(p[a] - q[b + 2], q[b] - p[a + 2]));
        double y = Math.max(0, Math.max(p[a + 1] - q[b + 3], q[b + 1] - p[a + 3]));
        return x * x + y * y;
    }
}
