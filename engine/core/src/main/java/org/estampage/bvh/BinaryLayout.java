package org.estampage.bvh;

import org.estampage.internal.kernel.BinaryTree;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * A binary tree, walked one ray at a time by plain code: the reference for every other layout, and what runs where there are no vectors.
 *
 * @threads immutable; safe for concurrent calls
 * @cost about 60 bytes a triangle beside the mesh
 */
public final class BinaryLayout implements TreeLayout {
    /** As many triangles as can have a record each in one array. */
    private static final int MOST = (Integer.MAX_VALUE - BinaryTree.FIRST) / BinaryTree.RECORD;
    /**
     * The cost of testing the two boxes of a record, in triangle tests. Measured from 0.7 to 2.2 on 2 M triangles: the speed is the same within noise,
     * but 2.2 takes 59 bytes a triangle where 1 takes 75.
     */
    private static final LeafRule RULE = new LeafRule(BinaryTree.MOST_IN_LEAF, 1, 2.2);

    /** Makes the layout. */
    public BinaryLayout() {
    }

    @Override
    public LeafRule leafRule() {
        return RULE;
    }

    /**
     * {@inheritDoc}
     *
     * @throws IllegalArgumentException if there are more than 134 million triangles
     */
    @Override
    public TreeTracer lay(Mesh mesh, BoxTree tree, Task task) {
        if (tree.triangles.length > MOST) {
            throw new IllegalArgumentException("there are " + tree.triangles.length + " triangles, this layout holds at most " + MOST);
        }
        task.check();
        return new BinaryTracer(BinaryTrees.lay(mesh, tree));
    }

    /** Returns "binary". */
    @Override
    public String toString() {
        return "binary";
    }
}
