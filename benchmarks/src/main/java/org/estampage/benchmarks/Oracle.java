package org.estampage.benchmarks;

import org.estampage.mesh.Mesh;

/**
 * Answers rays and points by trying every triangle in double precision.
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

    /**
     * Returns how far the nearest point of any triangle is: its distance to the plane where the foot of the perpendicular lies within, else to the nearest
     * edge.
     */
    static double nearest(Mesh mesh, double x, double y, double z) {
        float[] p = mesh.positions();
        int[] t = mesh.positionIndices();
        double best = Double.POSITIVE_INFINITY;
        double[][] v = new double[3][3];
        for (int i = 0; i < t.length; i += 3) {
            for (int corner = 0; corner < 3; corner++) {
                int at = 3 * t[i + corner];
                v[corner][0] = p[at] - x;
                v[corner][1] = p[at + 1] - y;
                v[corner][2] = p[at + 2] - z;
            }
            best = Math.min(best, toOrigin(v[0], v[1], v[2]));
        }
        return best;
    }

    private static double toOrigin(double[] a, double[] b, double[] c) {
        double[] normal = cross(minus(b, a), minus(c, a));
        double square = dot(normal, normal);
        boolean within = square > 0 && dot(cross(a, b), normal) >= 0 && dot(cross(b, c), normal) >= 0 && dot(cross(c, a), normal) >= 0;
        return within
                ? Math.abs(dot(a, normal)) / Math.sqrt(square)
                : Math.min(edgeToOrigin(a, b), Math.min(edgeToOrigin(b, c), edgeToOrigin(c, a)));
    }

    private static double edgeToOrigin(double[] a, double[] b) {
        double[] way = minus(b, a);
        double square = dot(way, way);
        double share = square > 0 ? Math.min(1, Math.max(0, -dot(a, way) / square)) : 0;
        return Math.hypot(Math.hypot(a[0] + share * way[0], a[1] + share * way[1]), a[2] + share * way[2]);
    }

    private static double[] minus(double[] a, double[] b) {
        return new double[] {a[0] - b[0], a[1] - b[1], a[2] - b[2]};
    }

    private static double[] cross(double[] a, double[] b) {
        return new double[] {a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]};
    }

    private static double dot(double[] a, double[] b) {
        return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    }
}
