package org.estampage.io;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.function.Predicate;
import java.util.stream.Collectors;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.image.Srgb;
import org.estampage.io.exr.ExrFormat;
import org.estampage.io.format.AtomicFile;
import org.estampage.io.format.EncodedImage;
import org.estampage.io.format.FormatException;
import org.estampage.io.format.ImageFormat;
import org.estampage.io.format.SampleFormat;
import org.estampage.io.format.StoredImage;
import org.estampage.io.jpeg.JpegFormat;
import org.estampage.io.png.PngFormat;
import org.estampage.io.shared.FileSource;
import org.estampage.io.tga.TgaFormat;
import org.estampage.io.tiff.TiffFormat;
import org.estampage.task.Task;

/**
 * Reads and writes image files in any format known here: reading goes by what the file holds, then by its ending; writing by the ending.
 *
 * @threads safe for concurrent calls
 */
public final class ImageFiles {
    /** In the order they are asked. */
    private static final List<ImageFormat> FORMATS = List.of(new PngFormat(), new JpegFormat(), new ExrFormat(), new TiffFormat(),
            new TgaFormat());

    private ImageFiles() {
    }

    /** Returns the formats. */
    public static List<ImageFormat> formats() {
        return FORMATS;
    }

    /**
     * Returns the format that a file is written in, by its ending.
     *
     * @throws IllegalArgumentException if no format that is written has that ending
     */
    public static ImageFormat written(Path file) {
        String ending = Endings.of(file);
        for (ImageFormat format : FORMATS) {
            if (format.endings().contains(ending) && !format.writes().isEmpty()) {
                return format;
            }
        }
        throw Endings.unknown(file, "an image", names(format -> !format.writes().isEmpty()));
    }

    /**
     * Reads an image: of whole numbers the stored values 0 … 1, of floats the values as they are.
     *
     * @throws IOException if it can't be read
     */
    public static FloatImage read(Path file) throws IOException {
        return readStored(file).image();
    }

    /**
     * Reads an image with its depth and texts.
     *
     * @throws FormatException if no format fits, or the file holds what its format does not allow
     * @throws IOException     if it can't be read
     */
    public static StoredImage readStored(Path file) throws IOException {
        return readStored(file, Task.silent());
    }

    /**
     * Reads an image with its depth and texts.
     *
     * @throws FormatException                            if no format fits, or the file holds what its format does not allow
     * @throws IOException                                if it can't be read
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public static StoredImage readStored(Path file, Task task) throws IOException {
        FileSource.checkReadable(file);
        byte[] head;
        try (InputStream in = Files.newInputStream(file)) {
            head = in.readNBytes(ImageFormat.HEAD_LENGTH);
        }
        long size = Files.size(file);
        String ending = Endings.of(file);
        ImageFormat named = null;
        for (ImageFormat format : FORMATS) {
            if (format.recognises(head, size)) {
                return format.read(file, task);
            }
            named = format.endings().contains(ending) ? format : named;
        }
        if (named == null) {
            throw FormatException.ofFile(FileSource.name(file),
                    size == 0
                            ? "is empty: export the image again"
                            : "is not an image file known here: use one of " + names(format -> true));
        }
        return named.read(file, task);
    }

    /**
     * Reads an image of normals, each channel as 2v − 1, or as it is in a file of floats; a fourth channel is left out.
     *
     * @throws IOException if it can't be read or has fewer than three channels
     */
    public static FloatImage readNormals(Path file) throws IOException {
        StoredImage read = readStored(file);
        FloatImage stored = read.image();
        Range range = read.samples().isFloat() ? Range.UNIT : Range.SIGNED_UNIT;
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
                row[i] = range.raw(in[i / 3 * channels + i % 3]);
            }
            out.write(0, y, width, 1, row);
        }
        return out;
    }

    /**
     * Reads an image of colours, whole numbers decoded from sRGB to linear, floats as they are; alpha is taken as it is. Grey with alpha comes as
     * four channels, red, green and blue alike.
     *
     * @throws IOException if it can't be read
     */
    public static FloatImage readColour(Path file) throws IOException {
        StoredImage stored = readStored(file);
        FloatImage image = stored.image();
        boolean isFloat = stored.samples().isFloat();
        int largest = isFloat ? 0 : (1 << stored.bits()) - 1;
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
                row[i] = c == alpha || isFloat ? v : linear[Math.round(v * largest)];
            }
            out.write(0, y, width, 1, row);
        }
        return out;
    }

    /**
     * Writes an image in the format that the ending names, whole or not at all.
     *
     * @param text keywords and values to be stored with it, in the map's order; give one that has a fixed order
     * @throws IllegalArgumentException                   if no format has the file's ending, or it has no such samples; nothing is written then
     * @throws IOException                                if it can't be written
     * @throws java.util.concurrent.CancellationException if the task was cancelled; nothing is left then
     */
    public static void write(FloatImage image, Path file, SampleFormat samples, Map<String, String> text, Task task) throws IOException {
        ImageFormat format = written(file);
        EncodedImage encoded = new EncodedImage(format, image, samples, text);
        AtomicFile.write(file, task, out -> encoded.write(out, task));
    }

    private static String names(Predicate<ImageFormat> which) {
        return FORMATS.stream().filter(which).map(f -> f.name() + " (." + String.join(", .", f.endings()) + ")")
                .collect(Collectors.joining(", "));
    }
}
