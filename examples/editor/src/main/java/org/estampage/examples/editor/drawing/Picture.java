package org.estampage.examples.editor.drawing;

import java.awt.image.BufferedImage;
import org.estampage.examples.editor.model.ViewPoint;
import org.joml.Vector3d;
import org.joml.Vector3dc;
import org.jspecify.annotations.Nullable;

/**
 * A picture of a scene that knows how far away its pixels are.
 *
 * @threads immutable by contract
 */
public final class Picture {
    private final BufferedImage image;
    private final ViewPoint from;
    private final float[] distances;
    private final long outsidePixels;

    /**
     * Makes a picture.
     *
     * @param distances one a pixel, row by row, in mesh units from the eye; infinite where nothing is; kept
     */
    Picture(BufferedImage image, ViewPoint from, float[] distances, long outsidePixels) {
        this.image = image;
        this.from = from;
        this.distances = distances;
        this.outsidePixels = outsidePixels;
    }

    /** Returns the pixels. */
    public BufferedImage image() {
        return image;
    }

    /** Returns from where it was drawn. */
    public ViewPoint from() {
        return from;
    }

    /** Returns how many pixels show high poly outside the cage. */
    public long outsidePixels() {
        return outsidePixels;
    }

    /**
     * Returns the point that is seen at a place of the picture, or null where nothing is.
     *
     * @param across from 0 at the left to 1 at the right
     * @param down   from 0 on top to 1 at the bottom
     */
    public @Nullable Vector3d pointAt(double across, double down) {
        float distance = distanceAt(across, down);
        return Float.isInfinite(distance) ? null : new Lens(from, image.getWidth(), image.getHeight()).along(across, down, distance);
    }

    /** Returns whether nothing stands in front of a point; points that lie on what is seen count as seen. */
    public boolean shows(Vector3dc point) {
        Lens lens = new Lens(from, image.getWidth(), image.getHeight());
        Vector3d at = lens.project(point);
        // A few pixels' width along the ray: the surface may slope away from its pixel's middle.
        double slack = 6 * lens.pixelWidth(at.z);
        return at.z > 0 && at.x >= 0 && at.x < 1 && at.y >= 0 && at.y < 1 && lens.eye().distance(point) <= distanceAt(at.x, at.y) + slack;
    }

    private float distanceAt(double across, double down) {
        int x = (int) (across * image.getWidth()), y = (int) (down * image.getHeight());
        boolean inside = x >= 0 && y >= 0 && x < image.getWidth() && y < image.getHeight();
        return inside ? distances[y * image.getWidth() + x] : Float.POSITIVE_INFINITY;
    }
}
