package org.estampage.maps;

import java.util.List;
import java.util.Optional;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.bake.SurfaceHits;
import org.estampage.bake.SurfaceMap;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.HemisphereQuery.Distribution;
import org.estampage.image.Encoding;

/**
 * How far it is through the high poly to its other side: the mean distance of what rays first meet that go inwards from the hit.
 *
 * @units mesh units; counted from where rays start, a few units of rounding below the surface
 * @edge rays that meet nothing, through holes and open borders: left out of the mean, and where all do the thickness is 0; with a reach they count as
 *       long as it is
 * @threads immutable
 */
public final class ThicknessMap implements SurfaceMap {
    private final HemisphereQuery query;

    private ThicknessMap(HemisphereQuery query) {
        this.query = query;
    }

    /**
     * Returns the map with so many rays a texel over the whole inner half space, weighted by the cosine, of unlimited reach.
     *
     * @throws IllegalArgumentException if {@code raysPerTexel} is not 1 … 65536
     */
    public static ThicknessMap create(int raysPerTexel) {
        return new ThicknessMap(new HemisphereQuery(Distribution.COSINE, raysPerTexel, Float.POSITIVE_INFINITY).inside().measured());
    }

    /**
     * Returns the map whose rays keep within a cone about the way straight in.
     *
     * @param halfAngle degrees between that way and the cone's side
     * @throws IllegalArgumentException if it is not above 0 and at most 90
     */
    public ThicknessMap cone(double halfAngle) {
        return new ThicknessMap(query.within(halfAngle));
    }

    /** Returns the map in which every direction weighs the same, in place of the cosine. */
    public ThicknessMap uniform() {
        return new ThicknessMap(query.spread(Distribution.UNIFORM));
    }

    /**
     * Returns the map in which no ray counts as longer than {@code length}, in mesh units.
     *
     * @throws IllegalArgumentException if it is not positive
     */
    public ThicknessMap reach(double length) {
        return new ThicknessMap(query.upTo((float) length));
    }

    /** Returns the map in which rays only meet the parts that the low poly's part is paired with; for jobs that are paired by name. */
    public ThicknessMap ownPart() {
        return new ThicknessMap(query.byOwnPart());
    }

    /** Returns the console's call that makes this map. */
    @Override
    public String toString() {
        return MapCall.of("thickness", query.raysPerTexel()).option(query.halfAngle() < 90, "cone", query.halfAngle())
                .option(query.distribution() == Distribution.UNIFORM, "uniform")
                .option(query.reach() < Float.POSITIVE_INFINITY, "reach", query.reach()).option(query.ownPart(), "ownPart")
                .toString();
    }

    @Override
    public Optional<String> recipe() {
        return Optional.of(toString());
    }

    @Override
    public String name() {
        return "thickness";
    }

    @Override
    public MapFormat format() {
        return new MapFormat(Encoding.Kind.DATA, new RangeRule.Largest(), List.of(0f), 8, true);
    }

    @Override
    public List<HemisphereQuery> queries() {
        return List.of(query);
    }

    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        HemisphereAnswers.Sums sums = answers.of(0);
        boolean endless = query.reach() == Float.POSITIVE_INFINITY;
        for (int s = 0; s < hits.size(); s++) {
            int counted = endless ? sums.rays[s] - sums.open[s] : sums.rays[s];
            float open = endless ? 0f : sums.open[s] * query.reach();
            dest[s] = counted == 0 ? 0f : (sums.distance[s] + open) / counted;
        }
    }
}
