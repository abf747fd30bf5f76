package org.estampage.preview;

import org.estampage.internal.kernel.Directions;

/**
 * How much of a uniform sky's light the microfacet surface mirrors towards the viewer: f0 · {@link #scale} + {@link #bias}, f0 being the reflectance head on.
 * A table of {@link Shading}'s integral over the hemisphere, mixed between its entries.
 *
 * @threads immutable
 * @source the integral is Walter et al. 2007's, sampled by equations 35 and 36 there
 */
final class MirroredShare {
    private static final int SIDE = 32;
    private static final int SAMPLES = 512;
    /** Below it a lobe is narrower than anything the table is used for. */
    private static final double LEAST_ALPHA = 1e-3;

    private static final MirroredShare TABLE = new MirroredShare();

    /** At n·v = (column / (SIDE − 1))², since most changes where it is small, and roughness = row / (SIDE − 1). */
    private final float[] scales = new float[SIDE * SIDE];
    private final float[] biases = new float[SIDE * SIDE];

    private MirroredShare() {
        for (int row = 0; row < SIDE; row++) {
            double rough = (double) row / (SIDE - 1);
            for (int column = 0; column < SIDE; column++) {
                double root = (double) column / (SIDE - 1);
                // At n·v = 0 the integrand has a limit only: taken close to it.
                integrate(Math.max(1e-4, root * root), Math.max(LEAST_ALPHA, rough * rough), row * SIDE + column);
            }
        }
    }

    /** Sums over microfacet normals drawn in proportion to the distribution times n·h. */
    private void integrate(double nv, double alpha, int at) {
        double vx = Math.sqrt(1 - nv * nv), scale = 0, bias = 0;
        for (int i = 0; i < SAMPLES; i++) {
            double u = (i + 0.5) / SAMPLES, turn = 2 * Math.PI * ((Directions.sobolX(i) >>> 8) + 0.5) * 0x1p-24;
            double nh = Math.sqrt((1 - u) / (1 + (alpha * alpha - 1) * u)), sine = Math.sqrt(Math.max(0, 1 - nh * nh));
            double vh = vx * sine * StrictMath.cos(turn) + nv * nh, nl = 2 * vh * nh - nv;
            if (nl > 0 && vh > 0) {
                double weight = 4 * Shading.visibility(nl, nv, alpha) * nl * vh / nh, grazing = Shading.grazing(vh);
                scale += weight * (1 - grazing);
                bias += weight * grazing;
            }
        }
        // All that comes in is the most that goes out; the sum is above it by its own error where the lobe is narrow.
        double most = Math.max(1, (scale + bias) / SAMPLES);
        scales[at] = (float) (scale / SAMPLES / most);
        biases[at] = (float) (bias / SAMPLES / most);
    }

    /** Returns what the reflectance head on is multiplied with. */
    static double scale(double nv, double roughness) {
        return mixed(TABLE.scales, nv, roughness);
    }

    /** Returns what is added to that. */
    static double bias(double nv, double roughness) {
        return mixed(TABLE.biases, nv, roughness);
    }

    private static double mixed(float[] table, double nv, double roughness) {
        double x = Math.sqrt(nv) * (SIDE - 1), y = roughness * (SIDE - 1);
        int column = Math.min(SIDE - 2, (int) x), row = Math.min(SIDE - 2, (int) y);
        double fx = x - column, fy = y - row;
        int at = row * SIDE + column;
        double upper = table[at] + fx * (table[at + 1] - table[at]);
        double lower = table[at + SIDE] + fx * (table[at + SIDE + 1] - table[at + SIDE]);
        return upper + fy * (lower - upper);
    }
}
