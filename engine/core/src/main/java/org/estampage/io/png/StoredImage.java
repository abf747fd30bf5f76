package org.estampage.io.png;

import java.util.Map;
import org.estampage.image.FloatImage;

/**
 * An image file as it stands there.
 *
 * @param image stored values, 0 … 1
 * @param bits  bits a channel in the file
 * @param text  its text entries, in the file's order
 * @threads immutable by contract
 */
public record StoredImage(FloatImage image, int bits, Map<String, String> text) {
}
