package org.estampage.uv;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.Random;
import java.util.concurrent.CancellationException;
import org.ejml.data.DMatrixRMaj;
import org.ejml.data.DMatrixSparseCSC;
import org.ejml.ops.DConvertMatrixStruct;
import org.ejml.sparse.csc.CommonOps_DSCC;
import org.ejml.sparse.csc.decomposition.chol.CholeskyUpLooking_DSCC;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** Our factor against a general library's (EJML), and against the matrix itself. */
class FactorDifferentialTest {
    /** A grid's Laplacian plus some far couplings, in an order of rows that fills in. */
    private static DMatrixSparseCSC matrix(int side, long seed) {
        int n = side * side;
        Random random = new Random(seed);
        int[] place = random.ints(0, n).distinct().limit(n).toArray();
        DMatrixRMaj dense = new DMatrixRMaj(n, n);
        for (int i = 0; i < n; i++) {
            couple(dense, place[i], i % side + 1 < side ? place[i + 1] : place[random.nextInt(n)], random.nextDouble());
            couple(dense, place[i], i + side < n ? place[i + side] : place[random.nextInt(n)], random.nextDouble());
            dense.add(i, i, 1e-3);
        }
        DMatrixSparseCSC upper = new DMatrixSparseCSC(n, n, 0);
        for (int c = 0; c < n; c++) {
            for (int r = c + 1; r < n; r++) {
                dense.set(r, c, 0);
            }
        }
        DConvertMatrixStruct.convert(dense, upper, 0);
        return upper;
    }

    private static void couple(DMatrixRMaj inout, int a, int b, double weight) {
        if (a != b) {
            inout.add(a, b, -weight);
            inout.add(b, a, -weight);
            inout.add(a, a, weight);
            inout.add(b, b, weight);
        }
    }

    private static Factor factor(DMatrixSparseCSC upper) {
        return new Factor(upper.col_idx, upper.nz_rows, Task.silent());
    }

    @Test
    void solution_hasTheBitsOfTheLibrarysFactor() {
        for (int side = 1; side <= 12; side++) {
            DMatrixSparseCSC upper = matrix(side, side);
            Factor factor = factor(upper);
            // The same places twice, with other numbers.
            for (double scale : new double[] {1, 3}) {
                CommonOps_DSCC.scale(scale, upper, upper);
                assertThat(factor.decompose(upper.nz_values)).isTrue();
                CholeskyUpLooking_DSCC library = new CholeskyUpLooking_DSCC();
                assertThat(library.decompose(upper.copy())).isTrue();
                double[] right = new Random(7).doubles(2L * upper.numCols).toArray();
                double[] ours = right.clone();
                factor.solve(ours, 2);
                assertThat(ours).isEqualTo(solved(library.getL(), right));
            }
        }
    }

    /** Forward and back through a lower triangle, two right-hand sides at once. */
    private static double[] solved(DMatrixSparseCSC lower, double[] right) {
        double[] x = right.clone();
        for (int side = 0; side < 2; side++) {
            for (int c = 0; c < lower.numCols; c++) {
                x[2 * c + side] /= lower.nz_values[lower.col_idx[c]];
                for (int i = lower.col_idx[c] + 1; i < lower.col_idx[c + 1]; i++) {
                    x[2 * lower.nz_rows[i] + side] -= lower.nz_values[i] * x[2 * c + side];
                }
            }
            for (int c = lower.numCols - 1; c >= 0; c--) {
                for (int i = lower.col_idx[c] + 1; i < lower.col_idx[c + 1]; i++) {
                    x[2 * c + side] -= lower.nz_values[i] * x[2 * lower.nz_rows[i] + side];
                }
                x[2 * c + side] /= lower.nz_values[lower.col_idx[c]];
            }
        }
        return x;
    }

    @Test
    void solution_solvesTheMatrix() {
        DMatrixSparseCSC upper = matrix(20, 3);
        Factor factor = factor(upper);
        assertThat(factor.decompose(upper.nz_values)).isTrue();
        double[] right = new Random(5).doubles(upper.numCols).toArray();
        double[] x = right.clone();
        factor.solve(x, 1);
        double[] back = new double[x.length];
        for (int c = 0; c < upper.numCols; c++) {
            for (int i = upper.col_idx[c]; i < upper.col_idx[c + 1]; i++) {
                int r = upper.nz_rows[i];
                back[r] += upper.nz_values[i] * x[c];
                back[c] += r == c ? 0 : upper.nz_values[i] * x[r];
            }
        }
        // Numbers up to 8 and a condition below 8 / 1e-3, times 400 rows' rounding of 1e-16.
        assertThat(back).usingComparatorWithPrecision(8 / 1e-3 * 400 * 1e-16).containsExactly(right);
    }

    @Test
    void notPositiveDefinite_orNotANumber_isSaid() {
        DMatrixSparseCSC upper = matrix(6, 1);
        double[] indefinite = upper.nz_values.clone();
        indefinite[indefinite.length - 1] = -1;
        assertThat(factor(upper).decompose(indefinite)).isFalse();
        double[] unknown = upper.nz_values.clone();
        unknown[unknown.length - 1] = Double.NaN;
        assertThat(factor(upper).decompose(unknown)).isFalse();
        // And can go on afterwards.
        Factor factor = factor(upper);
        assertThat(factor.decompose(indefinite)).isFalse();
        assertThat(factor.decompose(upper.nz_values)).isTrue();
    }

    @Test
    void cancelledTask_stopsBothParts() {
        Task task = Task.silent();
        DMatrixSparseCSC upper = matrix(6, 1);
        Factor factor = new Factor(upper.col_idx, upper.nz_rows, task);
        task.cancellation().cancel();
        assertThatThrownBy(() -> factor.decompose(upper.nz_values)).isInstanceOf(CancellationException.class);
        assertThatThrownBy(() -> new Factor(upper.col_idx, upper.nz_rows, task)).isInstanceOf(CancellationException.class);
    }
}
