package org.estampage.bake;

import java.util.List;
import org.estampage.bvh.HemisphereQuery;

/**
 * One kind of map: says what it needs and turns hits into values. It never traces by itself. A new map is one class that implements this.
 *
 * @threads implementations are immutable and safe for concurrent calls
 */
public interface SurfaceMap {
    /** Returns the name, lower case with hyphens; unique within a job. */
    String name();

    /** Returns channels, encoding, range rule, background. */
    MapFormat format();

    /** Returns the hemispheres it needs traced above each hit; none by default. */
    default List<HemisphereQuery> queries() {
        return List.of();
    }

    /** Returns how the samples of a texel become one value; the mean by default. */
    default Reduction reduction() {
        return Reduction.MEAN;
    }

    /**
     * Computes the values of a batch of samples.
     *
     * @param hits    the samples, all of which hit the high poly
     * @param answers the sums of this map's queries, in the order of {@link #queries}
     * @param dest    {@code format().channels()} floats a sample, interleaved, to be filled for samples 0 … {@code hits.size()} − 1
     */
    void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest);
}
