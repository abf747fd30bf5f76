package org.estampage.io.png;

import java.awt.image.BufferedImage;
import java.awt.image.IndexColorModel;
import java.awt.image.Raster;
import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Map;
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
 * Reads PNG and JPEG files through the JDK, value by value: stored number / (2ⁿ − 1), without any colour conversion.
 *
 * @edge palette files give the palette's colours; a PNG file's one transparent colour becomes an alpha channel
 * @threads safe for concurrent calls
 */
public final class PngReader {
    /**
     * No JPEG file holds more texels a byte: every 8 × 8 block of its finest component takes at least a bit for its mean, 512 texels a byte; twice
     * that for safety.
     */
    private static final long LARGEST_JPEG_RATIO = 1024;

    private PngReader() {
    }

    /**
     * Reads a file.
     *
     * @throws FormatException if the file is neither PNG nor JPEG, or is cut off or damaged
     * @throws IOException     if it can't be read
     */
    public static StoredImage read(Path file) throws IOException {
        String name = String.valueOf(file.getFileName());
        byte[] bytes = Files.readAllBytes(file);
        if (PngLayout.recognises(bytes)) {
            PngLayout layout = PngLayout.of(name, bytes);
            BufferedImage image = decode("png", name, bytes);
            return new StoredImage(floats(image, layout.isPlainGrey()), layout.bits(), layout.texts());
        }
        if (bytes.length > 3 && bytes[0] == (byte) 0xff && bytes[1] == (byte) 0xd8 && bytes[2] == (byte) 0xff) {
            return new StoredImage(floats(decode("jpeg", name, bytes), false), 8, Map.of());
        }
        throw FormatException.ofFile(name, "is neither PNG nor JPEG: save it as one of them");
    }

    private static BufferedImage decode(String format, String name, byte[] bytes) throws IOException {
        ImageReader reader = ImageIO.getImageReadersByFormatName(format).next(); // the JDK has both
        try (ImageInputStream in = new MemoryCacheImageInputStream(new ByteArrayInputStream(bytes))) {
            reader.setInput(in, true, true);
            long texels = (long) reader.getWidth(0) * reader.getHeight(0);
            if (format.equals("jpeg") && texels > bytes.length * LARGEST_JPEG_RATIO) {
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

    private static FloatImage floats(BufferedImage image, boolean plainGrey) {
        Raster raster = image.getRaster();
        // Grey of 1, 2 and 4 bits arrives with a palette of greys; its indices are the samples.
        IndexColorModel palette = image.getColorModel() instanceof IndexColorModel p && !plainGrey ? p : null;
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
