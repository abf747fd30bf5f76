package org.estampage.image;

import java.awt.image.BufferedImage;
import java.nio.ByteBuffer;

/**
 * Images in the types of others: pictures for windows, codes for textures. {@link FloatImage#read} gives raw floats.
 *
 * <p>Each value is copied once, into what is returned or into the caller's buffer: an image's own texels lie in tiles, or in a file.
 *
 * @threads stateless
 */
public final class Pixels {
    private Pixels() {
    }

    /**
     * Returns a picture of the codes that a file of 8 bits would hold. One channel is shown grey, two as red and green; a fourth channel is alpha.
     *
     * @shape of type {@link BufferedImage#TYPE_INT_RGB}, with four channels {@link BufferedImage#TYPE_INT_ARGB}; row 0 on top
     */
    public static BufferedImage toBufferedImage(ImageSource source) {
        FloatImage image = source.build();
        int width = image.width(), channels = image.channels();
        Encoding encoding = image.encoding();
        BufferedImage picture = new BufferedImage(width, image.height(),
                channels == 4 ? BufferedImage.TYPE_INT_ARGB : BufferedImage.TYPE_INT_RGB);
        float[] row = new float[width * channels];
        int[] pixels = new int[width];
        int[] code = new int[4];
        for (int y = 0; y < image.height(); y++) {
            image.read(0, y, width, 1, row);
            for (int x = 0; x < width; x++) {
                for (int c = 0; c < channels; c++) {
                    code[c] = encoding.quantise(c, row[x * channels + c], 8);
                }
                int alpha = channels == 4 ? code[3] : 255;
                int green = channels == 1 ? code[0] : code[1];
                int blue = channels == 1 ? code[0] : code[2];
                pixels[x] = alpha << 24 | code[0] << 16 | green << 8 | blue;
            }
            picture.setRGB(0, y, width, 1, pixels, 0, width);
        }
        return picture;
    }

    /**
     * Puts the codes that an integer file would hold into a buffer, from its position on, which moves behind them.
     *
     * @param bits 8 or 16, the latter in the buffer's byte order
     * @shape row by row from the top, channels interleaved
     * @return {@code dest}
     * @throws IllegalArgumentException                if {@code bits} is neither 8 nor 16
     * @throws java.nio.BufferOverflowException        if {@code dest} has less room than width × height × channels codes
     * @throws java.nio.ReadOnlyBufferException        if it can't be written
     */
    public static ByteBuffer putCodes(ImageSource source, int bits, ByteBuffer dest) {
        if (bits != 8 && bits != 16) {
            throw new IllegalArgumentException("bits = " + bits + " must be 8 or 16");
        }
        FloatImage image = source.build();
        int channels = image.channels();
        Encoding encoding = image.encoding();
        float[] row = new float[image.width() * channels];
        for (int y = 0; y < image.height(); y++) {
            image.read(0, y, image.width(), 1, row);
            for (int i = 0; i < row.length; i++) {
                int code = encoding.quantise(i % channels, row[i], bits);
                if (bits == 8) {
                    dest.put((byte) code);
                } else {
                    dest.putShort((short) code);
                }
            }
        }
        return dest;
    }

    /** Returns all raw values in a new array, row by row from the top, channels interleaved. */
    public static float[] toFloats(ImageSource source) {
        FloatImage image = source.build();
        return image.read(0, 0, image.width(), image.height(),
                new float[Math.multiplyExact(Math.multiplyExact(image.width(), image.height()), image.channels())]);
    }
}
