package org.estampage.io.jpeg;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import org.estampage.image.FloatImage;
import org.estampage.io.format.ImageFormat;
import org.estampage.io.format.SampleFormat;
import org.estampage.io.format.StoredImage;
import org.estampage.io.shared.DecodedImage;
import org.estampage.task.Task;

/**
 * JPEG files, which are only read: they lose what a map carries.
 *
 * @threads immutable
 */
public final class JpegFormat implements ImageFormat {
    /**
     * No JPEG file holds more texels a byte: every 8 × 8 block of its finest component takes at least a bit for its mean, 512 texels a byte; twice
     * that for safety.
     */
    private static final long LARGEST_RATIO = 1024;

    /** Creates the format; it has no state. */
    public JpegFormat() {
    }

    @Override
    public String name() {
        return "JPEG";
    }

    @Override
    public List<String> endings() {
        return List.of("jpg", "jpeg");
    }

    @Override
    public boolean recognises(byte[] head, long size) {
        return head.length > 3 && head[0] == (byte) 0xff && head[1] == (byte) 0xd8 && head[2] == (byte) 0xff;
    }

    @Override
    public List<SampleFormat> writes() {
        return List.of();
    }

    @Override
    public StoredImage read(Path file, Task task) throws IOException {
        String name = String.valueOf(file.getFileName());
        byte[] bytes = Files.readAllBytes(file);
        FloatImage image = DecodedImage.floats(DecodedImage.of("jpeg", name, bytes, texels -> texels <= bytes.length * LARGEST_RATIO),
                true);
        return new StoredImage(image, SampleFormat.UNSIGNED_8, Map.of());
    }

    @Override
    public void write(FloatImage image, SampleFormat samples, Map<String, String> text, OutputStream out, Task task) {
        throw new IllegalArgumentException("JPEG files are only read: they lose what a map carries");
    }
}
