package org.estampage.maps;

import java.util.List;
import java.util.Objects;
import org.estampage.bake.SurfaceMap;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.HemisphereQuery.Distribution;
import org.estampage.bvh.HemisphereQuery.Ground;
import org.estampage.mesh.Axis;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * A map made of rays that leave the high poly outwards. Those of one job that ask for the same rays share them.
 *
 * @param <M> the map itself, which its options return
 * @threads immutable
 */
public abstract sealed class OpennessMap<M extends OpennessMap<M>> implements SurfaceMap permits OcclusionMap, BentNormalMap {
    private final HemisphereQuery query;
    /** The axis that stands on a ground under the lowest point; null where there is none, or it lies at a given height. */
    private final @Nullable Axis upFromLowest;

    OpennessMap(HemisphereQuery query, @Nullable Axis upFromLowest) {
        this.query = query;
        this.upFromLowest = upFromLowest;
    }

    static HemisphereQuery cosine(int raysPerTexel) {
        return new HemisphereQuery(Distribution.COSINE, raysPerTexel, Float.POSITIVE_INFINITY);
    }

    /** Returns this map with another query. */
    abstract M with(HemisphereQuery changed, @Nullable Axis newUpFromLowest);

    /**
     * Returns the map in which only what is nearer than {@code length} blocks, in mesh units.
     *
     * @throws IllegalArgumentException if it is not positive
     */
    public M reach(double length) {
        return with(query.upTo((float) length), upFromLowest);
    }

    /** Returns the map in which every direction weighs the same, in place of the cosine. */
    public M uniform() {
        return with(query.spread(Distribution.UNIFORM), upFromLowest);
    }

    /**
     * Returns the map whose texels get as many rays as should bring the standard error of their openness down to this; what they were created with is the
     * most. A first round of 16 everywhere says how many: that of the texels around, so that the mean stays unbiased. {@link EffortMap} shows what it took.
     *
     * @param standardError of openness, which is 0 … 1: 1/64 is good, 1/128 very good
     * @throws IllegalArgumentException if it is not 0 … 0.5; 0 gives all rays to all texels
     */
    public M error(double standardError) {
        return with(query.to(standardError), upFromLowest);
    }

    /** Returns the map in which only the parts block that the low poly's part is paired with; for jobs that are paired by name. */
    public M ownPart() {
        return with(query.byOwnPart(), upFromLowest);
    }

    /** Returns the map in which only the outer sides of triangles block: rays pass through the backs of open sheets. */
    public M oneSided() {
        return with(query.blockedBy(Facing.FRONT), upFromLowest);
    }

    /**
     * Returns the map with an endless ground that blocks, too.
     *
     * @param up     the axis that stands on it
     * @param height its coordinate on that axis, in mesh units
     * @throws IllegalArgumentException if the height is not finite
     */
    public M ground(Axis up, double height) {
        return with(query.above(new Ground(up, (float) height)), null);
    }

    /**
     * Returns the map with an endless ground under the lowest point of the high polys.
     *
     * @param up the axis that stands on it
     */
    public M ground(Axis up) {
        return with(query, Objects.requireNonNull(up, "up"));
    }

    @Override
    public SurfaceMap prepared(List<Mesh> highs, Task task) {
        if (upFromLowest == null) {
            return this;
        }
        return ground(upFromLowest, Bounds.around(highs).min(upFromLowest));
    }

    @Override
    public List<HemisphereQuery> queries() {
        return List.of(query);
    }

    /** Returns the call that makes this map, for its class to go on with. */
    MapCall call(String verb) {
        boolean fading = query.answer() == HemisphereQuery.Answer.DISTANCE;
        boolean ends = query.reach() < Float.POSITIVE_INFINITY;
        Ground ground = query.ground().orElse(null);
        return MapCall.of(verb, query.raysPerTexel()).option(ends && !fading, "reach", query.reach())
                .option(fading, "fadingReach", query.reach())
                .option(query.distribution() == Distribution.UNIFORM, "uniform").option(query.error() > 0, "error", query.error())
                .option(query.ownPart(), "ownPart").option(query.facing() == Facing.FRONT, "oneSided")
                .option(ground != null, "ground", ground == null ? "" : ground.up(), ground == null ? "" : ground.height())
                .option(upFromLowest != null, "ground", String.valueOf(upFromLowest));
    }

    HemisphereQuery query() {
        return query;
    }

    @Nullable
    Axis upFromLowest() {
        return upFromLowest;
    }
}
