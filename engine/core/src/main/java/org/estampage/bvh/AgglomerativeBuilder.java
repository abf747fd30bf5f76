package org.estampage.bvh;

import java.util.Objects;
import java.util.concurrent.RecursiveTask;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * Builds from the bottom: joins neighbours along the Morton curve whose common box is smallest, until one is left, then makes leaves of what costs less
 * whole. Here to compare with: it takes longer than {@link BinnedSahBuilder}.
 *
 * @edge clusters at one place are halved; where joining gets on slowly, neighbours are joined whatever their boxes are
 * @threads immutable; safe for concurrent calls
 * @cost O(n log n) time; 84 bytes a triangle while building, or 76 beside the tree where that is more
 * @source Meister, Bittner, Parallel Locally-Ordered Clustering for Bounding Volume Hierarchy Construction, IEEE TVCG 24(3), 2018 (from memory); the
 *         order among equals and the bound of the depth are our own
 */
public final class AgglomerativeBuilder implements TreeBuilder {
    /** As many as the boxes of all clusters fit into one array. */
    private static final int MOST = Integer.MAX_VALUE / (2 * BoxTree.BOX);

    /** Makes the builder. */
    public AgglomerativeBuilder() {
    }

    /**
     * {@inheritDoc}
     *
     * @throws IllegalArgumentException if there are more than 178 million triangles
     */
    @Override
    public BoxTree build(Mesh mesh, int[] triangles, LeafRule rule, Task task) {
        Objects.requireNonNull(rule, "rule");
        if (triangles.length > MOST) {
            throw new IllegalArgumentException("there are " + triangles.length + " triangles, this builder holds at most " + MOST);
        }
        task.check();
        if (triangles.length == 0) {
            return new BoxTree(new float[0], new int[0], new int[0], new int[0], 0);
        }
        return Pools.run(new Run(mesh, triangles, rule, task), triangles.length);
    }

    /** Returns "agglomerative". */
    @Override
    public String toString() {
        return "agglomerative";
    }

    private static final class Run extends RecursiveTask<BoxTree> {
        private static final long serialVersionUID = 1L;
        private final transient Mesh mesh;
        private final transient int[] triangles;
        private final transient LeafRule rule;
        private final transient Task task;

        Run(Mesh mesh, int[] triangles, LeafRule rule, Task task) {
            this.mesh = mesh;
            this.triangles = triangles;
            this.rule = rule;
            this.task = task;
        }

        @Override
        protected BoxTree compute() {
            return Clusters.build(mesh, triangles, rule, task);
        }
    }
}
