package org.estampage.io.tga;

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
 * TGA files. Written are 1, 3 or 4 channels of 8 bits, run-length encoded where that is smaller, with the footer and extension area of version 2.0; texts
 * go into the developer area. Read are grey, colour and palettes, whole or run-length encoded, from any corner, 15, 16, 24 and 32 bits a texel.
 *
 * <p>Such files have no mark at their beginning, so they are known by their ending alone.
 *
 * @edge colours of 5 bits a channel come as 0 … 31 over 31, told as 8 bits; a fourth channel whose bits the header does not name is left out
 * @threads immutable
 * @cost the whole file in memory
 * @source Truevision, TGA File Format Specification, version 2.0, 1991 (from memory, checked against an independent reader and writer)
 */
public final class TgaFormat implements ImageFormat {
    /** Creates the format; it has no state. */
    public TgaFormat() {
    }

    @Override
    public String name() {
        return "TGA";
    }

    @Override
    public List<String> endings() {
        return List.of("tga");
    }

    /** Returns false: there is no mark to tell by. */
    @Override
    public boolean recognises(byte[] head, long size) {
        return false;
    }

    @Override
    public List<SampleFormat> writes() {
        return List.of(SampleFormat.UNSIGNED_8);
    }

    @Override
    public StoredImage read(Path file, Task task) throws IOException {
        String name = FileSource.name(file);
        if (Files.size(file) > Integer.MAX_VALUE - 64) { // the longest array
            throw FormatException.ofFile(name, "takes more than 2 GiB, which is not read: export it as PNG");
        }
        return new TgaReader(name, Files.readAllBytes(file)).read(task);
    }

    /**
     * {@inheritDoc}
     *
     * @throws IllegalArgumentException also if the image has two channels or a side above 65535, or a keyword holds a colon or a line break, or a text a line
     *                                  break
     */
    @Override
    public void write(FloatImage image, SampleFormat samples, Map<String, String> text, OutputStream out, Task task) throws IOException {
        Objects.requireNonNull(out, "out");
        Objects.requireNonNull(task, "task");
        checkWritten(samples);
        new TgaWriter(image, text).write(out, task);
    }
}
