package org.estampage.bvh;

import java.util.Objects;
import org.estampage.internal.kernel.BoxLoops;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * Builds from the top by the surface area heuristic over bins of box centres: the best trees for the time, and the default.
 *
 * @edge triangles whose centres coincide are halved by number where they don't fit into a leaf
 * @threads immutable; safe for concurrent calls
 * @cost O(n log n) time; 32 bytes a triangle while building, beside twice the nodes
 * @source Wald, On fast Construction of SAH-based Bounding Volume Hierarchies, 2007 (the bins; from memory); the number of bins, their rounding and how
 *         the work is shared are our own
 */
public final class BinnedSahBuilder implements TreeBuilder {
    private final BoxLoops loops;

    /** Makes the builder. */
    public BinnedSahBuilder() {
        this(BoxLoops.preferred());
    }

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
        return BinnedSah.build(mesh, triangles, rule, loops, task);
    }

    /** Returns "binned SAH". */
    @Override
    public String toString() {
        return "binned SAH";
    }
}
