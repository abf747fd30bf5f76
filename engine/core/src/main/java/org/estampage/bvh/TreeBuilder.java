package org.estampage.bvh;

import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * Makes a tree of boxes over triangles; one of the two halves of a {@link Strategy}.
 *
 * <p>A builder decides speed alone, never answers. Its tree must be the same for any number of threads, as seen from the root.
 *
 * @threads immutable; safe for concurrent calls
 */
public interface TreeBuilder {
    /**
     * Builds a tree, on the caller's fork-join pool or the common one.
     *
     * @param triangles numbers of triangles of the mesh that all have area and finite coordinates; neither kept nor changed
     * @param rule      what the layout wants; no leaf is larger than it allows, and no tree deeper than {@link BoxTree#DEEPEST}
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    BoxTree build(Mesh mesh, int[] triangles, LeafRule rule, Task task);
}
