package org.estampage.lowpoly;

/**
 * Eigenvalues and unit eigenvectors of a symmetric 3×3 matrix, by Jacobi's turns.
 *
 * @shape value: three, rising; vector: three after each other, in the same order
 * @threads confined
 * @source Jacobi, Über ein leichtes Verfahren, die in der Theorie der Säcularstörungen vorkommenden Gleichungen numerisch aufzulösen, 1846 (from memory)
 */
final class SymmetricEigen {
    /** Off-diagonal values fall quadratically: six or seven sweeps reach the rounding of doubles. */
    private static final int SWEEPS = 16;

    final double[] value = new double[3];
    final double[] vector = new double[9];

    /** Solves for a matrix of nine numbers, row by row. */
    SymmetricEigen(double[] matrix) {
        double[][] m = new double[3][3];
        double[][] v = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
        for (int i = 0; i < 9; i++) {
            m[i / 3][i % 3] = matrix[i];
        }
        for (int sweep = 0; sweep < SWEEPS; sweep++) {
            turn(m, v, 0, 1);
            turn(m, v, 0, 2);
            turn(m, v, 1, 2);
        }
        int[] order = {0, 1, 2};
        for (int i = 0; i < 2; i++) {
            for (int k = i + 1; k < 3; k++) {
                if (m[order[k]][order[k]] < m[order[i]][order[i]]) {
                    int swap = order[i];
                    order[i] = order[k];
                    order[k] = swap;
                }
            }
        }
        for (int i = 0; i < 3; i++) {
            value[i] = m[order[i]][order[i]];
            for (int k = 0; k < 3; k++) {
                vector[3 * i + k] = v[k][order[i]];
            }
        }
    }

    /** Turns in the plane of two coordinates so that what couples them becomes nothing. */
    private static void turn(double[][] inoutM, double[][] inoutV, int p, int q) {
        double off = inoutM[p][q];
        if (off == 0) {
            return;
        }
        // tan of the smaller of the two angles that do it.
        double theta = (inoutM[q][q] - inoutM[p][p]) / (2 * off);
        double t = (theta < 0 ? -1 : 1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1));
        double cosine = 1 / Math.sqrt(t * t + 1);
        double sine = t * cosine;
        for (int k = 0; k < 3; k++) {
            double a = inoutM[k][p], b = inoutM[k][q];
            inoutM[k][p] = cosine * a - sine * b;
            inoutM[k][q] = sine * a + cosine * b;
        }
        for (int k = 0; k < 3; k++) {
            double a = inoutM[p][k], b = inoutM[q][k];
            inoutM[p][k] = cosine * a - sine * b;
            inoutM[q][k] = sine * a + cosine * b;
            a = inoutV[k][p];
            b = inoutV[k][q];
            inoutV[k][p] = cosine * a - sine * b;
            inoutV[k][q] = sine * a + cosine * b;
        }
        inoutM[p][q] = 0;
        inoutM[q][p] = 0;
    }
}
