package org.estampage.uv;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * How much triangles in the plane lie on each other.
 *
 * <p>Two triangles overlap when no line along an edge of either parts them, rounding of UVs allowed for: an overlap shallower than {@value #ROUNDINGS}
 * roundings of the floats is none. What of a triangle is left when others are taken off it is kept as convex pieces: areas are right but for rounding.
 *
 * @space the plane of {@link UvCharts#uv}
 * @threads safe for concurrent calls
 */
final class FlatOverlaps {
    /** As for a chart that overlaps itself, see {@link KeptChart#folded}. */
    static final double ROUNDINGS = 4;
    /** A piece below this part of its triangle is dropped: sums of areas keep 12 digits. */
    private static final double NOTHING = 0x1p-40;

    private final UvCharts source;
    private final double depth;

    FlatOverlaps(UvCharts source, double rounding) {
        this.source = source;
        depth = ROUNDINGS * rounding;
    }

    /** Returns a triangle's corners, to the left around; xy each. */
    double[] corners(int t) {
        double[] xy = new double[6];
        for (int k = 0; k < 3; k++) {
            xy[2 * k] = source.uv[2 * source.point[3 * t + k]];
            xy[2 * k + 1] = source.uv[2 * source.point[3 * t + k] + 1];
        }
        if (area(xy) < 0) {
            return new double[] {xy[0], xy[1], xy[4], xy[5], xy[2], xy[3]};
        }
        return xy;
    }

    /** Returns the signed area of a polygon. */
    static double area(double[] xy) {
        double sum = 0;
        for (int i = 2; i + 3 < xy.length; i += 2) {
            sum += (xy[i] - xy[0]) * (xy[i + 3] - xy[1]) - (xy[i + 1] - xy[1]) * (xy[i + 2] - xy[0]);
        }
        return sum / 2;
    }

    /** Returns whether two triangles lie in each other, deeper than rounding explains. */
    boolean overlap(double[] s, double[] t) {
        return !parted(s, t) && !parted(t, s);
    }

    private boolean parted(double[] s, double[] t) {
        for (int k = 0; k < 6; k += 2) {
            int next = (k + 2) % 6;
            double x = s[next] - s[k];
            double y = s[next + 1] - s[k + 1];
            double most = Double.NEGATIVE_INFINITY;
            for (int i = 0; i < 6; i += 2) {
                most = Math.max(most, x * (t[i + 1] - s[k + 1]) - y * (t[i] - s[k]));
            }
            if (most <= depth * Math.sqrt(x * x + y * y)) {
                return true;
            }
        }
        return false;
    }

    /** Takes a triangle off pieces of another one. */
    static List<double[]> without(List<double[]> pieces, double[] s, double area) {
        List<double[]> left = new ArrayList<>();
        for (double[] piece : pieces) {
            List<double[]> parts = new ArrayList<>();
            double[] rest = piece;
            for (int k = 0; k < 6 && rest.length > 0; k += 2) {
                int next = (k + 2) % 6;
                double[] beyond = cut(rest, s[next], s[next + 1], s[k], s[k + 1]);
                rest = cut(rest, s[k], s[k + 1], s[next], s[next + 1]);
                if (area(beyond) > NOTHING * area) {
                    parts.add(beyond);
                }
            }
            if (area(rest) > NOTHING * area) {
                left.addAll(parts);
            } else {
                left.add(piece); // they don't meet; in one piece there are fewer
            }
        }
        return left;
    }

    /** Returns what of pieces lies in a box. */
    static List<double[]> within(List<double[]> pieces, double left, double bottom, double right, double top) {
        List<double[]> inside = new ArrayList<>();
        for (double[] piece : pieces) {
            double[] rest = cut(piece, left, bottom, right, bottom);
            rest = cut(rest, right, bottom, right, top);
            rest = cut(rest, right, top, left, top);
            inside.add(cut(rest, left, top, left, bottom));
        }
        return inside;
    }

    /** Returns what of a convex polygon lies to the left of a line. */
    private static double[] cut(double[] xy, double ax, double ay, double bx, double by) {
        double[] out = new double[xy.length + 2];
        int n = 0;
        for (int i = 0; i < xy.length; i += 2) {
            int j = i + 2 == xy.length ? 0 : i + 2;
            double here = (bx - ax) * (xy[i + 1] - ay) - (by - ay) * (xy[i] - ax);
            double there = (bx - ax) * (xy[j + 1] - ay) - (by - ay) * (xy[j] - ax);
            if (here >= 0) {
                out = n + 4 > out.length ? Arrays.copyOf(out, n + 8) : out;
                out[n++] = xy[i];
                out[n++] = xy[i + 1];
            }
            if ((here > 0 && there < 0) || (here < 0 && there > 0)) {
                double part = here / (here - there);
                out = n + 4 > out.length ? Arrays.copyOf(out, n + 8) : out;
                out[n++] = xy[i] + part * (xy[j] - xy[i]);
                out[n++] = xy[i + 1] + part * (xy[j + 1] - xy[i + 1]);
            }
        }
        return n < 6 ? new double[0] : Arrays.copyOf(out, n);
    }
}
