package org.estampage.lowpoly;

import org.estampage.mesh.Axis;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.Mesh;

/**
 * The straight line that a mesh is turned around, and the mesh's extent along it.
 *
 * @param axis    the line's direction
 * @param centreA where the line crosses the plane, along {@link #first}
 * @param centreB where the line crosses the plane, along {@link #second}
 * @param low     the mesh's low end along the axis
 * @param high    the mesh's high end along the axis
 * @space object; first, second and the axis are right-handed in this order
 */
record Turning(Axis axis, double centreA, double centreB, float low, float high) {
    /** Bands of height that are fitted on their own; a band that is off only moves the median a little. */
    private static final int BANDS = 64;

    /** The first axis of the plane: angles are measured from it. */
    static Axis first(Axis axis) {
        return switch (axis) {
            case X -> Axis.Y;
            case Y -> Axis.Z;
            case Z -> Axis.X;
        };
    }

    /** The second axis of the plane: angles are measured towards it. */
    static Axis second(Axis axis) {
        return first(first(axis));
    }

    double height() {
        return (double) high - low;
    }

    /**
     * Fits the line: in each of {@value #BANDS} bands of height a circle through the triangles' centres, weighted by their area as seen from the
     * side; then the weighted median of the circles' centres, for each direction on its own. So handles, spikes and damage that take up less than
     * half of the height do not move the line. Where nothing can be fitted, or the fit lies outside the bounds, the line goes
     * through the middle of the bounds.
     *
     * @source Kåsa, A Circle Fitting Procedure and Its Error Analysis, 1976 (from memory)
     */
    static Turning fit(Mesh mesh, Axis axis) {
        int a = first(axis).component();
        int b = second(axis).component();
        int c = axis.component();
        Bounds bounds = boundsOfTriangles(mesh);
        double midA = 0.5 * ((double) bounds.min(first(axis)) + bounds.max(first(axis)));
        double midB = 0.5 * ((double) bounds.min(second(axis)) + bounds.max(second(axis)));
        float low = bounds.min(axis);
        float high = bounds.max(axis);
        double height = (double) high - low;
        double halfA = 0.5 * ((double) bounds.max(first(axis)) - bounds.min(first(axis)));
        double halfB = 0.5 * ((double) bounds.max(second(axis)) - bounds.min(second(axis)));
        double unit = Math.max(halfA, halfB);
        if (!(height > 0) || !(unit > 0)) {
            return new Turning(axis, midA, midB, low, high);
        }
        // Weighted moments of each band, in units of the half width and from the middle, so that they are well conditioned at any scale.
        double[] moments = new double[BANDS * MOMENTS];
        float[] p = mesh.positions();
        int[] corners = mesh.positionIndices();
        for (int t = 0; t < corners.length; t += 3) {
            int i = 3 * corners[t];
            int j = 3 * corners[t + 1];
            int k = 3 * corners[t + 2];
            double abA = (double) p[j + a] - p[i + a], abB = (double) p[j + b] - p[i + b], abC = (double) p[j + c] - p[i + c];
            double acA = (double) p[k + a] - p[i + a], acB = (double) p[k + b] - p[i + b], acC = (double) p[k + c] - p[i + c];
            double normalA = abB * acC - abC * acB;
            double normalB = abC * acA - abA * acC;
            double weight = Math.sqrt(normalA * normalA + normalB * normalB) / (unit * height);
            double x = (((double) p[i + a] + p[j + a] + p[k + a]) / 3 - midA) / unit;
            double y = (((double) p[i + b] + p[j + b] + p[k + b]) / 3 - midB) / unit;
            double t3 = (((double) p[i + c] + p[j + c] + p[k + c]) / 3 - low) / height;
            int band = Math.max(0, Math.min(BANDS - 1, (int) (t3 * BANDS)));
            addMoments(moments, band * MOMENTS, x, y, weight);
        }
        double[] fitA = new double[BANDS];
        double[] fitB = new double[BANDS];
        double[] weights = new double[BANDS];
        int count = 0;
        double[] centre = new double[2];
        for (int band = 0; band < BANDS; band++) {
            if (circleCentre(moments, band * MOMENTS, centre)) {
                fitA[count] = centre[0];
                fitB[count] = centre[1];
                weights[count++] = moments[band * MOMENTS];
            }
        }
        double offA = weightedMedian(fitA, weights, count);
        double offB = weightedMedian(fitB, weights, count);
        if (Math.abs(offA) > halfA / unit || Math.abs(offB) > halfB / unit) {
            offA = 0;
            offB = 0;
        }
        return new Turning(axis, midA + offA * unit, midB + offB * unit, low, high);
    }

