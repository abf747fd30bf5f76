package org.estampage.raster;

/**
 * One triangle in image space while it is being cut: x to the right, y up, both in half sample steps.
 *
 * @threads confined
 */
final class Triangle {
    /**
     * Beyond this size the rounding of an interpolated coordinate, 4 · 2⁻⁵³ of it, might reach a quarter of a half step; {@link #reach} then gives
     * the whole triangle.
     */
    private static final double INTERPOLATED = 0x1p49;

    // The corners in the mesh's order …
    private double x0, y0, x1, y1, x2, y2;
    // … and counter-clockwise.
    double ax, ay, bx, by, cx, cy;
    double minX, minY, maxX, maxY;
    /** Whether all coordinates are finite. */
    boolean finite;
    /** Twice the area, negative when mirrored, with its exact sign. */
    double turn;

    double reachMin;
    double reachMax;

    double nearestSquared;
    double nearestB1;
    double nearestB2;

    void set(double px0, double py0, double px1, double py1, double px2, double py2) {
        x0 = px0;
        y0 = py0;
        x1 = px1;
        y1 = py1;
        x2 = px2;
        y2 = py2;
        finite = Double.isFinite(px0) && Double.isFinite(py0) && Double.isFinite(px1) && Double.isFinite(py1) && Double.isFinite(px2)
                && Double.isFinite(py2);
        if (!finite) {
            turn = 0;
            return;
        }
        turn = Orientation.value(px0, py0, px1, py1, px2, py2);
        boolean mirrored = turn < 0;
        ax = px0;
        ay = py0;
        bx = mirrored ? px2 : px1;
        by = mirrored ? py2 : py1;
        cx = mirrored ? px1 : px2;
        cy = mirrored ? py1 : py2;
        minX = Math.min(px0, Math.min(px1, px2));
        minY = Math.min(py0, Math.min(py1, py2));
        maxX = Math.max(px0, Math.max(px1, px2));
        maxY = Math.max(py0, Math.max(py1, py2));
    }

    /** Returns the weight of corner 1 at a point inside; its error is below 1e−9 of itself. */
    double weight1(double sx, double sy) {
        return Math.max(0, Math.min(1, Orientation.value(x2, y2, x0, y0, sx, sy) / turn));
    }

    /** Returns the weight of corner 2 at a point inside; its error is below 1e−9 of itself. */
    double weight2(double sx, double sy) {
        return Math.max(0, Math.min(1, Orientation.value(x0, y0, x1, y1, sx, sy) / turn));
    }

    /** Returns whether the interiors of this triangle and of a rectangle meet; exact. */
    boolean touches(double left, double right, double low, double high) {
        // Two convex shapes stay apart exactly when a side of one of them has the other one beyond it.
        return maxX > left && minX < right && maxY > low && minY < high && reachesInside(ax, ay, bx, by, left, right, low, high)
                && reachesInside(bx, by, cx, cy, left, right, low, high) && reachesInside(cx, cy, ax, ay, left, right, low, high);
    }

    /** Returns whether the rectangle's corner that lies farthest to the left of the line from p to q is left of it. */
    private static boolean reachesInside(double px, double py, double qx, double qy, double left, double right, double low, double high) {
        return Orientation.sign(px, py, qx, qy, qy > py ? left : right, qx > px ? high : low) > 0;
    }

    /** Sets reachMin and reachMax to the columns between which this triangle lies where low ≤ y ≤ high; rounded. */
    void reach(double low, double high) {
        if (Math.max(Math.max(-minX, maxX), Math.max(-minY, maxY)) > INTERPOLATED) {
            reachMin = minX;
            reachMax = maxX;
            return;
        }
        reachMin = Double.POSITIVE_INFINITY;
        reachMax = Double.NEGATIVE_INFINITY;
        reachOfEdge(ax, ay, bx, by, low, high);
        reachOfEdge(bx, by, cx, cy, low, high);
        reachOfEdge(cx, cy, ax, ay, low, high);
    }

    private void reachOfEdge(double px, double py, double qx, double qy, double low, double high) {
        if (Math.max(py, qy) < low || Math.min(py, qy) > high) {
            return;
        }
        reachTo(py < low ? crossing(px, py, qx, qy, low) : py > high ? crossing(px, py, qx, qy, high) : px);
        reachTo(qy < low ? crossing(px, py, qx, qy, low) : qy > high ? crossing(px, py, qx, qy, high) : qx);
    }

    private static double crossing(double px, double py, double qx, double qy, double y) {
        return px + (y - py) / (qy - py) * (qx - px);
    }

    private void reachTo(double x) {
        reachMin = Math.min(reachMin, x);
        reachMax = Math.max(reachMax, x);
    }

    /**
     * Sets nearestSquared and the weights to the point of this triangle nearest to s. Two triangles that share the nearest edge or corner get the
     * same distance to the bit.
     */
    void nearest(double sx, double sy) {
        if (Orientation.sign(ax, ay, bx, by, sx, sy) >= 0 && Orientation.sign(bx, by, cx, cy, sx, sy) >= 0
                && Orientation.sign(cx, cy, ax, ay, sx, sy) >= 0) {
            nearestSquared = 0;
            nearestB1 = weight1(sx, sy);
            nearestB2 = weight2(sx, sy);
            return;
        }
        nearestSquared = Double.POSITIVE_INFINITY;
        double along = nearestOnEdge(x0, y0, x1, y1, sx, sy);
        if (along >= 0) {
            nearestB1 = along;
            nearestB2 = 0;
        }
        along = nearestOnEdge(x1, y1, x2, y2, sx, sy);
        if (along >= 0) {
            nearestB1 = 1 - along;
            nearestB2 = along;
        }
        along = nearestOnEdge(x2, y2, x0, y0, sx, sy);
        if (along >= 0) {
            nearestB1 = 0;
            nearestB2 = 1 - along;
        }
    }

    /** Returns how far from p to q, 0 … 1, the nearest point lies and lowers nearestSquared to it; −1 if that is not lower. */
    private double nearestOnEdge(double px, double py, double qx, double qy, double sx, double sy) {
        // The end points in one order for both triangles at an edge.
        boolean swap = qx < px || (qx == px && qy < py);
        double fromX = swap ? qx : px;
        double fromY = swap ? qy : py;
        double toX = swap ? px : qx;
        double toY = swap ? py : qy;
        double dx = toX - fromX;
        double dy = toY - fromY;
        double t = ((sx - fromX) * dx + (sy - fromY) * dy) / (dx * dx + dy * dy);
        double x;
        double y;
        if (t <= 0) {
            t = 0;
            x = fromX;
            y = fromY;
        } else if (t >= 1) {
            t = 1;
            x = toX;
            y = toY;
        } else {
            x = fromX + t * dx;
            y = fromY + t * dy;
        }
        double squared = (sx - x) * (sx - x) + (sy - y) * (sy - y);
        if (squared < nearestSquared) {
            nearestSquared = squared;
            return swap ? 1 - t : t;
        }
        return -1;
    }
}
