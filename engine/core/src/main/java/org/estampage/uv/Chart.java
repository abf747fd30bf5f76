package org.estampage.uv;

import java.util.Arrays;
import org.estampage.mesh.Adjacency;
import org.jspecify.annotations.Nullable;

/**
 * A chart that waits for its place.
 *
 * @shape uv: two numbers a vertex; triangles: three of the chart's vertices each; taken over, not copied
 * @threads immutable by contract
 */
final class Chart {
    /** Where the vertices lie, in units that all charts share. */
    final double[] uv;
    /** The vertices of each triangle. */
    final int[] triangles;
    /** The multiple of texel density that it is given, above 0. */
    final double weight;
    private int @Nullable [] outline;
    private @Nullable BestRectangle rectangle;

    Chart(double[] uv, int[] triangles, double weight) {
        this.uv = uv;
        this.triangles = triangles;
        this.weight = weight;
    }

    /** Returns the area in squared units, before weighting. */
    double area() {
        double sum = 0;
        for (int c = 0; c < triangles.length; c += 3) {
            int i = 2 * triangles[c];
            int j = 2 * triangles[c + 1];
            int k = 2 * triangles[c + 2];
            sum += Math.abs((uv[j] - uv[i]) * (uv[k + 1] - uv[i + 1]) - (uv[k] - uv[i]) * (uv[j + 1] - uv[i + 1]));
        }
        return sum / 2;
    }

    /** Returns the edges that an odd number of triangles has, two vertices each: what bounds the chart where it doesn't overlap itself. */
    synchronized int[] outline() {
        int[] made = outline;
        if (made == null) {
            made = oddEdges();
            outline = made;
        }
        return made;
    }

    /** Returns the smallest rectangle around the chart. */
    synchronized BestRectangle rectangle() {
        BestRectangle made = rectangle;
        if (made == null) {
            made = BestRectangle.around(uv, outline());
            rectangle = made;
        }
        return made;
    }

    private int[] oddEdges() {
        long[] edges = new long[triangles.length];
        for (int c = 0; c < edges.length; c++) {
            int a = triangles[c];
            int b = triangles[Adjacency.next(c)];
            edges[c] = (long) Math.min(a, b) << 32 | Math.max(a, b);
        }
        Arrays.sort(edges);
        int[] odd = new int[2 * edges.length];
        int count = 0;
        for (int from = 0; from < edges.length;) {
            int to = from + 1;
            while (to < edges.length && edges[to] == edges[from]) {
                to++;
            }
            if ((to - from) % 2 != 0) {
                odd[count++] = (int) (edges[from] >>> 32);
                odd[count++] = (int) edges[from];
            }
            from = to;
        }
        return Arrays.copyOf(odd, count);
    }
}
