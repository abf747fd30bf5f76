package org.estampage.io.png;

import java.awt.image.BufferedImage;
import java.awt.image.ColorModel;
import java.awt.image.IndexColorModel;
import java.awt.image.Raster;
import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Collections;
import java.util.Iterator;
import java.util.LinkedHashMap;
import java.util.Map;
import javax.imageio.ImageIO;
import javax.imageio.ImageReader;
import javax.imageio.stream.ImageInputStream;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.io.format.FormatException;

/**
 * Reads PNG and JPEG files through the JDK, value by value: stored number / (2ⁿ − 1), without any colour conversion.
 *
 * @edge palette files give the palette's colours; bits below 8 are spread over 0 … 1 as well
 */
public final class PngReader {
    private static final byte[] SIGNATURE = {(byte) 0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n'};
    private static final long MOST_TEXELS = 1L << 30;
    private static final int LONGEST_TEXT = 1 << 20;

    private PngReader() {
    }

    /**
     * Reads a file.
     *
     * @throws IOException if it can't be read or is neither PNG nor JPEG
     */
    public static StoredImage read(Path file) throws IOException {
        String name = String.valueOf(file.getFileName());
        byte[] bytes = Files.readAllBytes(file);
        try (ImageInputStream in = ImageIO.createImageInputStream(new ByteArrayInputStream(bytes))) {
            Iterator<ImageReader> readers = ImageIO.getImageReaders(in);
            if (!readers.hasNext()) {
                throw FormatException.ofFile(name, "is neither PNG nor JPEG: save it as one of them");
            }
            ImageReader reader = readers.next();
            try {
                reader.setInput(in, true, true);
                long texels = (long) reader.getWidth(0) * reader.getHeight(0);
                if (texels > MOST_TEXELS) {
                    throw FormatException.ofFile(name, "has " + texels + " texels, more than the " + MOST_TEXELS + " that are read");
                }
                BufferedImage image = reader.read(0);
                return new StoredImage(floats(image), bits(image), texts(bytes));
            } catch (IOException e) {
                throw e instanceof FormatException ? e : FormatException.ofFile(name, "is damaged: " + e.getMessage());
            } catch (RuntimeException e) { // what the JDK's readers throw for broken files
                throw FormatException.ofFile(name, "is damaged: " + e);
            } finally {
                reader.dispose();
            }
        }
    }

    private static int bits(BufferedImage image) {
        return image.getColorModel().getComponentSize(0);
    }

    private static FloatImage floats(BufferedImage image) {
        ColorModel model = image.getColorModel();
        Raster raster = image.getRaster();
        IndexColorModel palette = model instanceof IndexColorModel p ? p : null;
        int channels = palette == null ? raster.getNumBands() : palette.hasAlpha() ? 4 : 3;
        int w = image.getWidth();
        FloatImage out = FloatImage.create(w, image.getHeight(),
                new Encoding(Encoding.Kind.DATA, Collections.nCopies(channels, Range.UNIT)));
        float[] scale = new float[channels];
        for (int c = 0; c < channels; c++) {
            scale[c] = (1 << (palette == null ? raster.getSampleModel().getSampleSize(c) : 8)) - 1;
        }
        int[] samples = new int[w * raster.getNumBands()];
        float[] row = new float[w * channels];
        for (int y = 0; y < image.getHeight(); y++) {
            raster.getPixels(raster.getMinX(), raster.getMinY() + y, w, 1, samples);
            for (int i = 0; i < row.length; i++) {
                int v = palette == null ? samples[i] : component(palette, samples[i / channels], i % channels);
                row[i] = v / scale[i % channels];
            }
            out.write(0, y, w, 1, row);
        }
        return out;
    }

    private static int component(IndexColorModel palette, int index, int channel) {
        return switch (channel) {
            case 0 -> palette.getRed(index);
            case 1 -> palette.getGreen(index);
            case 2 -> palette.getBlue(index);
            default -> palette.getAlpha(index);
        };
    }

    /** Collects plain text chunks; compressed ones are passed over. */
    private static Map<String, String> texts(byte[] bytes) {
        Map<String, String> texts = new LinkedHashMap<>();
        if (bytes.length < 8 || !Arrays.equals(SIGNATURE, Arrays.copyOf(bytes, 8))) {
            return texts;
        }
        ByteBuffer in = ByteBuffer.wrap(bytes).position(8);
        while (in.remaining() >= 12) {
            int length = in.getInt();
            byte[] type = new byte[4];
            in.get(type);
            if (length < 0 || length > in.remaining() - 4) {
                break;
            }
            String kind = new String(type, StandardCharsets.ISO_8859_1);
            if ((kind.equals("tEXt") || kind.equals("iTXt")) && length <= LONGEST_TEXT) {
                byte[] data = new byte[length];
                in.get(data);
                addText(kind, data, texts);
            } else {
                in.position(in.position() + length);
            }
            in.getInt();
        }
        return texts;
    }

    private static void addText(String kind, byte[] data, Map<String, String> texts) {
        int end = indexOfZero(data, 0);
        if (end < 0) {
            return;
        }
        String keyword = new String(data, 0, end, StandardCharsets.ISO_8859_1);
        if (kind.equals("tEXt")) {
            texts.put(keyword, new String(data, end + 1, data.length - end - 1, StandardCharsets.ISO_8859_1));
        } else if (end + 2 < data.length && data[end + 1] == 0) {
            int language = indexOfZero(data, end + 3);
            int translated = language < 0 ? -1 : indexOfZero(data, language + 1);
            if (translated >= 0) {
                texts.put(keyword, new String(data, translated + 1, data.length - translated - 1, StandardCharsets.UTF_8));
            }
        }
    }

    private static int indexOfZero(byte[] data, int from) {
        for (int i = from; i < data.length; i++) {
            if (data[i] == 0) {
                return i;
            }
        }
        return -1;
    }
}
