package org.estampage.bvh;

import org.estampage.internal.kernel.BinaryTraversal;
import org.estampage.internal.kernel.BinaryTree;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/** Walks a binary tree one ray at a time. */
final class BinaryTracer implements TreeTracer {
    /** Enough rays to make the call itself cheap; they don't help each other. */
    private static final int BATCH = 1024;
    /** Stacks don't depend on the tree: a thread needs one set for all tracers. */
    private static final ThreadLocal<BinaryTraversal> TRAVERSAL = ThreadLocal.withInitial(BinaryTraversal::new);
    private static final ThreadLocal<Hemispheres> HEMISPHERES = ThreadLocal.withInitial(() -> new Hemispheres(BATCH));

    private final BinaryTree tree;
    private final long peakBytes;

    BinaryTracer(Laid<BinaryTree> laid) {
        tree = laid.tree();
        peakBytes = laid.peakBytes();
    }

    @Override
    public int triangleCount() {
        return tree.triangleCount();
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

    @Override
    public void closestHits(RayBatch rays, Facing facing, HitBatch dest) {
        Queries.checkRoom(rays.size, dest.capacity());
        TRAVERSAL.get().closestHits(tree, rays.size, rays.originX, rays.originY, rays.originZ, rays.directionX, rays.directionY,
                rays.directionZ,
                rays.tMin, rays.tMax, Queries.side(facing), dest.t, dest.b1, dest.b2, dest.triangle);
    }

    @Override
    public void anyHits(RayBatch rays, Facing facing, boolean[] dest) {
        Queries.checkRoom(rays.size, dest.length);
        TRAVERSAL.get().anyHits(tree, rays.size, rays.originX, rays.originY, rays.originZ, rays.directionX, rays.directionY,
                rays.directionZ,
                rays.tMin, rays.tMax, Queries.side(facing), dest);
    }

    @Override
    public void nearestPoints(PointBatch inoutPoints) {
        PointBatch p = inoutPoints;
        TRAVERSAL.get().nearestPoints(tree, p.size, p.x, p.y, p.z, p.limit, p.triangle, p.b1, p.b2, p.distance);
    }

    @Override
    public void hemispheres(HemisphereQuery query, HemisphereBatch inoutPoints) {
        HEMISPHERES.get().traceBy(this, query, inoutPoints);
    }

    @Override
    public TreeTracer refitted(Mesh moved, Task task) {
        task.check();
        return new BinaryTracer(BinaryTrees.refit(tree, moved));
    }

    BinaryTree tree() {
        return tree;
    }
}
