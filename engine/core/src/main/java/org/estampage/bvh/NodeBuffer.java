package org.estampage.bvh;

import java.util.Arrays;
import org.estampage.internal.kernel.BoxLoops;

/** Room for the nodes of one part of a tree, used again for the next part. */
final class NodeBuffer {
    float[] boxes;
    int[] links;
    int[] counts;
    private int size;

    /** Makes room for any binary tree over so many triangles. */
    NodeBuffer(int triangles) {
        int nodes = 2 * triangles;
        boxes = new float[BoxTree.BOX * nodes];
        links = new int[nodes];
        counts = new int[nodes];
    }

    static long bytes(int triangles) {
        return TreePart.nodeBytes(2L * triangles);
    }

    /** Begins a part: only node 0 is there. */
    void begin() {
        size = 1;
    }

    /** Takes two neighbouring nodes; returns the first. */
    int pair() {
        size += 2;
        return size - 2;
    }

    /** Forgets all nodes from a pair on. */
    void back(int pair) {
        size = pair;
    }

    void leaf(int node, int first, int count) {
        links[node] = first;
        counts[node] = count;
    }

    void inner(int node, int pair) {
        links[node] = pair;
        counts[node] = 0;
    }

    /** Sets a node's box to one given as maxima. */
    void box(int node, float[] maxima, int at) {
        int to = BoxTree.BOX * node;
        for (int axis = 0; axis < 3; axis++) {
            boxes[to + axis] = 0f - maxima[at + axis];
            boxes[to + 3 + axis] = maxima[at + BoxLoops.HIGH + axis];
        }
    }

    TreePart toPart() {
        return new TreePart(Arrays.copyOf(boxes, BoxTree.BOX * size), Arrays.copyOf(links, size), Arrays.copyOf(counts, size));
    }
}
