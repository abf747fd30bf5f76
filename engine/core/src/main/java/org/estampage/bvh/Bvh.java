package org.estampage.bvh;

import java.util.Objects;
import java.util.concurrent.ConcurrentLinkedQueue;
import org.estampage.internal.kernel.BinaryTraversal;
import org.estampage.internal.kernel.BinaryTree;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * A bounding volume hierarchy: the plain strategy, a binary tree walked one ray at a time. It is the reference for every other.
 *
 * @edge triangles without area, or with a coordinate that is not finite, are never hit and never nearest
 * @threads safe for concurrent calls with different batches
 * @cost about 75 bytes a triangle beside the mesh; queries allocate nothing once each thread's scratch exists
 */
public final class Bvh implements RayTracer {
    private static final int BATCH = 1024;

    private final BinaryTree tree;
    private final int triangleCount;
    /** Stacks that no query is using; as many come to be as queries run at once. */
    private final ConcurrentLinkedQueue<BinaryTraversal> idle = new ConcurrentLinkedQueue<>();

    private Bvh(BinaryTree tree, int triangleCount) {
        this.tree = tree;
        this.triangleCount = triangleCount;
    }

    /**
     * Builds a tracer of all triangles of a mesh, on the caller's fork-join pool or the common one.
     *
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public static RayTracer build(Mesh mesh, Task task) {
        int[] all = new int[mesh.triangleCount()];
        for (int t = 0; t < all.length; t++) {
            all[t] = t;
        }
        return new Bvh(BinnedSah.build(mesh.positions(), mesh.positionIndices(), all, task), all.length);
    }

    /**
     * Builds a tracer of some triangles of a mesh; answers carry the mesh's triangle numbers.
     *
     * @param triangles the numbers of the triangles, each once
     * @throws IndexOutOfBoundsException                  if a number is out of range
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public static RayTracer build(Mesh mesh, int[] triangles, Task task) {
        for (int t : triangles) {
            Objects.checkIndex(t, mesh.triangleCount());
        }
        return new Bvh(BinnedSah.build(mesh.positions(), mesh.positionIndices(), triangles, task), triangles.length);
    }

    @Override
    public int triangleCount() {
        return triangleCount;
    }

    @Override
    public long bytes() {
        return tree.bytes();
    }

    @Override
    public int preferredBatchSize() {
        return BATCH;
    }

    @Override
    public void closestHits(RayBatch rays, Facing facing, HitBatch dest) {
        checkRoom(rays.size, dest.capacity());
        BinaryTraversal traversal = borrow();
        traversal.closestHits(tree, rays.size, rays.originX, rays.originY, rays.originZ, rays.directionX, rays.directionY, rays.directionZ,
                rays.tMin, rays.tMax, side(facing), dest.t, dest.b1, dest.b2, dest.triangle);
        idle.add(traversal);
    }

    @Override
    public void anyHits(RayBatch rays, Facing facing, boolean[] dest) {
        checkRoom(rays.size, dest.length);
        BinaryTraversal traversal = borrow();
        traversal.anyHits(tree, rays.size, rays.originX, rays.originY, rays.originZ, rays.directionX, rays.directionY, rays.directionZ,
                rays.tMin,
                rays.tMax, side(facing), dest);
        idle.add(traversal);
    }

    @Override
    public void nearestPoints(PointBatch p) {
        BinaryTraversal traversal = borrow();
        traversal.nearestPoints(tree, p.size, p.x, p.y, p.z, p.limit, p.triangle, p.b1, p.b2, p.distance);
        idle.add(traversal);
    }

    /** Returns the expected cost of a ray that meets the tree's box, in triangle tests. */
    double sahCost() {
        return tree.sahCost(BinnedSah.INNER_COST);
    }

    private BinaryTraversal borrow() {
        BinaryTraversal traversal = idle.poll();
        return traversal == null ? new BinaryTraversal() : traversal;
    }

    private static void checkRoom(int rays, int room) {
        if (room < rays) {
            throw new IllegalArgumentException("dest has room for " + room + " answers, there are " + rays + " rays");
        }
    }

    private static int side(Facing facing) {
        return switch (facing) {
            case BOTH -> 0;
            case FRONT -> 1;
            case BACK -> -1;
        };
    }
}
