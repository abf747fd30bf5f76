package org.estampage.cage;

/** The smallest rises of cage corners that lift a point between them. */
final class Rises {
    /** Keeps one slanted corner from taking all of a rise. */
    private static final double LEAST_SLOPE = 0.1;

    private Rises() {
    }

    /**
     * Notes the smallest rises of a triangle's corners, in the least-squares sense, that lift a point of it by {@code excess} along a normal; with the
     * normal 0, along the directions.
     *
     * @param weights      the point's barycentrics, at least 0; changed
     * @param inoutRises   the largest rise of each node so far
     */
    static void note(Shell shell, double[] directions, int triangle, double[] weights, double excess, double nx, double ny, double nz,
            double[] inoutRises) {
        boolean along = nx == 0 && ny == 0 && nz == 0;
        double square = 0;
        for (int k = 0; k < 3; k++) {
            int n = 3 * shell.triangles[3 * triangle + k];
            double slope = along ? 1 : Math.max(LEAST_SLOPE, nx * directions[n] + ny * directions[n + 1] + nz * directions[n + 2]);
            weights[k] *= slope;
            square += weights[k] * weights[k];
        }
        for (int k = 0; k < 3; k++) {
            int n = shell.triangles[3 * triangle + k];
            inoutRises[n] = Math.max(inoutRises[n], excess * weights[k] / square);
        }
    }
}
