package org.estampage.uv;

import java.util.Arrays;
import org.estampage.task.Task;

/**
 * The Cholesky factor of a sparse matrix whose places stay while its numbers change.
 *
 * <p>The factor L is found row by row from above: row k solves the triangle of the rows over it for column k of the matrix. Which of those rows take
 * part is known from the places alone, by the elimination tree: column j's parent is the row of the first entry below its diagonal.
 *
 * <p>The order of the matrix' rows is the caller's affair, see {@link Dissection}.
 *
 * @threads confined
 * @source Davis, Direct Methods for Sparse Linear Systems, 2006, chapter 4 (up-looking factorisation); Liu, The Role of Elimination Trees in Sparse
 *         Factorization, 1990; both from memory
 */
final class Factor {
    /** Rows between two looks at the task: a row of the largest charts takes some 30 µs. */
    private static final int CHECKED = 256;

    private final int[] columnStart;
    private final int[] rows;
    private final Task task;
    private final int n;
    /** The columns of L, each with its diagonal first, then rising. */
    private final int[] start;
    private final int[] row;
    private final double[] value;
    /** For each row of L its columns left of the diagonal, in an order in which they can be solved: descendants first. */
    private final int[] leftStart;
    private final int[] left;

    /**
     * Describes the upper half of a symmetric matrix, and finds the factor's places.
     *
     * @shape rows: the rows of column c stand rising from columnStart[c] to columnStart[c + 1], the diagonal last; both arrays are kept
     * @cost a step for each entry of the factor, of which 16 bytes each are kept and 8 more for its number
     */
    Factor(int[] columnStart, int[] rows, Task task) {
        this.columnStart = columnStart;
        this.rows = rows;
        this.task = task;
        n = columnStart.length - 1;
        int[] parent = parents();
        int[] mark = new int[n];
        int[] path = new int[n];
        int[] pattern = new int[n];
        leftStart = new int[n + 1];
        int[] count = new int[n];
        Arrays.fill(mark, -1);
        for (int k = 0; k < n; k++) {
            int top = reach(k, parent, mark, path, pattern);
            leftStart[k + 1] = Math.addExact(leftStart[k], n - top);
            count[k]++;
            for (int i = top; i < n; i++) {
                count[pattern[i]]++;
            }
        }
        start = new int[n + 1];
        for (int c = 0; c < n; c++) {
            start[c + 1] = Math.addExact(start[c], count[c]);
        }
        row = new int[start[n]];
        value = new double[start[n]];
        left = new int[leftStart[n]];
        int[] next = Arrays.copyOf(start, n);
        Arrays.fill(mark, -1);
        for (int k = 0; k < n; k++) {
            int top = reach(k, parent, mark, path, pattern);
            row[next[k]++] = k;
            System.arraycopy(pattern, top, left, leftStart[k], n - top);
            for (int i = top; i < n; i++) {
                row[next[pattern[i]]++] = k;
            }
        }
    }

    /** Returns each column's parent in the elimination tree, −1 for a root. */
    private int[] parents() {
        int[] parent = new int[n];
        // The farthest ancestor known so far, so that long paths are walked once.
        int[] ancestor = new int[n];
        for (int k = 0; k < n; k++) {
            parent[k] = -1;
            ancestor[k] = -1;
            for (int i = columnStart[k]; i < columnStart[k + 1]; i++) {
                int j = rows[i];
                while (j >= 0 && j < k) {
                    int up = ancestor[j];
                    ancestor[j] = k;
                    if (up < 0) {
                        parent[j] = k;
                    }
                    j = up;
                }
            }
        }
        return parent;
    }

    /** Writes the columns of row k of L to the end of {@code destPattern}, descendants before ancestors, and returns where they start. */
    private int reach(int k, int[] parent, int[] inoutMark, int[] path, int[] destPattern) {
        if ((k & (CHECKED - 1)) == 0) {
            task.check();
        }
        int top = n;
        inoutMark[k] = k;
        for (int i = columnStart[k]; i < columnStart[k + 1]; i++) {
            int length = 0;
            for (int j = rows[i]; inoutMark[j] != k; j = parent[j]) {
                path[length++] = j;
                inoutMark[j] = k;
            }
            while (length > 0) {
                destPattern[--top] = path[--length];
            }
        }
        return top;
    }

    /**
     * Factors the matrix; returns false when it is not positive definite. The values are only read.
     *
     * @throws java.util.concurrent.CancellationException if the task is cancelled
     */
    boolean decompose(double[] values) {
        double[] x = new double[n];
        int[] next = new int[n];
        for (int k = 0; k < n; k++) {
            if ((k & (CHECKED - 1)) == 0) {
                task.check();
            }
            for (int i = columnStart[k]; i < columnStart[k + 1]; i++) {
                x[rows[i]] = values[i];
            }
            double diagonal = x[k];
            x[k] = 0;
            for (int i = leftStart[k]; i < leftStart[k + 1]; i++) {
                int c = left[i];
                double entry = x[c] / value[start[c]];
                x[c] = 0;
                int end = next[c]++;
                for (int below = start[c] + 1; below < end; below++) {
                    x[row[below]] -= value[below] * entry;
                }
                value[end] = entry;
                diagonal -= entry * entry;
            }
            if (!(diagonal > 0)) {
                return false;
            }
            value[start[k]] = Math.sqrt(diagonal);
            next[k] = start[k] + 1;
        }
        return true;
    }

    /** Replaces each of {@code width} interleaved right-hand sides by its solution. */
    void solve(double[] inout, int width) {
        if (width == 1) {
            for (int c = 0; c < n; c++) {
                double x = inout[c] / value[start[c]];
                inout[c] = x;
                for (int i = start[c] + 1; i < start[c + 1]; i++) {
                    inout[row[i]] -= value[i] * x;
                }
            }
            for (int c = n - 1; c >= 0; c--) {
                double x = inout[c];
                for (int i = start[c] + 1; i < start[c + 1]; i++) {
                    x -= value[i] * inout[row[i]];
                }
                inout[c] = x / value[start[c]];
            }
            return;
        }
        for (int c = 0; c < n; c++) {
            double x = inout[2 * c] / value[start[c]];
            double y = inout[2 * c + 1] / value[start[c]];
            inout[2 * c] = x;
            inout[2 * c + 1] = y;
            for (int i = start[c] + 1; i < start[c + 1]; i++) {
                int r = 2 * row[i];
                inout[r] -= value[i] * x;
                inout[r + 1] -= value[i] * y;
            }
        }
        for (int c = n - 1; c >= 0; c--) {
            double x = inout[2 * c];
            double y = inout[2 * c + 1];
            for (int i = start[c] + 1; i < start[c + 1]; i++) {
                int r = 2 * row[i];
                x -= value[i] * inout[r];
                y -= value[i] * inout[r + 1];
            }
            inout[2 * c] = x / value[start[c]];
            inout[2 * c + 1] = y / value[start[c]];
        }
    }
}
