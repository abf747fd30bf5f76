package org.estampage.bvh;

import java.util.Objects;
import java.util.concurrent.atomic.AtomicLong;
import org.estampage.internal.kernel.BoxLoops;
import org.estampage.internal.kernel.Kernels;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Builds from the top by the surface area heuristic over bins of box centres: the best trees for the time, and the default.
 *
 * <p>Where this JVM has vectors, work is done by vectors or by plain code, whichever costs less with what a young JVM spends on compiling; both make the
 * same tree.
 *
 * @edge triangles whose centres coincide are halved by number where they don't fit into a leaf
 * @threads immutable; safe for concurrent calls
 * @cost O(n log n) time; 32 bytes a triangle while building, beside twice the nodes
 * @source Wald, On fast Construction of SAH-based Bounding Volume Hierarchies, 2007 (the bins; from memory); the number of bins, their rounding and how
 *         the work is shared are our own
 */
public final class BinnedSahBuilder implements TreeBuilder {
    /** From how many triangles on the first build is no slower with vectors: compiling them takes about a second. */
    private static final int VECTORS_AT_ONCE = 1 << 20;
    /** After how many triangles plain code has lost as much time as compiling the vectors takes. */
    private static final long VECTORS_AFTER = 1 << 21;
    /** Triangles of all builds of this JVM. It decides speed alone: both kinds of loops leave the same bits. */
    private static final AtomicLong BUILT = new AtomicLong();

    private final @Nullable BoxLoops loops;

    /** Makes the builder. */
    public BinnedSahBuilder() {
        loops = null;
    }

    /** Makes one that always takes the same loops. */
    BinnedSahBuilder(BoxLoops loops) {
        this.loops = loops;
    }

    /**
     * {@inheritDoc}
     *
     * @throws IllegalArgumentException if there are more than 268 million triangles
     */
    @Override
    public BoxTree build(Mesh mesh, int[] triangles, LeafRule rule, Task task) {
        Objects.requireNonNull(rule, "rule");
        return BinnedSah.build(mesh, triangles, rule, loops == null ? cheapest(triangles.length) : loops, task);
    }

    private static BoxLoops cheapest(int triangles) {
        boolean worth = BUILT.addAndGet(triangles) >= VECTORS_AFTER || triangles >= VECTORS_AT_ONCE;
        return worth && Kernels.areVectors() ? BoxLoops.vector() : BoxLoops.scalar();
    }

    /** Returns "binned SAH". */
    @Override
    public String toString() {
        return "binned SAH";
    }
}
