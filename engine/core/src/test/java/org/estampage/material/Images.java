package org.estampage.material;

import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;

/** Small images for the tests of this room. */
final class Images {
    /** Values of a texel. */
    interface Texel {
        float[] at(int x, int y);
    }

    /** A number of a place. */
    interface Field {
        double at(double u, double v);
    }

    private Images() {
    }

    static FloatImage of(int width, int height, Encoding encoding, Texel texel) {
        FloatImage image = FloatImage.create(width, height, encoding);
        for (int y = 0; y < height; y++) {
            for (int x = 0; x < width; x++) {
                image.write(x, y, 1, 1, texel.at(x, y));
            }
        }
        return image;
    }

    static FloatImage normal(double x, double y, double z) {
        return of(1, 1, Encoding.normal(), (i, j) -> new float[] {(float) x, (float) y, (float) z});
    }

    static FloatImage data(int width, int height, Texel texel) {
        return of(width, height, Encoding.data(Range.UNIT, 1), texel);
    }

    /** Returns the unit normals of a height in uv units, u to the right and v upwards, by central differences of 10⁻⁴. */
    static FloatImage ofHeight(int width, int height, Field field) {
        double d = 1e-4;
        return of(width, height, Encoding.normal(), (x, y) -> {
            double u = (x + 0.5) / width, v = 1 - (y + 0.5) / height;
            double p = (field.at(u + d, v) - field.at(u - d, v)) / (2 * d), q = (field.at(u, v + d) - field.at(u, v - d)) / (2 * d);
            double length = Math.sqrt(p * p + q * q + 1);
            return new float[] {(float) (-p / length), (float) (-q / length), (float) (1 / length)};
        });
    }

    static float[] all(FloatImage image) {
        return image.read(0, 0, image.width(), image.height(), new float[image.width() * image.height() * image.channels()]);
    }

    static float[] texel(FloatImage image, int x, int y) {
        return image.read(x, y, 1, 1, new float[image.channels()]);
    }
}
