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
    /** Lines that overlaps are looked for on. */
    private static final int LINES = 1024;

    /** Where the vertices lie, in units that all charts share. */
    final double[] uv;
    /** The vertices of each triangle. */
    final int[] triangles;
    /** The multiple of texel density that it is given, above 0. */
    final double weight;
    /** Whether its best rectangle must lie along the axes. */
    final boolean level;
    private int @Nullable [] outline;
    private @Nullable BestRectangle rectangle;

    Chart(double[] uv, int[] triangles, double weight) {
        this(uv, triangles, weight, false);
    }

    Chart(double[] uv, int[] triangles, double weight, boolean level) {
        this.uv = uv;
        this.triangles = triangles;
        this.weight = weight;
        this.level = level;
    }

    /** Returns the area in squared units, before weighting. */
    double area() {
        double sum = 0;
        for (int c = 0; c < triangles.length; c += 3) {
            sum += Math.abs(twiceArea(c));
        }
        return sum / 2;
    }

    /**
     * Returns the directed edges that bound what the chart covers, two vertices each: all triangles' edges, each triangle turned to face up, less those
     * that run both ways. Around a covered point they wind once for each triangle that covers it, even where the chart is folded or overlaps itself.
     */
    synchronized int[] outline() {
        int[] made = outline;
        if (made == null) {
            made = onlyOneWay();
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

    /**
     * Whether it covers some place more than once, deeper than a slack. Looked for on {@value #LINES} lines: what lies between two of them is not seen.
     *
     * @param slack in units; what rounding explains
     */
    boolean overlapsItself(double slack) {
        double bottom = Double.POSITIVE_INFINITY;
        double top = Double.NEGATIVE_INFINITY;
        for (int i = 1; i < uv.length; i += 2) {
            bottom = Math.min(bottom, uv[i]);
            top = Math.max(top, uv[i]);
        }
        double step = (top - bottom) / LINES;
        if (!(step > 0)) {
            return false;
        }
        Crossings crossings = new Crossings(LINES);
        int[] edges = outline();
        for (int i = 0; i < edges.length; i += 2) {
            int a = 2 * edges[i];
            int b = 2 * edges[i + 1];
            int low = uv[a + 1] < uv[b + 1] ? a : b;
            int high = a + b - low;
            int from = Math.max(0, (int) Math.floor((uv[low + 1] - bottom) / step - 0.5));
            for (int line = from; line < LINES; line++) {
                double y = bottom + (line + 0.5) * step;
                if (y > uv[high + 1]) {
                    break;
                }
                if (y > uv[low + 1]) {
                    double part = (y - uv[low + 1]) / (uv[high + 1] - uv[low + 1]);
                    crossings.add(line, uv[low] + part * (uv[high] - uv[low]), low == b);
                }
            }
        }
        crossings.sort();
        for (int line = 0; line < LINES; line++) {
            for (int k = 0; k + 1 < crossings.count(line); k++) {
                if (crossings.exit(line, k) - crossings.entry(line, k + 1) > slack) {
                    return true;
                }
            }
        }
        return false;
    }

    private int[] onlyOneWay() {
        int[] left = new int[2 * triangles.length];
        int count = 0;
        long[] edges = new long[triangles.length];
        int size = 0;
        for (int c = 0; c < edges.length; c++) {
            int a = triangles[c];
            int b = triangles[Adjacency.next(c)];
            double area = twiceArea(c - c % 3);
            if (area == 0) { // covers nothing, and has no side that faces up; its edges stand for themselves
                left[count++] = a;
                left[count++] = b;
            } else {
                // both directions side by side, the rising one with a 0 behind it
                boolean rising = (a < b) == (area > 0);
                edges[size++] = (long) Math.min(a, b) << 32 | (long) Math.max(a, b) << 1 | (rising ? 0 : 1);
            }
        }
        Arrays.sort(edges, 0, size);
        for (int from = 0; from < size;) {
            int to = from;
            int more = 0;
            while (to < size && edges[to] >>> 1 == edges[from] >>> 1) {
                more += (edges[to++] & 1) == 0 ? 1 : -1;
            }
            int a = (int) (edges[from] >>> 32);
            int b = (int) edges[from] >>> 1;
            for (int i = 0; i < Math.abs(more); i++) {
                left[count++] = more > 0 ? a : b;
                left[count++] = more > 0 ? b : a;
            }
            from = to;
        }
        return Arrays.copyOf(left, count);
    }

    /** Returns twice the signed area of the triangle whose first corner is c. */
    private double twiceArea(int c) {
        int i = 2 * triangles[c];
        int j = 2 * triangles[c + 1];
        int k = 2 * triangles[c + 2];
        return (uv[j] - uv[i]) * (uv[k + 1] - uv[i + 1]) - (uv[k] - uv[i]) * (uv[j + 1] - uv[i + 1]);
    }
}
