package org.estampage.uv;

import java.util.Arrays;
import org.jspecify.annotations.Nullable;

/**
 * A chart at one turn and scale as cells of a {@link Board}: the cells it touches, and those that come nearer to it than the gutter.
 *
 * <p>Both are safe: a chart is cut into thin strips, and the extents within a strip are exact. Where another chart touches none of the
 * cells around this one, the two are at least the gutter apart.
 *
 * @shape runs, around(): (row, first cell, cells) each, seen from the lower left cell; runs begin with the longest, which most likely meets something
 * @threads safe
 */
final class Silhouette {
    /** Strips a cell. */
    private static final int STRIPS = 4;

    final int width;
    final int height;
    final int[] runs;
    /** The turn. */
    final double cosine;
    final double sine;
    /** The chart's lower left corner, turned and scaled, in texels. */
    final double left;
    final double bottom;
    private final double cellX;
    private final double cellY;
    private final double gutter;
    private final Strips strips;
    private int @Nullable [] around;

    /**
     * Draws a chart.
     *
     * @param scale  texels a unit, the chart's weight in it
     * @param cellX  a cell's width in texels
     * @param cellY  its height
     * @param gutter in texels
     */
    Silhouette(Chart chart, double cosine, double sine, double scale, double cellX, double cellY, double gutter) {
        this.cosine = cosine;
        this.sine = sine;
        this.cellX = cellX;
        this.cellY = cellY;
        this.gutter = gutter;
        double[] uv = chart.uv;
        double[] p = new double[uv.length];
        double l = Double.POSITIVE_INFINITY;
        double b = Double.POSITIVE_INFINITY;
        double r = Double.NEGATIVE_INFINITY;
        double t = Double.NEGATIVE_INFINITY;
        for (int i = 0; i < uv.length; i += 2) {
            p[i] = scale * (cosine * uv[i] - sine * uv[i + 1]);
            p[i + 1] = scale * (sine * uv[i] + cosine * uv[i + 1]);
            l = Math.min(l, p[i]);
            b = Math.min(b, p[i + 1]);
            r = Math.max(r, p[i]);
            t = Math.max(t, p[i + 1]);
        }
        left = l;
        bottom = b;
        width = Math.max(1, (int) Math.ceil((r - l) / cellX));
        height = Math.max(1, (int) Math.ceil((t - b) / cellY));
        for (int i = 0; i < p.length; i += 2) {
            p[i] -= l;
            p[i + 1] -= b;
        }
        strips = new Strips(height * STRIPS, cellY / STRIPS);
        int[] outline = chart.outline();
        for (int i = 0; i < outline.length; i += 2) {
            strips.add(p, outline[i], outline[i + 1]);
        }
        strips.fill();
        Runs touched = new Runs();
        for (int row = 0; row < height; row++) {
            for (int strip = row * STRIPS; strip < (row + 1) * STRIPS; strip++) {
                for (int i = strips.first(strip); i < strips.end(strip); i++) {
                    int from = Math.min(width - 1, (int) (strips.from(i) / cellX));
                    touched.add(row, from, Math.max(from, Math.min(width - 1, (int) Math.ceil(strips.to(i) / cellX) - 1)));
                }
            }
        }
        runs = touched.longestFirst();
    }

    /** Rows above and below that come nearer than the gutter. */
    int reach() {
        return (int) Math.ceil(gutter / cellY);
    }

    /** Returns the cells that come nearer than the gutter; made when first asked, since most turns of a chart are never taken. */
    synchronized int[] around() {
        int[] made = around;
        if (made == null) {
            made = near();
            around = made;
        }
        return made;
    }

    private int[] near() {
        Runs near = new Runs();
        int reach = reach();
        for (int row = -reach; row < height + reach; row++) {
            double low = row * cellY;
            double high = low + cellY;
            int firstStrip = Math.max(0, (row - reach - 1) * STRIPS);
            int endStrip = Math.min(height * STRIPS, (row + reach + 2) * STRIPS);
            for (int strip = firstStrip; strip < endStrip; strip++) {
                double stripLow = strip * cellY / STRIPS;
                double gap = Math.max(0, Math.max(stripLow - high, low - stripLow - cellY / STRIPS));
                if (gap > 0 && gap >= gutter) {
                    continue;
                }
                double aside = Math.sqrt(gutter * gutter - gap * gap);
                for (int i = strips.first(strip); i < strips.end(strip); i++) {
                    int from = (int) Math.floor((strips.from(i) - aside) / cellX);
                    near.add(row, from, Math.max(from, (int) Math.ceil((strips.to(i) + aside) / cellX) - 1));
                }
            }
        }
        return near.inOrder();
    }

    /** What a chart covers of horizontal strips. */
    private static final class Strips {
        private final int count;
        private final double step;
        private int[] strip = new int[64];
        private double[] from = new double[64];
        private double[] to = new double[64];
        private int size;
        /** Where each strip's extents begin, once they are joined. */
        private int[] firsts = {};
        /** With the lower sides of strips. */
        private final Crossings crossings;

        Strips(int count, double step) {
            this.count = count;
            this.step = step;
            crossings = new Crossings(count);
        }

