package org.estampage.maps;

import java.util.List;
import java.util.Optional;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.bake.SurfaceHits;
import org.estampage.image.Encoding;

/**
 * The high poly's unit normal in object space.
 *
 * @space object
 * @threads immutable
 */
public final class ObjectNormalMap extends DetailedNormals<ObjectNormalMap> {

    private ObjectNormalMap(Textures detail) {
        super(detail);
    }

    /** Returns the map. */
    public static ObjectNormalMap create() {
        return new ObjectNormalMap(Textures.NONE);
    }

    @Override
    ObjectNormalMap with(Textures changed) {
        return new ObjectNormalMap(changed);
    }

    /** Returns the console's call that makes this map. */
    @Override
    public String toString() {
        return detail().calls(MapCall.of("objectNormal"), "detail").toString();
    }

    @Override
    public Optional<String> recipe() {
        return Optional.of(detail().recipe(toString()));
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
    void write(SurfaceHits hits, int s, float x, float y, float z, float[] dest) {
        float scale = (float) (1 / Math.sqrt((double) x * x + (double) y * y + (double) z * z));
        dest[3 * s] = scale * x;
        dest[3 * s + 1] = scale * y;
        dest[3 * s + 2] = scale * z;
    }

    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        System.arraycopy(hits.highNormals, 0, dest, 0, 3 * hits.size());
    }
}
