package org.estampage.bvh;

import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * Lays a tree out in memory and walks it; one of the two halves of a {@link Strategy}.
 *
 * @threads immutable; safe for concurrent calls
 */
public interface TreeLayout {
    /** Returns what this layout wants of the trees it is given. */
    LeafRule leafRule();

    /**
     * Lays out a tree.
     *
     * @param tree over triangles of the mesh; not kept
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    TreeTracer lay(Mesh mesh, BoxTree tree, Task task);
}
