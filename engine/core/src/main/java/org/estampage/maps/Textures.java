package org.estampage.maps;

import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Objects;
import org.estampage.image.FloatImage;
import org.estampage.image.Pixels;
import org.estampage.mesh.MeshDigest;
import org.estampage.raster.UvTile;
import org.jspecify.annotations.Nullable;

/**
 * The images that a high poly wears through its own UVs.
 *
 * @param images in the order in which they were given
 * @threads immutable
 */
record Textures(Map<Place, FloatImage> images) {
    /**
     * Where an image is worn.
     *
     * @param material of triangles of this material; null for those whose material has none of its own
     * @param tile     where UVs lie in this unit square; null for all squares that have none of their own, where the image repeats
     */
    record Place(@Nullable String material, @Nullable UvTile tile) {
        private String text() {
            String name = material == null ? "" : '"' + material + "\", ";
            return name + (tile == null ? "" : tile.number() + ", ") + "…";
        }
    }

    static final Textures NONE = new Textures(Map.of());

    Textures {
        images = Collections.unmodifiableMap(new LinkedHashMap<>(images));
    }

    Textures with(@Nullable String material, @Nullable UvTile tile, FloatImage image) {
        Map<Place, FloatImage> more = new LinkedHashMap<>(images);
        more.put(new Place(material, tile), Objects.requireNonNull(image, "image"));
        return new Textures(more);
    }

    /** Goes on with the calls that give these images; what stands for an image is "…", as it has no text. */
    MapCall calls(MapCall call, String option) {
        images.keySet().forEach(place -> call.option(true, option, place.text()));
        return call;
    }

    /** Returns a map's text with the fingerprints of these images behind it: what its values hang on. */
    String recipe(String text) {
        StringBuilder recipe = new StringBuilder(text);
        images.values().forEach(
                image -> recipe.append(' ').append(image).append(image.encoding()).append(MeshDigest.sha256(Pixels.toFloats(image))));
        return recipe.toString();
    }

    /** Returns what the smaller levels of these images take: a quarter of the one before each, a third in all. */
    long levelBytes() {
        long bytes = 0;
        for (FloatImage image : images.values()) {
            bytes += FloatImage.bytes(image.width(), image.height(), image.channels()) / 3;
        }
        return bytes;
    }

    boolean isEmpty() {
        return images.isEmpty();
    }
}
