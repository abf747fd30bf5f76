package org.estampage.material;

import org.estampage.image.FloatImage;
import org.estampage.image.ImageSource;

/** An image that can be made at any size. What combines it with another image asks for that one's size, so that nothing is resampled twice. */
public interface ScalableImage extends ImageSource {
    /**
     * Returns the image at a size.
     *
     * @throws IllegalArgumentException if a side is below 1 or the area above 2³¹ − 1 texels
     */
    FloatImage build(int width, int height);
}
