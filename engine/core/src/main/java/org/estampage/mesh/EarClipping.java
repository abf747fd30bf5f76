package org.estampage.mesh;

import java.math.BigDecimal;
import java.util.Arrays;
import java.util.Objects;
import org.estampage.task.Task;

/**
 * Cuts one polygon after another into triangles. An object keeps its scratch arrays from polygon to polygon.
 *
 * <p>The polygon is seen along its normal (Newell's sum over the edges), on the coordinate plane where it is largest, so corners that lie nearly in
 * a plane are enough. Which side of a line a corner lies on is decided exactly. A polygon that its first corner sees whole (every convex one) becomes
 * a fan about it; a quad takes the diagonal between its corners 0 and 2 unless that lies outside; all others lose one ear after another. Holes that
 * are joined to the outline by a double edge are understood.
 *
 * @edge degenerate and self-crossing polygons, and those with corners that are not finite, still become count − 2 triangles that use every corner;
 *       of those some have no area or overlap
 * @threads confined to one thread at a time
 * @cost linear for fans; otherwise corners × the reflex corners near an ear
 * @source Meisters, "Polygons Have Ears", American Mathematical Monthly 82, 1975; the filter in front of the exact sign: Shewchuk, "Adaptive
 *         Precision Floating-Point Arithmetic and Fast Robust Geometric Predicates", 1997, section 4.2 (both from memory)
 */
public final class EarClipping {
    /** With u = 2⁻⁵³, |computed − true| ≤ (3 + 16u)u · (|left| + |right|): Shewchuk's bound A for the sign of a 2 × 2 determinant. */
    private static final double FILTER = (3 + 16 * 0x1p-53) * 0x1p-53;
    private static final double SPLITTER = 0x1p27 + 1;
    /** Below this, looking at every reflex corner is faster than finding the near ones. */
    private static final int GRID_FROM = 48;
    /** Corners that are looked at between two looks at the task: each look takes up to all reflex corners. */
    private static final int CHECK_EVERY = 256;

    private final Task task;
    private int looks;
    private double[] x = new double[0];
    private double[] y = new double[0];
    private int[] next = new int[0];
    private int[] previous = new int[0];
    private boolean[] gone = new boolean[0];
    private int[] blockers = new int[0];
    private int blockerCount;
    private int gridSide;
    private int[] cellStarts = new int[0];
    private int[] cellBlockers = new int[0];
    private double gridX;
    private double gridY;
    private double cellsPerX;
    private double cellsPerY;

    /** Makes one with no scratch space yet. */
    public EarClipping() {
        this(Task.silent());
    }

    /**
     * Makes one with no scratch space yet.
     *
     * @param task to be asked whether to go on, also within a polygon: one that crosses itself at a hundred thousand corners takes minutes
     */
    public EarClipping(Task task) {
        this.task = Objects.requireNonNull(task, "task");
    }

    /**
     * Cuts a polygon.
     *
     * @shape dest: count − 2 triangles, three corner numbers 0 … count − 1 of the polygon each, in its winding
     * @param positions  xyz interleaved
     * @param vertices   vertex numbers; those of the polygon begin at {@code offset}
     * @param count      the number of corners
     * @param dest       takes 3 · (count − 2) numbers from {@code destOffset} on
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     * @throws IllegalArgumentException  if {@code count} is below 3
     * @throws IndexOutOfBoundsException if an array is too short or a vertex number out of range
     */
    public void triangulate(float[] positions, int[] vertices, int offset, int count, int[] dest, int destOffset) {
        if (count < 3) {
            throw new IllegalArgumentException("count = " + count + " must be at least 3");
        }
        if (count == 3) {
            put(dest, destOffset, 0, 1, 2);
        } else if (!project(positions, vertices, offset, count)) {
            fan(count, dest, destOffset);
        } else if (count == 4) {
            quad(dest, destOffset);
        } else if (firstCornerSeesAll(count)) {
            fan(count, dest, destOffset);
        } else {
            clip(count, dest, destOffset);
        }
    }

    private static void put(int[] dest, int at, int a, int b, int c) {
        dest[at] = a;
        dest[at + 1] = b;
        dest[at + 2] = c;
    }

    private static void fan(int count, int[] dest, int destOffset) {
        for (int i = 1; i + 1 < count; i++) {
            put(dest, destOffset + 3 * (i - 1), 0, i, i + 1);
        }
    }

