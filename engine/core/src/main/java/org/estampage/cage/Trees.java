package org.estampage.cage;

import org.estampage.bvh.BinaryLayout;
import org.estampage.bvh.BinnedSahBuilder;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.Strategy;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/** Ray trees over low polys and their cages. */
final class Trees {
    /**
     * The plain layout: asked for 1.5 million nearest points and rays against a few thousand triangles, it is as fast as the wide ones (0.75 s each),
     * and spares a first fit the compilation of their vector code (1.05 s against 2.85 s in all, cold, two cores). Answers have the same bits.
     */
    private static final Strategy SMALL = new Strategy(new BinnedSahBuilder(), new BinaryLayout());

    private Trees() {
    }

    static Bvh small(Mesh mesh, Task task) {
        return Bvh.build(mesh, SMALL, task);
    }
}
