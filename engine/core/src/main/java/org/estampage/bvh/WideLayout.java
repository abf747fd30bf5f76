package org.estampage.bvh;

import org.estampage.internal.kernel.Kernels;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * A tree whose nodes have as many children, and whose leaves have as many triangles, as a vector has lanes; groups of up to 32 rays of one octant walk it
 * together.
 *
 * @threads immutable; safe for concurrent calls
 * @cost about 55 bytes a triangle beside the mesh
 */
public final class WideLayout implements TreeLayout {
    private final int lanes;

    private WideLayout(int lanes) {
        this.lanes = lanes;
    }

    /**
     * Returns the layout for vectors of so many floats. One wider than the machine's vectors gives the same answers, very slowly.
     *
     * @param lanes 8 for 256-bit vectors, 16 for 512-bit ones
     * @throws IllegalArgumentException if {@code lanes} is neither
     * @throws IllegalStateException    if this JVM runs without vectors, see {@link StrategyChoice}
     */
    public static WideLayout of(int lanes) {
        if (lanes != 8 && lanes != 16) {
            throw new IllegalArgumentException("lanes = " + lanes + " must be 8 or 16");
        }
        if (!Kernels.areVectors()) {
            throw new IllegalStateException("no vectors: " + Kernels.reason());
        }
        return new WideLayout(lanes);
    }

    @Override
    public LeafRule leafRule() {
        return new LeafRule(lanes, lanes, 1);
    }

    @Override
    public TreeTracer lay(Mesh mesh, BoxTree tree, Task task) {
        task.check();
        return new WideTracer(WideTrees.lay(mesh, tree, lanes));
    }

    /** Returns a name such as "16-wide, groups of 32 rays". */
    @Override
    public String toString() {
        return lanes + "-wide, groups of 32 rays";
    }
}
