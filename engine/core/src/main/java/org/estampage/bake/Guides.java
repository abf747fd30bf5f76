package org.estampage.bake;

import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.task.MemoryBudget;

/**
 * What says whether two neighbouring texels show the same piece of surface: chart, normal and height, a texel each, and how wide a texel is on the low poly.
 *
 * @threads texels are written by the worker that has them, and read when all are written
 */
final class Guides {
    /** The mean normal of a texel's hits, unit length, object space, and their mean height. */
    final FloatImage surface;
    /** The chart, −1 where nothing was hit, and the width of a texel there in mesh units. */
    final FloatImage place;
    private final int[] charts;
    private final float[] texelWidths;
    /** Of both images together. */
    static final int CHANNELS = 6;

    Guides(int[] charts, float[] texelWidths, int width, int height, MemoryBudget memory) {
        Encoding plain = Encoding.data(Range.UNIT, 4);
        surface = FloatImage.create(width, height, plain, memory);
        place = FloatImage.create(width, height, Encoding.data(Range.UNIT, 2), memory);
        this.charts = charts;
        this.texelWidths = texelWidths;
    }

    /** Writes what the hits {@code from … to − 1} say of a texel into rows of {@link #surface} and {@link #place}, at texel {@code at} of them. */
    void describe(SurfaceHits hits, int from, int to, float[] destSurface, float[] destPlace, int at) {
        double x = 0, y = 0, z = 0, height = 0;
        for (int s = from; s < to; s++) {
            x += hits.highNormals[3 * s];
            y += hits.highNormals[3 * s + 1];
            z += hits.highNormals[3 * s + 2];
            height += hits.heights[s];
        }
        double length = Math.sqrt(x * x + y * y + z * z);
        double scale = length > 0 ? 1 / length : 0;
        destSurface[4 * at] = (float) (x * scale);
        destSurface[4 * at + 1] = (float) (y * scale);
        destSurface[4 * at + 2] = (float) (z * scale);
        destSurface[4 * at + 3] = to > from ? (float) (height / (to - from)) : 0f;
        // Charts are counted by floats: exact up to 16 million.
        destPlace[2 * at] = to > from ? charts[hits.lowTriangles[from]] : -1f;
        destPlace[2 * at + 1] = to > from ? texelWidths[hits.lowTriangles[from]] : 0f;
    }
}
