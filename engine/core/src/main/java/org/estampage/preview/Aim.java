package org.estampage.preview;

import org.estampage.mesh.Axis;

/**
 * From which side a picture is taken: three unit vectors, right, up and towards the viewer, of a right-handed frame.
 *
 * @param right  to the right in the picture
 * @param up     upwards in the picture
 * @param toward out of the picture
 * @threads immutable
 */
record Aim(Vector right, Vector up, Vector toward) {
    /**
     * Returns a side by two angles.
     *
     * @param vertical  the axis that points up where the thing stands
     * @param azimuth   degrees around it, counter-clockwise from above; 0 is the front: +z looks at the viewer, where z is up −y does
     * @param elevation degrees above the horizon
     */
    static Aim of(Axis vertical, double azimuth, double elevation) {
        double a = StrictMath.toRadians(azimuth), e = StrictMath.toRadians(elevation);
        double sa = StrictMath.sin(a), ca = StrictMath.cos(a), se = StrictMath.sin(e), ce = StrictMath.cos(e);
        return new Aim(placed(vertical, ca, 0, -sa), placed(vertical, -sa * se, ce, -ca * se), placed(vertical, sa * ce, se, ca * ce));
    }

    /** Returns a vector given as to the right of the front, up, and out of the front. */
    private static Vector placed(Axis vertical, double across, double along, double out) {
        return switch (vertical) {
            case X -> new Vector(along, out, across);
            case Y -> new Vector(across, along, out);
            case Z -> new Vector(across, -out, along);
        };
    }

    /** Returns a side by the unit direction towards the viewer; how it is turned about it follows from the direction alone. */
    static Aim from(Vector toward) {
        Vector other = Math.abs(toward.y()) < 0.9 ? new Vector(0, 1, 0) : new Vector(0, 0, -1);
        Vector right = other.cross(toward).unit();
        return new Aim(right, toward.cross(right), toward);
    }

    /** Returns a direction that is given as seen by the viewer. */
    Vector seen(double across, double along, double out) {
        return right.times(across).plus(along, up).plus(out, toward);
    }
}
