package org.estampage.bvh;

import org.estampage.internal.kernel.BinaryTree;

/**
 * A binary tree of boxes over triangles: what builders make and layouts read.
 *
 * <p>Node 0 is the root. The children of an inner node are neighbours. How nodes are numbered beyond that says nothing: readers walk from the root,
 * left before right, and so see the same tree for any number of building threads.
 *
 * @shape boxes: min xyz, max xyz a node; links: an inner node's left child, whose neighbour is the right one, or where a leaf's triangles begin; counts:
 *        0 for an inner node, else a leaf's triangles; triangles: the mesh's triangle numbers, each once, those of a leaf together
 * @edge a tree over nothing has no node
 * @threads immutable by contract: whoever makes one gives its arrays away
 */
public final class BoxTree {
    /** The deepest a tree may be, so that stacks have a fixed size: a root alone has depth 1. */
    public static final int DEEPEST = BinaryTree.DEEPEST;
    /** Floats of a box. */
    public static final int BOX = 6;

    /** Boxes that fit their triangles exactly. */
    public final float[] boxes;
    /** Left children, or first triangles. */
    public final int[] links;
    /** Triangles of leaves. */
    public final int[] counts;
    /** Triangle numbers. */
    public final int[] triangles;
    /** The most bytes that building took at one time, these arrays included. */
    public final long peakBytes;

    /** Takes over a tree. */
    public BoxTree(float[] boxes, int[] links, int[] counts, int[] triangles, long peakBytes) {
        this.boxes = boxes;
        this.links = links;
        this.counts = counts;
        this.triangles = triangles;
        this.peakBytes = peakBytes;
    }

    /** Returns the bytes of the arrays. */
    public long bytes() {
        return 4L * boxes.length + 4L * links.length + 4L * counts.length + 4L * triangles.length;
    }

    /** Returns whether there is nothing in it. */
    public boolean isEmpty() {
        return triangles.length == 0;
    }

    /**
     * Returns the expected price of a ray that meets the root's box.
     *
     * @source Aila, Karras, Laine, On Quality Metrics of Bounding Volume Hierarchies, HPG 2013, equation 1
     */
    public double sahCost(LeafRule rule) {
        if (isEmpty()) {
            return 0;
        }
        double rootArea = halfArea(0);
        if (!(rootArea > 0)) {
            return rule.leafCost(triangles.length);
        }
        return sum(0, rule) / rootArea;
    }

    private double sum(int node, LeafRule rule) {
        if (counts[node] > 0) {
            return halfArea(node) * rule.leafCost(counts[node]);
        }
        return halfArea(node) * rule.innerCost() + sum(links[node], rule) + sum(links[node] + 1, rule);
    }

    private double halfArea(int node) {
        return NodeBuffer.area(boxes, BOX * node);
    }
}
