package org.estampage.testresources;

/**
 * Smooth value noise over an integer lattice, from a hash of its own.
 *
 * @threads stateless
 */
final class Noise {
    private Noise() {
    }

    /** Returns well-mixed bits for a lattice point. */
    static int hash(int x, int y, int z, int seed) {
        int h = x * 0x9E3779B1 ^ y * 0x85EBCA77 ^ z * 0xC2B2AE3D ^ seed * 0x27D4EB2F;
        h = (h ^ h >>> 15) * 0x2C1B3C6D;
        h = (h ^ h >>> 12) * 0x297A2D39;
        return h ^ h >>> 15;
    }

    /** Returns a number in [0, 1) made of the hash's upper 24 bits. */
    static double unit(int hash) {
        return (hash >>> 8) * 0x1p-24;
    }

    /**
     * Returns the noise at a point.
     *
     * @units −1 … 1; the lattice has unit spacing; twice continuously differentiable
     */
    static double value(double x, double y, double z, int seed) {
        double fx = Math.floor(x);
        double fy = Math.floor(y);
        double fz = Math.floor(z);
        int ix = (int) fx;
        int iy = (int) fy;
        int iz = (int) fz;
        double wx = fade(x - fx);
        double wy = fade(y - fy);
        double wz = fade(z - fz);
        double c00 = mix(wx, corner(ix, iy, iz, seed), corner(ix + 1, iy, iz, seed));
        double c10 = mix(wx, corner(ix, iy + 1, iz, seed), corner(ix + 1, iy + 1, iz, seed));
        double c01 = mix(wx, corner(ix, iy, iz + 1, seed), corner(ix + 1, iy, iz + 1, seed));
        double c11 = mix(wx, corner(ix, iy + 1, iz + 1, seed), corner(ix + 1, iy + 1, iz + 1, seed));
        return mix(wz, mix(wy, c00, c10), mix(wy, c01, c11));
    }

    /** Returns a sum of {@code octaves} noises, each of twice the frequency and half the weight of the one before, within −1 … 1. */
    static double sum(double x, double y, double z, int seed, int octaves) {
        double total = 0;
        double weight = 1;
        double weights = 0;
        double scale = 1;
        for (int i = 0; i < octaves; i++) {
            // The offset keeps the octaves' lattice points apart.
            double offset = 17.31 * i;
            total += weight * value(x * scale + offset, y * scale + offset, z * scale + offset, seed + i);
            weights += weight;
            weight *= 0.5;
            scale *= 2;
        }
        return total / weights;
    }

    private static double corner(int x, int y, int z, int seed) {
        return hash(x, y, z, seed) * 0x1p-31;
    }

    private static double fade(double t) {
        return t * t * t * (t * (t * 6 - 15) + 10);
    }

    static double mix(double w, double a, double b) {
        return a + w * (b - a);
    }

    static double clamp01(double x) {
        return Math.max(0, Math.min(1, x));
    }

    /** Returns 0 up to {@code from}, 1 from {@code to} on, and a cubic without a kink between; {@code from} may be the larger. */
    static double step(double from, double to, double x) {
        double t = clamp01((x - from) / (to - from));
        return t * t * (3 - 2 * t);
    }
}
