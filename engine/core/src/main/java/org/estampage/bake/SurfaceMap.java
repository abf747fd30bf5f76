package org.estampage.bake;

import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.finding.Finding;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * One kind of map: says what it needs and turns hits into values. It never traces by itself. A new map is one class that implements this.
 *
 * <p>A whole one, and a job with it:
 * {@snippet class = "org.estampage.cookbook.CookbookTest" region = "classMap-1"}
 * {@snippet class = "org.estampage.cookbook.CookbookTest" region = "classMap-2"}
 *
 * @threads implementations are immutable and safe for concurrent calls
 */
public interface SurfaceMap {
    /** Returns the name, lower case with hyphens; unique within a job. */
    String name();

    /**
     * Returns this map made ready for the high polys of a job, where it needs something of whole meshes: a value at each vertex, a number for each piece.
     * The baker asks the map that this returns for all else but the name. By default it is this map itself.
     *
     * @param highs the high polys in the job's order, with the normals that maps see; {@link SurfaceHits#highMeshes} counts them
     * @param task  to be asked whether to go on
     * @throws org.estampage.mesh.InvalidMeshException if a mesh lacks what the map is of
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    default SurfaceMap prepared(List<Mesh> highs, Task task) {
        return this;
    }

    /**
     * Returns this map made ready for a job, where it needs to know more of it than the high polys, or shares work with other maps of the job; the baker asks
     * this one. By default it is what {@link #prepared(List, Task)} returns.
     */
    default SurfaceMap prepared(Preparation preparation) {
        return prepared(preparation.highs(), preparation.task());
    }

    /** Returns about how many bytes this map keeps when it is made ready for a job; none by default. */
    default long readyBytes(BakeJob job) {
        return 0;
    }

    /** Returns about how many bytes are taken at one time while this map is made ready for a job; by default those that it keeps. */
    default long preparingBytes(BakeJob job) {
        return readyBytes(job);
    }

    /** Returns what was noticed while the map was made ready; nothing by default. */
    default List<Finding> findings() {
        return List.of();
    }

    /** Returns what a reader of the files must know beside the range, by name: an estimator, a length. It is written beside them. Nothing by default. */
    default Map<String, String> details() {
        return Map.of();
    }

    /** Returns channels, encoding, range rule, background. */
    MapFormat format();

    /** Returns the hemispheres it needs traced above each hit; none by default. */
    default List<HemisphereQuery> queries() {
        return List.of();
    }

    /**
     * Returns whether texels share the rays of the first query with their neighbours, where those show the same piece of surface and differ by no more than
     * noise does; for maps of one channel, 0 … 1, that are means over rays. By default they don't.
     */
    default boolean shared() {
        return false;
    }

    /**
     * Returns what stands in texels none of whose rays of the first query is open, in words, for maps whose values are of open rays: the bake counts such
     * texels. By default closed is a value like any other.
     */
    default Optional<String> standsForClosed() {
        return Optional.empty();
    }

    /**
     * Returns a text of all that this map's values hang on beside the job: two maps of the same class and recipe give the same values. Empty where
     * that can't be told, as of code that nobody looks into: such a map is never taken from an earlier bake. Empty by default.
     */
    default Optional<String> recipe() {
        return Optional.empty();
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
