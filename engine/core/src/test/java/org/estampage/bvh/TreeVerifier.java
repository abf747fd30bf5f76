package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Arrays;
import java.util.BitSet;
import org.estampage.internal.kernel.BinaryTree;

/** Checks that a tree is one. */
final class TreeVerifier {
    private final BinaryTree tree;
    private final BitSet seen = new BitSet();
    private int records;

    private TreeVerifier(BinaryTree tree) {
        this.tree = tree;
    }

    /** Checks that every triangle is in one leaf, every box fits its triangles exactly, records are in depth-first order, and the depth is bounded. */
    static void verify(BinaryTree tree) {
        TreeVerifier v = new TreeVerifier(tree);
        v.visit(tree.root, 0);
        assertThat(v.seen.cardinality()).isEqualTo(tree.triangleCount());
        assertThat(Arrays.stream(tree.numbers).distinct().count()).isEqualTo(tree.triangleCount());
        assertThat(tree.nodes).hasSize(BinaryTree.FIRST + BinaryTree.RECORD * v.records);
    }

    private float[] visit(int link, int depth) {
        check(depth < BinaryTree.DEEPEST, "too deep", link);
        float[] box = {Float.POSITIVE_INFINITY, Float.POSITIVE_INFINITY, Float.POSITIVE_INFINITY, Float.NEGATIVE_INFINITY,
                Float.NEGATIVE_INFINITY,
                Float.NEGATIVE_INFINITY};
        if (link < 0) {
            int first = BinaryTree.leafFirst(link);
            for (int t = first; t < first + BinaryTree.leafCount(link); t++) {
                check(!seen.get(t), "a triangle in two leaves", link);
                seen.set(t);
                for (int i = 0; i < 9; i++) {
                    float f = tree.triangles[9 * t + i];
                    box[i % 3] = Math.min(box[i % 3], f);
                    box[3 + i % 3] = Math.max(box[3 + i % 3], f);
                }
            }
            return box;
        }
        check(link == BinaryTree.FIRST + BinaryTree.RECORD * records++, "out of order", link);
        for (int side = 0; side < 2; side++) {
            float[] child = visit(Float.floatToRawIntBits(tree.nodes[link + BinaryTree.LINKS + side]), depth + 1);
            for (int axis = 0; axis < 3; axis++) {
                check(tree.nodes[link + 4 * axis + side] == child[axis], "low plane", link);
                check(tree.nodes[link + 4 * axis + 2 + side] == child[3 + axis], "high plane", link);
                box[axis] = Math.min(box[axis], child[axis]);
                box[3 + axis] = Math.max(box[3 + axis], child[3 + axis]);
            }
        }
        return box;
    }

    private static void check(boolean right, String what, int link) {
        if (!right) { // not an assertThat: there are a million of them
            throw new AssertionError(what + " at link " + link);
        }
    }
}
