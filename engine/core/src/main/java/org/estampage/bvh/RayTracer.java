package org.estampage.bvh;

/**
 * Answers geometric queries about one mesh, in batches.
 *
 * <p>Whatever the strategy behind it, the answers have the same bits: the triangle test is a pure function of the ray and the float vertices (Woop,
 * Benthin, Wald 2013), boxes only ever cull conservatively, and ties go to the smaller t, then to the lower triangle number.
 *
 * <p>A bake takes any, one of the caller's own too:
 * {@snippet class = "org.estampage.cookbook.CookbookTest" region = "rayStrategy"}
 *
 * @space object space of the mesh; triangle numbers are the mesh's
 * @threads safe for concurrent calls with different batches
 */
public interface RayTracer {
    /** Returns the number of triangles. */
    int triangleCount();

    /** Returns the bytes that the structure holds beside the mesh. */
    long bytes();

    /** Returns how many rays or points a batch should have for this tracer to work well. Any other number gives the same answers. */
    int preferredBatchSize();

    /**
     * Finds the first hit of every ray.
     *
     * @param facing which sides count; others are passed through
     * @throws IllegalArgumentException if {@code dest} has less room than there are rays
     */
    void closestHits(RayBatch rays, Facing facing, HitBatch dest);

    /**
     * Finds out whether rays hit anything.
     *
     * @param dest whether ray i hits something, for the first {@code rays.size} entries
     * @throws IllegalArgumentException if {@code dest} has less room than there are rays
     */
    void anyHits(RayBatch rays, Facing facing, boolean[] dest);

    /** Finds the nearest point of the surface for every point, and writes it into the same batch. */
    void nearestPoints(PointBatch inoutPoints);

    /**
     * Traces the hemispheres above points, and writes the sums into the same batch. Of the query all counts but how many rays a texel gets, the side and
     * the parts: those are for whoever fills the batch.
     *
     * <p>Here by plain batches of {@link #anyHits} or {@link #closestHits}; a tracer that can draw the directions where it traces them overrides this with
     * equal results.
     */
    default void hemispheres(HemisphereQuery query, HemisphereBatch inoutPoints) {
        Hemispheres.trace(this, query, inoutPoints);
    }
}
