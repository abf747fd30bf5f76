package org.estampage.console;

import java.util.function.Supplier;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HemisphereBatch;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.PointBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.jspecify.annotations.Nullable;

/**
 * The tracer of a mesh, built when it is first asked for anything but its number of triangles: what comes from the cache needs none.
 *
 * @threads safe for concurrent calls
 */
final class LateTracer implements RayTracer {
    private final int triangleCount;
    private final Supplier<RayTracer> source;
    private volatile @Nullable RayTracer built;

    LateTracer(int triangleCount, Supplier<RayTracer> source) {
        this.triangleCount = triangleCount;
        this.source = source;
    }

    private RayTracer built() {
        RayTracer there = built;
        return there != null ? there : build();
    }

    private synchronized RayTracer build() {
        RayTracer there = built == null ? source.get() : built;
        built = there;
        return there;
    }

    @Override
    public int triangleCount() {
        return triangleCount;
    }

    @Override
    public long bytes() {
        return built().bytes();
    }

    @Override
    public int preferredBatchSize() {
        return built().preferredBatchSize();
    }

    @Override
    public void closestHits(RayBatch rays, Facing facing, HitBatch dest) {
        built().closestHits(rays, facing, dest);
    }

    @Override
    public void anyHits(RayBatch rays, Facing facing, boolean[] dest) {
        built().anyHits(rays, facing, dest);
    }

    @Override
    public void nearestPoints(PointBatch inoutPoints) {
        built().nearestPoints(inoutPoints);
    }

    @Override
    public void hemispheres(HemisphereQuery query, HemisphereBatch inoutPoints) {
        built().hemispheres(query, inoutPoints);
    }
}
