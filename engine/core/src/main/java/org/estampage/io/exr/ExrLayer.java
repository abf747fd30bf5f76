package org.estampage.io.exr;

import java.util.Objects;
import org.estampage.image.FloatImage;
import org.estampage.io.format.SampleFormat;

/**
 * One map of a file: its channels carry the layer's name before theirs, {@code normal.X}.
 *
 * @param name    the layer's name; empty for the channels without one, which every reader takes as the picture
 * @param image   raw values
 * @param samples {@link SampleFormat#HALF} or {@link SampleFormat#FLOAT}
 * @threads immutable by contract
 */
public record ExrLayer(String name, FloatImage image, SampleFormat samples) {
    /**
     * Checks the parts.
     *
     * @throws IllegalArgumentException if the samples are not floats
     */
    public ExrLayer {
        Objects.requireNonNull(image, "image");
        Objects.requireNonNull(name, "name");
        if (!samples.isFloat()) {
            throw new IllegalArgumentException("samples = " + samples + " must be " + SampleFormat.HALF + " or " + SampleFormat.FLOAT);
        }
    }
}
