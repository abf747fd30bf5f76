package org.estampage.bvh;

import java.util.concurrent.ForkJoinPool;
import java.util.concurrent.ForkJoinTask;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/** Builds from the top by the surface area heuristic over bins of box middles: the best trees, and the default. */
public final class BinnedSahBuilder implements TreeBuilder {
    /** Makes the builder. */
    public BinnedSahBuilder() {
    }

    @Override
    public BoxTree build(Mesh mesh, int[] triangles, LeafRule rule, Task task) {
        ForkJoinPool pool = ForkJoinTask.inForkJoinPool() ? ForkJoinTask.getPool() : ForkJoinPool.commonPool();
        return BinnedSah.build(mesh.positions(), mesh.positionIndices(), triangles, rule, task, pool);
    }

    /** Returns "binned SAH". */
    @Override
    public String toString() {
        return "binned SAH";
    }
}
