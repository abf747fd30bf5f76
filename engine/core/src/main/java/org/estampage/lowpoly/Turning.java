package org.estampage.lowpoly;

import org.estampage.mesh.Mesh;

/**
 * The straight line that a mesh is turned around, and the mesh's extent along it.
 *
 * @param frame   the line's direction, and those that angles about it are measured in
 * @param centreA where the line is along the frame's first direction
 * @param centreB where the line is along the frame's second direction
 * @param low     the mesh's low end along the axis
 * @param high    the mesh's high end along the axis
 * @space object; low, high and the centre are coordinates in the frame, counted from the origin
 */
record Turning(AxisFrame frame, double centreA, double centreB, double low, double high) {
    /** Bands of height that are fitted on their own; a band that is off only moves the median a little. */
    private static final int BANDS = 64;

    double height() {
        return high - low;
    }

    /**
     * Fits the line: in each of {@value #BANDS} bands of height a circle through the triangles' centres, weighted by their area as seen from the
     * side; then the weighted median of the circles' centres, for each direction on its own. So handles, spikes and damage that take up less than
     * half of the height do not move the line. Where nothing can be fitted, or the fit lies outside the bounds, the line goes
     * through the middle of the bounds.
     *
     * @source Kåsa, A Circle Fitting Procedure and Its Error Analysis, 1976 (from memory)
     */
    static Turning fit(Mesh mesh, AxisFrame frame) {
        Extent extent = Extent.of(mesh, frame);
        double midA = 0.5 * (extent.a0 + extent.a1);
        double midB = 0.5 * (extent.b0 + extent.b1);
        double low = extent.c0;
        double height = extent.c1 - low;
        double halfA = 0.5 * (extent.a1 - extent.a0);
        double halfB = 0.5 * (extent.b1 - extent.b0);
        double unit = Math.max(halfA, halfB);
        if (!(height > 0) || !(unit > 0)) {
            return new Turning(frame, midA, midB, low, extent.c1);
        }
        // Weighted moments of each band, in units of the half width and from the middle, so that they are well conditioned at any scale.
        double[] moments = new double[BANDS * MOMENTS];
        float[] p = mesh.positions();
        int[] corners = mesh.positionIndices();
        double[] a = new double[3];
        double[] b = new double[3];
        double[] c = new double[3];
        for (int t = 0; t < corners.length; t += 3) {
            for (int k = 0; k < 3; k++) {
                int i = 3 * corners[t + k];
                a[k] = frame.a(p[i], p[i + 1], p[i + 2]);
                b[k] = frame.b(p[i], p[i + 1], p[i + 2]);
                c[k] = frame.c(p[i], p[i + 1], p[i + 2]);
            }
            double abA = a[1] - a[0], abB = b[1] - b[0], abC = c[1] - c[0];
            double acA = a[2] - a[0], acB = b[2] - b[0], acC = c[2] - c[0];
            double normalA = abB * acC - abC * acB;
            double normalB = abC * acA - abA * acC;
            double weight = Math.sqrt(normalA * normalA + normalB * normalB) / (unit * height);
            double x = ((a[0] + a[1] + a[2]) / 3 - midA) / unit;
            double y = ((b[0] + b[1] + b[2]) / 3 - midB) / unit;
            double t3 = ((c[0] + c[1] + c[2]) / 3 - low) / height;
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
        return new Turning(frame, midA + offA * unit, midB + offB * unit, low, extent.c1);
    }

    /** Returns the line through a given place, with the mesh's extent along it. */
    static Turning through(Mesh mesh, AxisFrame frame, double x, double y, double z) {
        Extent extent = Extent.of(mesh, frame);
        return new Turning(frame, frame.a(x, y, z), frame.b(x, y, z), extent.c0, extent.c1);
    }

    /** The bounds of the triangles along the frame's directions. */
    private record Extent(double a0, double a1, double b0, double b1, double c0, double c1) {
        static Extent of(Mesh mesh, AxisFrame frame) {
            float[] p = mesh.positions();
            double a0 = Double.POSITIVE_INFINITY, b0 = a0, c0 = a0, a1 = -a0, b1 = -a0, c1 = -a0;
            for (int corner : mesh.positionIndices()) {
                double x = p[3 * corner], y = p[3 * corner + 1], z = p[3 * corner + 2];
                double a = frame.a(x, y, z), b = frame.b(x, y, z), c = frame.c(x, y, z);
                a0 = Math.min(a0, a);
                b0 = Math.min(b0, b);
                c0 = Math.min(c0, c);
                a1 = Math.max(a1, a);
                b1 = Math.max(b1, b);
                c1 = Math.max(c1, c);
            }
            return new Extent(a0, a1, b0, b1, c0, c1);
        }
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
