package org.estampage.bvh;

import org.estampage.mesh.Mesh;

/**
 * First hits in double precision, independent of the kernel: the plane's equation and three signed volumes.
 *
 * @source Plücker-style signed volumes: any text book of computational geometry
 */
final class DoubleReference {
    /** How near an edge, in barycentrics, a ray counts as unclear: floats' 6e-8, times the cancellation of ball-sized meshes' thin triangles. */
    private static final double UNCLEAR = 1e-4;

    private DoubleReference() {
    }

    /** An answer; {@code clear} is false when the ray passes an edge of some triangle too closely for floats to be judged. */
    record Answer(int triangle, double t, boolean clear) {
    }

    static Answer closest(Mesh mesh, RayBatch rays, int ray) {
        double[] o = {rays.originX[ray], rays.originY[ray], rays.originZ[ray]};
        double[] d = {rays.directionX[ray], rays.directionY[ray], rays.directionZ[ray]};
        float[] p = mesh.positions();
        int[] c = mesh.positionIndices();
        int best = -1;
        double bestT = Double.POSITIVE_INFINITY;
        boolean clear = true;
        double[][] v = new double[3][3];
        for (int t = 0; t < c.length / 3; t++) {
            for (int k = 0; k < 3; k++) {
                for (int axis = 0; axis < 3; axis++) {
                    v[k][axis] = p[3 * c[3 * t + k] + axis] - o[axis];
                }
            }
            double w0 = volume(d, v[2], v[1]);
            double w1 = volume(d, v[0], v[2]);
            double w2 = volume(d, v[1], v[0]);
            double sum = w0 + w1 + w2;
            double least = Math.min(w0 / sum, Math.min(w1 / sum, w2 / sum));
            if (!(least > -UNCLEAR)) {
                continue;
            }
            double away = (w0 * dot(v[0], d) + w1 * dot(v[1], d) + w2 * dot(v[2], d)) / sum / dot(d, d);
            if (away <= 0 || away > rays.tMax[ray]) {
                continue;
            }
            if (least < UNCLEAR) {
                clear = false;
            } else if (away < bestT) {
                bestT = away;
                best = t;
            }
        }
        return new Answer(best, bestT, clear);
    }

    private static double dot(double[] a, double[] b) {
        return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    }

    private static double volume(double[] a, double[] b, double[] c) {
        return a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) + a[2] * (b[0] * c[1] - b[1] * c[0]);
    }
}
