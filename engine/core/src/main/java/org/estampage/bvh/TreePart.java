package org.estampage.bvh;

import java.util.concurrent.RecursiveAction;
import org.jspecify.annotations.Nullable;

/**
 * A finished part of a tree that is built in parts by several threads: either nodes, the first of which is the part's root, or two parts under a common
 * node.
 *
 * @threads confined to one thread at a time
 */
final class TreePart {
    private final @Nullable TreePart left;
    private final @Nullable TreePart right;
    /** The boxes of all nodes, or that of the common node. */
    private float[] boxes;
    private final int[] links;
    private final int[] counts;
    private final int nodeCount;

    /** Takes over nodes, whose links to nodes count from the part's first. */
    TreePart(float[] boxes, int[] links, int[] counts) {
        left = null;
        right = null;
        this.boxes = boxes;
        this.links = links;
        this.counts = counts;
        nodeCount = links.length;
    }

    /** Puts two parts under a node. */
    TreePart(TreePart left, TreePart right, float[] box) {
        this.left = left;
        this.right = right;
        boxes = box;
        links = new int[0];
        counts = links;
        nodeCount = Math.addExact(1, Math.addExact(left.nodeCount, right.nodeCount));
    }

    /** Puts two parts under a node whose box is the union of theirs. */
    static TreePart under(TreePart left, TreePart right) {
        float[] box = new float[BoxTree.BOX];
        unite(left.boxes, 0, right.boxes, 0, box, 0);
        return new TreePart(left, right, box);
    }

    static void unite(float[] a, int aAt, float[] b, int bAt, float[] dest, int at) {
        for (int axis = 0; axis < 3; axis++) {
            dest[at + axis] = Math.min(a[aAt + axis], b[bAt + axis]);
            dest[at + 3 + axis] = Math.max(a[aAt + 3 + axis], b[bAt + 3 + axis]);
        }
    }

    int nodeCount() {
        return nodeCount;
    }

    /** Returns the bytes of a tree's nodes. */
    static long nodeBytes(long nodes) {
        return nodes * (4L * BoxTree.BOX + 8L);
    }

    /**
     * Makes one tree of a root part, its nodes in depth-first order, pair by pair. The parts give their nodes up.
     *
     * @param peakBytes the most that building took until now
     * @param kept      bytes that are still in use beside the nodes
     */
    static BoxTree join(TreePart root, int[] triangles, long peakBytes, long kept) {
        int nodes = root.nodeCount;
        BoxTree tree = new BoxTree(new float[Math.multiplyExact(BoxTree.BOX, nodes)], new int[nodes], new int[nodes], triangles,
                Math.max(peakBytes, kept + 4L * triangles.length + 2 * nodeBytes(nodes)));
        Pools.run(new Copy(root, tree, 0, 1), nodes);
        return tree;
    }

    /** Copies a part's root to one place and its other nodes to another, where they stand in one run. */
    private static final class Copy extends RecursiveAction {
        private static final long serialVersionUID = 1L;
        private final transient TreePart part;
        private final transient BoxTree tree;
        private final int node;
        private final int rest;

        Copy(TreePart part, BoxTree tree, int node, int rest) {
            this.part = part;
            this.tree = tree;
            this.node = node;
            this.rest = rest;
        }

        @Override
        protected void compute() {
            System.arraycopy(part.boxes, 0, tree.boxes, BoxTree.BOX * node, BoxTree.BOX);
            if (part.left == null || part.right == null) {
                int others = part.nodeCount - 1;
                System.arraycopy(part.boxes, BoxTree.BOX, tree.boxes, BoxTree.BOX * rest, BoxTree.BOX * others);
                System.arraycopy(part.counts, 1, tree.counts, rest, others);
                tree.counts[node] = part.counts[0];
                tree.links[node] = moved(0);
                for (int i = 1; i <= others; i++) {
                    tree.links[rest + i - 1] = moved(i);
                }
                part.boxes = new float[0];
                return;
            }
            tree.links[node] = rest;
            Copy l = new Copy(part.left, tree, rest, rest + 2);
            Copy r = new Copy(part.right, tree, rest + 1, rest + 1 + part.left.nodeCount);
            invokeAll(l, r);
        }

        private int moved(int i) {
            return part.counts[i] > 0 ? part.links[i] : part.links[i] + rest - 1;
        }
    }
}