        /** Puts in the extents of an edge, and where it crosses the lower sides of strips. */
        void add(double[] p, int a, int b) {
            double low = Math.min(p[2 * a + 1], p[2 * b + 1]);
            double high = Math.max(p[2 * a + 1], p[2 * b + 1]);
            int first = at(low);
            int last = at(high);
            for (int s = first; s <= last; s++) {
                double above = s * step;
                double below = s == count - 1 ? Double.POSITIVE_INFINITY : (s + 1) * step; // rounding may leave a point above the last strip
                double x0 = at(p, a, b, Math.max(above, Math.min(below, p[2 * a + 1])));
                double x1 = at(p, a, b, Math.max(above, Math.min(below, p[2 * b + 1])));
                put(s, Math.min(x0, x1), Math.max(x0, x1));
                if (low < above && high >= above) {
                    crossings.add(s, at(p, a, b, above), p[2 * a + 1] > p[2 * b + 1]);
                }
            }
        }

        /** Returns the strip that a height is in; by its sides as they are computed elsewhere, since a quotient can be rounded to the next one. */
        private int at(double y) {
            int s = (int) (y / step);
            s += s * step > y ? -1 : (s + 1) * step <= y ? 1 : 0;
            return Math.min(count - 1, Math.max(0, s));
        }

        /** Puts in what lies inside at the lower side of each strip; what else is inside lies above an edge. Then joins what overlaps. Nothing may be added afterwards. */
        void fill() {
            crossings.sort();
            for (int s = 0; s < count; s++) {
                for (int k = 0; k < crossings.count(s); k++) {
                    put(s, crossings.entry(s, k), crossings.exit(s, k));
                }
            }
            join();
        }

        /** Returns x on a segment at a height within it. */
        private static double at(double[] p, int i, int j, double y) {
            double dy = p[2 * j + 1] - p[2 * i + 1];
            if (dy == 0) {
                return y == p[2 * i + 1] ? p[2 * i] : p[2 * j];
            }
            double s = Math.max(0, Math.min(1, (y - p[2 * i + 1]) / dy));
            return p[2 * i] + s * (p[2 * j] - p[2 * i]);
        }

        private void put(int s, double x0, double x1) {
            if (size == strip.length) {
                strip = Arrays.copyOf(strip, 2 * size);
                from = Arrays.copyOf(from, 2 * size);
                to = Arrays.copyOf(to, 2 * size);
            }
            strip[size] = s;
            from[size] = Math.max(0, x0);
            to[size++] = Math.max(0, x1);
        }

        private void join() {
            firsts = new int[count + 1];
            for (int i = 0; i < size; i++) {
                firsts[strip[i] + 1]++;
            }
            for (int s = 0; s < count; s++) {
                firsts[s + 1] += firsts[s];
            }
            double[][] pairs = new double[count][];
            int[] filled = new int[count];
            for (int s = 0; s < count; s++) {
                pairs[s] = new double[2 * (firsts[s + 1] - firsts[s])];
            }
            for (int i = 0; i < size; i++) {
                int s = strip[i];
                pairs[s][filled[s]++] = from[i];
                pairs[s][filled[s]++] = to[i];
            }
            int end = 0;
            for (int s = 0; s < count; s++) {
                firsts[s] = end;
                int n = pairs[s].length / 2;
                double[] begins = new double[n];
                double[] ends = new double[n];
                for (int i = 0; i < n; i++) {
                    begins[i] = pairs[s][2 * i];
                    ends[i] = pairs[s][2 * i + 1];
                }
                // the union of intervals begins where the k-th begin comes after the k-th end
                Arrays.sort(begins);
                Arrays.sort(ends);
                for (int i = 0; i < n; i++) {
                    if (i == 0 || begins[i] > ends[i - 1]) {
                        from[end] = begins[i];
                        to[end++] = ends[i];
                    } else {
                        to[end - 1] = ends[i];
                    }
                }
            }
            firsts[count] = end;
        }

        int first(int s) {
            return firsts[s];
        }

        int end(int s) {
            return firsts[s + 1];
        }

        double from(int i) {
            return from[i];
        }

        double to(int i) {
            return to[i];
        }
    }

    /** Runs of cells, row by row, joined where they meet. */
    private static final class Runs {
        private long[] keys = new long[64];
        private int size;

        void add(int row, int from, int to) {
            if (size == keys.length) {
                keys = Arrays.copyOf(keys, 2 * size);
            }
            // row, first and last cell in one number that sorts by them; offsets keep them positive
            keys[size++] = (long) (row + (1 << 20)) << 42 | (long) (from + (1 << 20)) << 21 | to + (1 << 20);
        }

        int[] inOrder() {
            Arrays.sort(keys, 0, size);
            int[] result = new int[3 * size];
            int n = 0;
            for (int i = 0; i < size; i++) {
                int row = (int) (keys[i] >>> 42) - (1 << 20);
                int from = (int) (keys[i] >>> 21 & 0x1fffff) - (1 << 20);
                int to = (int) (keys[i] & 0x1fffff) - (1 << 20);
                if (n > 0 && result[n - 3] == row && from <= result[n - 2] + result[n - 1]) {
                    result[n - 1] = Math.max(result[n - 1], to + 1 - result[n - 2]);
                } else {
                    result[n++] = row;
                    result[n++] = from;
                    result[n++] = to + 1 - from;
                }
            }
            return Arrays.copyOf(result, n);
        }

        int[] longestFirst() {
            int[] in = inOrder();
            long[] order = new long[in.length / 3];
            for (int i = 0; i < order.length; i++) {
                order[i] = (long) (Integer.MAX_VALUE - in[3 * i + 2]) << 32 | i;
            }
            Arrays.sort(order);
            int[] result = new int[in.length];
            for (int i = 0; i < order.length; i++) {
                System.arraycopy(in, 3 * (int) order[i], result, 3 * i, 3);
            }
            return result;
        }
    }
}
