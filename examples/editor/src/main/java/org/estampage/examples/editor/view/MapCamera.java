package org.estampage.examples.editor.view;

import java.awt.geom.AffineTransform;
import java.awt.geom.Point2D;

/**
 * Which part of a map a view shows, and how large.
 *
 * @param zoom pixels a texel
 * @param x    the texel column in the view's middle
 * @param y    the texel row in the view's middle
 */
record MapCamera(double zoom, double x, double y) {
    private static final double LEAST = 1.0 / 64;
    private static final double MOST = 64;
    /** The part of a view that a whole map takes. */
    private static final double FILL = 0.94;

    MapCamera {
        zoom = Math.clamp(zoom, LEAST, MOST);
    }

    /** Returns the camera that shows all of a map. */
    static MapCamera whole(int width, int height, int viewWidth, int viewHeight) {
        return new MapCamera(FILL * Math.min((double) viewWidth / width, (double) viewHeight / height), width / 2.0, height / 2.0);
    }

    /** Returns the camera moved by so many pixels of the view. */
    MapCamera shifted(double right, double down) {
        return new MapCamera(zoom, x + right / zoom, y + down / zoom);
    }

    /** Returns the camera closer by a factor, with the texel at a place of the view staying there. */
    MapCamera closer(double times, double atX, double atY, int viewWidth, int viewHeight) {
        Point2D kept = texelAt(atX, atY, viewWidth, viewHeight);
        double nearer = Math.clamp(zoom * times, LEAST, MOST);
        return new MapCamera(nearer, kept.getX() - (atX - viewWidth / 2.0) / nearer, kept.getY() - (atY - viewHeight / 2.0) / nearer);
    }

    /** Returns the way from texels to a view's pixels. */
    AffineTransform toView(int viewWidth, int viewHeight) {
        return new AffineTransform(zoom, 0, 0, zoom, viewWidth / 2.0 - x * zoom, viewHeight / 2.0 - y * zoom);
    }

    /** Returns which place of the map, in texels, stands at a place of the view. */
    Point2D texelAt(double viewX, double viewY, int viewWidth, int viewHeight) {
        return new Point2D.Double(x + (viewX - viewWidth / 2.0) / zoom, y + (viewY - viewHeight / 2.0) / zoom);
    }
}
