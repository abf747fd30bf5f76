package org.estampage.testresources;

/**
 * Materials for the harbour museum's bollard as square images that repeat without a seam: pitted cast iron, brushed-on paint, rust.
 *
 * @shape row by row from the top; colour: linear red, green, blue; normal: xyz, x to the right, y up; roughness and height: one value a texel
 * @threads immutable by contract, safe for concurrent calls
 */
public final class Surfaces {
    /** The fewest texels a side in which the coarsest pattern is to be seen. */
    public static final int SMALLEST = 16;
    /** The most texels a side. */
    public static final int LARGEST = 8192;

    /** What a place of a material is like. */
    private interface Look {
        /** Fills red, green, blue, roughness and height, the height in tile sides. */
        void at(double u, double v, double[] dest);
    }

    private final int size;
    private final float[] colour;
    private final float[] roughness;
    private final float[] height;

    private Surfaces(int size, Look look) {
        if (size < SMALLEST || size > LARGEST) {
            throw new IllegalArgumentException("size: " + size + " must be " + SMALLEST + " … " + LARGEST);
        }
        this.size = size;
        colour = new float[3 * size * size];
        roughness = new float[size * size];
        height = new float[size * size];
        double[] values = new double[5];
        for (int i = 0; i < height.length; i++) {
            int x = i % size, y = i / size;
            look.at((x + 0.5) / size, 1 - (y + 0.5) / size, values);
            for (int c = 0; c < 3; c++) {
                colour[3 * i + c] = (float) Noise.clamp01(values[c]);
            }
            roughness[i] = (float) Noise.clamp01(values[3]);
            height[i] = (float) values[4];
        }
    }

    /**
     * Returns a casting's skin: dark grey, grainy, with pits of many sizes; a metal.
     *
     * @throws IllegalArgumentException if {@code size} is not 16 … 8192
     */
    public static Surfaces castIron(int size) {
        return new Surfaces(size, (u, v, dest) -> {
            double cloud = clouds(u, v, 4, 4, 11), grain = clouds(u, v, 40, 3, 12);
            double pits = 1.0 * pits(u, v, 7, 0.55, 13) + 0.6 * pits(u, v, 17, 0.5, 14) + 0.3 * pits(u, v, 41, 0.45, 15);
            double shade = 0.16 + 0.05 * cloud + 0.03 * grain - 0.07 * Math.min(1, pits);
            dest[0] = shade * 1.02;
            dest[1] = shade;
            dest[2] = shade * 0.97;
            dest[3] = 0.5 + 0.12 * cloud + 0.1 * grain + 0.15 * Math.min(1, pits);
            dest[4] = 0.004 * cloud + 0.0015 * grain - 0.011 * pits;
        });
    }

    /**
     * Returns oil paint of a deep green, put on with a brush, with a slight skin and runs of dirt; no metal.
     *
     * @throws IllegalArgumentException if {@code size} is not 16 … 8192
     */
    public static Surfaces paint(int size) {
        return new Surfaces(size, (u, v, dest) -> {
            double cloud = clouds(u, v, 3, 4, 21), skin = clouds(u, v, 24, 2, 22);
            double brush = stretched(u, v, 6, 72, 23), dirt = Noise.clamp01(1.1 * clouds(u, v, 6, 5, 24) - 0.15);
            double shade = 1 + 0.14 * cloud + 0.05 * brush;
            dest[0] = shade * Noise.mix(dirt, 0.018, 0.05);
            dest[1] = shade * Noise.mix(dirt, 0.085, 0.075);
            dest[2] = shade * Noise.mix(dirt, 0.062, 0.052);
            dest[3] = 0.36 + 0.08 * skin + 0.07 * brush + 0.25 * dirt;
            dest[4] = 0.0009 * skin + 0.0012 * brush + 0.001 * cloud;
        });
    }

    /**
     * Returns rust: brown to orange, crumbly, without any gloss; no metal.
     *
     * @throws IllegalArgumentException if {@code size} is not 16 … 8192
     */
    public static Surfaces rust(int size) {
        return new Surfaces(size, (u, v, dest) -> {
            double cloud = clouds(u, v, 5, 5, 31), crumbs = clouds(u, v, 32, 4, 32), flakes = pits(u, v, 23, 0.6, 33);
            double orange = Noise.clamp01(0.42 + 0.9 * cloud + 0.35 * crumbs - 0.35 * flakes);
            dest[0] = Noise.mix(orange, 0.055, 0.25);
            dest[1] = Noise.mix(orange, 0.02, 0.082);
            dest[2] = Noise.mix(orange, 0.011, 0.022);
            dest[3] = 0.86 + 0.1 * crumbs;
            dest[4] = 0.004 * cloud + 0.004 * crumbs - 0.005 * flakes;
        });
    }

