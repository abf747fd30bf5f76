package org.estampage.maps;

import java.util.Objects;
import org.estampage.bake.BakeJob;
import org.estampage.bake.SurfaceMap;
import org.estampage.image.FloatImage;
import org.estampage.mesh.Mesh;
import org.estampage.raster.UvTile;

/**
 * A map that takes images which the high poly wears through its first UV set.
 *
 * <p>Of several that fit, the one of the material and the tile counts, then that of the material, then that of the tile, then that for all.
 *
 * @param <M> the map itself, which its options return
 * @threads immutable
 */
public abstract sealed class TexturedMap<M extends TexturedMap<M>> implements SurfaceMap permits ColourMap, OpacityMap {
    private final Textures textures;

    TexturedMap(Textures textures) {
        this.textures = textures;
    }

    /** Returns this map with other textures. */
    abstract M with(Textures changed);

    /**
     * Checks an image.
     *
     * @throws IllegalArgumentException if it isn't of the kind that the map is made of
     */
    abstract FloatImage checked(FloatImage image);

    /**
     * Returns the map with a texture for all materials that have none of their own.
     *
     * @param image what the map is made of, see its class; v = 0 is its lower edge; it repeats
     * @throws IllegalArgumentException if it isn't of that kind
     */
    public M texture(FloatImage image) {
        return with(textures.with(null, null, checked(image)));
    }

    /**
     * Returns the map with a texture for one material.
     *
     * @param material the name that a high poly gives it
     * @param image    as for {@link #texture(FloatImage)}
     * @throws IllegalArgumentException if it isn't of that kind
     */
    public M texture(String material, FloatImage image) {
        return with(textures.with(Objects.requireNonNull(material, "material"), null, checked(image)));
    }

    /**
     * Returns the map with a texture for one UDIM tile of the high poly's UVs. It fills that tile alone: at its sides nothing of the opposite one is seen.
     *
     * @param tile  the tile's number, 1001 for the square from 0 to 1
     * @param image as for {@link #texture(FloatImage)}
     * @throws IllegalArgumentException if it isn't of that kind, or there is no such tile
     */
    public M texture(int tile, FloatImage image) {
        return with(textures.with(null, UvTile.of(tile), checked(image)));
    }

    /**
     * Returns the map with a texture for one material on one UDIM tile.
     *
     * @param material the name that a high poly gives it
     * @param tile     as for {@link #texture(int, FloatImage)}
     * @param image    as for {@link #texture(FloatImage)}
     * @throws IllegalArgumentException if it isn't of that kind, or there is no such tile
     */
    public M texture(String material, int tile, FloatImage image) {
        return with(textures.with(Objects.requireNonNull(material, "material"), UvTile.of(tile), checked(image)));
    }

    /** The textures' smaller levels, and of meshes with painted vertices the colours in linear light. */
    @Override
    public long readyBytes(BakeJob job) {
        long colours = 0;
        for (Mesh high : job.highs()) {
            colours += high.colourSets().isEmpty() ? 0 : 3L * high.colourSets().get(0).count();
        }
        return textures.levelBytes() + Float.BYTES * colours;
    }

    Textures textures() {
        return textures;
    }
}
