package org.estampage.lowpoly;

import java.util.Locale;
import org.estampage.mesh.Axis;

/**
 * Three directions at right angles, right-handed in this order: the one that angles are measured from, the one they are measured towards, and the axis.
 *
 * <p>About a coordinate axis they are coordinate axes, and all that is measured in them has the very digits of the coordinates.
 *
 * @param ax the first direction, x
 * @param ay its y
 * @param az its z
 * @param bx the second direction, x
 * @param by its y
 * @param bz its z
 * @param cx the axis, x
 * @param cy its y
 * @param cz its z
 * @space object
 * @threads immutable
 */
record AxisFrame(double ax, double ay, double az, double bx, double by, double bz, double cx, double cy, double cz) {

    /** Returns the frame of a coordinate axis: angles run from +Z to +X about Y, from +Y to +Z about X, from +X to +Y about Z. */
    static AxisFrame of(Axis axis) {
        return switch (axis) {
            case X -> new AxisFrame(0, 1, 0, 0, 0, 1, 1, 0, 0);
            case Y -> new AxisFrame(0, 0, 1, 1, 0, 0, 0, 1, 0);
            case Z -> new AxisFrame(1, 0, 0, 0, 1, 0, 0, 0, 1);
        };
    }

    /**
     * Returns the frame of any direction: that of the nearest coordinate axis, turned to it by the smallest turn. Against a coordinate axis angles run
     * from the same direction the other way round.
     *
     * @edge the direction need not have unit length; its length must be finite and above 0
     */
    static AxisFrame of(double x, double y, double z) {
        double length = Math.sqrt(x * x + y * y + z * z);
        double dx = x / length, dy = y / length, dz = z / length;
        Axis nearest = nearest(dx, dy, dz);
        AxisFrame f = of(nearest);
        double along = f.c(dx, dy, dz);
        double sign = along < 0 ? -1 : 1;
        if (Math.abs(along) == 1) {
            return sign > 0 ? f : new AxisFrame(f.ax, f.ay, f.az, -f.bx, -f.by, -f.bz, -f.cx, -f.cy, -f.cz);
        }
        // The smallest turn of the axis c0 to d moves v, at right angles to c0, to v − (v·d)/(1 + c0·d) · (c0 + d).
        double sx = sign * f.cx + dx, sy = sign * f.cy + dy, sz = sign * f.cz + dz;
        double s = f.a(dx, dy, dz) / (1 + sign * along);
        double ax = f.ax - s * sx, ay = f.ay - s * sy, az = f.az - s * sz;
        return new AxisFrame(ax, ay, az, dy * az - dz * ay, dz * ax - dx * az, dx * ay - dy * ax, dx, dy, dz);
    }

    /** Returns the coordinate axis that a direction runs along most; the earlier one of two. */
    static Axis nearest(double x, double y, double z) {
        double ax = Math.abs(x), ay = Math.abs(y), az = Math.abs(z);
        return ax >= ay && ax >= az ? Axis.X : ay >= az ? Axis.Y : Axis.Z;
    }

    /** Returns a place's coordinate along the first direction. */
    double a(double x, double y, double z) {
        return ax * x + ay * y + az * z;
    }

    /** Returns a place's coordinate along the second direction. */
    double b(double x, double y, double z) {
        return bx * x + by * y + bz * z;
    }

    /** Returns a place's coordinate along the axis. */
    double c(double x, double y, double z) {
        return cx * x + cy * y + cz * z;
    }

    /** Sets a place of given coordinates along the three directions. */
    void place(double a, double b, double c, float[] dest, int at) {
        dest[at] = (float) (ax * a + bx * b + cx * c);
        dest[at + 1] = (float) (ay * a + by * b + cy * c);
        dest[at + 2] = (float) (az * a + bz * b + cz * c);
    }

    /** Returns the axis' name, or its direction. */
    String axisName() {
        Axis nearest = nearest(cx, cy, cz);
        if (equals(of(nearest))) {
            return nearest.toString();
        }
        return String.format(Locale.ROOT, "(%.6g, %.6g, %.6g)", cx, cy, cz);
    }
}
