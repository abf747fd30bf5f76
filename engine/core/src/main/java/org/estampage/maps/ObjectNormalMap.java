package org.estampage.maps;

import java.util.List;
import org.estampage.bake.BakeJob;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.bake.Reduction;
import org.estampage.bake.SurfaceHits;
import org.estampage.bake.SurfaceMap;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * The high poly's unit normal in object space.
 *
 * @space object
 * @threads immutable
 */
public final class ObjectNormalMap implements SurfaceMap {
    private final Textures detail;

    private ObjectNormalMap(Textures detail) {
        this.detail = detail;
    }

    /** Returns the map. */
    public static ObjectNormalMap create() {
        return new ObjectNormalMap(Textures.NONE);
    }

    /**
     * Returns the map to which a tangent-space normal map of the high poly's own adds, for all materials that have none of their own; nothing but the map
     * of normals sees it.
     *
     * @param image unit normals, green up, as {@code ImageFiles.readNormals} reads them; looked up through the high poly's first UV set and filtered as in
     *              {@link ColourMap}, and turned by its own tangents: MikkTSpace, where the mesh has none
     * @throws IllegalArgumentException if it isn't of normals
     */
    public ObjectNormalMap detail(FloatImage image) {
        return new ObjectNormalMap(detail.with(DetailNormals.checked(image)));
    }

    /**
     * Returns the map to which a normal map of one material adds.
     *
     * @param material the name that a high poly gives it
     * @param image    as for {@link #detail(FloatImage)}
     * @throws IllegalArgumentException if it isn't of normals
     */
    public ObjectNormalMap detail(String material, FloatImage image) {
        return new ObjectNormalMap(detail.with(material, DetailNormals.checked(image)));
    }

    /** Returns the console's call that makes this map. */
    @Override
    public String toString() {
        return detail.calls(MapCall.of("objectNormal"), "detail").toString();
    }

    @Override
    public String name() {
        return "object-normal";
    }

    @Override
    public SurfaceMap prepared(BakeJob job, List<Mesh> highs, Task task) {
        return detail.isEmpty() ? this : new Ready(this, new DetailNormals(name(), detail, job, highs, task));
    }

    @Override
    public MapFormat format() {
        return new MapFormat(Encoding.Kind.NORMAL, new RangeRule.Fixed(Encoding.normal().ranges()), List.of(0f, 0f, 0f), 16, true);
    }

    @Override
    public Reduction reduction() {
        return Reduction.NORMALISED_MEAN;
    }

    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        System.arraycopy(hits.highNormals, 0, dest, 0, 3 * hits.size());
    }

    /** The map with the high polys' own normal maps. */
    private static final class Ready extends ReadyMap {
        private final DetailNormals detail;

        Ready(ObjectNormalMap map, DetailNormals detail) {
            super(map);
            notice(detail.findings());
            this.detail = detail;
        }

        @Override
        public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
            float[] normal = new float[4];
            for (int s = 0; s < hits.size(); s++) {
                detail.write(hits, s, normal);
                float x = normal[0], y = normal[1], z = normal[2];
                float scale = (float) (1 / Math.sqrt((double) x * x + (double) y * y + (double) z * z));
                dest[3 * s] = scale * x;
                dest[3 * s + 1] = scale * y;
                dest[3 * s + 2] = scale * z;
            }
        }
    }
}
