package org.estampage.io;

import org.estampage.io.format.AtomicFile;
import org.estampage.io.format.FormatException;
import java.io.IOException;
import java.nio.file.Path;
import java.util.Collections;
import java.util.Locale;
import java.util.Map;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.io.png.PngReader;
import org.estampage.io.png.PngWriter;
import org.estampage.io.png.StoredImage;
import org.estampage.task.Task;

/** Reads and writes image files: what is read is found out from the content, what is written from the ending. */
public final class ImageFiles {
    private ImageFiles() {
    }

    /**
     * Reads an image with its stored values, 0 … 1.
     *
     * @throws IOException if it can't be read
     */
    public static FloatImage read(Path file) throws IOException {
        return PngReader.read(file).image();
    }

    /**
     * Reads an image with its depth and texts.
     *
     * @throws IOException if it can't be read
     */
    public static StoredImage readStored(Path file) throws IOException {
        return PngReader.read(file);
    }

    /**
     * Reads an image of normals, each channel as 2v − 1; a fourth channel is left out.
     *
     * @throws IOException if it can't be read or has fewer than three channels
     */
    public static FloatImage readNormals(Path file) throws IOException {
        FloatImage stored = read(file);
        if (stored.channels() < 3) {
            throw FormatException.ofFile(String.valueOf(file.getFileName()),
                    "has " + stored.channels() + " channels: a normal map needs red, green and blue");
        }
        return converted(stored, 3, Encoding.normal());
    }

    /**
     * Reads an image of colours, decoded from sRGB to linear; alpha is taken as it is.
     *
     * @throws IOException if it can't be read
     */
    public static FloatImage readColour(Path file) throws IOException {
        FloatImage stored = read(file);
        int channels = stored.channels() == 2 ? 1 : stored.channels(); // grey with alpha: the alpha would be taken for a colour
        return converted(stored, channels, new Encoding(Encoding.Kind.COLOUR, Collections.nCopies(channels, Range.UNIT)));
    }

    private static FloatImage converted(FloatImage stored, int channels, Encoding encoding) {
        FloatImage out = FloatImage.create(stored.width(), stored.height(), encoding);
        float[] in = new float[stored.width() * stored.channels()];
        float[] row = new float[stored.width() * channels];
        for (int y = 0; y < stored.height(); y++) {
            stored.read(0, y, stored.width(), 1, in);
            for (int i = 0; i < row.length; i++) {
                int c = i % channels;
                row[i] = encoding.raw(c, in[i / channels * stored.channels() + c]);
            }
            out.write(0, y, stored.width(), 1, row);
        }
        return out;
    }

    /**
     * Writes an image, whole or not at all.
     *
     * @param bits 8 or 16
     * @param text keywords and values to be stored with it, in this order
     * @throws IOException              if it can't be written
     * @throws IllegalArgumentException if the ending is none that can be written, or the depth is not possible
     */
    public static void write(FloatImage image, Path file, int bits, Map<String, String> text, Task task) throws IOException {
        String name = String.valueOf(file.getFileName());
        if (!name.toLowerCase(Locale.ROOT).endsWith(".png")) {
            throw new IllegalArgumentException(name + ": images are written as PNG; let the name end in .png");
        }
        AtomicFile.write(file, task, out -> PngWriter.write(image, bits, text, out, task));
    }
}
