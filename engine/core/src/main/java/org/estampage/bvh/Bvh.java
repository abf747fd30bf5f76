package org.estampage.bvh;

import java.util.Arrays;
import java.util.Objects;
import java.util.function.IntPredicate;
import org.estampage.internal.kernel.Triangles;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * A bounding volume hierarchy over triangles of a mesh, by a strategy that the caller or the library chose.
 *
 * @edge triangles without area, or with a coordinate that is not finite, are never hit and never nearest; a mesh without others gives a tracer that
 *       finds nothing
 * @threads safe for concurrent calls with different batches
 * @cost at most 60 bytes a triangle beside the mesh; queries allocate nothing once each thread has its stacks
 */
public final class Bvh implements RayTracer {
    private final TreeTracer tracer;
    private final int meshTriangleCount;
    private final int triangleCount;
    private final StrategyChoice choice;
    private final long buildPeakBytes;

    private Bvh(TreeTracer tracer, int meshTriangleCount, int triangleCount, StrategyChoice choice, long buildPeakBytes) {
        this.tracer = tracer;
        this.meshTriangleCount = meshTriangleCount;
        this.triangleCount = triangleCount;
        this.choice = choice;
        this.buildPeakBytes = buildPeakBytes;
    }

    /**
     * Builds a tracer of all triangles of a mesh, on the caller's fork-join pool or the common one, for many rays. It is the same for any number of
     * threads.
     *
     * @throws IllegalArgumentException                   if the mesh has more triangles than the layout holds
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public static Bvh build(Mesh mesh, Task task) {
        return build(mesh, all(mesh), StrategyChoice.of(mesh.triangleCount(), Long.MAX_VALUE), task);
    }

    /** Builds a tracer of all triangles of a mesh by a given strategy. Otherwise as {@link #build(Mesh, Task)}. */
    public static Bvh build(Mesh mesh, Strategy strategy, Task task) {
        return build(mesh, all(mesh), StrategyChoice.given(strategy), task);
    }

    /** Builds a tracer of all triangles of a mesh by the strategy that a choice names. Otherwise as {@link #build(Mesh, Task)}. */
    public static Bvh build(Mesh mesh, StrategyChoice choice, Task task) {
        return build(mesh, all(mesh), choice, task);
    }

    /**
     * Builds a tracer of some triangles of a mesh; answers carry the mesh's triangle numbers. Otherwise as {@link #build(Mesh, Task)}.
     *
     * @param triangles the numbers of the triangles, in any order; not kept
     * @throws IllegalArgumentException                   if a number is not one of the mesh's triangles, or there are too many
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public static Bvh build(Mesh mesh, int[] triangles, Task task) {
        return build(mesh, triangles, StrategyChoice.of(triangles.length, Long.MAX_VALUE), task);
    }

    /** Builds a tracer of some triangles by the strategy that a choice names. Otherwise as {@link #build(Mesh, int[], Task)}. */
    public static Bvh build(Mesh mesh, int[] triangles, StrategyChoice choice, Task task) {
        Objects.requireNonNull(task, "task");
        int count = mesh.triangleCount();
        for (int i = 0; i < triangles.length; i++) {
            if (triangles[i] < 0 || triangles[i] >= count) {
                throw new IllegalArgumentException("triangles[" + i + "] = " + triangles[i] + " must be 0 … " + (count - 1));
            }
        }
        Strategy strategy = choice.strategy();
        int[] kept = takingPart(mesh, triangles);
        BoxTree tree = strategy.builder().build(mesh, kept, strategy.layout().leafRule(), task);
        TreeTracer tracer = strategy.layout().lay(mesh, tree, task);
        long lists = 4L * triangles.length + (kept.length == triangles.length ? 0 : 4L * kept.length);
        return new Bvh(tracer, count, triangles.length, choice, lists + Math.max(tree.peakBytes, tree.bytes() + tracer.peakBytes()));
    }

    private static int[] all(Mesh mesh) {
        int[] all = new int[mesh.triangleCount()];
        Arrays.setAll(all, t -> t);
        return all;
    }

    private static int[] takingPart(Mesh mesh, int[] triangles) {
        float[] p = mesh.positions();
        int[] corners = mesh.positionIndices();
        IntPredicate takesPart = t -> Triangles.takesPart(p, 3 * corners[3 * t], 3 * corners[3 * t + 1], 3 * corners[3 * t + 2]);
        int count = 0;
        for (int t : triangles) {
            count += takesPart.test(t) ? 1 : 0;
        }
        if (count == triangles.length) {
            return triangles;
        }
        int[] kept = new int[count];
        int at = 0;
        for (int t : triangles) {
            if (takesPart.test(t)) {
                kept[at++] = t;
            }
        }
        return kept;
    }

    /**
     * Returns a tracer with the same tree over the same triangles at other places, see {@link TreeTracer#refitted}. This one stays as it is.
     *
     * @param moved a mesh with the same triangles
     * @throws IllegalArgumentException                   if the mesh has another number of triangles
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     * @edge a triangle that was left out because it had no area stays left out
     */
    public Bvh refitted(Mesh moved, Task task) {
        if (moved.triangleCount() != meshTriangleCount) {
            throw new IllegalArgumentException(
                    "moved has " + moved.triangleCount() + " triangles, must have those of the tracer's mesh, " + meshTriangleCount);
        }
        TreeTracer refitted = tracer.refitted(moved, task);
        return new Bvh(refitted, meshTriangleCount, triangleCount, choice, refitted.peakBytes());
    }

    /** Returns by which strategy this tracer was built, and why. */
    public StrategyChoice choice() {
        return choice;
    }

    /**
     * Returns the most bytes that making this tracer took at one time, its own and the list of triangles included, the mesh not: while the tree was built,
     * or while it was laid out beside the builder's boxes. Of a refitted tracer, what refitting took beside the one it was made from.
     */
    public long buildPeakBytes() {
        return buildPeakBytes;
    }

    TreeTracer tracer() {
        return tracer;
    }

    @Override
    public int triangleCount() {
        return triangleCount;
    }

    @Override
    public long bytes() {
        return tracer.bytes();
    }

    @Override
    public int preferredBatchSize() {
        return tracer.preferredBatchSize();
    }

    @Override
    public void closestHits(RayBatch rays, Facing facing, HitBatch dest) {
        tracer.closestHits(rays, facing, dest);
    }

    @Override
    public void anyHits(RayBatch rays, Facing facing, boolean[] dest) {
        tracer.anyHits(rays, facing, dest);
    }

    @Override
    public void nearestPoints(PointBatch inoutPoints) {
        tracer.nearestPoints(inoutPoints);
    }

    @Override
    public void hemispheres(HemisphereQuery query, HemisphereBatch inoutPoints) {
        tracer.hemispheres(query, inoutPoints);
    }

    /** Returns its size and how it was made, for people. */
    @Override
    public String toString() {
        return "tree of " + triangleCount() + " triangles, " + bytes() + " bytes, " + choice();
    }
}
