package org.estampage.io.tiff;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import org.estampage.image.FloatImage;
import org.estampage.io.format.FormatException;
import org.estampage.io.format.ImageFormat;
import org.estampage.io.format.SampleFormat;
import org.estampage.io.format.StoredImage;
import org.estampage.io.shared.FileSource;
import org.estampage.task.Task;

/**
 * Tagged Image File Format: whole numbers of 8 and 16 bits and floats of 32, 1 channel as grey, 2 as grey with another, 3 as RGB, 4 as RGB with
 * another.
 *
 * <p>Written are strips, deflated, of differences: of samples for whole numbers, of bytes by significance for floats. Colours in whole numbers with
 * three channels or four carry the JDK's sRGB profile and say that a fourth is alpha; data carry no profile, and a fourth channel is just another.
 * Texts are lines {@code keyword: text} of the image's description in UTF-8; {@code Software} has a tag of its own.
 *
 * <p>Read are strips and tiles, plain, deflated, LZW or PackBits, either byte order, channels side by side or apart, floats of 16 bits too; what
 * else there is (palettes, fax, JPEG) as far as the JDK reads it. Of several images in a file it is the first.
 *
 * @edge BigTIFF, more than four channels and pictures stored turned are refused
 * @threads immutable; strips are deflated in the caller's fork-join pool, else in the common one, with the same bytes for any number of threads
 * @cost writing holds the compressed file in memory, reading the whole file
 * @source Adobe, TIFF Revision 6.0, 1992; TIFF Technical Note 3, 2005
 */
public final class TiffFormat implements ImageFormat {
    /** Creates the format; it has no state. */
    public TiffFormat() {
    }

    @Override
    public String name() {
        return "TIFF";
    }

    @Override
    public List<String> endings() {
        return List.of("tif", "tiff");
    }

    @Override
    public boolean recognises(byte[] head, long size) {
        return TiffLayout.recognises(head);
    }

    @Override
    public List<SampleFormat> writes() {
        return List.of(SampleFormat.UNSIGNED_8, SampleFormat.UNSIGNED_16, SampleFormat.FLOAT);
    }

    @Override
    public StoredImage read(Path file, Task task) throws IOException {
        String name = FileSource.name(file);
        if (Files.size(file) > Integer.MAX_VALUE - 64) { // the longest array
            throw FormatException.ofFile(name, "takes more than 2 GiB, which is not read: export it as EXR, or smaller");
        }
        byte[] bytes = Files.readAllBytes(file);
        if (!TiffLayout.recognises(bytes)) {
            throw FormatException.ofFile(name,
                    "does not begin as a TIFF file does: export it again as TIFF, or give it the ending of what it is");
        }
        return TiffReader.read(name, bytes, task);
    }

    /**
     * {@inheritDoc}
     *
     * @throws IllegalArgumentException also if the image would take 4 GiB, or a text holds what a description can't
     */
    @Override
    public void write(FloatImage image, SampleFormat samples, Map<String, String> text, OutputStream out, Task task) throws IOException {
        Objects.requireNonNull(out, "out");
        Objects.requireNonNull(task, "task");
        checkWritten(samples);
        TiffText.check(text);
        new TiffWriter(image, samples).write(text, out, task);
    }
}