    /** Returns the number of texels a side. */
    public int size() {
        return size;
    }

    /** Returns the colours. */
    public float[] colour() {
        return colour;
    }

    /** Returns the roughness, 0 … 1. */
    public float[] roughness() {
        return roughness;
    }

    /** Returns the heights, in tile sides. */
    public float[] height() {
        return height;
    }

    /** Returns the unit normals of the heights, by central differences across the borders. */
    public float[] normals() {
        float[] normals = new float[3 * size * size];
        for (int y = 0; y < size; y++) {
            for (int x = 0; x < size; x++) {
                double p = (at(x + 1, y) - at(x - 1, y)) * size / 2.0, q = (at(x, y - 1) - at(x, y + 1)) * size / 2.0;
                double length = Math.sqrt(p * p + q * q + 1);
                int i = 3 * (y * size + x);
                normals[i] = (float) (-p / length);
                normals[i + 1] = (float) (-q / length);
                normals[i + 2] = (float) (1 / length);
            }
        }
        return normals;
    }

    private double at(int x, int y) {
        return height[Math.floorMod(y, size) * size + Math.floorMod(x, size)];
    }

    /** Returns noise −1 … 1 that repeats, with so many cells a side at first and twice as many for each further octave of half the weight. */
    private static double clouds(double u, double v, int cells, int octaves, int seed) {
        double sum = 0, weight = 1, weights = 0;
        for (int i = 0, n = cells; i < octaves; i++, n *= 2) {
            sum += weight * repeated(u * n, v * n, n, n, seed + 100 * i);
            weights += weight;
            weight /= 2;
        }
        return 1.6 * sum / weights; // octaves together seldom reach the ends
    }

    private static double stretched(double u, double v, int across, int down, int seed) {
        return 0.65 * repeated(u * across, v * down, across, down, seed)
                + 0.35 * repeated(u * 2 * across, v * 2 * down, 2 * across, 2 * down, seed + 1);
    }

    private static double repeated(double x, double y, int across, int down, int seed) {
        int ix = (int) Math.floor(x), iy = (int) Math.floor(y);
        double wx = fade(x - ix), wy = fade(y - iy);
        int left = Math.floorMod(ix, across), right = Math.floorMod(ix + 1, across), low = Math.floorMod(iy, down),
                high = Math.floorMod(iy + 1, down);
        return Noise.mix(wy, Noise.mix(wx, corner(left, low, seed), corner(right, low, seed)),
                Noise.mix(wx, corner(left, high, seed), corner(right, high, seed)));
    }

    private static double corner(int x, int y, int seed) {
        return Noise.hash(x, y, 0, seed) * 0x1p-31;
    }

    private static double fade(double t) {
        return t * t * t * (t * (t * 6 - 15) + 10);
    }

    /** Returns how deep a place lies in the deepest of round pits, 0 … 1: one in some of the cells, of a size and at a place of its own. */
    private static double pits(double u, double v, int cells, double share, int seed) {
        double x = u * cells, y = v * cells, deepest = 0;
        int cx = (int) Math.floor(x), cy = (int) Math.floor(y);
        for (int j = -1; j <= 1; j++) {
            for (int i = -1; i <= 1; i++) {
                int kx = Math.floorMod(cx + i, cells), ky = Math.floorMod(cy + j, cells);
                if (Noise.unit(Noise.hash(kx, ky, 1, seed)) < share) {
                    double px = cx + i + Noise.unit(Noise.hash(kx, ky, 2, seed)), py = cy + j + Noise.unit(Noise.hash(kx, ky, 3, seed));
                    double radius = 0.15 + 0.45 * Noise.unit(Noise.hash(kx, ky, 4, seed));
                    double distance = Math.sqrt((x - px) * (x - px) + (y - py) * (y - py)) / radius;
                    deepest = Math.max(deepest, radius / 0.6 * Noise.step(1, 0.25, distance));
                }
            }
        }
        return deepest;
    }
}
