package org.estampage.benchmarks;

import org.estampage.bvh.Facing;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;

/**
 * Rays cut into batches, and how far a benchmark is in them.
 *
 * @threads confined
 */
final class RayCursor {
    private final RayBatch[] batches;
    private final HitBatch hits;
    private int next;

    RayCursor(TracedScene scene, int count, Rays.Source source) {
        int size = scene.batch(TracedScene.RAYS_PER_CALL);
        batches = Rays.cut(count, size, source);
        hits = new HitBatch(size);
    }

    /** Finds the first hits of the next {@value TracedScene#RAYS_PER_CALL} rays; returns what depends on them. */
    int closestHits(TracedScene scene, Facing facing) {
        int sum = 0;
        for (int done = 0; done < TracedScene.RAYS_PER_CALL;) {
            RayBatch batch = batches[next];
            next = (next + 1) % batches.length;
            scene.tracer.closestHits(batch, facing, hits);
            sum += hits.triangle[0];
            done += batch.size;
        }
        return sum;
    }
}
