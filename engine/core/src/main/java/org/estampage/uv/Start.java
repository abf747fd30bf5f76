package org.estampage.uv;

import java.util.Arrays;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Ways to lay a net flat by one linear solve.
 *
 * @shape results: two numbers a vertex of the net
 * @threads stateless; safe for concurrent calls
 */
final class Start {
    private Start() {
    }

    /**
     * Returns the least-squares conformal map that holds two vertices fast, or null when it can't be solved. It may flip and overlap.
     *
     * @param pins two vertices
     * @param at   where they lie, u and v of each
     * @source Lévy, Petitjean, Ray and Maillot, Least Squares Conformal Maps for Automatic Texture Atlas Generation, 2002, with their weight (one over
     *         the root of the doubled area), from memory
     */
    static double @Nullable [] conformal(Net net, int[] pins, double[] at, Task task) {
        int n = net.vertexCount;
        double[] diagonal = new double[n];
        double[] even = new double[net.low.length];
        double[] odd = new double[net.low.length];
        // The energy is ½ Σ A |∇u − turned ∇v|²: in each block the Laplacian for u with u and v with v, an area for u with v.
        for (int t = 0; t < net.triangleCount; t++) {
            int i = 6 * t;
            for (int k = 0; k < 3; k++) {
                int a = i + 2 * k;
                int b = i + 2 * ((k + 1) % 3);
                diagonal[net.corner[3 * t + k]] += net.area[t] * (net.slope[a] * net.slope[a] + net.slope[a + 1] * net.slope[a + 1]);
                int e = net.edge[3 * t + k];
                even[e] += net.area[t] * (net.slope[a] * net.slope[b] + net.slope[a + 1] * net.slope[b + 1]);
                // u of the first with v of the second: minus the cross product of the slopes, for the determinant.
                double cross = net.area[t] * (net.slope[a] * net.slope[b + 1] - net.slope[a + 1] * net.slope[b]);
                odd[e] += net.corner[3 * t + k] < net.corner[3 * t + (k + 1) % 3] ? -cross : cross;
            }
        }
        int[] row = new int[n];
        int count = 0;
        for (int v = 0; v < n; v++) {
            row[v] = v == pins[0] || v == pins[1] ? -1 : count++;
        }
        int[] columnStart = new int[2 * count + 1];
        int[] rows = new int[4 * net.low.length + 3 * count];
        double[] values = new double[rows.length];
        double[] uv = new double[2 * n];
        for (int p = 0; p < 2; p++) {
            uv[2 * pins[p]] = at[2 * p];
            uv[2 * pins[p] + 1] = at[2 * p + 1];
        }
        double[] right = new double[2 * count];
        int used = 0;
        for (int v = 0; v < n; v++) {
            for (int half = 0; half < 2; half++) {
                for (int e = net.edgeStart[v]; e < net.edgeStart[v + 1]; e++) {
                    int w = net.low[e];
                    // Block of row w, column v: [even, odd; −odd, even].
                    double first = half == 0 ? even[e] : odd[e];
                    double second = half == 0 ? -odd[e] : even[e];
                    if (row[v] >= 0 && row[w] >= 0) {
                        rows[used] = 2 * row[w];
                        values[used++] = first;
                        rows[used] = 2 * row[w] + 1;
                        values[used++] = second;
                    } else if (row[v] >= 0) {
                        right[2 * row[v] + half] -= first * uv[2 * w] + second * uv[2 * w + 1];
                    } else if (row[w] >= 0) {
                        right[2 * row[w]] -= first * uv[2 * v + half];
                        right[2 * row[w] + 1] -= second * uv[2 * v + half];
                    }
                }
                if (row[v] >= 0) {
                    if (half == 1) {
                        rows[used] = 2 * row[v];
                        values[used++] = 0;
                    }
                    rows[used] = 2 * row[v] + half;
                    values[used++] = diagonal[v];
                    columnStart[2 * row[v] + half + 1] = used;
                }
            }
        }
        Factor factor = new Factor(columnStart, Arrays.copyOf(rows, used), task);
        if (count > 0) {
            if (!factor.decompose(values)) {
                return null;
            }
            factor.solve(right, 1);
        }
        for (int v = 0; v < n; v++) {
            if (row[v] >= 0) {
                uv[2 * v] = right[2 * row[v]];
                uv[2 * v + 1] = right[2 * row[v] + 1];
            }
        }
        return uv;
    }

    /** Returns two vertices of the border that are far apart: from its first the farthest, and from that the farthest; ties to the earlier. */
    static int[] farApart(Net net) {
        int a = farthest(net, net.border[0]);
        return new int[] {a, farthest(net, a)};
    }

    private static int farthest(Net net, int from) {
        int best = from;
        double most = 0;
        for (int v : net.border) {
            double d = net.distance(from, v);
            // Equal but for rounding is equal: a turned surface shall give the same answer.
            if (d > most * (1 + 1e-6)) {
                most = d;
                best = v;
            }
        }
        return best;
    }

    /**
     * Returns the map that puts the border on a circle, by length, and each inner vertex in the middle of its neighbours: without a flip but for rounding.
     * Null when it can't be solved.
     *
     * @source Tutte, How to Draw a Graph, 1963; Floater, Parametrization and Smooth Approximation of Surface Triangulations, 1997, from memory
     */
    static double @Nullable [] circle(Net net, Task task) {
        int n = net.vertexCount;
        int count = net.border.length;
        boolean[] fixed = new boolean[n];
        double[] uv = new double[2 * n];
        double[] along = new double[count + 1];
        for (int i = 0; i < count; i++) {
            along[i + 1] = along[i] + net.distance(net.border[i], net.border[(i + 1) % count]);
        }
        // No two on one spot: every edge has at least a thousandth of the mean edge.
        double more = Math.max(1e-3 * along[count] / count, Double.MIN_NORMAL);
        double radius = Math.sqrt(1 / Math.PI);
        for (int i = 0; i < count; i++) {
            double angle = 2 * Math.PI * ((along[i] + i * more) / (along[count] + count * more));
            int v = net.border[i];
            fixed[v] = true;
            uv[2 * v] = radius * StrictMath.cos(angle);
            uv[2 * v + 1] = radius * StrictMath.sin(angle);
        }
        if (count == n) {
            return uv;
        }
        double[] diagonal = new double[n];
        double[] coupling = new double[net.low.length];
        double[] right = new double[2 * n];
        Arrays.fill(coupling, -1);
        for (int v = 0; v < n; v++) {
            for (int e = net.edgeStart[v]; e < net.edgeStart[v + 1]; e++) {
                int w = net.low[e];
                diagonal[v]++;
                diagonal[w]++;
                if (fixed[v] && !fixed[w]) {
                    right[2 * w] += uv[2 * v];
                    right[2 * w + 1] += uv[2 * v + 1];
                } else if (fixed[w] && !fixed[v]) {
                    right[2 * v] += uv[2 * w];
                    right[2 * v + 1] += uv[2 * w + 1];
                }
            }
        }
        Laplacian laplacian = new Laplacian(net, fixed, task);
        if (!laplacian.factor(diagonal, coupling)) {
            return null;
        }
        double[] inner = new double[2 * n];
        laplacian.solve(right, inner);
        for (int v = 0; v < n; v++) {
            if (!fixed[v]) {
                uv[2 * v] = inner[2 * v];
                uv[2 * v + 1] = inner[2 * v + 1];
            }
        }
        return uv;
    }
}
