package org.estampage.bvh;

import java.util.Arrays;
import org.estampage.internal.kernel.BinaryTree;
import org.estampage.internal.kernel.Triangles;
import org.estampage.mesh.Mesh;

/** Makes {@link BinaryTree}s of {@link BoxTree}s, and moves them. */
final class BinaryTrees {
    private final Mesh mesh;
    private final BoxTree from;
    private final float[] nodes;
    private final float[] vertices;
    private final int[] numbers;
    private int nextRecord = BinaryTree.FIRST;
    private int nextTriangle;

    private BinaryTrees(Mesh mesh, BoxTree from) {
        this.mesh = mesh;
        this.from = from;
        int records = 0;
        for (int node = 0; node < from.counts.length; node++) {
            records += from.counts[node] == 0 ? 1 : 0;
        }
        nodes = new float[BinaryTree.FIRST + BinaryTree.RECORD * records];
        vertices = new float[9 * from.triangles.length];
        numbers = new int[from.triangles.length];
    }

    /** Lays out a tree: records and leaves in depth-first order. */
    static Laid<BinaryTree> lay(Mesh mesh, BoxTree tree) {
        float[] bounds = new float[BoxTree.BOX];
        if (tree.isEmpty()) {
            return whole(new BinaryTree(new float[BinaryTree.FIRST], new float[0], new int[0], 0, bounds));
        }
        BinaryTrees l = new BinaryTrees(mesh, tree);
        int root = l.place(0);
        System.arraycopy(tree.boxes, 0, bounds, 0, BoxTree.BOX);
        return whole(new BinaryTree(l.nodes, l.vertices, l.numbers, root, bounds));
    }

    /** Its arrays are made in their final size: nothing is ever beside them. */
    private static Laid<BinaryTree> whole(BinaryTree tree) {
        return new Laid<>(tree, tree.bytes());
    }

    private int place(int node) {
        int count = from.counts[node];
        if (count > 0) {
            int first = nextTriangle;
            nextTriangle += count;
            for (int i = 0; i < count; i++) {
                numbers[first + i] = from.triangles[from.links[node] + i];
                copyVertices(mesh, numbers[first + i], vertices, 9 * (first + i));
            }
            return BinaryTree.leaf(first, count);
        }
        int at = nextRecord;
        nextRecord += BinaryTree.RECORD;
        for (int side = 0; side < 2; side++) {
            int child = from.links[node] + side;
            putBox(nodes, at, side, from.boxes, BoxTree.BOX * child);
            nodes[at + BinaryTree.LINKS + side] = Float.intBitsToFloat(place(child));
        }
        return at;
    }

    /** Returns a tree whose boxes fit the moved mesh; triangles that can't be hit any more become points of NaN, which nothing meets. */
    static Laid<BinaryTree> refit(BinaryTree tree, Mesh moved) {
        float[] vertices = new float[tree.triangles.length];
        for (int i = 0; i < tree.numbers.length; i++) {
            copyVertices(moved, tree.numbers[i], vertices, 9 * i);
            if (!Triangles.takesPart(vertices, 9 * i, 9 * i + 3, 9 * i + 6)) {
                Arrays.fill(vertices, 9 * i, 9 * i + 9, Float.NaN);
            }
        }
        float[] nodes = tree.nodes.clone();
        float[] box = new float[BoxTree.BOX];
        // Children stand behind their parents: from the back, each record finds its children's boxes ready.
        for (int at = nodes.length - BinaryTree.RECORD; at >= BinaryTree.FIRST; at -= BinaryTree.RECORD) {
            for (int side = 0; side < 2; side++) {
                boxOf(nodes, vertices, Float.floatToRawIntBits(nodes[at + BinaryTree.LINKS + side]), box);
                putBox(nodes, at, side, box, 0);
            }
        }
        if (tree.numbers.length > 0) {
            boxOf(nodes, vertices, tree.root, box);
        }
        return whole(new BinaryTree(nodes, vertices, tree.numbers, tree.root, box));
    }

    private static void boxOf(float[] nodes, float[] vertices, int link, float[] dest) {
        for (int axis = 0; axis < 3; axis++) {
            float low = Float.POSITIVE_INFINITY;
            float high = Float.NEGATIVE_INFINITY;
            if (link >= 0) {
                int at = link + 4 * axis;
                low = Math.min(nodes[at], nodes[at + 1]);
                high = Math.max(nodes[at + 2], nodes[at + 3]);
            } else {
                int end = BinaryTree.leafFirst(link) + BinaryTree.leafCount(link);
                for (int i = 9 * BinaryTree.leafFirst(link) + axis; i < 9 * end; i += 3) {
                    float v = vertices[i];
                    if (!Float.isNaN(v)) {
                        low = Math.min(low, v);
                        high = Math.max(high, v);
                    }
                }
            }
            dest[axis] = low;
            dest[3 + axis] = high;
        }
    }

    private static void copyVertices(Mesh mesh, int triangle, float[] dest, int at) {
        float[] p = mesh.positions();
        int[] corners = mesh.positionIndices();
        for (int corner = 0; corner < 3; corner++) {
            System.arraycopy(p, 3 * corners[3 * triangle + corner], dest, at + 3 * corner, 3);
        }
    }

    private static void putBox(float[] nodes, int at, int side, float[] box, int boxAt) {
        for (int axis = 0; axis < 3; axis++) {
            nodes[at + 4 * axis + side] = box[boxAt + axis];
            nodes[at + 4 * axis + 2 + side] = box[boxAt + 3 + axis];
        }
    }
}
