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
 * The high poly's normal in the tangent frame of the low poly: the normal through the inverse of exactly that frame, then unit length.
 *
 * @space tangent: +X along rising u, +Y along rising v, +Z out
 * @edge where the frame has no volume (UVs without area) the normal is taken as flat
 * @threads immutable
 */
public final class NormalMap implements SurfaceMap {
    private final boolean greenDown;
    private final Textures detail;

    private NormalMap(boolean greenDown, Textures detail) {
        this.greenDown = greenDown;
        this.detail = detail;
    }

    /** Returns the map with green up, as glTF 2.0 has it. */
    public static NormalMap create() {
        return new NormalMap(false, Textures.NONE);
    }

    /** Returns the map whose integer files store green against +Y; raw values stay the same. */
    public NormalMap greenDown() {
        return new NormalMap(true, detail);
    }

    /**
     * Returns the map to which a tangent-space normal map of the high poly's own adds, for all materials that have none of their own; nothing but the map
     * of normals sees it.
     *
     * @param image unit normals, green up, as {@code ImageFiles.readNormals} reads them; looked up through the high poly's first UV set and filtered as in
     *              {@link ColourMap}, and turned by its own tangents: MikkTSpace, where the mesh has none
     * @throws IllegalArgumentException if it isn't of normals
     */
    public NormalMap detail(FloatImage image) {
        return new NormalMap(greenDown, detail.with(DetailNormals.checked(image)));
    }

    /**
     * Returns the map to which a normal map of one material adds.
     *
     * @param material the name that a high poly gives it
     * @param image    as for {@link #detail(FloatImage)}
     * @throws IllegalArgumentException if it isn't of normals
     */
    public NormalMap detail(String material, FloatImage image) {
        return new NormalMap(greenDown, detail.with(material, DetailNormals.checked(image)));
    }

    /** Returns the console's call that makes this map. */
    @Override
    public String toString() {
        return detail.calls(MapCall.of("normal").option(greenDown, "greenDown"), "detail").toString();
    }

    @Override
    public String name() {
        return "normal";
    }

    @Override
    public SurfaceMap prepared(BakeJob job, List<Mesh> highs, Task task) {
        return detail.isEmpty() ? this : new Ready(this, new DetailNormals(name(), detail, job, highs, task));
    }

    @Override
    public MapFormat format() {
        Encoding encoding = greenDown ? Encoding.normalGreenDown() : Encoding.normal();
        return new MapFormat(Encoding.Kind.NORMAL, new RangeRule.Fixed(encoding.ranges()), List.of(0f, 0f, 1f), 16, true);
    }

    @Override
    public Reduction reduction() {
        return Reduction.NORMALISED_MEAN;
    }

    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        for (int i = 0; i < 3 * hits.size(); i += 3) {
            TangentFrame.write(hits, i, hits.highNormals[i], hits.highNormals[i + 1], hits.highNormals[i + 2], dest);
        }
    }

    /** The map with the high polys' own normal maps. */
    private static final class Ready extends ReadyMap {
        private final DetailNormals detail;

        Ready(NormalMap map, DetailNormals detail) {
            super(map);
            notice(detail.findings());
            this.detail = detail;
        }

        @Override
        public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
            float[] normal = new float[4];
            for (int s = 0; s < hits.size(); s++) {
                detail.write(hits, s, normal);
                TangentFrame.write(hits, 3 * s, normal[0], normal[1], normal[2], dest);
            }
        }
    }
}
