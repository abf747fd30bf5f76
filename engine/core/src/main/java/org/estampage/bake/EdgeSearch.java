package org.estampage.bake;

import java.util.Arrays;

/**
 * Finds the texels whose samples see an edge, a step or a border, and those around them: they deserve more samples.
 *
 * @threads immutable
 */
final class EdgeSearch {
    /** Normals that lean by more than 1.5° against the mean of their texel: cos 1.5°. */
    private static final double LEAST_COSINE = 0.99965732;
    /** Heights that differ by more than so many steps between samples: a slope of 76° against the low poly. */
    private static final double MOST_RISE = 4;

    private final float[] texelWidths;
    private final int samplesPerSide;

    EdgeSearch(float[] texelWidths, int samplesPerSide) {
        this.texelWidths = texelWidths;
        this.samplesPerSide = samplesPerSide;
    }

    /**
     * Marks texels of an area; those at its rim don't know what lies beyond it.
     *
     * @param hitStart where each texel's hits begin
     * @param dest     for each texel of the area
     * @return whether any was marked
     */
    boolean find(BlockArea area, Projection samples, SurfaceHits hits, int[] hitStart, boolean[] dest) {
        Arrays.fill(dest, 0, area.texelCount(), false);
        boolean any = false;
        for (int texel = 0; texel < area.texelCount(); texel++) {
            int sampleCount = samples.samples.start[texel + 1] - samples.samples.start[texel];
            if (isEdge(hits, hitStart[texel], hitStart[texel + 1], sampleCount)) {
                markAround(area, texel, dest);
                any = true;
            }
        }
        return any;
    }

    private boolean isEdge(SurfaceHits hits, int from, int to, int sampleCount) {
        if (from == to) {
            return false;
        }
        if (to - from < sampleCount) {
            return true;
        }
        double x = 0, y = 0, z = 0;
        float least = Float.POSITIVE_INFINITY, most = Float.NEGATIVE_INFINITY;
        for (int s = from; s < to; s++) {
            x += hits.highNormals[3 * s];
            y += hits.highNormals[3 * s + 1];
            z += hits.highNormals[3 * s + 2];
            least = Math.min(least, hits.heights[s]);
            most = Math.max(most, hits.heights[s]);
        }
        if (most - least > MOST_RISE * texelWidths[hits.lowTriangles[from]] / samplesPerSide) {
            return true;
        }
        double length = Math.sqrt(x * x + y * y + z * z);
        for (int s = from; s < to; s++) {
            double dot = hits.highNormals[3 * s] * x + hits.highNormals[3 * s + 1] * y + hits.highNormals[3 * s + 2] * z;
            if (dot < LEAST_COSINE * length) {
                return true;
            }
        }
        return false;
    }

    private static void markAround(BlockArea area, int texel, boolean[] dest) {
        int column = texel % area.width, row = texel / area.width;
        for (int y = Math.max(0, row - 1); y <= Math.min(area.height - 1, row + 1); y++) {
            for (int x = Math.max(0, column - 1); x <= Math.min(area.width - 1, column + 1); x++) {
                dest[y * area.width + x] = true;
            }
        }
    }
}
