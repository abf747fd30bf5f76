package org.estampage.bvh;

import org.estampage.internal.kernel.VectorWalks;
import org.estampage.internal.kernel.WideKernels;
import org.estampage.internal.kernel.WideStream;
import org.estampage.internal.kernel.WideTree;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/** Walks a wide tree with groups of rays. */
final class WideTracer implements TreeTracer {
    /** Rays are sorted by octant in batches of so many. */
    private static final int BATCH = 1024;
    /** Stacks depend on the width alone: a thread needs one set for all tracers of a width. */
    private static final ThreadLocal<WideStream> STREAM8 = ThreadLocal.withInitial(() -> WideKernels.stream(8));
    private static final ThreadLocal<WideStream> STREAM16 = ThreadLocal.withInitial(() -> WideKernels.stream(16));
    private static final ThreadLocal<WideStream> PLAIN = ThreadLocal.withInitial(WideKernels::plain);
    /** For what the kernels don't do by themselves. */
    private static final ThreadLocal<Hemispheres> HEMISPHERES = ThreadLocal.withInitial(() -> new Hemispheres(BATCH));

    private final WideTree tree;
    private final long peakBytes;
    private final int together;
    private final boolean plain;
    private final ThreadLocal<WideStream> stream;

    /** Makes the tracer of a tree; {@code together} is 0 where vectors are never to walk it. */
    WideTracer(Laid<WideTree> laid, int together) {
        tree = laid.tree();
        peakBytes = laid.peakBytes();
        this.together = Math.max(1, together);
        plain = together == 0;
        stream = tree.lanes == 8 ? STREAM8 : STREAM16;
    }

    @Override
    public int triangleCount() {
        return tree.triangleCount;
    }

    @Override
    public long bytes() {
        return tree.bytes();
    }

    @Override
    public long peakBytes() {
        return peakBytes;
    }

    @Override
    public int preferredBatchSize() {
        return BATCH;
    }

    /** Returns the walk for so many rays or points: as long as few were asked in this JVM, the one without vectors. */
    private WideStream stream(long count) {
        VectorWalks.expect(count);
        return (!plain && VectorWalks.areWorthIt() ? stream : PLAIN).get();
    }

    @Override
    public void closestHits(RayBatch rays, Facing facing, HitBatch dest) {
        Queries.checkRoom(rays.size, dest.capacity());
        stream(rays.size).closestHits(tree, together, rays.size, rays.originX, rays.originY, rays.originZ, rays.directionX, rays.directionY,
                rays.directionZ, rays.tMin, rays.tMax, Queries.side(facing), dest.t, dest.b1, dest.b2, dest.triangle);
    }

    @Override
    public void anyHits(RayBatch rays, Facing facing, boolean[] dest) {
        Queries.checkRoom(rays.size, dest.length);
        stream(rays.size).anyHits(tree, together, rays.size, rays.originX, rays.originY, rays.originZ, rays.directionX, rays.directionY,
                rays.directionZ,
                rays.tMin, rays.tMax, Queries.side(facing), dest);
    }

    @Override
    public void nearestPoints(PointBatch inoutPoints) {
        PointBatch p = inoutPoints;
        stream(p.size).nearestPoints(tree, p.size, p.x, p.y, p.z, p.limit, p.triangle, p.b1, p.b2, p.distance);
    }

    @Override
    public void hemispheres(HemisphereQuery query, HemisphereBatch inoutPoints) {
        if (!query.plain()) {
            HEMISPHERES.get().traceBy(this, query, inoutPoints);
            return;
        }
        HemisphereBatch p = inoutPoints;
        long rays = 0;
        for (int i = 0; i < p.size; i++) {
            rays += p.count[i];
        }
        stream(rays).hemispheres(tree, together, query.distribution() == HemisphereQuery.Distribution.UNIFORM, query.reach(), p.size, p.x,
                p.y, p.z, p.normalX, p.normalY, p.normalZ, p.seed, p.first, p.count, p.open, p.sumX, p.sumY, p.sumZ);
    }

    @Override
    public TreeTracer refitted(Mesh moved, Task task) {
        task.check();
        return new WideTracer(WideTrees.refit(tree, moved), plain ? 0 : together);
    }

    WideTree tree() {
        return tree;
    }
}
