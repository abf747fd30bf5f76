package org.estampage.maps;

import java.util.Objects;
import java.util.stream.LongStream;
import org.estampage.bake.BakeJob;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.Preparation;
import org.estampage.bake.Reduction;
import org.estampage.bake.SurfaceHits;
import org.estampage.bake.SurfaceMap;
import org.estampage.image.FloatImage;
import org.estampage.raster.UvTile;

/**
 * A map of the high poly's normals, to which normal maps of the high poly's own can add. Maps of one job with the same ones share what they look up.
 *
 * @param <M> the map itself, which its options return
 * @threads immutable
 */
public abstract sealed class DetailedNormals<M extends DetailedNormals<M>> implements SurfaceMap permits NormalMap, ObjectNormalMap {
    /** A tangent of four numbers for about every sixth corner, and its number for each. */
    private static final int TANGENT_BYTES = 8;
    /** What making them takes a corner: six numbers. */
    private static final int MAKING_TANGENTS_BYTES = 24;

    private final Textures detail;

    DetailedNormals(Textures detail) {
        this.detail = detail;
    }

    /** Returns this map with other normal maps. */
    abstract M with(Textures changed);

    /**
     * Writes the unit vector that stands for a normal.
     *
     * @param x    first coordinate of the normal, of any length, in object space
     * @param dest xyz at 3 · {@code s}
     */
    abstract void write(SurfaceHits hits, int s, float x, float y, float z, float[] dest);

    /**
     * Returns the map to which a tangent-space normal map of the high poly's own adds, for all materials that have none of their own; nothing but the map
     * of normals sees it.
     *
     * @param image unit normals, green up, as {@code ImageFiles.readNormals} reads them; looked up through the high poly's first UV set and filtered as in
     *              {@link ColourMap}, and turned by its own tangents: MikkTSpace, where the mesh has none
     * @throws IllegalArgumentException if it isn't of normals
     */
    public M detail(FloatImage image) {
        return with(detail.with(null, null, DetailNormals.checked(image)));
    }

    /**
     * Returns the map to which a normal map of one material adds.
     *
     * @param material the name that a high poly gives it
     * @param image    as for {@link #detail(FloatImage)}
     * @throws IllegalArgumentException if it isn't of normals
     */
    public M detail(String material, FloatImage image) {
        return with(detail.with(Objects.requireNonNull(material, "material"), null, DetailNormals.checked(image)));
    }

    /**
     * Returns the map to which a normal map of one UDIM tile of the high poly's UVs adds.
     *
     * @param tile  the tile's number, 1001 for the square from 0 to 1
     * @param image as for {@link #detail(FloatImage)}
     * @throws IllegalArgumentException if it isn't of normals, or there is no such tile
     */
    public M detail(int tile, FloatImage image) {
        return with(detail.with(null, UvTile.of(tile), DetailNormals.checked(image)));
    }

    /**
     * Returns the map to which a normal map of one material on one UDIM tile adds.
     *
     * @param material the name that a high poly gives it
     * @param tile     as for {@link #detail(int, FloatImage)}
     * @param image    as for {@link #detail(FloatImage)}
     * @throws IllegalArgumentException if it isn't of normals, or there is no such tile
     */
    public M detail(String material, int tile, FloatImage image) {
        return with(detail.with(Objects.requireNonNull(material, "material"), UvTile.of(tile), DetailNormals.checked(image)));
    }

    /** The images' smaller levels, and the tangents of meshes that have none. */
    @Override
    public long readyBytes(BakeJob job) {
        return detail.levelBytes() + TANGENT_BYTES * tangentCorners(job).sum();
    }

    @Override
    public long preparingBytes(BakeJob job) {
        return readyBytes(job) + MAKING_TANGENTS_BYTES * tangentCorners(job).max().orElse(0);
    }

    /** Returns how many corners the meshes have each whose tangents are to be made. */
    private LongStream tangentCorners(BakeJob job) {
        return job.highs().stream().filter(high -> !detail.isEmpty() && !high.uvSets().isEmpty() && high.tangents().isEmpty())
                .mapToLong(high -> high.positionIndices().length);
    }

    Textures detail() {
        return detail;
    }

    @Override
    public SurfaceMap prepared(Preparation preparation) {
        return detail.isEmpty() ? this : new Ready(this, new DetailNormals(name(), detail, preparation));
    }

    @Override
    public Reduction reduction() {
        return Reduction.NORMALISED_MEAN;
    }

    /** The map with the high polys' own normal maps. */
    private static final class Ready extends ReadyMap {
        private final DetailedNormals<?> map;
        private final DetailNormals detail;

        Ready(DetailedNormals<?> map, DetailNormals detail) {
            super(map);
            notice(detail.findings());
            this.map = map;
            this.detail = detail;
        }

        @Override
        public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
            float[] normal = new float[4];
            for (int s = 0; s < hits.size(); s++) {
                detail.write(hits, s, normal);
                map.write(hits, s, normal[0], normal[1], normal[2], dest);
            }
        }
    }
}
