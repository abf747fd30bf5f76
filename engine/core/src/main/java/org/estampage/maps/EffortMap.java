package org.estampage.maps;

import java.util.List;
import java.util.Optional;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.bake.Reduction;
import org.estampage.bake.SurfaceHits;
import org.estampage.bake.SurfaceMap;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.image.Encoding;

/**
 * What another map's rays came to: how many each texel got, or which standard error that leaves. It shares the other's rays.
 *
 * @units rays a texel; or the standard error of openness, 0 … 1
 * @threads immutable
 */
public final class EffortMap implements SurfaceMap {
    private final OpennessMap<?> map;
    private final String name;
    private final boolean error;

    private EffortMap(OpennessMap<?> map, String ending, boolean error) {
        this.map = map;
        name = map.name() + ending;
        this.error = error;
    }

    /** Returns the map of how many rays the texels of {@code map} got, named after it: {@code occlusion-rays}. */
    public static EffortMap rays(OpennessMap<?> map) {
        return new EffortMap(map, "-rays", false);
    }

    /** Returns the map of the standard error to expect in the texels of {@code map}, named after it: {@code occlusion-error}. */
    public static EffortMap error(OpennessMap<?> map) {
        return new EffortMap(map, "-error", true);
    }

    /** Returns the console's call that makes this map. */
    @Override
    public String toString() {
        return MapCall.of(error ? "errorOf" : "raysOf", map).toString();
    }

    @Override
    public Optional<String> recipe() {
        return Optional.of(toString());
    }

    @Override
    public String name() {
        return name;
    }

    @Override
    public MapFormat format() {
        return new MapFormat(Encoding.Kind.DATA, new RangeRule.Largest(), List.of(0f), 16, false);
    }

    @Override
    public List<HemisphereQuery> queries() {
        return List.of(map.query());
    }

    /** Returns that of a texel's samples, which all say the same, one is taken: a count is not to be mixed with the neighbours'. */
    @Override
    public Reduction reduction() {
        return Reduction.MAJORITY;
    }

    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        HemisphereAnswers.Sums sums = answers.of(0);
        for (int s = 0; s < hits.size(); s++) {
            dest[s] = error ? (float) sums.errorOfTexel(s) : sums.raysOfTexel[s];
        }
    }
}
