package org.estampage.material;

import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;

/** The same values everywhere, at any size; built by itself one texel. */
final class Even implements ScalableImage {
    private final Encoding encoding;
    private final float[] values;

    private Even(Encoding encoding, float... values) {
        this.encoding = encoding;
        this.values = values;
    }

    static Even colour(double red, double green, double blue) {
        return new Even(Encoding.colour(3), (float) Rows.between("red", red, 0, 1), (float) Rows.between("green", green, 0, 1),
                (float) Rows.between("blue", blue, 0, 1));
    }

    static Even data(String name, double value) {
        return new Even(Encoding.data(Range.UNIT, 1), (float) Rows.between(name, value, 0, 1));
    }

    static Even flat() {
        return new Even(Encoding.normal(), 0, 0, 1);
    }

    @Override
    public FloatImage build() {
        return build(1, 1);
    }

    @Override
    public FloatImage build(int width, int height) {
        FloatImage image = FloatImage.create(width, height, encoding);
        image.fill(values);
        return image;
    }
}
