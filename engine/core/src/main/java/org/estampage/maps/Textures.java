package org.estampage.maps;

import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Objects;
import org.estampage.image.FloatImage;
import org.jspecify.annotations.Nullable;

/**
 * The images that a high poly wears through its own UVs.
 *
 * @param all        for triangles whose material has none of its own; null for none
 * @param ofMaterial by the material's name
 * @threads immutable
 */
record Textures(@Nullable FloatImage all, Map<String, FloatImage> ofMaterial) {
    static final Textures NONE = new Textures(null, Map.of());

    Textures {
        ofMaterial = java.util.Collections.unmodifiableMap(new LinkedHashMap<>(ofMaterial));
    }

    Textures with(FloatImage image) {
        return new Textures(Objects.requireNonNull(image, "image"), ofMaterial);
    }

    Textures with(String material, FloatImage image) {
        Map<String, FloatImage> more = new LinkedHashMap<>(ofMaterial);
        more.put(Objects.requireNonNull(material, "material"), Objects.requireNonNull(image, "image"));
        return new Textures(all, more);
    }

    /** Goes on with the calls that give these images; what stands for an image is "…", as it has no text. */
    MapCall calls(MapCall call, String option) {
        call.option(all != null, option, "…");
        ofMaterial.keySet().forEach(material -> call.option(true, option, '"' + material + '"', "…"));
        return call;
    }

    boolean isEmpty() {
        return all == null && ofMaterial.isEmpty();
    }
}
