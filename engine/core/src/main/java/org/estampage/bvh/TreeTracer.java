package org.estampage.bvh;

import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/** A tracer that walks a tree, and can carry it over to moved positions. */
public interface TreeTracer extends RayTracer {
    /**
     * Returns a tracer with the same tree over the same triangles at other places: boxes are made to fit anew, nothing is sorted anew. Cheaper than
     * building; the farther things moved, the slower its answers come. This tracer stays as it is.
     *
     * @param moved a mesh with the same triangles; one that has lost its area or a finite coordinate is never an answer
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    TreeTracer refitted(Mesh moved, Task task);

    /** Returns the most bytes that making this tracer took at one time, its own included, beside the mesh and the tree it was made of. */
    long peakBytes();
}
