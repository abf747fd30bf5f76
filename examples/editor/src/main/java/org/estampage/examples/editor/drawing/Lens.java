package org.estampage.examples.editor.drawing;

import org.estampage.examples.editor.model.ViewPoint;
import org.joml.Vector3d;
import org.joml.Vector3dc;

/**
 * The geometry of a view point and a picture's size: which ray goes through a pixel, where a point appears.
 *
 * @threads immutable
 */
public final class Lens {
    private final Vector3d eye;
    private final Vector3d right;
    private final Vector3d up;
    private final Vector3d toward;
    private final double halfWidth;
    private final double halfHeight;
    private final int height;

    /** Makes the lens of a picture of so many pixels. */
    public Lens(ViewPoint from, int width, int height) {
        eye = from.eye();
        right = from.right();
        up = from.up();
        toward = from.toward();
        halfHeight = Math.tan(Math.toRadians(ViewPoint.FIELD_OF_VIEW / 2));
        halfWidth = halfHeight * width / height;
        this.height = height;
    }

    /** Returns the eye. */
    Vector3d eye() {
        return new Vector3d(eye);
    }

    /** Returns the unit vector to the right. */
    Vector3d right() {
        return new Vector3d(right);
    }

    /** Returns the unit vector upwards. */
    Vector3d up() {
        return new Vector3d(up);
    }

    /** Returns the unit vector towards the viewer. */
    Vector3d toward() {
        return new Vector3d(toward);
    }

    /** Writes the unit direction through a place of the picture, 0 … 1 from left and from the top. */
    Vector3d direction(double across, double down, Vector3d dest) {
        return dest.set(toward).negate().fma(halfWidth * (2 * across - 1), right).fma(halfHeight * (1 - 2 * down), up).normalize();
    }

    /** Returns the point at a distance from the eye along the ray through a place of the picture. */
    Vector3d along(double across, double down, double distance) {
        return eye().fma(distance, direction(across, down, new Vector3d()));
    }

    /** Returns where a point appears: across and down, 0 … 1, and its depth, which is negative behind the eye. */
    public Vector3d project(Vector3dc point) {
        Vector3d way = new Vector3d(point).sub(eye);
        double depth = -way.dot(toward);
        return new Vector3d((way.dot(right) / (depth * halfWidth) + 1) / 2, (1 - way.dot(up) / (depth * halfHeight)) / 2, depth);
    }

    /** Returns how wide a pixel is at a depth, in mesh units. */
    double pixelWidth(double depth) {
        return 2 * halfHeight * depth / height;
    }
}
