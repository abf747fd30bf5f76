package org.estampage.mesh;

import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Objects;

/**
 * A material as a file described it.
 *
 * @param name       the name that faces refer to
 * @param red        linear base colour, 0…1
 * @param green      linear base colour, 0…1
 * @param blue       linear base colour, 0…1
 * @param opacity    1 is opaque
 * @param textures   file names or addresses as the file gives them, by what they are for: {@code base-colour}, {@code normal}, {@code opacity} …
 * @param statements lines that we do not interpret, by their keyword, to be written out again
 * @threads immutable
 */
public record Material(String name, float red, float green, float blue, float opacity, Map<String, String> textures,
        Map<String, String> statements) {
    /** Copies the maps; their order is kept. */
    public Material {
        Objects.requireNonNull(name, "name");
        textures = java.util.Collections.unmodifiableMap(new LinkedHashMap<>(textures));
        statements = java.util.Collections.unmodifiableMap(new LinkedHashMap<>(statements));
    }

    /** Returns a light grey, opaque material of which only the name is known. */
    public static Material named(String name) {
        return new Material(name, 0.8f, 0.8f, 0.8f, 1, Map.of(), Map.of());
    }
}
