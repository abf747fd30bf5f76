package org.estampage.io.shared;

import java.awt.image.BufferedImage;
import java.awt.image.IndexColorModel;
import java.awt.image.Raster;
import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.util.function.LongPredicate;
import javax.imageio.ImageIO;
import javax.imageio.ImageReader;
import javax.imageio.stream.ImageInputStream;
import javax.imageio.stream.MemoryCacheImageInputStream;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.io.format.FormatException;
import org.jspecify.annotations.Nullable;

/**
 * Pictures of whole numbers decoded by the JDK's readers, value by value: stored number / (2ⁿ − 1), without any colour conversion.
 */
public final class DecodedImage {
    private DecodedImage() {
    }

    /**
     * Returns a file's picture.
     *
     * @param format   the format's name for the JDK, which must have a reader for it
     * @param name     the file's name, for messages
     * @param possible whether that many texels can be in the file, asked before room is made for them
     * @throws FormatException if it is damaged
     */
    public static BufferedImage of(String format, String name, byte[] bytes, LongPredicate possible) throws FormatException {
        ImageReader reader = ImageIO.getImageReadersByFormatName(format).next();
        try (ImageInputStream in = new MemoryCacheImageInputStream(new ByteArrayInputStream(bytes))) {
            reader.setInput(in, true, true);
            long texels = (long) reader.getWidth(0) * reader.getHeight(0);
            if (!possible.test(texels)) {
                throw FormatException.ofFile(name,
                        "is damaged: its " + bytes.length + " bytes can't hold the " + texels + " texels it claims");
            }
            return reader.read(0);
        } catch (FormatException e) {
            throw e;
        } catch (IOException | RuntimeException e) { // what the JDK's readers throw for broken files
            FormatException broken = FormatException.ofFile(name, "is damaged, or of a kind that is not read: " + e.getMessage());
            broken.initCause(e);
            throw broken;
        } finally {
            reader.dispose();
        }
    }

    /**
     * Returns a picture's stored values, 0 … 1.
     *
     * @param usePalette whether a palette's colours are meant; else its indices are the samples
     */
    public static FloatImage floats(BufferedImage image, boolean usePalette) {
        Raster raster = image.getRaster();
        IndexColorModel palette = image.getColorModel() instanceof IndexColorModel p && usePalette ? p : null;
        int bands = raster.getNumBands();
        int channels = palette == null ? bands : palette.hasAlpha() ? 4 : 3;
        int w = image.getWidth();
        FloatImage out = FloatImage.create(w, image.getHeight(), Encoding.data(Range.UNIT, channels));
        float largest = (1 << (palette == null ? raster.getSampleModel().getSampleSize(0) : 8)) - 1;
        int[] samples = new int[w * bands];
        float[] row = new float[w * channels];
        for (int y = 0; y < image.getHeight(); y++) {
            raster.getPixels(raster.getMinX(), raster.getMinY() + y, w, 1, samples);
            for (int i = 0; i < row.length; i++) {
                row[i] = sample(samples, i, channels, palette) / largest;
            }
            out.write(0, y, w, 1, row);
        }
        return out;
    }

    private static int sample(int[] samples, int i, int channels, @Nullable IndexColorModel palette) {
        if (palette == null) {
            return samples[i];
        }
        int index = samples[i / channels];
        return switch (i % channels) {
            case 0 -> palette.getRed(index);
            case 1 -> palette.getGreen(index);
            case 2 -> palette.getBlue(index);
            default -> palette.getAlpha(index);
        };
    }
}
