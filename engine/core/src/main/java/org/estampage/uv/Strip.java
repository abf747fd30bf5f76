package org.estampage.uv;

import java.util.Arrays;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Finds out whether a chart is a long band, and lays such a band out as a rectangle.
 *
 * <p>A band is a chart whose flat border has four corners, between them two long borders of comparable length and two short ends. Where along the band a
 * point of a long border belongs is told by the harmonic function that is 0 on one end and 1 on the other; the length there is the mean of both long
 * borders' lengths up to it, so that the middle keeps its length, in an S as in an arc. The inside follows the border harmonically.
 *
 * @threads stateless; safe for concurrent calls
 * @source a harmonic map into a convex outline: Floater, Parametrization and Smooth Approximation of Surface Triangulations, 1997, with the weights of Pinkall
 *         and Polthier, Computing Discrete Minimal Surfaces and Their Conjugates, 1993, from memory; how corners are found and places matched is our own
 */
final class Strip {
    /** A band is at least this many times as long as wide: shorter ones gain little, a square's corners would do for anything. */
    static final double LEAST_RATIO = 4;
    /** The longer of two long borders is at most this many times as long as the other; a half turn with a hole as wide as the band has 3. */
    private static final double MOST_UNEVEN = 3;
    /** A corner turns by half a right angle at least, as a mitred end does. */
    private static final double LEAST_TURN = Math.PI / 4;
    /** So many corners are looked at; a band has four, jagged ends some more. */
    private static final int MOST_CORNERS = 8;

    private final Net net;
    private final Task task;
    private final int n;
    /** Lengths along the border up to each of its vertices, and the whole at the end: laid flat and on the surface. */
    private final double[] flat;
    private final double[] along;
    private final double[] x;
    private final double[] y;

    private Strip(Net net, double[] uv, Task task) {
        this.task = task;
        this.net = net;
        n = net.border.length;
        flat = new double[n + 1];
        along = new double[n + 1];
        x = new double[n];
        y = new double[n];
        for (int i = 0; i < n; i++) {
            x[i] = uv[2 * net.order[net.border[i]]];
            y[i] = uv[2 * net.order[net.border[i]] + 1];
        }
        for (int i = 0; i < n; i++) {
            int j = (i + 1) % n;
            flat[i + 1] = flat[i] + Math.sqrt((x[j] - x[i]) * (x[j] - x[i]) + (y[j] - y[i]) * (y[j] - y[i]));
            along[i + 1] = along[i] + net.distance(net.border[i], net.border[j]);
        }
    }

    /** What became of a chart: whether it is a band, and where that can be laid straight, its flat shape. */
    static final class Outcome {
        final boolean band;
        final @Nullable Flat straight;

        Outcome(boolean band, @Nullable Flat straight) {
            this.band = band;
            this.straight = straight;
        }
    }

    /**
     * Looks at a disk and its flat shape.
     *
     * @param uv two numbers a vertex of the disk, without flips
     * @cost O(n log n) where it is a band, O(border · log) otherwise
     */
    static Outcome of(Patch disk, double[] uv, Task task) {
        Net net = new Net(disk, disk.border());
        Strip strip = new Strip(net, uv, task);
        int[] corners = strip.corners();
        if (corners.length == 0) {
            return new Outcome(false, null);
        }
        double[] straight = strip.straight(corners);
        return new Outcome(true, straight == null ? null : Flattening.finished(net, straight, true));
    }

    // ----------------------------------------------------------------------------------------------------------- finding

    /** Returns four places of the border, counter-clockwise, the first at the beginning of a long side; none when it is no band. */
    private int[] corners() {
        double half = flat[n] / 2;
        double square = half * half / 4 - area();
        double width = half / 2 - Math.sqrt(Math.max(0, square));
        // As a rectangle of the same area and border it would be this long for its width.
        if (!(square > 0) || half - width < LEAST_RATIO * width) {
            return new int[0];
        }
        double reach = width / 2;
        double[] turn = new double[n];
        for (int i = 0; i < n; i++) {
            turn[i] = turn(i, reach);
        }
        int[] candidates = sharpest(turn, reach);
        int[] best = {};
        double most = 0;
        int m = candidates.length;
        for (int a = 0; a < m; a++) {
            for (int b = a + 1; b < m; b++) {
                for (int c = b + 1; c < m; c++) {
                    for (int d = c + 1; d < m; d++) {
                        int[] four = {candidates[a], candidates[b], candidates[c], candidates[d]};
                        double sum = turn[four[0]] + turn[four[1]] + turn[four[2]] + turn[four[3]];
                        int[] ordered = sum > most * (1 + 1e-9) ? longFirst(four) : new int[0];
                        if (ordered.length > 0) {
                            most = sum;
                            best = ordered;
                        }
                    }
                }
            }
        }
        return best;
    }

