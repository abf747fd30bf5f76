package org.estampage.handover;

import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.internal.kernel.Directions;

/**
 * Spreads normals over neighbouring codes of 8 bits, so that their mean over some texels is nearer to the raw one than a code.
 *
 * <p>To a stored value, in codes, an even noise of one code is added before it is rounded: the mean of what is written is then the value itself. What is
 * a code exactly stays it; x and y of a flat normal, which lie in the middle between two codes, stay at the upper one, as they are without noise. The noise
 * is a hash of texel and channel.
 *
 * @source Lipshitz, Wannamaker and Vanderkooy, "Quantization and Dither: A Theoretical Survey", 1992 (from memory): noise of even density over one step
 *         makes the mean error zero
 */
final class Dither {
    private static final int LARGEST = 255;

    /** Half a step of 16 bits from the middle: what a flat normal's x and y are off at most after a file of 16 bits. */
    private static final float FLAT = 0.5f / 65535;

    private Dither() {
    }

    /** Returns a copy whose values are raw ones of 8-bit codes. */
    static FloatImage dithered(FloatImage image) {
        Encoding encoding = image.encoding();
        int width = image.width(), channels = image.channels();
        FloatImage out = FloatImage.create(width, image.height(), encoding);
        float[] row = new float[width * channels];
        for (int y = 0; y < image.height(); y++) {
            image.read(0, y, width, 1, row);
            for (int i = 0; i < row.length; i++) {
                int channel = i % channels;
                float stored = encoding.store(channel, row[i]);
                double noise = Math.abs(stored - 0.5f) <= FLAT ? 0 : noise(i / channels, y, channel);
                double code = Math.min(LARGEST, Math.max(0, Math.floor(stored * (double) LARGEST + 0.5 + noise)));
                row[i] = encoding.raw(channel, (float) (code / LARGEST));
            }
            out.write(0, y, width, 1, row);
        }
        return out;
    }

    /** Returns a number from −½ up to, not including, ½. */
    private static double noise(int x, int y, int channel) {
        int h = Directions.mix(x + Directions.mix(y + Directions.mix(channel + 0x9e3779b9)));
        return (h >>> 8) * 0x1p-24 - 0.5;
    }
}
