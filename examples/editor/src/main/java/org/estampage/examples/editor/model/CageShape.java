package org.estampage.examples.editor.model;

import org.estampage.bvh.Bvh;
import org.estampage.bvh.RayTracer;
import org.estampage.cage.Cage;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * A cage, ready to be drawn.
 *
 * @param cage   the cage
 * @param mesh   its surface
 * @param tracer finds the surface in pictures
 */
public record CageShape(Cage cage, Mesh mesh, RayTracer tracer) {
    /** Prepares a cage. */
    static CageShape of(Cage cage, Task task) {
        Mesh mesh = cage.mesh();
        return new CageShape(cage, mesh, Bvh.build(mesh, task));
    }
}
