package org.estampage.benchmarks;

import org.estampage.bvh.Bvh;
import org.estampage.bvh.RayTracer;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/** The ways to answer ray queries that are compared with each other; a new one is one line here. */
public enum Strategy {
    /** The engine's own choice. */
    USUAL {
        @Override
        RayTracer build(Mesh mesh) {
            return Bvh.build(mesh, Task.silent());
        }
    };

    abstract RayTracer build(Mesh mesh);
}
