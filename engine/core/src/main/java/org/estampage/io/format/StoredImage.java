package org.estampage.io.format;

import java.util.Map;
import org.estampage.image.FloatImage;

/**
 * An image file as it stands there.
 *
 * @param image   of whole numbers the stored values, 0 … 1; of floats the values as they are
 * @param samples how the file holds them
 * @param text    its text entries, in the file's order
 * @threads immutable by contract
 */
public record StoredImage(FloatImage image, SampleFormat samples, Map<String, String> text) {
    /** Returns the bits a channel in the file. */
    public int bits() {
        return samples.bits();
    }
}