    private double area() {
        double twice = 0;
        for (int i = 0; i < n; i++) {
            int j = (i + 1) % n;
            twice += (x[i] - x[0]) * (y[j] - y[0]) - (x[j] - x[0]) * (y[i] - y[0]);
        }
        return twice / 2;
    }

    /** The angle between the ways from {@code reach} before a place of the border and to {@code reach} behind it; steps below that don't count. */
    private double turn(int i, double reach) {
        double[] before = at(flat[i] - reach);
        double[] after = at(flat[i] + reach);
        double ax = x[i] - before[0];
        double ay = y[i] - before[1];
        double bx = after[0] - x[i];
        double by = after[1] - y[i];
        return StrictMath.atan2(ax * by - ay * bx, ax * bx + ay * by);
    }

    /** The point at a length along the flat border. */
    private double[] at(double length) {
        double s = length < 0 ? length + flat[n] : length >= flat[n] ? length - flat[n] : length;
        int found = Arrays.binarySearch(flat, s);
        int i = Math.min(n - 1, Math.max(0, found >= 0 ? found : -found - 2));
        double part = flat[i + 1] > flat[i] ? (s - flat[i]) / (flat[i + 1] - flat[i]) : 0;
        int j = (i + 1) % n;
        return new double[] {x[i] + part * (x[j] - x[i]), y[i] + part * (y[j] - y[i])};
    }

    /** Returns the places that turn most and are not near each other, rising. */
    private int[] sharpest(double[] turn, double reach) {
        int[] taken = new int[MOST_CORNERS];
        int count = 0;
        while (count < MOST_CORNERS) {
            int best = -1;
            for (int i = 0; i < n; i++) {
                // Equal but for rounding is equal: a turned surface shall give the same answer.
                if (turn[i] >= LEAST_TURN && (best < 0 || turn[i] > turn[best] * (1 + 1e-9)) && apart(i, taken, count, reach)) {
                    best = i;
                }
            }
            if (best < 0) {
                break;
            }
            taken[count++] = best;
        }
        int[] result = Arrays.copyOf(taken, count);
        Arrays.sort(result);
        return result;
    }

    private boolean apart(int i, int[] taken, int count, double reach) {
        for (int k = 0; k < count; k++) {
            double gap = Math.abs(flat[i] - flat[taken[k]]);
            if (Math.min(gap, flat[n] - gap) < reach) {
                return false;
            }
        }
        return true;
    }

    /** Returns the same four from the beginning of a long side on; none when they don't part long sides from short ones. */
    private int[] longFirst(int[] four) {
        double[] side = new double[4];
        for (int k = 0; k < 4; k++) {
            side[k] = span(along, four[k], four[(k + 1) % 4]);
        }
        int first = side[0] + side[2] >= side[1] + side[3] ? 0 : 1;
        double lesser = Math.min(side[first], side[first + 2]);
        double greater = Math.max(side[first], side[first + 2]);
        double ends = (side[first + 1] + side[(first + 3) % 4]) / 2;
        if (!(greater <= MOST_UNEVEN * lesser) || !((lesser + greater) / 2 >= LEAST_RATIO * ends)) {
            return new int[0];
        }
        return new int[] {four[first], four[first + 1], four[(first + 2) % 4], four[(first + 3) % 4]};
    }

    private double span(double[] lengths, int from, int to) {
        double span = lengths[to] - lengths[from];
        return to > from ? span : span + lengths[n];
    }

    // -------------------------------------------------------------------------------------------------------- straightening

    private double @Nullable [] straight(int[] corners) {
        int[][] side = new int[4][];
        double[][] length = new double[4][];
        for (int k = 0; k < 4; k++) {
            int count = Math.floorMod(corners[(k + 1) % 4] - corners[k], n) + 1;
            side[k] = new int[count];
            length[k] = new double[count];
            for (int i = 0; i < count; i++) {
                int place = (corners[k] + i) % n;
                side[k][i] = net.border[place];
                length[k][i] = i == 0 ? 0 : span(along, corners[k], place);
            }
        }
        boolean[] held = new boolean[net.vertexCount];
        double[] uv = new double[2 * net.vertexCount];
        hold(held, side[1]);
        hold(held, side[3]);
        for (int v : side[1]) {
            uv[2 * v] = 1;
        }
        if (!harmonic(held, uv)) {
            return null;
        }
        double bottom = length[0][length[0].length - 1];
        double top = length[2][length[2].length - 1];
        double[] fromBottom = heights(side[0], uv, false);
        double[] fromTop = heights(side[2], uv, true);
        double[] bottomLength = length[0];
        double[] topLength = new double[length[2].length];
        Arrays.setAll(topLength, i -> top - length[2][length[2].length - 1 - i]);
        if (!rises(fromBottom) || !rises(fromTop)) {
            return null;
        }
        double whole = (bottom + top) / 2;
        double width = net.totalArea / whole;
        for (int i = 0; i < side[0].length; i++) {
            place(uv, side[0][i], (bottomLength[i] + read(fromTop, topLength, fromBottom[i])) / 2, 0);
        }
        for (int i = 0; i < side[2].length; i++) {
            int back = side[2].length - 1 - i;
            place(uv, side[2][back], (topLength[i] + read(fromBottom, bottomLength, fromTop[i])) / 2, width);
        }
        for (int k = 1; k < 4; k += 2) {
            double end = length[k][length[k].length - 1];
            for (int i = 0; i < side[k].length; i++) {
                double part = length[k][i] / end;
                place(uv, side[k][i], k == 1 ? whole : 0, width * (k == 1 ? part : 1 - part));
            }
            hold(held, side[k - 1]);
        }
        return harmonic(held, uv) && net.measure(uv, new double[3]) ? evened(uv) : null;
    }

