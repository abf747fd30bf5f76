package org.estampage.io.exr;

import java.nio.charset.StandardCharsets;
import java.util.Arrays;

/**
 * A channel of a file.
 *
 * @param name its whole name, with its layer's: {@code normal.X}
 * @param type how its samples are stored
 */
record Channel(String name, PixelType type) {
    /** Returns the order that a file demands: by the names' bytes. */
    static int compareNames(String a, String b) {
        return Arrays.compareUnsigned(a.getBytes(StandardCharsets.UTF_8), b.getBytes(StandardCharsets.UTF_8));
    }
}
