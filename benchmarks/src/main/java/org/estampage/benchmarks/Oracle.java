package org.estampage.benchmarks;

import org.estampage.mesh.Mesh;

/**
 * Answers rays by trying every triangle in double precision.
 *
 * @source Möller, Trumbore, Fast, Minimum Storage Ray/Triangle Intersection, 1997
 * @threads stateless
 */
final class Oracle {
    private Oracle() {
    }

    /** Returns the distance of the first hit in multiples of the direction, infinity if there is none. */
    static double distance(Mesh mesh, boolean frontOnly, double ox, double oy, double oz, double dx, double dy, double dz) {
        float[] p = mesh.positions();
        int[] t = mesh.positionIndices();
        double best = Double.POSITIVE_INFINITY;
        for (int i = 0; i < t.length; i += 3) {
            int a = 3 * t[i];
            int b = 3 * t[i + 1];
            int c = 3 * t[i + 2];
            double ax = (double) p[b] - p[a];
            double ay = (double) p[b + 1] - p[a + 1];
            double az = (double) p[b + 2] - p[a + 2];
            double bx = (double) p[c] - p[a];
            double by = (double) p[c + 1] - p[a + 1];
            double bz = (double) p[c + 2] - p[a + 2];
            double px = dy * bz - dz * by;
            double py = dz * bx - dx * bz;
            double pz = dx * by - dy * bx;
            double det = ax * px + ay * py + az * pz;
            if (det == 0 || (frontOnly && det < 0)) {
                continue;
            }
            double sx = ox - p[a];
            double sy = oy - p[a + 1];
            double sz = oz - p[a + 2];
            double b1 = (sx * px + sy * py + sz * pz) / det;
            if (b1 < 0 || b1 > 1) {
                continue;
            }
            double qx = sy * az - sz * ay;
            double qy = sz * ax - sx * az;
            double qz = sx * ay - sy * ax;
            double b2 = (dx * qx + dy * qy + dz * qz) / det;
            if (b2 < 0 || b1 + b2 > 1) {
                continue;
            }
            double distance = (bx * qx + by * qy + bz * qz) / det;
            if (distance > 0 && distance < best) {
                best = distance;
            }
        }
        return best;
    }
}
