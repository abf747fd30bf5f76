package org.estampage.maps;

import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.bake.Reduction;
import org.estampage.bake.SurfaceHits;
import org.estampage.bake.SurfaceMap;
import org.estampage.image.Encoding;
import org.estampage.image.Range;

/**
 * Which share of a texel met the high poly, by its samples; at a chart's border only a part of them can. It is not continued beyond the charts.
 *
 * @units 0 … 1
 * @threads immutable
 */
public final class CoverageMap implements SurfaceMap {
    private CoverageMap() {
    }

    /** Returns the map. */
    public static CoverageMap create() {
        return new CoverageMap();
    }

    /** Returns the console's call that makes this map. */
    @Override
    public String toString() {
        return MapCall.of("coverage").toString();
    }

    @Override
    public Optional<String> recipe() {
        return Optional.of(toString());
    }

    @Override
    public String name() {
        return "coverage";
    }

    @Override
    public MapFormat format() {
        return new MapFormat(Encoding.Kind.DATA, new RangeRule.Fixed(List.of(Range.UNIT)), List.of(0f), 8, false);
    }

    @Override
    public Reduction reduction() {
        return Reduction.FRACTION;
    }

    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        Arrays.fill(dest, 0, hits.size(), 1f);
    }
}
