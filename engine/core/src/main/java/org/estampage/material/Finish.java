package org.estampage.material;

import java.util.Objects;
import org.estampage.image.FloatImage;

/**
 * The images of a finished material, all of one size.
 *
 * @param baseColour linear colour, 3 channels
 * @param roughness  0 … 1, one channel
 * @param metal      0 … 1, one channel
 * @param normal     tangent-space normals
 * @param height     one channel
 * @param occlusion  1 is open, one channel
 * @threads immutable as long as nobody writes the images
 */
public record Finish(FloatImage baseColour, FloatImage roughness, FloatImage metal, FloatImage normal, FloatImage height,
        FloatImage occlusion) {
    /** Checks that nothing is null. */
    public Finish {
        Objects.requireNonNull(baseColour, "baseColour");
        Objects.requireNonNull(roughness, "roughness");
        Objects.requireNonNull(metal, "metal");
        Objects.requireNonNull(normal, "normal");
        Objects.requireNonNull(height, "height");
        Objects.requireNonNull(occlusion, "occlusion");
    }

    /** Returns occlusion in red, roughness in green, metal in blue, as glTF 2.0 reads them. */
    public ChannelPack occlusionRoughnessMetal() {
        return ChannelPack.occlusionRoughnessMetal(occlusion, roughness, metal);
    }
}