    /** Fills x and y so that the polygon winds counter-clockwise; false when it has no area to be seen. */
    private boolean project(float[] positions, int[] vertices, int offset, int count) {
        if (x.length < count) {
            int length = Math.max(count, 2 * x.length);
            x = new double[length];
            y = new double[length];
        }
        // Newell's sum, about the first corner so that a polygon far from the origin loses no digits.
        int first = 3 * vertices[offset];
        double ox = positions[first], oy = positions[first + 1], oz = positions[first + 2];
        int last = 3 * vertices[offset + count - 1];
        double ax = positions[last] - ox, ay = positions[last + 1] - oy, az = positions[last + 2] - oz;
        double nx = 0, ny = 0, nz = 0;
        for (int i = 0; i < count; i++) {
            int v = 3 * vertices[offset + i];
            double bx = positions[v] - ox, by = positions[v + 1] - oy, bz = positions[v + 2] - oz;
            nx += ay * bz - az * by;
            ny += az * bx - ax * bz;
            nz += ax * by - ay * bx;
            ax = bx;
            ay = by;
            az = bz;
        }
        double largest = Math.max(Math.abs(nx), Math.max(Math.abs(ny), Math.abs(nz)));
        if (!(largest > 0) || largest == Double.POSITIVE_INFINITY) {
            return false;
        }
        int axis = Math.abs(nz) == largest ? 2 : Math.abs(ny) == largest ? 1 : 0;
        double along = axis == 2 ? nz : axis == 1 ? ny : nx;
        int u = (axis + 1) % 3, v = (axis + 2) % 3;
        if (along < 0) {
            int swap = u;
            u = v;
            v = swap;
        }
        for (int i = 0; i < count; i++) {
            int p = 3 * vertices[offset + i];
            x[i] = positions[p + u];
            y[i] = positions[p + v];
        }
        return true;
    }

    private void quad(int[] dest, int at) {
        double worst02 = Math.min(side(0, 1, 2), side(0, 2, 3));
        // 0–2 unless it lies outside and 1–3 does not: what a fan would give, so that most quads are cut as most programs cut them.
        if (worst02 > 0 || worst02 >= Math.min(side(1, 2, 3), side(1, 3, 0))) {
            put(dest, at, 0, 1, 2);
            put(dest, at + 3, 0, 2, 3);
        } else {
            put(dest, at, 1, 2, 3);
            put(dest, at + 3, 1, 3, 0);
        }
    }

    private boolean firstCornerSeesAll(int count) {
        for (int i = 1; i + 1 < count; i++) {
            if (!(side(0, i, i + 1) > 0)) {
                return false;
            }
        }
        return true;
    }

    private void clip(int count, int[] dest, int destOffset) {
        ring(count);
        int at = destOffset;
        int left = count;
        int corner = 0;
        int refused = 0;
        while (left > 3) {
            if (++looks % CHECK_EVERY == 0) {
                task.check();
            }
            if (isEar(corner)) {
                put(dest, at, previous[corner], corner, next[corner]);
            } else if (++refused < left) {
                corner = next[corner];
                continue;
            } else { // not a simple polygon: take what harms least, so that it ends
                corner = leastHarm(corner, left);
                put(dest, at, previous[corner], corner, next[corner]);
            }
            at += 3;
            int after = next[corner];
            gone[corner] = true;
            next[previous[corner]] = after;
            previous[after] = previous[corner];
            left--;
            refused = 0;
            // One further on: going round in steps of two keeps the triangles from becoming slivers about one corner.
            corner = next[after];
        }
        put(dest, at, previous[corner], corner, next[corner]);
    }

    private void ring(int count) {
        if (next.length < count) {
            int length = x.length;
            next = new int[length];
            previous = new int[length];
            gone = new boolean[length];
            blockers = new int[length];
        }
        blockerCount = 0;
        for (int i = 0; i < count; i++) {
            next[i] = i + 1 == count ? 0 : i + 1;
            previous[i] = i == 0 ? count - 1 : i - 1;
            gone[i] = false;
        }
        for (int i = 0; i < count; i++) {
            // Cutting ears only narrows the angles of the corners that stay, so no other corner becomes reflex later.
            if (!(side(previous[i], i, next[i]) > 0)) {
                blockers[blockerCount++] = i;
            }
        }
        gridSide = 0;
        if (blockerCount >= GRID_FROM) {
            grid();
        }
    }

    /** Sorts the blockers into cells, about one to a cell. */
    private void grid() {
        double x0 = Double.POSITIVE_INFINITY, y0 = x0, x1 = -x0, y1 = -x0;
        for (int k = 0; k < blockerCount; k++) {
            int i = blockers[k];
            x0 = Math.min(x0, x[i]);
            x1 = Math.max(x1, x[i]);
            y0 = Math.min(y0, y[i]);
            y1 = Math.max(y1, y[i]);
        }
        gridSide = (int) Math.sqrt(blockerCount);
        gridX = x0;
        gridY = y0;
        cellsPerX = x1 > x0 ? gridSide / (x1 - x0) : 0;
        cellsPerY = y1 > y0 ? gridSide / (y1 - y0) : 0;
        int cells = gridSide * gridSide;
        if (cellStarts.length < cells + 1) {
            cellStarts = new int[cells + 1];
        }
        if (cellBlockers.length < blockerCount) {
            cellBlockers = new int[blockers.length];
        }
        Arrays.fill(cellStarts, 0, cells + 1, 0);
        for (int k = 0; k < blockerCount; k++) {
            cellStarts[cell(blockers[k])]++;
        }
        for (int c = 1; c <= cells; c++) {
            cellStarts[c] += cellStarts[c - 1];
        }
        for (int k = blockerCount - 1; k >= 0; k--) { // from the ends, so that the counts become starts
            cellBlockers[--cellStarts[cell(blockers[k])]] = blockers[k];
        }
    }

