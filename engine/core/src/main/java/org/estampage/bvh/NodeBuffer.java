package org.estampage.bvh;

import java.util.Arrays;
import org.estampage.internal.kernel.BoxLoops;

/** Room for the nodes of one part of a tree, used again for the next part. */
final class NodeBuffer {
    private final float[] boxes;
    private final int[] links;
    private final int[] counts;
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

    /** Fits a node's box to some triangles. */
    void fit(int node, float[] positions, int[] corners, int[] triangles, int begin, int end) {
        fit(boxes, BoxTree.BOX * node, positions, corners, triangles, begin, end);
    }

    /** Writes the box that fits some triangles, never with −0. */
    static void fit(float[] dest, int to, float[] positions, int[] corners, int[] triangles, int begin, int end) {
        float lowX = Float.POSITIVE_INFINITY;
        float lowY = Float.POSITIVE_INFINITY;
        float lowZ = Float.POSITIVE_INFINITY;
        float highX = Float.NEGATIVE_INFINITY;
        float highY = Float.NEGATIVE_INFINITY;
        float highZ = Float.NEGATIVE_INFINITY;
        for (int i = begin; i < end; i++) {
            for (int corner = 3 * triangles[i]; corner < 3 * triangles[i] + 3; corner++) {
                int at = 3 * corners[corner];
                lowX = Math.min(lowX, positions[at]);
                lowY = Math.min(lowY, positions[at + 1]);
                lowZ = Math.min(lowZ, positions[at + 2]);
                highX = Math.max(highX, positions[at]);
                highY = Math.max(highY, positions[at + 1]);
                highZ = Math.max(highZ, positions[at + 2]);
            }
        }
        dest[to] = lowX + 0f;
        dest[to + 1] = lowY + 0f;
        dest[to + 2] = lowZ + 0f;
        dest[to + 3] = highX + 0f;
        dest[to + 4] = highY + 0f;
        dest[to + 5] = highZ + 0f;
    }

    /** Sets an inner node's box to the union of its children's. */
    void unite(int node) {
        TreePart.unite(boxes, BoxTree.BOX * links[node], boxes, BoxTree.BOX * links[node] + BoxTree.BOX, boxes, BoxTree.BOX * node);
    }

    /** Returns half the area of a node's box; in double precision it neither overflows nor vanishes. */
    double area(int node) {
        return area(boxes, BoxTree.BOX * node);
    }

    static double area(float[] boxes, int at) {
        double x = (double) boxes[at + 3] - boxes[at];
        double y = (double) boxes[at + 4] - boxes[at + 1];
        double z = (double) boxes[at + 5] - boxes[at + 2];
        return x * y + y * z + z * x;
    }

    TreePart toPart() {
        return new TreePart(Arrays.copyOf(boxes, BoxTree.BOX * size), Arrays.copyOf(links, size), Arrays.copyOf(counts, size));
    }
}
