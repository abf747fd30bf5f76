package org.estampage.io.format;

import java.io.IOException;
import java.io.OutputStream;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Objects;
import org.estampage.image.FloatImage;
import org.estampage.task.Task;

/**
 * An image on its way into a file, with all that reaches the file's bytes.
 *
 * @param format  the file's format
 * @param image   the image
 * @param samples how its numbers are stored
 * @param text    what is written beside them, in this order
 * @threads immutable, as long as nobody writes into the image
 */
public record EncodedImage(ImageFormat format, FloatImage image, SampleFormat samples, Map<String, String> text) {
    /** Copies the map; its order is kept. */
    public EncodedImage {
        Objects.requireNonNull(format, "format");
        Objects.requireNonNull(image, "image");
        Objects.requireNonNull(samples, "samples");
        text = Collections.unmodifiableMap(new LinkedHashMap<>(text));
    }

    /**
     * Writes the file's bytes, from before where the task recalls them.
     *
     * @throws IOException              if writing fails
     * @throws IllegalArgumentException if the format doesn't have such samples
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public void write(OutputStream out, Task task) throws IOException {
        task.check();
        task.recall().write(this, out, to -> format.write(image, samples, text, to, task));
    }
}
