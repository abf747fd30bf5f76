package org.estampage.uv;

import java.util.Arrays;
import org.estampage.task.Task;

/**
 * A weighted Laplacian of a net, some vertices held fast, factored.
 *
 * @shape weights and couplings: a number an edge of the net; diagonal: a number a vertex
 * @threads confined
 */
final class Laplacian {
    private final Net net;
    /** A free vertex's row, −1 for one held fast. */
    private final int[] row;
    private final int[] columnStart;
    private final double[] values;
    private final double[] side;
    private final Factor factor;

    Laplacian(Net net, boolean[] fixed, Task task) {
        this.net = net;
        row = new int[net.vertexCount];
        int count = 0;
        int entries = 0;
        for (int v = 0; v < net.vertexCount; v++) {
            row[v] = fixed[v] ? -1 : count++;
            if (!fixed[v]) {
                entries++;
                for (int e = net.edgeStart[v]; e < net.edgeStart[v + 1]; e++) {
                    entries += fixed[net.low[e]] ? 0 : 1;
                }
            }
        }
        columnStart = new int[count + 1];
        int[] rows = new int[entries];
        int at = 0;
        for (int v = 0; v < net.vertexCount; v++) {
            if (fixed[v]) {
                continue;
            }
            for (int e = net.edgeStart[v]; e < net.edgeStart[v + 1]; e++) {
                if (row[net.low[e]] >= 0) {
                    rows[at++] = row[net.low[e]];
                }
            }
            rows[at++] = row[v];
            columnStart[row[v] + 1] = at;
        }
        values = new double[entries];
        side = new double[2 * count];
        factor = new Factor(columnStart, rows, task);
    }

    /** Factors it; returns false when it is not positive definite. */
    boolean factor(double[] diagonal, double[] coupling) {
        int at = 0;
        for (int v = 0; v < net.vertexCount; v++) {
            if (row[v] < 0) {
                continue;
            }
            for (int e = net.edgeStart[v]; e < net.edgeStart[v + 1]; e++) {
                if (row[net.low[e]] >= 0) {
                    values[at++] = coupling[e];
                }
            }
            values[at++] = diagonal[v];
        }
        return factor.decompose(values);
    }

    /** Writes the solution for two interleaved right-hand sides, 0 where a vertex is held fast. */
    void solve(double[] right, double[] dest) {
        for (int v = 0; v < net.vertexCount; v++) {
            if (row[v] >= 0) {
                side[2 * row[v]] = right[2 * v];
                side[2 * row[v] + 1] = right[2 * v + 1];
            }
        }
        factor.solve(side, 2);
        Arrays.fill(dest, 0);
        for (int v = 0; v < net.vertexCount; v++) {
            if (row[v] >= 0) {
                dest[2 * v] = side[2 * row[v]];
                dest[2 * v + 1] = side[2 * row[v] + 1];
            }
        }
    }
}
