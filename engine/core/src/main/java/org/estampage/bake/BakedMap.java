package org.estampage.bake;

import org.estampage.image.FloatImage;

/**
 * One map of a result: raw values whose encoding has its final range.
 *
 * @param name  the map's name
 * @param image raw values
 * @param bits  the usual depth of integer files
 * @threads immutable by contract
 */
public record BakedMap(String name, FloatImage image, int bits) {
}
