package org.estampage.maps;

import java.util.List;
import java.util.Optional;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.bake.SurfaceHits;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.HemisphereQuery.Answer;
import org.estampage.image.Encoding;
import org.estampage.image.Range;
import org.estampage.mesh.Axis;
import org.jspecify.annotations.Nullable;

/**
 * Which share of the half space above the high poly is open.
 *
 * @units 0 … 1; 1 is open
 * @threads immutable
 */
public final class OcclusionMap extends OpennessMap<OcclusionMap> {
    private final boolean shared;

    private OcclusionMap(HemisphereQuery query, @Nullable Axis upFromLowest, boolean shared) {
        super(query, upFromLowest);
        this.shared = shared;
    }

    /**
     * Returns the map with so many rays a texel, weighted by the cosine, of unlimited reach.
     *
     * @throws IllegalArgumentException if {@code raysPerTexel} is not 1 … 65536
     */
    public static OcclusionMap create(int raysPerTexel) {
        return new OcclusionMap(cosine(raysPerTexel), null, false);
    }

    @Override
    OcclusionMap with(HemisphereQuery changed, @Nullable Axis newUpFromLowest) {
        return new OcclusionMap(changed, newUpFromLowest, shared);
    }

    /**
     * Returns the map in which what blocks fades out towards a reach: at distance t of reach R it counts (1 − (t/R)²)². Takes first hits, which cost more
     * than any hits do.
     *
     * @throws IllegalArgumentException if it is not finite and positive
     */
    public OcclusionMap fadingReach(double length) {
        if (!Float.isFinite((float) length)) {
            throw new IllegalArgumentException("reach = " + length + " must be finite: without an end nothing can fade towards it");
        }
        return with(query().upTo((float) length).measured(), upFromLowest());
    }

    /**
     * Returns the map whose texels share their rays with the eight around them, where those show the same piece of surface and differ by no more than noise
     * does: as good as 2.5 times the rays where detail spans several texels, 1.3 times where it spans one or two. Never across a chart, an edge or a step.
     */
    public OcclusionMap sharingRays() {
        return new OcclusionMap(query(), upFromLowest(), true);
    }

    @Override
    public boolean shared() {
        return shared;
    }

    @Override
    public OcclusionMap reach(double length) {
        // A hard end takes the fading back.
        return with(query().upTo((float) length).counted(), upFromLowest());
    }

    /** Returns the console's call that makes this map. */
    @Override
    public String toString() {
        return call("occlusion").option(shared, "sharingRays").toString();
    }

    @Override
    public Optional<String> recipe() {
        return Optional.of(toString());
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
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        HemisphereAnswers.Sums sums = answers.of(0);
        boolean fading = query().answer() == Answer.DISTANCE;
        for (int s = 0; s < hits.size(); s++) {
            if (sums.rays[s] == 0) {
                dest[s] = 1f;
            } else {
                dest[s] = fading ? 1f - sums.faded[s] / sums.rays[s] : (float) sums.open[s] / sums.rays[s];
            }
        }
    }
}