    private static Bounds boundsOfTriangles(Mesh mesh) {
        float[] p = mesh.positions();
        float x0 = Float.POSITIVE_INFINITY, y0 = x0, z0 = x0, x1 = -x0, y1 = -x0, z1 = -x0;
        for (int corner : mesh.positionIndices()) {
            x0 = Math.min(x0, p[3 * corner]);
            y0 = Math.min(y0, p[3 * corner + 1]);
            z0 = Math.min(z0, p[3 * corner + 2]);
            x1 = Math.max(x1, p[3 * corner]);
            y1 = Math.max(y1, p[3 * corner + 1]);
            z1 = Math.max(z1, p[3 * corner + 2]);
        }
        return new Bounds(x0, y0, z0, x1, y1, z1);
    }

    /** w, wx, wy, wxx, wxy, wyy, wxq, wyq, wq with q = x² + y². */
    private static final int MOMENTS = 9;

    private static void addMoments(double[] m, int at, double x, double y, double w) {
        double q = x * x + y * y;
        m[at] += w;
        m[at + 1] += w * x;
        m[at + 2] += w * y;
        m[at + 3] += w * x * x;
        m[at + 4] += w * x * y;
        m[at + 5] += w * y * y;
        m[at + 6] += w * x * q;
        m[at + 7] += w * y * q;
        m[at + 8] += w * q;
    }

    /** Solves for the centre of the circle x² + y² = 2·centre·(x, y) + const that fits best; false where the points lie on a line or are none. */
    private static boolean circleCentre(double[] m, int at, double[] centre) {
        double w = m[at];
        if (!(w > 0)) {
            return false;
        }
        double meanX = m[at + 1] / w, meanY = m[at + 2] / w, meanQ = m[at + 8] / w;
        double xx = m[at + 3] / w - meanX * meanX;
        double xy = m[at + 4] / w - meanX * meanY;
        double yy = m[at + 5] / w - meanY * meanY;
        double xq = m[at + 6] / w - meanX * meanQ;
        double yq = m[at + 7] / w - meanY * meanQ;
        double determinant = xx * yy - xy * xy;
        // A band that shows only a sliver of its circle says little: its points lie on a line to one part in 10⁴.
        if (!(determinant > 1e-4 * (xx + yy) * (xx + yy))) {
            return false;
        }
        centre[0] = 0.5 * (xq * yy - yq * xy) / determinant;
        centre[1] = 0.5 * (yq * xx - xq * xy) / determinant;
        return true;
    }

    /** Returns the mean of the two values around half of the weight, which are usually one; 0 of nothing. */
    private static double weightedMedian(double[] values, double[] weights, int count) {
        double total = 0;
        for (int i = 0; i < count; i++) {
            total += weights[i];
        }
        double lower = Double.NEGATIVE_INFINITY;
        double upper = Double.POSITIVE_INFINITY;
        for (int i = 0; i < count; i++) {
            double below = 0;
            double above = 0;
            for (int k = 0; k < count; k++) {
                below += values[k] <= values[i] ? weights[k] : 0;
                above += values[k] >= values[i] ? weights[k] : 0;
            }
            // The highest value with at least half of the weight from it on up, and the lowest with half from it on down.
            if (2 * above >= total) {
                lower = Math.max(lower, values[i]);
            }
            if (2 * below >= total) {
                upper = Math.min(upper, values[i]);
            }
        }
        return count == 0 ? 0 : 0.5 * (lower + upper);
    }
}
