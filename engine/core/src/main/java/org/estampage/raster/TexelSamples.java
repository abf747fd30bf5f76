package org.estampage.raster;

import java.util.Arrays;

/**
 * The samples of a block of texels: which triangle each is on, and where on it. Filled by {@link UvRaster#rasterise}, and meant to be filled again.
 *
 * <p>The fields are public because texel loops read them directly. The arrays belong to this object, may be longer than what counts, and are
 * replaced when a larger block is asked for: read them anew after each call. Texels are numbered in rows from the top, texel (x, y) of the image is
 * (y − {@link #y}) · {@link #width} + x − {@link #x}.
 *
 * @shape start: width · height + 1 offsets, the samples of texel i are start[i] … start[i + 1] − 1, in rows of the grid from the top; triangle,
 *        b1, b2, sample: one a sample; kind: one a texel
 * @units b1, b2: weights of the triangle's corners 1 and 2, at least 0; corner 0 has 1 − b1 − b2, which rounding may take to −1e−7
 * @threads confined
 */
public final class TexelSamples {
    /** The kind of a texel that no chart touches: it has no sample. */
    public static final byte EMPTY = 0;
    /** The kind of a texel with some samples in charts, not all. */
    public static final byte PARTIAL = 1;
    /** The kind of a texel with all samples in charts. */
    public static final byte FULL = 2;
    /** The kind of a texel that a chart touches without holding a sample: it has one sample, the chart's point nearest to the texel's centre. */
    public static final byte NEAREST = 3;

    /** The block's first column. */
    public int x;
    /** The block's first row. */
    public int y;
    /** The block's width in texels. */
    public int width;
    /** The block's height in texels. */
    public int height;
    /** Where each texel's samples start; one more entry than there are texels. */
    public int[] start = new int[1];
    /** {@link #EMPTY}, {@link #PARTIAL}, {@link #FULL} or {@link #NEAREST} for each texel. */
    public byte[] kind = new byte[0];
    /** The triangle of each sample. */
    public int[] triangle = new int[0];
    /** The weight of the triangle's corner 1. */
    public float[] b1 = new float[0];
    /** The weight of the triangle's corner 2. */
    public float[] b2 = new float[0];
    /** The place in the texel's grid, row · samplesPerSide + column; −1 for a nearest point. */
    public short[] sample = new short[0];

    // Scratch of the rasteriser: one row of tiles.
    final Triangle scratch = new Triangle();
    int[] owner = new int[0];
    int[] sampleCount = new int[0];
    int[] nearestTriangle = new int[0];
    double[] nearestSquared = new double[0];
    double[] nearestB1 = new double[0];
    double[] nearestB2 = new double[0];

    /** Makes an object without room; the first block makes it. */
    public TexelSamples() {
    }

    /** Returns how many texels the block has. */
    public int texelCount() {
        return width * height;
    }

    /** Returns how many samples the block has. */
    public int size() {
        return start[texelCount()];
    }

    void begin(int blockX, int blockY, int blockWidth, int blockHeight) {
        x = blockX;
        y = blockY;
        width = blockWidth;
        height = blockHeight;
        int texels = blockWidth * blockHeight;
        if (kind.length < texels) {
            kind = new byte[texels];
            start = new int[texels + 1];
        }
        start[0] = 0;
    }

    void beginStrip(int texels, int samples) {
        if (owner.length < samples) {
            owner = new int[samples];
        }
        if (sampleCount.length < texels) {
            sampleCount = new int[texels];
            nearestTriangle = new int[texels];
            nearestSquared = new double[texels];
            nearestB1 = new double[texels];
            nearestB2 = new double[texels];
        }
        Arrays.fill(owner, 0, samples, -1);
    }

    void room(int samples) {
        if (triangle.length < samples) {
            int larger = (int) Math.min(Integer.MAX_VALUE - 8, Math.max(samples, triangle.length * 3L / 2));
            triangle = Arrays.copyOf(triangle, larger);
            b1 = Arrays.copyOf(b1, larger);
            b2 = Arrays.copyOf(b2, larger);
            sample = Arrays.copyOf(sample, larger);
        }
    }
}
