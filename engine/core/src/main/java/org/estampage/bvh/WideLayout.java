package org.estampage.bvh;

import org.estampage.internal.kernel.Kernels;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * A tree whose nodes have as many children, and whose leaves have as many triangles, as a vector has lanes; up to 32 rays of one octant walk it together.
 *
 * <p>As long as a JVM has asked few rays they walk alone, by plain code: the same hits, sooner than vectors are compiled.
 *
 * @threads immutable; safe for concurrent calls
 * @cost about 35 bytes a triangle beside the mesh where triangles share vertices, up to 90 where they don't
 */
public final class WideLayout implements TreeLayout {
    private static final int MOST_TOGETHER = 32;

    private final int lanes;
    /** 0 without vectors. */
    private final int together;

    private WideLayout(int lanes, int together) {
        this.lanes = lanes;
        this.together = together;
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
        return new WideLayout(lanes, MOST_TOGETHER);
    }

    /**
     * Returns this layout walked by so many rays together at most: fetching a node once for several rays is the gain.
     *
     * @param rays 1 … 32; 1 walks every ray alone
     * @throws IllegalArgumentException if {@code rays} is not in that range
     */
    public WideLayout raysTogether(int rays) {
        if (rays < 1 || rays > MOST_TOGETHER) {
            throw new IllegalArgumentException("rays = " + rays + " must be 1 … " + MOST_TOGETHER);
        }
        return new WideLayout(lanes, rays);
    }

    /** Returns this layout walked without vectors, as young JVMs do. */
    WideLayout withoutVectors() {
        return new WideLayout(lanes, 0);
    }

    @Override
    public LeafRule leafRule() {
        return new LeafRule(lanes, lanes, 1);
    }

    @Override
    public TreeTracer lay(Mesh mesh, BoxTree tree, Task task) {
        task.check();
        return new WideTracer(WideTrees.lay(mesh, tree, lanes), together);
    }

    /** Returns a name such as "16-wide, 32 rays together". */
    @Override
    public String toString() {
        if (together == 0) {
            return lanes + "-wide, without vectors";
        }
        return lanes + "-wide, " + (together == 1 ? "each ray alone" : together + " rays together");
    }
}
