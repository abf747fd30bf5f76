package org.estampage.bvh;

import java.util.Arrays;
import java.util.Objects;
import java.util.concurrent.ForkJoinPool;
import java.util.concurrent.ForkJoinTask;
import org.estampage.internal.kernel.BinaryTraversal;
import org.estampage.internal.kernel.BinaryTree;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * A bounding volume hierarchy: the plain strategy, a binary tree walked one ray at a time. It is the reference for every other.
 *
 * @edge triangles without area, or with a coordinate that is not finite, are never hit and never nearest; a mesh without others gives a tracer that
 *       finds nothing
 * @threads safe for concurrent calls with different batches
 * @cost about 60 bytes a triangle beside the mesh; queries allocate nothing once each thread has its stacks
 */
public final class Bvh implements RayTracer {
    /** Enough rays to make the call itself cheap; they don't help each other. */
    private static final int BATCH = 1024;
    /** As many triangles as can have a record each in one array. */
    private static final int MOST = (Integer.MAX_VALUE - BinaryTree.FIRST) / BinaryTree.RECORD;
    /** Stacks don't depend on the tree: a thread needs one set for all tracers. */
    private static final ThreadLocal<BinaryTraversal> TRAVERSAL = ThreadLocal.withInitial(BinaryTraversal::new);

    private final BinaryTree tree;
    private final int triangleCount;

    private Bvh(BinaryTree tree, int triangleCount) {
        this.tree = tree;
        this.triangleCount = triangleCount;
    }

    /**
     * Builds a tracer of all triangles of a mesh, on the caller's fork-join pool or the common one. The tree is the same for any number of threads.
     *
     * @throws IllegalArgumentException                   if the mesh has more than 134 million triangles
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public static RayTracer build(Mesh mesh, Task task) {
        int[] all = new int[mesh.triangleCount()];
        Arrays.setAll(all, t -> t);
        return build(mesh, all, task, pool());
    }

    /**
     * Builds a tracer of some triangles of a mesh; answers carry the mesh's triangle numbers. Otherwise as {@link #build(Mesh, Task)}.
     *
     * @param triangles the numbers of the triangles, in any order; not kept
     * @throws IllegalArgumentException                   if a number is not one of the mesh's triangles, or there are more than 134 million
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public static RayTracer build(Mesh mesh, int[] triangles, Task task) {
        int count = mesh.triangleCount();
        for (int i = 0; i < triangles.length; i++) {
            if (triangles[i] < 0 || triangles[i] >= count) {
                throw new IllegalArgumentException("triangles[" + i + "] = " + triangles[i] + " must be 0 … " + (count - 1));
            }
        }
        return build(mesh, triangles, task, pool());
    }

    /** Builds in a given pool. */
    static Bvh build(Mesh mesh, int[] triangles, Task task, ForkJoinPool pool) {
        Objects.requireNonNull(task, "task");
        if (triangles.length > MOST) {
            throw new IllegalArgumentException("there are " + triangles.length + " triangles, a tracer holds at most " + MOST);
        }
        return new Bvh(BinnedSah.build(mesh.positions(), mesh.positionIndices(), triangles, task, pool), triangles.length);
    }

    private static ForkJoinPool pool() {
        return ForkJoinTask.inForkJoinPool() ? ForkJoinTask.getPool() : ForkJoinPool.commonPool();
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
        TRAVERSAL.get().closestHits(tree, rays.size, rays.originX, rays.originY, rays.originZ, rays.directionX, rays.directionY,
                rays.directionZ,
                rays.tMin, rays.tMax, side(facing), dest.t, dest.b1, dest.b2, dest.triangle);
    }

    @Override
    public void anyHits(RayBatch rays, Facing facing, boolean[] dest) {
        checkRoom(rays.size, dest.length);
        TRAVERSAL.get().anyHits(tree, rays.size, rays.originX, rays.originY, rays.originZ, rays.directionX, rays.directionY,
                rays.directionZ,
                rays.tMin, rays.tMax, side(facing), dest);
    }

    @Override
    public void nearestPoints(PointBatch inoutPoints) {
        PointBatch p = inoutPoints;
        TRAVERSAL.get().nearestPoints(tree, p.size, p.x, p.y, p.z, p.limit, p.triangle, p.b1, p.b2, p.distance);
    }

    /** Returns the expected cost of a ray that meets the tree's box, in triangle tests. */
    double sahCost() {
        return tree.sahCost(BinnedSah.INNER_COST);
    }

    BinaryTree tree() {
        return tree;
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