    private static void hold(boolean[] held, int[] vertices) {
        for (int v : vertices) {
            held[v] = true;
        }
    }

    private static void place(double[] uv, int v, double u, double w) {
        uv[2 * v] = u;
        uv[2 * v + 1] = w;
    }

    private static double[] heights(int[] side, double[] uv, boolean backwards) {
        double[] result = new double[side.length];
        for (int i = 0; i < side.length; i++) {
            result[i] = uv[2 * side[backwards ? side.length - 1 - i : i]];
        }
        return result;
    }

    private static boolean rises(double[] values) {
        for (int i = 1; i < values.length; i++) {
            if (!(values[i] > values[i - 1])) {
                return false;
            }
        }
        return true;
    }

    /** Reads a piecewise linear function, given at rising places, at a place between the first and the last. */
    private static double read(double[] places, double[] values, double place) {
        int found = Arrays.binarySearch(places, place);
        if (found >= 0) {
            return values[found];
        }
        int i = Math.min(places.length - 2, Math.max(0, -found - 2));
        return values[i] + (place - places[i]) / (places[i + 1] - places[i]) * (values[i + 1] - values[i]);
    }

    /** Gives the free vertices the harmonic functions of the held ones; returns false when it can't be solved. */
    private boolean harmonic(boolean[] held, double[] inoutUv) {
        boolean any = false;
        for (boolean h : held) {
            any |= !h;
        }
        if (!any) {
            return true;
        }
        double[] diagonal = new double[net.vertexCount];
        double[] coupling = new double[net.low.length];
        for (int t = 0; t < net.triangleCount; t++) {
            for (int k = 0; k < 3; k++) {
                int a = 6 * t + 2 * k;
                int b = 6 * t + 2 * ((k + 1) % 3);
                diagonal[net.corner[3 * t + k]] += net.area[t] * (net.slope[a] * net.slope[a] + net.slope[a + 1] * net.slope[a + 1]);
                coupling[net.edge[3 * t + k]] += net.area[t]
                        * (net.slope[a] * net.slope[b] + net.slope[a + 1] * net.slope[b + 1]);
            }
        }
        double[] right = new double[inoutUv.length];
        for (int v = 0; v < net.vertexCount; v++) {
            for (int e = net.edgeStart[v]; e < net.edgeStart[v + 1]; e++) {
                int w = net.low[e];
                if (held[v] != held[w]) {
                    int free = held[v] ? w : v;
                    int fast = held[v] ? v : w;
                    right[2 * free] -= coupling[e] * inoutUv[2 * fast];
                    right[2 * free + 1] -= coupling[e] * inoutUv[2 * fast + 1];
                }
            }
        }
        Laplacian laplacian = new Laplacian(net, held, task);
        if (!laplacian.factor(diagonal, coupling)) {
            return false;
        }
        double[] inner = new double[inoutUv.length];
        laplacian.solve(right, inner);
        for (int v = 0; v < net.vertexCount; v++) {
            if (!held[v]) {
                inoutUv[2 * v] = inner[2 * v];
                inoutUv[2 * v + 1] = inner[2 * v + 1];
            }
        }
        return true;
    }

    /** Gives the rectangle the sides, of the same area, that distort least: jagged borders are longer than the band. */
    private double[] evened(double[] inoutUv) {
        double stretch = 0;
        double shrink = 0;
        double[] map = new double[4];
        for (int t = 0; t < net.triangleCount; t++) {
            net.map(t, inoutUv, map);
            double determinant = map[0] * map[3] - map[1] * map[2];
            double weight = net.area[t] * (1 + 1 / (determinant * determinant));
            // With u times s and v through s, the energy is s² · stretch + shrink / s².
            stretch += weight * (map[0] * map[0] + map[1] * map[1]);
            shrink += weight * (map[2] * map[2] + map[3] * map[3]);
        }
        double s = Math.sqrt(Math.sqrt(shrink / stretch));
        for (int v = 0; v < net.vertexCount; v++) {
            inoutUv[2 * v] *= s;
            inoutUv[2 * v + 1] /= s;
        }
        return inoutUv;
    }
}
