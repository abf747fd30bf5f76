package org.estampage.bake;

import java.util.Arrays;
import org.jspecify.annotations.Nullable;

/**
 * Makes values of texels out of their own samples and those of the texels around them: {@link TexelFilter#TENT}.
 *
 * @threads confined
 */
final class Tent {
    private final int[] charts;
    /** How far each hit lies from the centre of its texel, in texels. */
    private float[] offsetX = new float[0];
    private float[] offsetY = new float[0];
    /** The chart that each texel of the area lies on with all its samples, which all hit; −1 for none. */
    private int[] chartOfTexel = new int[0];
    /** What a sample weighs that lies at the centre: a texel's samples add up to 1. */
    private double[] sampleWeight = new double[0];

    private final double[] sums = new double[4];
    private BlockArea area = new BlockArea(0, 0, 0, 0, 0, 0, 0);
    private int[] hitStart = new int[1];

    /** @param charts the chart of each triangle of the low poly */
    Tent(int[] charts) {
        this.charts = charts;
    }

    /** Begins an area of so many hits. */
    void begin(BlockArea of, int[] starts, int mostHits) {
        area = of;
        hitStart = starts;
        if (offsetX.length < mostHits) {
            offsetX = new float[mostHits];
            offsetY = new float[mostHits];
        }
        if (chartOfTexel.length < area.texelCount()) {
            chartOfTexel = new int[area.texelCount()];
            sampleWeight = new double[area.texelCount()];
        }
    }

    /** Notes where a hit's sample lies in its texel: its place in a grid of n × n. */
    void note(int hit, int place, int n) {
        int row = place / n;
        int column = place % n;
        offsetX[hit] = (column + 0.5f) / n - 0.5f;
        offsetY[hit] = (row + 0.5f) / n - 0.5f;
    }

    /** Notes a texel whose hits are all noted; a whole one has {@code n · n}. */
    void noteTexel(int texel, int from, int to, int n, SurfaceHits hits) {
        sampleWeight[texel] = 1.0 / (n * n);
        chartOfTexel[texel] = to - from == n * n ? charts[hits.lowTriangles[from]] : -1;
        for (int s = from; s < to; s++) {
            if (charts[hits.lowTriangles[s]] != chartOfTexel[texel]) {
                chartOfTexel[texel] = -1;
            }
        }
    }

    /** Returns whether a texel's value is more than its own samples'. */
    boolean takes(Reduction rule, int texel) {
        return (rule == Reduction.MEAN || rule == Reduction.NORMALISED_MEAN) && chartOfTexel[texel] >= 0;
    }

    /** Does what {@link Reducer#reduce} does for a texel that this one {@link #takes}. */
    void reduce(Reduction rule, float[] values, int channels, int texel, int @Nullable [] rays, float[] dest, int at) {
        double weights = 0;
        Arrays.fill(sums, 0);
        for (int dy = -1; dy <= 1; dy++) {
            for (int dx = -1; dx <= 1; dx++) {
                if (isSame(texel, dx, dy) && isSame(texel, -dx, -dy)) {
                    int other = texel + dy * area.width + dx;
                    double scale = sampleWeight[other] * perRay(rays, hitStart[other], hitStart[other + 1]);
                    for (int s = hitStart[other]; s < hitStart[other + 1]; s++) {
                        double weight = scale * Math.max(0, 1 - Math.abs(dx + offsetX[s])) * Math.max(0, 1 - Math.abs(dy + offsetY[s]))
                                * (rays == null ? 1 : rays[s]);
                        weights += weight;
                        for (int c = 0; c < channels; c++) {
                            sums[c] += weight * values[s * channels + c];
                        }
                    }
                }
            }
        }
        for (int c = 0; c < channels; c++) {
            dest[at + c] = (float) (sums[c] / weights);
        }
        if (rule == Reduction.NORMALISED_MEAN) {
            Reducer.normalise(values, channels, hitStart[texel], dest, at);
        }
    }

    private boolean isSame(int texel, int dx, int dy) {
        int x = texel % area.width + dx;
        int y = texel / area.width + dy;
        return x >= 0 && x < area.width && y >= 0 && y < area.height && chartOfTexel[y * area.width + x] == chartOfTexel[texel];
    }

    /** Returns what a ray counts for a texel with more or fewer rays than others to weigh the same. */
    private static double perRay(int @Nullable [] rays, int from, int to) {
        return rays == null ? 1 : (to - from) / (double) Arrays.stream(rays, from, to).sum();
    }
}
