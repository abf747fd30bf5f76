package org.estampage.io.exr;

import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

/**
 * The layers of a file.
 *
 * @param layers the layer without a name first, if there is one; the others in the order of their names
 * @param text   the file's text attributes, in its order
 * @threads immutable by contract
 */
public record ExrLayers(List<ExrLayer> layers, Map<String, String> text) {
    /** Copies both. */
    public ExrLayers {
        layers = List.copyOf(layers);
        text = Collections.unmodifiableMap(new LinkedHashMap<>(text));
    }

    /** Returns the layer of a name; empty if there is none. */
    public Optional<ExrLayer> layer(String name) {
        return layers.stream().filter(layer -> layer.name().equals(name)).findFirst();
    }
}
