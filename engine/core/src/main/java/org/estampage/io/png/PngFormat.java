package org.estampage.io.png;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import org.estampage.image.FloatImage;
import org.estampage.io.format.ImageFormat;
import org.estampage.io.format.SampleFormat;
import org.estampage.io.format.StoredImage;
import org.estampage.task.Task;

/**
 * Portable Network Graphics: {@link PngReader} and {@link PngWriter} behind the contract of a format.
 *
 * @threads immutable
 * @source W3C Portable Network Graphics (Third Edition)
 */
public final class PngFormat implements ImageFormat {
    /** Creates the format; it has no state. */
    public PngFormat() {
    }

    @Override
    public String name() {
        return "PNG";
    }

    @Override
    public List<String> endings() {
        return List.of("png");
    }

    @Override
    public boolean recognises(byte[] head, long size) {
        return PngLayout.recognises(head);
    }

    @Override
    public List<SampleFormat> writes() {
        return List.of(SampleFormat.UNSIGNED_8, SampleFormat.UNSIGNED_16);
    }

    @Override
    public StoredImage read(Path file, Task task) throws IOException {
        return PngReader.read(file);
    }

    @Override
    public void write(FloatImage image, SampleFormat samples, Map<String, String> text, OutputStream out, Task task) throws IOException {
        checkWritten(samples);
        PngWriter.write(image, samples.bits(), text, out, task);
    }
}
