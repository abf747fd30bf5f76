package org.estampage.bake;

import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.task.MemoryBudget;
import org.estampage.uv.UvCharts;

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
    private final float[] widths;

    Guides(Mesh low, int width, int height, MemoryBudget memory) {
        Encoding plain = Encoding.data(Range.UNIT, 4);
        surface = FloatImage.create(width, height, plain, memory);
        place = FloatImage.create(width, height, Encoding.data(Range.UNIT, 2), memory);
        charts = UvCharts.ofTriangles(low);
        widths = new float[low.triangleCount()];
        float[] p = low.positions();
        int[] corners = low.positionIndices();
        Attribute uv = low.uvSets().get(0);
        for (int t = 0; t < widths.length; t++) {
            int a = 3 * corners[3 * t], b = 3 * corners[3 * t + 1], c = 3 * corners[3 * t + 2];
            double ux = (double) p[b] - p[a], uy = (double) p[b + 1] - p[a + 1], uz = (double) p[b + 2] - p[a + 2];
            double vx = (double) p[c] - p[a], vy = (double) p[c + 1] - p[a + 1], vz = (double) p[c + 2] - p[a + 2];
            double nx = uy * vz - uz * vy, ny = uz * vx - ux * vz, nz = ux * vy - uy * vx;
            int i = 2 * uv.indices()[3 * t], j = 2 * uv.indices()[3 * t + 1], k = 2 * uv.indices()[3 * t + 2];
            float[] w = uv.values();
            double texels = Math
                    .abs(((double) w[j] - w[i]) * ((double) w[k + 1] - w[i + 1]) - ((double) w[j + 1] - w[i + 1]) * ((double) w[k] - w[i]))
                    * width * height;
            widths[t] = texels > 0 ? (float) Math.sqrt(Math.sqrt(nx * nx + ny * ny + nz * nz) / texels) : 0f;
        }
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
        destPlace[2 * at + 1] = to > from ? widths[hits.lowTriangles[from]] : 0f;
    }
}
