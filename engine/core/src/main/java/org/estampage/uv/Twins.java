package org.estampage.uv;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * Finds regions of a surface that are moved or mirrored copies of one another, triangle by triangle.
 *
 * @threads confined
 * @cost for each region and each earlier shape of as many triangles: a walk from each triangle that could be the first
 */
final class Twins {
    /** Coordinates may differ by this part of a region's size: modelled copies carry rounding of a coordinate far from the origin. */
    private static final double SAME = 1e-4;

    private final Seams seams;
    private final Surface surface;
    private final boolean mirrored;
    /** The corner of the original for each corner; itself where it is none's copy. */
    private final int[] original;
    private int copies;

    Twins(Seams seams, boolean mirrored) {
        this.seams = seams;
        this.surface = seams.surface;
        this.mirrored = mirrored;
        original = new int[surface.corner.length];
        for (int c = 0; c < original.length; c++) {
            original[c] = c;
        }
    }

    /** Returns how many regions are copies. */
    int copies() {
        return copies;
    }

    /** Returns the corner that each corner copies, itself where it copies none. */
    int[] originals() {
        return original;
    }

    /** Returns the regions that are no copies. */
    List<int[]> find(int[][] regions) {
        List<Shape> shapes = new ArrayList<>();
        List<int[]> kept = new ArrayList<>();
        for (int[] region : regions) {
            Shape shape = new Shape(region);
            boolean copy = false;
            for (int s = 0; s < shapes.size() && !copy; s++) {
                copy = copies(shapes.get(s), shape);
            }
            if (copy) {
                copies++;
            } else {
                shapes.add(shape);
                kept.add(region);
            }
        }
        return kept;
    }

    private final class Shape {
        final int[] triangles;
        final double area;
        final double size;
        /** The largest triangle. */
        final int first;

        Shape(int[] triangles) {
            this.triangles = triangles;
            double sum = 0;
            int largest = triangles[0];
            double[] low = {Double.POSITIVE_INFINITY, Double.POSITIVE_INFINITY, Double.POSITIVE_INFINITY};
            double[] high = {Double.NEGATIVE_INFINITY, Double.NEGATIVE_INFINITY, Double.NEGATIVE_INFINITY};
            for (int t : triangles) {
                sum += surface.area[t];
                largest = surface.area[t] > surface.area[largest] ? t : largest;
                for (int k = 0; k < 9; k++) {
                    double x = surface.xyz[3 * surface.corner[3 * t + k / 3] + k % 3];
                    low[k % 3] = Math.min(low[k % 3], x);
                    high[k % 3] = Math.max(high[k % 3], x);
                }
            }
            area = sum;
            first = largest;
            double x = high[0] - low[0];
            double y = high[1] - low[1];
            double z = high[2] - low[2];
            size = Math.sqrt(x * x + y * y + z * z);
        }
    }

    private boolean copies(Shape a, Shape b) {
        if (a.triangles.length != b.triangles.length || !(a.area > 0) || Math.abs(a.area - b.area) > 4 * SAME * a.area) {
            return false;
        }
        for (int flip = 0; flip < (mirrored ? 2 : 1); flip++) {
            for (int t : b.triangles) {
                for (int turn = 0; turn < 3; turn++) {
                    if (sameSides(a, t, turn, flip == 1) && walk(a, b, t, turn, flip == 1)) {
                        return true;
                    }
                }
            }
        }
        return false;
    }

    /** The corner of t that corner k corresponds to. */
    private static int match(int t, int k, int turn, boolean flip) {
        return 3 * t + (flip ? turn - k + 3 : turn + k) % 3;
    }

    private boolean sameSides(Shape a, int t, int turn, boolean flip) {
        for (int k = 0; k < 3; k++) {
            double there = surface.distance(surface.corner[match(t, k, turn, flip)], surface.corner[match(t, (k + 1) % 3, turn, flip)]);
            if (Math.abs(surface.length(3 * a.first + k) - there) > SAME * a.size) {
                return false;
            }
        }
        return true;
    }

