package org.estampage.testresources;

/**
 * The bollard with barnacles of their own pushed into it and into each other: closed parts that overlap, with most of each barnacle's base, and what it
 * covers of the iron, buried inside. A sculpt put together from parts, or a careless union of scans, is like that.
 *
 * @space as {@link Bollard}
 * @threads stateless
 */
public final class EncrustedBollard {
    private static final double GOLDEN_RATIO = 0.6180339887498949;
    // How much of its radius a barnacle's middle lies under the iron.
    private static final double SUNK = 0.25;

    private EncrustedBollard() {
    }

    /**
     * Generates the parts, the bollard first.
     *
     * @param triangles the bollard's number of triangles, as in {@link Bollard#generate}
     * @param barnacles how many barnacles
     * @param splits    the barnacles' fineness: 20 · 4ˢ triangles each
     */
    public static Shape generate(int triangles, int barnacles, int splits) {
        Shape[] parts = new Shape[barnacles + 1];
        parts[0] = Bollard.generate(triangles);
        for (int i = 0; i < barnacles; i++) {
            parts[i + 1] = barnacle(parts[0], i, barnacles, splits);
        }
        return Shapes.together(parts);
    }

    /** Returns a ribbed ball at a place of the iron. Places go round in the golden ratio, sizes follow the number. */
    private static Shape barnacle(Shape iron, int i, int count, int splits) {
        double turn = (i + 0.5) * GOLDEN_RATIO;
        int vertex = (int) ((turn - Math.floor(turn)) * iron.vertexCount());
        double size = 0.012 + 0.03 * ((i * 7 % count) + 0.5) / count;
        float[] at = iron.positions();
        double[] out = outwards(iron, vertex);
        Shape ball = Shapes.icosphere(1, splits);
        float[] p = new float[ball.positions().length];
        for (int v = 0; v < p.length; v += 3) {
            double x = ball.positions()[v], y = ball.positions()[v + 1], z = ball.positions()[v + 2];
            double radius = size * (1 + 0.08 * StrictMath.cos(9 * StrictMath.atan2(z, x)) * (1 - y * y));
            for (int k = 0; k < 3; k++) {
                double middle = at[3 * vertex + k] - SUNK * size * out[k];
                p[v + k] = (float) (middle + radius * ball.positions()[v + k]);
            }
        }
        return new Shape(p, ball.triangles());
    }

    /** Returns the unit sum of the area vectors of the triangles at a vertex. */
    private static double[] outwards(Shape iron, int vertex) {
        float[] p = iron.positions();
        double[] sum = new double[3];
        for (int c = 0; c < iron.triangles().length; c++) {
            if (iron.triangles()[c] != vertex) {
                continue;
            }
            int t = c - c % 3;
            int a = 3 * iron.triangles()[t], b = 3 * iron.triangles()[t + 1], d = 3 * iron.triangles()[t + 2];
            for (int k = 0; k < 3; k++) {
                int l = (k + 1) % 3, m = (k + 2) % 3;
                sum[k] += ((double) p[b + l] - p[a + l]) * ((double) p[d + m] - p[a + m])
                        - ((double) p[b + m] - p[a + m]) * ((double) p[d + l] - p[a + l]);
            }
        }
        double length = Math.sqrt(sum[0] * sum[0] + sum[1] * sum[1] + sum[2] * sum[2]);
        for (int k = 0; k < 3; k++) {
            sum[k] /= length;
        }
        return sum;
    }
}
