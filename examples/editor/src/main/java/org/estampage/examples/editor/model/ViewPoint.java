package org.estampage.examples.editor.model;

import org.estampage.mesh.Bounds;
import org.joml.Vector3d;
import org.joml.Vector3dc;

/**
 * From where the 3D view looks.
 *
 * @param azimuth   degrees around the upright axis, counter-clockwise from above; 0 is the front
 * @param elevation degrees above the horizon, −89 … 89
 * @param distance  from the eye to what it looks at, in mesh units
 * @param target    what stands in the middle of the picture
 * @space object space, y up
 */
public record ViewPoint(double azimuth, double elevation, double distance, Vector3dc target) {
    /** The angle from the bottom of the picture to the top, in degrees. */
    public static final double FIELD_OF_VIEW = 30;
    private static final double STEEPEST = 89;
    /** At this many half diagonals a sphere around the meshes just fits: 1 / sin 15° = 3.86; a box leaves room for its cage. */
    private static final double WHOLE = 3.86;

    /** Copies the target. */
    public ViewPoint {
        target = new Vector3d(target);
    }

    /** Returns a look at everything in a box, from 30° to the right and 20° above. */
    public static ViewPoint whole(Bounds bounds) {
        if (bounds.isEmpty()) {
            return new ViewPoint(30, 20, 1, new Vector3d());
        }
        double[] middle = bounds.middle();
        return new ViewPoint(30, 20, Math.max(WHOLE * bounds.diagonal() / 2, Float.MIN_NORMAL),
                new Vector3d(middle[0], middle[1], middle[2]));
    }

    /** Returns the look from further around and above. */
    public ViewPoint turned(double moreAzimuth, double moreElevation) {
        return new ViewPoint((azimuth + moreAzimuth) % 360, Math.clamp(elevation + moreElevation, -STEEPEST, STEEPEST), distance, target);
    }

    /** Returns the look from so many times as far. */
    public ViewPoint farther(double times) {
        return new ViewPoint(azimuth, elevation, Math.clamp(distance * times, 1e-30, 1e30), target);
    }

    /** Returns the look at another point. */
    public ViewPoint at(Vector3dc point) {
        return new ViewPoint(azimuth, elevation, distance, point);
    }

    /** Returns the look at a point from a distance. */
    public ViewPoint at(Vector3dc point, double from) {
        return new ViewPoint(azimuth, elevation, from, point);
    }

    /** Returns the look moved sideways: parts of the picture's height to the right and up. */
    public ViewPoint shifted(double right, double up) {
        double height = 2 * distance * Math.tan(Math.toRadians(FIELD_OF_VIEW / 2));
        return at(new Vector3d(target).fma(right * height, right()).fma(up * height, up()));
    }

    /** Returns the unit vector towards the viewer. */
    public Vector3d toward() {
        double a = Math.toRadians(azimuth), e = Math.toRadians(elevation);
        return new Vector3d(Math.sin(a) * Math.cos(e), Math.sin(e), Math.cos(a) * Math.cos(e));
    }

    /** Returns the unit vector to the right in the picture. */
    public Vector3d right() {
        double a = Math.toRadians(azimuth);
        return new Vector3d(Math.cos(a), 0, -Math.sin(a));
    }

    /** Returns the unit vector upwards in the picture. */
    public Vector3d up() {
        return toward().cross(right());
    }

    /** Returns where the eye is. */
    public Vector3d eye() {
        return new Vector3d(target).fma(distance, toward());
    }
}
