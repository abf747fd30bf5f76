package org.estampage.io.exr;

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
 * OpenEXR: {@link ExrReader} and {@link ExrWriter} behind the contract of a format, for files of one picture.
 *
 * @edge of a file with several layers the channels without a layer's name are read, else its first layer
 * @threads immutable
 * @source OpenEXR File Layout (Academy Software Foundation)
 */
public final class ExrFormat implements ImageFormat {
    /** Creates the format; it has no state. */
    public ExrFormat() {
    }

    @Override
    public String name() {
        return "EXR";
    }

    @Override
    public List<String> endings() {
        return List.of("exr");
    }

    @Override
    public boolean recognises(byte[] head, long size) {
        return ExrHeader.recognises(head);
    }

    @Override
    public List<SampleFormat> writes() {
        return List.of(SampleFormat.HALF, SampleFormat.FLOAT);
    }

    @Override
    public StoredImage read(Path file, Task task) throws IOException {
        ExrLayers read = ExrReader.readFirst(file, task);
        ExrLayer first = read.layers().getFirst();
        return new StoredImage(first.image(), first.samples(), read.text());
    }

    @Override
    public void write(FloatImage image, SampleFormat samples, Map<String, String> text, OutputStream out, Task task) throws IOException {
        ExrWriter.write(List.of(new ExrLayer("", image, samples)), text, out, task);
    }
}
