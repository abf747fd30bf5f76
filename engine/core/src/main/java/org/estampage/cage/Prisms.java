package org.estampage.cage;

/**
 * The exact test that the prism between a low-poly triangle and its cage triangle does not fold.
 *
 * <p>With corners p_i + t·o_i (o_i from the low poly to the cage) the Jacobian of the prism at height t is n(t)·Σ b_i o_i, where n(t) is the cross
 * product of the moved edges, quadratic in t. It is positive everywhere exactly when the three quadratics n(t)·o_i are positive on [0, 1]; the least
 * value of a quadratic there has a closed form. Prisms of neighbours share their side walls, so the projection along the rays is then locally one to
 * one.
 *
 * @source Jiang, Schneider, Zorin, Panozzo, Bijective Projection in a Shell, 2020 (validity of prisms; from memory); the criterion is derived here
 */
final class Prisms {
    private Prisms() {
    }

    /**
     * Returns the least cosine-like value of a prism: the least n(t)·d_i over t in [0, 1] and the three corners, divided by twice the area of the low
     * triangle, where d_i is the unit direction of corner i. Positive: the prism does not fold.
     *
     * @param p     low-poly positions, xyz interleaved
     * @param moves from the low poly to the cage, xyz a node
     * @param d     unit directions of the moves, xyz a node; they still say where outside is when a move is 0
     */
    static double least(double[] p, double[] moves, double[] d, int a, int b, int c) {
        double e1x = p[3 * b] - p[3 * a], e1y = p[3 * b + 1] - p[3 * a + 1], e1z = p[3 * b + 2] - p[3 * a + 2];
        double e2x = p[3 * c] - p[3 * a], e2y = p[3 * c + 1] - p[3 * a + 1], e2z = p[3 * c + 2] - p[3 * a + 2];
        double f1x = moves[3 * b] - moves[3 * a], f1y = moves[3 * b + 1] - moves[3 * a + 1], f1z = moves[3 * b + 2] - moves[3 * a + 2];
        double f2x = moves[3 * c] - moves[3 * a], f2y = moves[3 * c + 1] - moves[3 * a + 1], f2z = moves[3 * c + 2] - moves[3 * a + 2];
        // n(t) = n0 + t n1 + t² n2
        double n0x = e1y * e2z - e1z * e2y, n0y = e1z * e2x - e1x * e2z, n0z = e1x * e2y - e1y * e2x;
        double n1x = e1y * f2z - e1z * f2y + (f1y * e2z - f1z * e2y);
        double n1y = e1z * f2x - e1x * f2z + (f1z * e2x - f1x * e2z);
        double n1z = e1x * f2y - e1y * f2x + (f1x * e2y - f1y * e2x);
        double n2x = f1y * f2z - f1z * f2y, n2y = f1z * f2x - f1x * f2z, n2z = f1x * f2y - f1y * f2x;
        double scale = Math.sqrt(n0x * n0x + n0y * n0y + n0z * n0z);
        if (!(scale > 0)) {
            return 0;
        }
        double least = Double.POSITIVE_INFINITY;
        for (int k = 0; k < 3; k++) {
            int v = k == 0 ? a : k == 1 ? b : c;
            double x = d[3 * v], y = d[3 * v + 1], z = d[3 * v + 2];
            double q0 = n0x * x + n0y * y + n0z * z;
            double q1 = n1x * x + n1y * y + n1z * z;
            double q2 = n2x * x + n2y * y + n2z * z;
            least = Math.min(least, leastOnUnitInterval(q0, q1, q2));
        }
        return least / scale;
    }

    /** Returns the least value of q0 + q1 t + q2 t² for t in [0, 1]. */
    static double leastOnUnitInterval(double q0, double q1, double q2) {
        double least = Math.min(q0, q0 + q1 + q2);
        if (q2 > 0 && q1 < 0 && -q1 < 2 * q2) { // the vertex lies inside
            least = Math.min(least, q0 - q1 * q1 / (4 * q2));
        }
        return least;
    }
}
