package org.estampage.maps;

import java.util.List;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.bake.Reduction;
import org.estampage.bake.SurfaceHits;
import org.estampage.bake.SurfaceMap;
import org.estampage.image.Encoding;

/**
 * The high poly's unit normal in object space.
 *
 * @space object
 * @threads immutable
 */
public final class ObjectNormalMap implements SurfaceMap {
    private ObjectNormalMap() {
    }

    /** Returns the map. */
    public static ObjectNormalMap create() {
        return new ObjectNormalMap();
    }

    @Override
    public String name() {
        return "object-normal";
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
}
