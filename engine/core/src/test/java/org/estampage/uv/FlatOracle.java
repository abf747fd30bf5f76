package org.estampage.uv;

/** Slow, plain answers about one disk laid flat. */
final class FlatOracle {
    private FlatOracle() {
    }

    static double signed(Patch p, double[] uv, int t) {
        int a = 2 * p.triangles[3 * t];
        int b = 2 * p.triangles[3 * t + 1];
        int c = 2 * p.triangles[3 * t + 2];
        return (uv[b] - uv[a]) * (uv[c + 1] - uv[a + 1]) - (uv[b + 1] - uv[a + 1]) * (uv[c] - uv[a]);
    }

    static int flips(Patch p, double[] uv) {
        int flips = 0;
        for (int t = 0; t < p.triangles.length / 3; t++) {
            flips += signed(p, uv, t) > 0 ? 0 : 1;
        }
        return flips;
    }

    /** Pairs of triangles that lie in each other by more than {@code depth}: no line along an edge of one parts them. */
    static int overlaps(Patch p, double[] uv, double depth) {
        int n = p.triangles.length / 3;
        int pairs = 0;
        for (int s = 0; s < n; s++) {
            for (int t = s + 1; t < n; t++) {
                pairs += parted(p, uv, s, t, depth) || parted(p, uv, t, s, depth) ? 0 : 1;
            }
        }
        return pairs;
    }

    private static boolean parted(Patch p, double[] uv, int s, int t, double depth) {
        for (int k = 0; k < 3; k++) {
            int a = 2 * p.triangles[3 * s + k];
            int b = 2 * p.triangles[3 * s + (k + 1) % 3];
            double du = uv[b] - uv[a];
            double dv = uv[b + 1] - uv[a + 1];
            double most = Double.NEGATIVE_INFINITY;
            for (int m = 0; m < 3; m++) {
                int c = 2 * p.triangles[3 * t + m];
                most = Math.max(most, du * (uv[c + 1] - uv[a + 1]) - dv * (uv[c] - uv[a]));
            }
            if (most <= depth * Math.sqrt(du * du + dv * dv)) {
                return true;
            }
        }
        return false;
    }

    private static double[] sides(Patch p, double[] uv, int t, boolean solid) {
        double[] side = new double[3];
        for (int k = 0; k < 3; k++) {
            int a = p.triangles[3 * t + k];
            int b = p.triangles[3 * t + (k + 1) % 3];
            double sum = 0;
            for (int i = 0; i < (solid ? 3 : 2); i++) {
                double d = solid ? p.xyz[3 * b + i] - p.xyz[3 * a + i] : uv[2 * b + i] - uv[2 * a + i];
                sum += d * d;
            }
            side[k] = Math.sqrt(sum);
        }
        return side;
    }

    private static double area(double[] s) {
        double half = (s[0] + s[1] + s[2]) / 2;
        return Math.sqrt(half * (half - s[0]) * (half - s[1]) * (half - s[2]));
    }

    /** The largest |flat area / area − 1|. */
    static double worstAreaRatio(Patch p, double[] uv) {
        double worst = 0;
        for (int t = 0; t < p.triangles.length / 3; t++) {
            worst = Math.max(worst, Math.abs(area(sides(p, uv, t, false)) / area(sides(p, uv, t, true)) - 1));
        }
        return worst;
    }

    /** The largest change of a corner's angle in radians. */
    static double worstAngle(Patch p, double[] uv) {
        double worst = 0;
        for (int t = 0; t < p.triangles.length / 3; t++) {
            double[] flat = sides(p, uv, t, false);
            double[] solid = sides(p, uv, t, true);
            for (int k = 0; k < 3; k++) {
                worst = Math.max(worst, Math.abs(angle(flat, k) - angle(solid, k)));
            }
        }
        return worst;
    }

    private static double angle(double[] s, int k) {
        double a = s[k];
        double b = s[(k + 2) % 3];
        double c = s[(k + 1) % 3];
        return Math.acos((a * a + b * b - c * c) / (2 * a * b));
    }
}
