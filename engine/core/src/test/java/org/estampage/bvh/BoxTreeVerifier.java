package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Arrays;
import java.util.BitSet;
import java.util.stream.IntStream;
import org.estampage.mesh.Mesh;

/** Checks that what a builder made is a tree, and reads it from its root. */
final class BoxTreeVerifier {
    private final Mesh mesh;
    private final BoxTree tree;
    private final LeafRule rule;
    private final BitSet nodes = new BitSet();
    private final BitSet places = new BitSet();
    /** How many triangles the node held that was visited last. */
    private int lastHeld;

    private BoxTreeVerifier(Mesh mesh, BoxTree tree, LeafRule rule) {
        this.mesh = mesh;
        this.tree = tree;
        this.rule = rule;
    }

    /**
     * Checks that every given triangle is in exactly one leaf, every box fits its triangles exactly, leaves obey the rule, the depth is bounded, and
     * there are no other nodes.
     */
    static void verify(Mesh mesh, int[] triangles, BoxTree tree, LeafRule rule) {
        int[] sorted = tree.triangles.clone();
        Arrays.sort(sorted);
        assertThat(sorted).isEqualTo(IntStream.of(triangles).sorted().toArray());
        assertThat(tree.isEmpty()).isEqualTo(triangles.length == 0);
        assertThat(tree.links).hasSameSizeAs(tree.counts);
        assertThat(tree.boxes).hasSize(BoxTree.BOX * tree.counts.length);
        if (triangles.length > 0) {
            BoxTreeVerifier v = new BoxTreeVerifier(mesh, tree, rule);
            v.visit(0, 1);
            assertThat(v.places.cardinality()).isEqualTo(triangles.length);
            assertThat(v.nodes.cardinality()).isEqualTo(tree.counts.length);
        }
        // What was taken cannot be less than what is left.
        assertThat(tree.peakBytes)
                .isGreaterThanOrEqualTo(tree.bytes());
    }

    /** Checks a node and all below; returns its box. */
    private float[] visit(int node, int depth) {
        check(depth <= BoxTree.DEEPEST, "too deep", node);
        check(!nodes.get(node), "met twice", node);
        nodes.set(node);
        float[] box = {Float.POSITIVE_INFINITY, Float.POSITIVE_INFINITY, Float.POSITIVE_INFINITY, Float.NEGATIVE_INFINITY,
                Float.NEGATIVE_INFINITY, Float.NEGATIVE_INFINITY};
        if (tree.counts[node] > 0) {
            check(tree.counts[node] <= rule.most(), "too large a leaf", node);
            lastHeld = tree.counts[node];
            for (int i = tree.links[node]; i < tree.links[node] + tree.counts[node]; i++) {
                check(!places.get(i), "shares a triangle", node);
                places.set(i);
                grow(box, tree.triangles[i]);
            }
        } else {
            int held = 0;
            for (int child = tree.links[node]; child < tree.links[node] + 2; child++) {
                float[] other = visit(child, depth + 1);
                held += lastHeld;
                for (int axis = 0; axis < 3; axis++) {
                    box[axis] = Math.min(box[axis], other[axis]);
                    box[3 + axis] = Math.max(box[3 + axis], other[3 + axis]);
                }
            }
            lastHeld = held;
            check(rule.block() == 1 || held > rule.block(), "cuts what is one block", node);
        }
        for (int k = 0; k < BoxTree.BOX; k++) {
            check(tree.boxes[BoxTree.BOX * node + k] == box[k], "a box that does not fit", node);
        }
        return box;
    }

    private void grow(float[] box, int triangle) {
        for (int corner = 0; corner < 3; corner++) {
            int at = 3 * mesh.positionIndices()[3 * triangle + corner];
            for (int axis = 0; axis < 3; axis++) {
                box[axis] = Math.min(box[axis], mesh.positions()[at + axis]);
                box[3 + axis] = Math.max(box[3 + axis], mesh.positions()[at + axis]);
            }
        }
    }

    private static void check(boolean right, String what, int node) {
        if (!right) { // not an assertThat: there are a million of them
            throw new AssertionError(what + ": node " + node);
        }
    }

    /** Returns all that can be seen from the root, left before right: boxes as bits, the numbers of triangles, the triangles. */
    static int[] seen(BoxTree tree) {
        IntStream.Builder all = IntStream.builder();
        if (!tree.isEmpty()) {
            see(tree, 0, all);
        }
        return all.build().toArray();
    }

    private static void see(BoxTree tree, int node, IntStream.Builder dest) {
        for (int k = 0; k < BoxTree.BOX; k++) {
            dest.add(Float.floatToRawIntBits(tree.boxes[BoxTree.BOX * node + k]));
        }
        dest.add(tree.counts[node]);
        if (tree.counts[node] > 0) {
            for (int i = 0; i < tree.counts[node]; i++) {
                dest.add(tree.triangles[tree.links[node] + i]);
            }
        } else {
            see(tree, tree.links[node], dest);
            see(tree, tree.links[node] + 1, dest);
        }
    }
}
