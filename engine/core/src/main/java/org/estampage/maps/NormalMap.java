package org.estampage.maps;

import java.util.List;
import java.util.Optional;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.bake.SurfaceHits;
import org.estampage.image.Encoding;

/**
 * The high poly's normal in the tangent frame of the low poly: the normal through the inverse of exactly that frame, then unit length.
 *
 * @space tangent: +X along rising u, +Y along rising v, +Z out
 * @edge where the frame has no volume (UVs without area) the normal is taken as flat
 * @threads immutable
 */
public final class NormalMap extends DetailedNormals<NormalMap> {
    private final boolean greenDown;

    private NormalMap(boolean greenDown, Textures detail) {
        super(detail);
        this.greenDown = greenDown;
    }

    /** Returns the map with green up, as glTF 2.0 has it. */
    public static NormalMap create() {
        return new NormalMap(false, Textures.NONE);
    }

    /** Returns the map whose integer files store green against +Y; raw values stay the same. */
    public NormalMap greenDown() {
        return new NormalMap(true, detail());
    }

    @Override
    NormalMap with(Textures changed) {
        return new NormalMap(greenDown, changed);
    }

    /** Returns the console's call that makes this map. */
    @Override
    public String toString() {
        return detail().calls(MapCall.of("normal").option(greenDown, "greenDown"), "detail").toString();
    }

    @Override
    public Optional<String> recipe() {
        return Optional.of(detail().recipe(toString()));
    }

    @Override
    public String name() {
        return "normal";
    }

    @Override
    public MapFormat format() {
        Encoding encoding = greenDown ? Encoding.normalGreenDown() : Encoding.normal();
        return new MapFormat(Encoding.Kind.NORMAL, new RangeRule.Fixed(encoding.ranges()), List.of(0f, 0f, 1f), 16, true);
    }

    @Override
    void write(SurfaceHits hits, int s, float x, float y, float z, float[] dest) {
        TangentFrame.write(hits, 3 * s, x, y, z, dest);
    }

    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        for (int i = 0; i < 3 * hits.size(); i += 3) {
            TangentFrame.write(hits, i, hits.highNormals[i], hits.highNormals[i + 1], hits.highNormals[i + 2], dest);
        }
    }
}
