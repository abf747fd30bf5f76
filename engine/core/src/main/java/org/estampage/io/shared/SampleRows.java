package org.estampage.io.shared;

import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Srgb;

/**
 * Quantises rows of an image into bytes, the more significant one first, bit for bit as {@link Encoding#quantise} does.
 *
 * @threads immutable
 */
public final class SampleRows {
    private final FloatImage image;
    private final int bits;
    /** Where the sRGB curve applies: the smallest stored value before the curve that gets each code, from code 0 on. */
    private final float[] thresholds;

    /** Prepares an image for whole numbers of 8 or 16 bits. */
    public SampleRows(FloatImage image, int bits) {
        this.image = image;
        this.bits = bits;
        thresholds = image.encoding().kind() == Encoding.Kind.COLOUR ? thresholds(bits) : new float[0];
    }

    /** Returns the bytes of a texel. */
    public int pixelBytes() {
        return image.channels() * bits / 8;
    }

    /** Returns the bytes of a row. */
    public int rowBytes() {
        return image.width() * pixelBytes();
    }

    /** Quantises row {@code y}; {@code values} is scratch of width · channels. */
    public void row(int y, float[] values, byte[] dest) {
        image.read(0, y, image.width(), 1, values);
        int channels = image.channels();
        Encoding encoding = image.encoding();
        int step = channels * bits / 8;
        for (int c = 0; c < channels; c++) {
            boolean curved = thresholds.length > 0 && c < 3;
            for (int i = c, at = c * bits / 8; i < values.length; i += channels, at += step) {
                int code = curved ? codeOf(encoding.ranges().get(c).store(values[i])) : encoding.quantise(c, values[i], bits);
                if (bits == 16) {
                    dest[at] = (byte) (code >> 8);
                    dest[at + 1] = (byte) code;
                } else {
                    dest[at] = (byte) code;
                }
            }
        }
    }

    /** The curve costs a power function, so the codes are looked up: the last one whose threshold is not above the value. */
    private int codeOf(float stored) {
        int code = 0;
        for (int step = thresholds.length >> 1; step > 0; step >>= 1) {
            if (stored >= thresholds[code + step]) { // never for NaN: code 0, as in Encoding
                code += step;
            }
        }
        return code;
    }

    private static float[] thresholds(int bits) {
        float[] smallest = new float[1 << bits];
        int largest = smallest.length - 1;
        for (int code = 1; code <= largest; code++) {
            // The curve's inverse lands within a few floats of the place; walk to it.
            float v = Srgb.decode((float) ((code - 0.5) / largest));
            while (quantise(v, largest) >= code) {
                v = Math.nextDown(v);
            }
            while (quantise(v, largest) < code) {
                v = Math.nextUp(v);
            }
            smallest[code] = v;
        }
        return smallest;
    }

    private static int quantise(float v, int largest) {
        return (int) Math.floor((double) Srgb.encode(v) * largest + 0.5);
    }
}
