package org.estampage.lowpoly;

import java.util.Arrays;
import org.estampage.internal.kernel.MortonBits;

/**
 * Vertices along the Morton curve and triangles by their first vertex, so that what lies together on the surface lies together in memory. Decimation
 * jumps all over the surface, but works around one edge at a time.
 *
 * @threads immutable
 */
final class MemoryOrder {
    private static final int BITS = 10;

    /** The old number of each new vertex: of those that triangles use. */
    final int[] vertex;
    /** The new number of each old vertex; −1 if none uses it. */
    final int[] newVertex;
    /** The old number of each new triangle: of those that take part. */
    final int[] triangle;

    /**
     * Orders a mesh.
     *
     * @param position coordinates of old vertices
     * @param corners  an old vertex a corner
     * @param skipped  triangles that take no part
     */
    MemoryOrder(double[] position, int[] corners, boolean[] skipped) {
        newVertex = new int[position.length / 3];
        Arrays.fill(newVertex, -1);
        int triangles = 0;
        int vertices = 0;
        for (int t = 0; t < skipped.length; t++) {
            if (skipped[t]) {
                continue;
            }
            triangles++;
            for (int c = 3 * t; c < 3 * t + 3; c++) {
                vertices += newVertex[corners[c]] < 0 ? 1 : 0;
                newVertex[corners[c]] = 0;
            }
        }
        vertex = alongTheCurve(position, vertices);
        for (int v = 0; v < vertices; v++) {
            newVertex[vertex[v]] = v;
        }
        // A counting sort by the lowest vertex.
        triangle = new int[triangles];
        int[] start = new int[vertices + 1];
        for (int t = 0; t < skipped.length; t++) {
            if (!skipped[t]) {
                start[lowest(corners, t) + 1]++;
            }
        }
        for (int v = 0; v < vertices; v++) {
            start[v + 1] += start[v];
        }
        for (int t = 0; t < skipped.length; t++) {
            if (!skipped[t]) {
                triangle[start[lowest(corners, t)]++] = t;
            }
        }
    }

    private int lowest(int[] corners, int t) {
        return Math.min(newVertex[corners[3 * t]], Math.min(newVertex[corners[3 * t + 1]], newVertex[corners[3 * t + 2]]));
    }

    private int[] alongTheCurve(double[] p, int count) {
        double[] low = {Double.POSITIVE_INFINITY, Double.POSITIVE_INFINITY, Double.POSITIVE_INFINITY};
        double extent = 0;
        for (int i = 0; i < p.length; i++) {
            low[i % 3] = Math.min(low[i % 3], p[i]);
        }
        for (int i = 0; i < p.length; i++) {
            extent = Math.max(extent, p[i] - low[i % 3]);
        }
        double scale = extent > 0 ? ((1 << BITS) - 1) / extent : 0;
        long[] keys = new long[count];
        int at = 0;
        for (int v = 0; v < newVertex.length; v++) {
            if (newVertex[v] >= 0) {
                long code = MortonBits.of((int) ((p[3 * v] - low[0]) * scale), (int) ((p[3 * v + 1] - low[1]) * scale),
                        (int) ((p[3 * v + 2] - low[2]) * scale));
                keys[at++] = code << 32 | v;
            }
        }
        Arrays.parallelSort(keys); // no two are equal
        int[] order = new int[count];
        for (int i = 0; i < count; i++) {
            order[i] = (int) keys[i];
        }
        return order;
    }
}
