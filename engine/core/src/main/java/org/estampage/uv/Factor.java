package org.estampage.uv;

import org.ejml.data.DMatrixSparseCSC;
import org.ejml.sparse.csc.decomposition.chol.CholeskyUpLooking_DSCC;

/**
 * The Cholesky factor of a sparse matrix whose places stay while its numbers change.
 *
 * <p>The order of its rows is the caller's affair, see {@link Dissection}.
 *
 * @threads confined
 * @source Davis, Direct Methods for Sparse Linear Systems, 2006, which the library's decomposition follows
 */
final class Factor {
    private final DMatrixSparseCSC matrix;
    private final CholeskyUpLooking_DSCC decomposition = new CholeskyUpLooking_DSCC();
    private final int n;
    private boolean done;

    /**
     * Describes the upper half of a symmetric matrix.
     *
     * @shape rows: the rows of column c stand rising from columnStart[c] to columnStart[c + 1], the diagonal last; both arrays are kept
     */
    Factor(int[] columnStart, int[] rows) {
        n = columnStart.length - 1;
        matrix = new DMatrixSparseCSC(n, n, 0);
        matrix.col_idx = columnStart;
        matrix.nz_rows = rows;
        matrix.nz_length = rows.length;
        matrix.indicesSorted = true;
    }

    /** Factors the matrix; returns false when it is not positive definite. The values are only read. */
    boolean decompose(double[] values) {
        matrix.nz_values = values;
        if (!decomposition.decompose(matrix)) {
            return false;
        }
        if (!done) {
            // The same places from now on: the tree and the counts need no second look.
            decomposition.setStructureLocked(true);
            done = true;
        }
        return true;
    }

    /** Replaces each of {@code width} interleaved right-hand sides by its solution. */
    void solve(double[] inout, int width) {
        DMatrixSparseCSC lower = decomposition.getL();
        int[] start = lower.col_idx;
        int[] row = lower.nz_rows;
        double[] value = lower.nz_values;
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
