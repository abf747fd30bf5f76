package org.estampage.uv;

import java.util.Arrays;
import org.estampage.task.Task;

/**
 * A symmetric sparse system whose unknowns are points of the plane: a 2 × 2 block for each pair of vertices that an edge joins, solved by conjugate
 * gradients.
 *
 * @threads confined
 */
final class BlockSystem {
    /** Steps between two looks at whether to stop: some milliseconds for the largest charts. */
    private static final int STEPS_BETWEEN_CHECKS = 8;

    private final int count;
    private final Task task;
    private final int[] start;
    private final int[] column;
    /** The block of each triangle's corners p and q, at 9t + 3p + q. */
    private final int[] slot;
    /** xx, xy, yy of each block. */
    private final double[] block;
    private final double[] inverse;
    private final double[] residual;
    private final double[] direction;
    private final double[] product;
    private final double[] better;
    /** The right side. */
    final double[] right;

    BlockSystem(int count, int[] triangles, Task task) {
        this.count = count;
        this.task = task;
        long[] pair = new long[3 * triangles.length];
        for (int c = 0, at = 0; c < triangles.length; c++) {
            for (int q = 0; q < 3; q++) {
                pair[at++] = (long) triangles[c] << 32 | triangles[c - c % 3 + q];
            }
        }
        slot = new int[pair.length];
        long[] sorted = pair.clone();
        Arrays.sort(sorted);
        int blocks = 0;
        for (int i = 0; i < sorted.length; i++) {
            if (i == 0 || sorted[i] != sorted[i - 1]) {
                sorted[blocks++] = sorted[i];
            }
        }
        start = new int[count + 1];
        column = new int[blocks];
        for (int b = 0; b < blocks; b++) {
            start[(int) (sorted[b] >> 32) + 1]++;
            column[b] = (int) sorted[b];
        }
        for (int v = 0; v < count; v++) {
            start[v + 1] += start[v];
        }
        for (int i = 0; i < pair.length; i++) {
            slot[i] = Arrays.binarySearch(sorted, 0, blocks, pair[i]);
        }
        block = new double[3 * blocks];
        inverse = new double[3 * count];
        residual = new double[2 * count];
        direction = new double[2 * count];
        product = new double[2 * count];
        better = new double[2 * count];
        right = new double[2 * count];
    }

    /** Empties the system. */
    void clear() {
        Arrays.fill(block, 0);
        Arrays.fill(right, 0);
    }

    /** Adds a block for corners p and q of a triangle. */
    void add(int triangle, int p, int q, double xx, double xy, double yy) {
        int b = 3 * slot[9 * triangle + 3 * p + q];
        block[b] += xx;
        block[b + 1] += xy;
        block[b + 2] += yy;
    }

    /** Makes a vertex stay where the right side says, and takes it out of the others' rows, which must have its place in their right side already. */
    void hold(boolean[] held) {
        for (int v = 0; v < count; v++) {
            for (int e = start[v]; e < start[v + 1]; e++) {
                if (held[v] || held[column[e]]) {
                    double one = v == column[e] ? 1 : 0;
                    block[3 * e] = one;
                    block[3 * e + 1] = 0;
                    block[3 * e + 2] = one;
                }
            }
        }
    }

    /** Improves x until its error, measured by the residual, has shrunk to a part of what it was, or for so many steps. */
    void solve(double[] x, double part, int steps) {
        for (int v = 0; v < count; v++) {
            for (int e = start[v]; e < start[v + 1]; e++) {
                if (column[e] == v) {
                    double xx = block[3 * e];
                    double xy = block[3 * e + 1];
                    double yy = block[3 * e + 2];
                    double d = xx * yy - xy * xy;
                    boolean good = d > 1e-14 * xx * yy && xx > 0;
                    inverse[3 * v] = good ? yy / d : 1 / Math.max(xx + yy, Double.MIN_NORMAL);
                    inverse[3 * v + 1] = good ? -xy / d : 0;
                    inverse[3 * v + 2] = good ? xx / d : inverse[3 * v];
                }
            }
        }
        multiply(x, product);
        for (int i = 0; i < residual.length; i++) {
            residual[i] = right[i] - product[i];
        }
        double rz = precondition();
        double first = rz;
        System.arraycopy(better, 0, direction, 0, better.length);
        for (int step = 0; step < steps && rz > part * part * first && rz > Double.MIN_NORMAL; step++) {
            if (step % STEPS_BETWEEN_CHECKS == 0) {
                task.check();
            }
            multiply(direction, product);
            double curvature = 0;
            for (int i = 0; i < product.length; i++) {
                curvature += direction[i] * product[i];
            }
            if (!(curvature > 0)) {
                return;
            }
            double length = rz / curvature;
            for (int i = 0; i < product.length; i++) {
                x[i] += length * direction[i];
                residual[i] -= length * product[i];
            }
            double next = precondition();
            double keep = next / rz;
            rz = next;
            for (int i = 0; i < product.length; i++) {
                direction[i] = better[i] + keep * direction[i];
            }
        }
    }

    private void multiply(double[] x, double[] dest) {
        for (int v = 0; v < count; v++) {
            double a = 0;
            double b = 0;
            for (int e = start[v]; e < start[v + 1]; e++) {
                double u = x[2 * column[e]];
                double w = x[2 * column[e] + 1];
                a += block[3 * e] * u + block[3 * e + 1] * w;
                b += block[3 * e + 1] * u + block[3 * e + 2] * w;
            }
            dest[2 * v] = a;
            dest[2 * v + 1] = b;
        }
    }

    private double precondition() {
        double sum = 0;
        for (int v = 0; v < count; v++) {
            double x = residual[2 * v];
            double y = residual[2 * v + 1];
            better[2 * v] = inverse[3 * v] * x + inverse[3 * v + 1] * y;
            better[2 * v + 1] = inverse[3 * v + 1] * x + inverse[3 * v + 2] * y;
            sum += better[2 * v] * x + better[2 * v + 1] * y;
        }
        return sum;
    }
}