    private int cell(int i) {
        return row(y[i]) * gridSide + column(x[i]);
    }

    private int column(double at) {
        return Math.clamp((long) ((at - gridX) * cellsPerX), 0, gridSide - 1);
    }

    private int row(double at) {
        return Math.clamp((long) ((at - gridY) * cellsPerY), 0, gridSide - 1);
    }

    private boolean isEar(int b) {
        int a = previous[b];
        int c = next[b];
        if (!(side(a, b, c) > 0)) {
            return false;
        }
        double x0 = Math.min(x[a], Math.min(x[b], x[c])), x1 = Math.max(x[a], Math.max(x[b], x[c]));
        double y0 = Math.min(y[a], Math.min(y[b], y[c])), y1 = Math.max(y[a], Math.max(y[b], y[c]));
        if (gridSide == 0) {
            return !anyInside(blockers, 0, blockerCount, a, b, c, x0, x1, y0, y1);
        }
        int firstColumn = column(x0), lastColumn = column(x1);
        for (int r = row(y0), lastRow = row(y1); r <= lastRow; r++) {
            int from = cellStarts[r * gridSide + firstColumn];
            int to = cellStarts[r * gridSide + lastColumn + 1];
            if (anyInside(cellBlockers, from, to, a, b, c, x0, x1, y0, y1)) {
                return false;
            }
        }
        return true;
    }

    private boolean anyInside(int[] list, int from, int to, int a, int b, int c, double x0, double x1, double y0, double y1) {
        for (int k = from; k < to; k++) {
            int q = list[k];
            double qx = x[q], qy = y[q];
            // The edge of the ear counts as inside: a corner on the cut would be left with no area around it.
            if (!gone[q] && qx >= x0 && qx <= x1 && qy >= y0 && qy <= y1 && q != a && q != b && q != c && !same(q, a) && !same(q, b)
                    && !same(q, c) && side(a, b, q) >= 0 && side(b, c, q) >= 0 && side(c, a, q) >= 0) {
                return true;
            }
        }
        return false;
    }

    private boolean same(int i, int j) {
        return x[i] == x[j] && y[i] == y[j];
    }

    /** A corner without area goes first, then a convex one, then any. */
    private int leastHarm(int start, int left) {
        int best = start;
        int bestRank = -1;
        int corner = start;
        for (int i = 0; i < left; i++) {
            double side = side(previous[corner], corner, next[corner]);
            int rank = side == 0 ? 2 : side > 0 ? 1 : 0;
            if (rank > bestRank) {
                best = corner;
                bestRank = rank;
            }
            corner = next[corner];
        }
        return best;
    }

    /** Twice the signed area of a triangle; its sign is exact, positive when counter-clockwise. */
    private double side(int a, int b, int c) {
        double left = (x[b] - x[a]) * (y[c] - y[a]);
        double right = (y[b] - y[a]) * (x[c] - x[a]);
        double area = left - right;
        double bound = FILTER * (Math.abs(left) + Math.abs(right));
        // A bound of 0 means zero factors here: float coordinates are multiples of 2⁻¹⁴⁹, so no product of two differences underflows.
        return area > bound || -area > bound || bound == 0 ? area : exactSide(a, b, c);
    }

    private double exactSide(int a, int b, int c) {
        double ux = x[b] - x[a], uy = y[b] - y[a], vx = x[c] - x[a], vy = y[c] - y[a];
        if (exact(x[b], x[a], ux) && exact(y[b], y[a], uy) && exact(x[c], x[a], vx) && exact(y[c], y[a], vy)) {
            double left = ux * vy, right = uy * vx;
            return left != right ? left - right : rounding(ux, vy, left) - rounding(uy, vx, right);
        }
        if (!Double.isFinite(ux + uy + vx + vy)) {
            return Double.NaN;
        }
        BigDecimal left = big(b, a, x).multiply(big(c, a, y));
        BigDecimal right = big(b, a, y).multiply(big(c, a, x));
        return left.compareTo(right);
    }

    private static BigDecimal big(int b, int a, double[] axis) {
        return new BigDecimal(axis[b]).subtract(new BigDecimal(axis[a]));
    }

    /** Whether p − q lost nothing (Knuth's two-sum). */
    private static boolean exact(double p, double q, double difference) {
        double back = p - difference;
        return (p - (difference + back)) + (back - q) == 0;
    }

    /** What was rounded away in p · q (Dekker's product; not a fused multiply, which some machines must emulate slowly). */
    private static double rounding(double p, double q, double product) {
        double s = SPLITTER * p, pHigh = s - (s - p), pLow = p - pHigh;
        s = SPLITTER * q;
        double qHigh = s - (s - q), qLow = q - qHigh;
        return pLow * qLow - (((product - pHigh * qHigh) - pLow * qHigh) - pHigh * qLow);
    }
}
