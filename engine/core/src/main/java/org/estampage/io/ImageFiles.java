package org.estampage.io;

import org.estampage.io.format.AtomicFile;
import org.estampage.io.format.FormatException;
import java.io.IOException;
import java.nio.file.Path;
import java.util.Map;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.image.Srgb;
import org.estampage.io.png.PngReader;
import org.estampage.io.png.PngWriter;
import org.estampage.io.png.StoredImage;
import org.estampage.task.Task;

/**
 * Reads and writes image files: what is read (PNG or JPEG) is found out from the content, what is written from the ending.
 *
 * @threads safe for concurrent calls
 */
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
        int width = stored.width();
        int channels = stored.channels();
        FloatImage out = FloatImage.create(width, stored.height(), Encoding.normal());
        float[] in = new float[width * channels];
        float[] row = new float[width * 3];
        for (int y = 0; y < stored.height(); y++) {
            stored.read(0, y, width, 1, in);
            for (int i = 0; i < row.length; i++) {
                row[i] = Range.SIGNED_UNIT.raw(in[i / 3 * channels + i % 3]);
            }
            out.write(0, y, width, 1, row);
        }
        return out;
    }

    /**
     * Reads an image of colours, decoded from sRGB to linear; alpha is taken as it is. Grey with alpha comes as four channels, red, green and blue
     * alike.
     *
     * @throws IOException if it can't be read
     */
    public static FloatImage readColour(Path file) throws IOException {
        StoredImage stored = PngReader.read(file);
        FloatImage image = stored.image();
        int largest = (1 << stored.bits()) - 1;
        float[] linear = new float[largest + 1]; // the curve costs a power function, and there are few codes
        for (int code = 0; code <= largest; code++) {
            linear[code] = Srgb.decode((float) code / largest);
        }
        int width = image.width();
        int channels = image.channels();
        int outChannels = channels == 2 ? 4 : channels;
        int alpha = channels % 2 == 0 ? channels - 1 : -1;
        FloatImage out = FloatImage.create(width, image.height(), Encoding.colour(outChannels));
        float[] in = new float[width * channels];
        float[] row = new float[width * outChannels];
        for (int y = 0; y < image.height(); y++) {
            image.read(0, y, width, 1, in);
            for (int i = 0; i < row.length; i++) {
                int x = i / outChannels;
                int c = channels != 2 ? i % outChannels : i % outChannels == 3 ? 1 : 0;
                float v = in[x * channels + c];
                row[i] = c == alpha ? v : linear[Math.round(v * largest)];
            }
            out.write(0, y, width, 1, row);
        }
        return out;
    }

    /**
     * Writes an image, whole or not at all.
     *
     * @param bits 8 or 16
     * @param text keywords and values to be stored with it, in the map's order; give one that has a fixed order
     * @throws IllegalArgumentException if no format has the file's ending, or the depth is not possible; nothing is written then
     * @throws IOException              if it can't be written
     */
    public static void write(FloatImage image, Path file, int bits, Map<String, String> text, Task task) throws IOException {
        if (!Endings.of(file).equals("png")) {
            throw Endings.unknown(file, "an image", "PNG (.png)");
        }
        AtomicFile.write(file, task, out -> PngWriter.write(image, bits, text, out, task));
    }
}