    private boolean walk(Shape a, Shape b, int firstThere, int firstTurn, boolean flip) {
        Frame here = new Frame(3 * a.first, 3 * a.first + 1, a.first, false);
        Frame there = new Frame(match(firstThere, 0, firstTurn, flip), match(firstThere, 1, firstTurn, flip), firstThere, flip);
        int n = a.triangles.length;
        int[] partner = new int[n];
        int[] turn = new int[n];
        int[] queue = new int[n];
        boolean[] taken = new boolean[n];
        Arrays.fill(partner, -1);
        int end = 0;
        int start = Arrays.binarySearch(a.triangles, a.first);
        partner[start] = firstThere;
        turn[start] = firstTurn;
        taken[Arrays.binarySearch(b.triangles, firstThere)] = true;
        queue[end++] = start;
        for (int at = 0; at < end; at++) {
            int i = queue[at];
            int t = a.triangles[i];
            for (int k = 0; k < 3; k++) {
                if (!here.near(there, 3 * t + k, match(partner[i], k, turn[i], flip), SAME * a.size)) {
                    return false;
                }
                int h = 3 * t + k;
                int g = flip ? match(partner[i], (k + 1) % 3, turn[i], true) : match(partner[i], k, turn[i], false);
                if (seams.open(h) != seams.open(g)) {
                    return false;
                }
                if (seams.open(h)) {
                    continue;
                }
                int o = surface.opposite[h];
                int p = surface.opposite[g];
                int j = Arrays.binarySearch(a.triangles, o / 3);
                int newTurn = flip ? (o % 3 + p % 3 + 1) % 3 : (p % 3 - o % 3 + 3) % 3;
                if (partner[j] < 0) {
                    int q = Arrays.binarySearch(b.triangles, p / 3);
                    if (taken[q]) {
                        return false;
                    }
                    taken[q] = true;
                    partner[j] = p / 3;
                    turn[j] = newTurn;
                    queue[end++] = j;
                } else if (partner[j] != p / 3 || turn[j] != newTurn) {
                    return false;
                }
            }
        }
        for (int i = 0; i < n; i++) {
            for (int k = 0; k < 3; k++) {
                original[match(partner[i], k, turn[i], flip)] = 3 * a.triangles[i] + k;
            }
        }
        return true;
    }

    /** Axes that hang on a triangle: along an edge, and its normal; left-handed for mirrored copies. */
    private final class Frame {
        private final double[] axis = new double[9];
        private final int origin;

        Frame(int corner, int nextCorner, int triangle, boolean flip) {
            origin = surface.corner[corner];
            int to = surface.corner[nextCorner];
            double length = surface.distance(origin, to);
            for (int k = 0; k < 3; k++) {
                axis[k] = (surface.xyz[3 * to + k] - surface.xyz[3 * origin + k]) / length;
                axis[6 + k] = surface.normal[3 * triangle + k];
            }
            double sign = flip ? -1 : 1;
            for (int k = 0; k < 3; k++) {
                int k1 = (k + 1) % 3;
                int k2 = (k + 2) % 3;
                axis[3 + k] = sign * (axis[6 + k1] * axis[k2] - axis[6 + k2] * axis[k1]);
            }
        }

        boolean near(Frame other, int corner, int otherCorner, double tolerance) {
            for (int row = 0; row < 3; row++) {
                if (!(Math.abs(along(row, corner) - other.along(row, otherCorner)) <= tolerance)) {
                    return false;
                }
            }
            return true;
        }

        private double along(int row, int corner) {
            int v = surface.corner[corner];
            double sum = 0;
            for (int k = 0; k < 3; k++) {
                sum += axis[3 * row + k] * (surface.xyz[3 * v + k] - surface.xyz[3 * origin + k]);
            }
            return sum;
        }
    }
}
