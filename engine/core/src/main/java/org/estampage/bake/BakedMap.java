package org.estampage.bake;

import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.Map;
import org.estampage.image.FloatImage;

/**
 * One map of a result: raw values whose encoding has its final range.
 *
 * @param name    the map's name
 * @param image   raw values
 * @param bits    the usual depth of integer files
 * @param tangentSpace whether the channels are a vector in the low poly's tangent frame, so that their green has a direction
 * @param details what a reader of its files must know beside the range, by name, in order
 * @threads immutable by contract
 */
public record BakedMap(String name, FloatImage image, int bits, boolean tangentSpace, Map<String, String> details) {
    /** Copies the details. */
    public BakedMap {
        details = Collections.unmodifiableMap(new LinkedHashMap<>(details));
    }
}
