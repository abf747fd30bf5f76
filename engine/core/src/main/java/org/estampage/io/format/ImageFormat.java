package org.estampage.io.format;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import org.estampage.image.FloatImage;
import org.estampage.task.Task;

/**
 * A file format that images are read from and, where {@link #writes} names any samples, written to. A new format is one class that implements
 * this, and one entry in {@link org.estampage.io.ImageFiles}.
 *
 * @threads implementations are stateless and safe for concurrent calls
 */
public interface ImageFormat {
    /** The number of bytes that {@link #recognises} is given, when the file has so many. */
    int HEAD_LENGTH = 64;

    /** Returns the format's short name, such as {@code PNG}. */
    String name();

    /** Returns the file endings, lower case without the dot; the first one is the usual one. */
    List<String> endings();

    /**
     * Returns whether a file is of this format by what it holds, whatever it is called.
     *
     * @param head the file's first bytes, at most {@value #HEAD_LENGTH}; not to be changed
     * @param size the file's size
     */
    boolean recognises(byte[] head, long size);

    /** Returns the samples that are written; none for a format that is only read. */
    List<SampleFormat> writes();

    /**
     * Returns when such samples are written; for the beginning of {@link #write}.
     *
     * @throws IllegalArgumentException if they are none of {@link #writes}
     */
    default void checkWritten(SampleFormat samples) {
        if (!writes().contains(samples)) {
            throw new IllegalArgumentException("samples = " + samples + " must be of " + writes());
        }
    }

    /**
     * Reads an image: of whole numbers the stored values 0 … 1 without any colour conversion, of floats the values as they are.
     *
     * @throws FormatException                            if the file holds something that the format does not allow
     * @throws IOException                                if it is missing or can't be read
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    StoredImage read(Path file, Task task) throws IOException;

    /**
     * Writes an image: to whole numbers encoded as its {@link FloatImage#encoding} says, to floats raw. Colour is tagged as such, data carries no
     * colour tag.
     *
     * @param text keywords and values to be stored with it, in the map's order; give one that has a fixed order
     * @param out  neither flushed nor closed
     * @throws IllegalArgumentException                   if the samples are none of {@link #writes}, or the format can't hold such an image
     * @throws IOException                                if {@code out} fails
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    void write(FloatImage image, SampleFormat samples, Map<String, String> text, OutputStream out, Task task) throws IOException;
}
