package org.estampage.mesh;

import java.util.Arrays;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Triangle edges brought together: those that join the same two vertices stand side by side, in rising order of their edge numbers. Edge 3t + k runs
 * from corner k of triangle t to the next one.
 *
 * @threads immutable after construction
 */
final class EdgeRuns {
    // Up to here insertion beats a sort with its own set-up; a usual vertex starts three edges.
    private static final int FEW = 24;

    private final int[] cornerVertex;
    private final int[] order;

    /**
     * Brings edges together: a counting sort by the lower vertex, then a small stable sort by the higher one.
     *
     * @param cornerVertex a vertex number a triangle corner
     * @param vertexCount  numbers are below this
     * @param skipped      triangles to leave out, or null
     */
    EdgeRuns(int[] cornerVertex, int vertexCount, boolean @Nullable [] skipped) {
        this(cornerVertex, vertexCount, skipped, Task.silent());
    }

    /** Does the same for a task, which can be cancelled. */
    EdgeRuns(int[] cornerVertex, int vertexCount, boolean @Nullable [] skipped, Task task) {
        this.cornerVertex = cornerVertex;
        int[] start = new int[vertexCount + 1];
        for (int e = 0; e < cornerVertex.length; e++) {
            task.check(e);
            if (skipped == null || !skipped[e / 3]) {
                start[low(e) + 1]++;
            }
        }
        for (int v = 0; v < vertexCount; v++) {
            start[v + 1] += start[v];
        }
        order = new int[start[vertexCount]];
        for (int e = 0; e < cornerVertex.length; e++) {
            task.check(e);
            if (skipped == null || !skipped[e / 3]) {
                order[start[low(e)]++] = e;
            }
        }
        // Each start has moved to its bucket's end, which is the next bucket's start.
        int from = 0;
        for (int v = 0; v < vertexCount; v++) {
            task.check(v);
            int to = start[v];
            if (to - from <= FEW) {
                insertionSort(from, to);
            } else {
                keySort(from, to);
            }
            from = to;
        }
    }

    /** Returns the edge numbers, grouped. */
    int[] order() {
        return order;
    }

    /** Returns where the group that begins at {@code from} ends. */
    int endOf(int from) {
        int low = low(order[from]), high = high(order[from]);
        int to = from + 1;
        while (to < order.length && high(order[to]) == high && low(order[to]) == low) {
            to++;
        }
        return to;
    }

    /** Returns the edge that follows around the triangle. */
    static int next(int edge) {
        return edge % 3 == 2 ? edge - 2 : edge + 1;
    }

    /** Returns the edge that comes before around the triangle. */
    static int previous(int edge) {
        return edge % 3 == 0 ? edge + 2 : edge - 1;
    }

    private int low(int edge) {
        return Math.min(cornerVertex[edge], cornerVertex[next(edge)]);
    }

    private int high(int edge) {
        return Math.max(cornerVertex[edge], cornerVertex[next(edge)]);
    }

    private void insertionSort(int from, int to) {
        for (int i = from + 1; i < to; i++) {
            int edge = order[i];
            int key = high(edge);
            int j = i;
            while (j > from && high(order[j - 1]) > key) {
                order[j] = order[j - 1];
                j--;
            }
            order[j] = edge;
        }
    }

    private void keySort(int from, int to) {
        long[] keys = new long[to - from];
        for (int i = from; i < to; i++) {
            keys[i - from] = (long) high(order[i]) << 32 | order[i];
        }
        Arrays.sort(keys);
        for (int i = from; i < to; i++) {
            order[i] = (int) keys[i - from];
        }
    }
}
