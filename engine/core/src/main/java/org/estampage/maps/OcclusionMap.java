package org.estampage.maps;

import java.util.List;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.bake.SurfaceHits;
import org.estampage.bake.SurfaceMap;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.HemisphereQuery.Distribution;
import org.estampage.image.Encoding;
import org.estampage.image.Range;

/**
 * Which share of the half space above the high poly is open.
 *
 * @units 0 … 1; 1 is open
 * @threads immutable
 */
public final class OcclusionMap implements SurfaceMap {
    private final HemisphereQuery query;

    private OcclusionMap(HemisphereQuery query) {
        this.query = query;
    }

    /**
     * Returns the map with so many rays a texel, weighted by the cosine, of unlimited reach.
     *
     * @throws IllegalArgumentException if {@code raysPerTexel} is not 1 … 65536
     */
    public static OcclusionMap create(int raysPerTexel) {
        return new OcclusionMap(new HemisphereQuery(Distribution.COSINE, raysPerTexel, Float.POSITIVE_INFINITY));
    }

    /**
     * Returns the map in which only what is nearer than {@code length} occludes.
     *
     * @throws IllegalArgumentException if it is not positive
     */
    public OcclusionMap reach(double length) {
        return new OcclusionMap(query.upTo((float) length));
    }

    /** Returns the map in which every direction weighs the same. */
    public OcclusionMap uniform() {
        return new OcclusionMap(query.spread(Distribution.UNIFORM));
    }

    @Override
    public String name() {
        return "occlusion";
    }

    @Override
    public MapFormat format() {
        return new MapFormat(Encoding.Kind.DATA, new RangeRule.Fixed(List.of(Range.UNIT)), List.of(1f), 8, true);
    }

    @Override
    public List<HemisphereQuery> queries() {
        return List.of(query);
    }

    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        HemisphereAnswers.Sums sums = answers.of(0);
        for (int s = 0; s < hits.size(); s++) {
            dest[s] = sums.rays[s] == 0 ? 1f : (float) sums.open[s] / sums.rays[s];
        }
    }
}
