package org.estampage.material;

/**
 * Smooth noise over an integer lattice, from an integer hash: the same bits everywhere.
 *
 * @threads stateless
 * @source value and gradient noise: Perlin, An Image Synthesizer, 1985, and Improving Noise, 2002 (from memory: the fade and the twelve directions); the
 *         hash is our own
 */
final class HashNoise {
    private HashNoise() {
    }

    /** Returns well-mixed bits of a lattice point. */
    static int hash(int x, int y, int z, int seed) {
        int h = x * 0x8DA6B343 ^ y * 0xD8163841 ^ z * 0xCB1AB31F ^ seed * 0x165667B1;
        h = (h ^ h >>> 16) * 0x7FEB352D;
        h = (h ^ h >>> 15) * 0x846CA68B;
        return h ^ h >>> 16;
    }

    /** Returns a number in [0, 1) made of a hash's upper 24 bits. */
    static double unit(int hash) {
        return (hash >>> 8) * 0x1p-24;
    }

    /** Returns noise −1 … 1 between random values at the lattice's points; the lattice has unit spacing. */
    static double value(double x, double y, double z, int seed) {
        return lattice(x, y, z, seed, false);
    }

    /** Returns noise within −1 … 1 with random slopes and the value 0 at the lattice's points; the lattice has unit spacing. */
    static double gradient(double x, double y, double z, int seed) {
        return lattice(x, y, z, seed, true);
    }

    /** Returns value noise in the plane, −1 … 1, that repeats after so many lattice cells. */
    static double repeatedValue(double x, double y, int across, int down, int seed) {
        double fx = Math.floor(x), fy = Math.floor(y);
        int left = (int) Math.floorMod((long) fx, (long) across), low = (int) Math.floorMod((long) fy, (long) down);
        int right = left + 1 < across ? left + 1 : 0, high = low + 1 < down ? low + 1 : 0;
        double wx = fade(x - fx);
        double lower = mix(wx, corner(left, low, 0, seed), corner(right, low, 0, seed));
        double upper = mix(wx, corner(left, high, 0, seed), corner(right, high, 0, seed));
        return mix(fade(y - fy), lower, upper);
    }

    private static double lattice(double x, double y, double z, int seed, boolean slopes) {
        double fx = Math.floor(x), fy = Math.floor(y), fz = Math.floor(z);
        int ix = (int) fx, iy = (int) fy, iz = (int) fz;
        double dx = x - fx, dy = y - fy, dz = z - fz;
        double wx = fade(dx), wy = fade(dy);
        double near = 0, sum = 0;
        for (int k = 0; k < 2; k++) {
            double low = mix(wx, at(ix, iy, iz + k, dx, dy, dz - k, seed, slopes),
                    at(ix + 1, iy, iz + k, dx - 1, dy, dz - k, seed, slopes));
            double high = mix(wx, at(ix, iy + 1, iz + k, dx, dy - 1, dz - k, seed, slopes),
                    at(ix + 1, iy + 1, iz + k, dx - 1, dy - 1, dz - k, seed, slopes));
            sum = mix(wy, low, high);
            if (k == 0) {
                near = sum;
            }
        }
        return mix(fade(dz), near, sum);
    }

    private static double at(int ix, int iy, int iz, double dx, double dy, double dz, int seed, boolean slopes) {
        return slopes ? slope(hash(ix, iy, iz, seed), dx, dy, dz) : corner(ix, iy, iz, seed);
    }

    private static double corner(int x, int y, int z, int seed) {
        return hash(x, y, z, seed) * 0x1p-31;
    }

    /** Returns the product with one of the directions from a cube's centre to the middles of its edges. */
    private static double slope(int hash, double x, double y, double z) {
        double a = hash < 0 ? -1 : 1, b = (hash & 0x40000000) == 0 ? 1 : -1;
        return switch (Integer.remainderUnsigned(hash & 0xFFFFFF, 3)) {
            case 0 -> a * x + b * y;
            case 1 -> a * x + b * z;
            default -> a * y + b * z;
        };
    }

    private static double fade(double t) {
        return t * t * t * (t * (t * 6 - 15) + 10);
    }

    private static double mix(double w, double a, double b) {
        return a + w * (b - a);
    }
}
