package org.estampage.bvh;

import java.util.Arrays;
import org.estampage.internal.kernel.Triangles;
import org.estampage.internal.kernel.WideTree;
import org.estampage.mesh.Mesh;

/**
 * Makes {@link WideTree}s of {@link BoxTree}s, and moves them.
 *
 * <p>A wide node begins with the two children of a binary one; the child with the largest surface is replaced by its own two until there are enough. The
 * children of a node stand together, nodes as well as blocks.
 *
 * @source Wald, Benthin, Boulos, Getting Rid of Packets, RT 2008 (collapsing by surface area; from memory)
 */
final class WideTrees {
    private final int lanes;
    private final int stride;
    private final Mesh mesh;
    private final BoxTree from;
    private float[] nodes = new float[0];
    private int nodeEnd = WideTree.FIRST;
    private float[] blocks = new float[0];
    private int[] numbers = new int[0];
    private int blockCount;
    private long peakBytes;
    private final int[] children;
    private final float[] areas;
    /** The mesh's numbers of the vertices of a block. */
    private final int[] local;

    private WideTrees(Mesh mesh, BoxTree from, int lanes) {
        this.lanes = lanes;
        this.mesh = mesh;
        this.from = from;
        stride = WideTree.nodeStride(lanes);
        children = new int[lanes];
        areas = new float[lanes];
        int leaves = 0;
        for (int node = 0; node < from.counts.length; node++) {
            leaves += from.counts[node] > 0 ? 1 : 0;
        }
        local = new int[lanes];
        makeRoom(leaves + leaves / 16);
        resizeNodes(WideTree.FIRST + stride * (4 + leaves / (lanes / 2)));
    }

    private void makeRoom(int forBlocks) {
        long floats = WideTree.FIRST + (long) WideTree.blockStride(lanes) * forBlocks;
        if (floats > Integer.MAX_VALUE - 8) {
            throw new IllegalArgumentException("there are " + from.triangles.length + " triangles, this layout holds at most "
                    + Integer.MAX_VALUE / WideTree.blockStride(lanes) + " leaves");
        }
        resizeBlocks((int) floats, lanes * forBlocks);
    }

    private void resizeBlocks(int floats, int count) {
        besides(count);
        numbers = Arrays.copyOf(numbers, count);
        besides(floats);
        blocks = Arrays.copyOf(blocks, floats);
    }

    private void resizeNodes(int floats) {
        besides(floats);
        nodes = Arrays.copyOf(nodes, floats);
    }

    /** Counts an array that is made while those that are there still are. */
    private void besides(int length) {
        peakBytes = Math.max(peakBytes, 4L * nodes.length + 4L * blocks.length + 4L * numbers.length + 4L * length);
    }

    static Laid<WideTree> lay(Mesh mesh, BoxTree tree, int lanes) {
        float[] bounds = new float[BoxTree.BOX];
        if (tree.isEmpty()) {
            WideTree empty = new WideTree(lanes, new float[WideTree.FIRST], new float[WideTree.FIRST], new int[0], 0, bounds);
            return new Laid<>(empty, empty.bytes());
        }
        WideTrees l = new WideTrees(mesh, tree, lanes);
        l.layAll();
        System.arraycopy(tree.boxes, 0, bounds, 0, BoxTree.BOX);
        // One after the other, the largest last: what is cut off is gone by then.
        l.resizeNodes(l.nodeEnd);
        l.resizeBlocks(WideTree.FIRST + l.blockCount * WideTree.blockStride(lanes), l.blockCount * lanes);
        return new Laid<>(new WideTree(lanes, l.nodes, l.blocks, l.numbers, tree.triangles.length, bounds), l.peakBytes);
    }

    private void layAll() {
        // Binary nodes that are still to become wide ones, each with its place.
        int[] waiting = new int[2 * (WideTree.DEEPEST * lanes + 1)];
        int depth = 0;
        waiting[depth++] = 0;
        waiting[depth++] = newNode();
        while (depth > 0) {
            int at = waiting[--depth];
            int node = waiting[--depth];
            int count = open(node);
            for (int c = 0; c < lanes; c++) {
                int plane = at + c;
                if (c >= count) {
                    putEmpty(nodes, plane, lanes);
                    continue;
                }
                int child = children[c];
                putBox(nodes, plane, lanes, from.boxes, BoxTree.BOX * child);
                int link;
                if (from.counts[child] > 0) {
                    link = putLeaf(child);
                } else {
                    link = newNode();
                    waiting[depth++] = child;
                    waiting[depth++] = link;
                }
                nodes[plane + WideTree.links(lanes)] = Float.intBitsToFloat(link);
            }
        }
    }

    private int newNode() {
        int at = nodeEnd;
        nodeEnd += stride;
        if (nodeEnd > nodes.length) {
            resizeNodes((int) Math.min(Integer.MAX_VALUE - 8L, nodes.length * 3L / 2 + stride));
        }
        return at;
    }

    /** Collects the children of a wide node; returns how many. */
    private int open(int node) {
        if (from.counts[node] > 0) { // the root is a leaf
            children[0] = node;
            return 1;
        }
        int count = 0;
        add(from.links[node], count++);
        add(from.links[node] + 1, count++);
        while (count < lanes) {
            int largest = -1;
            float area = -1;
            for (int c = 0; c < count; c++) {
                if (areas[c] > area) {
                    area = areas[c];
                    largest = c;
                }
            }
            if (largest < 0) {
                break;
            }
            int opened = children[largest];
            add(from.links[opened], largest);
            add(from.links[opened] + 1, count++);
        }
        return count;
    }

    private void add(int node, int place) {
        children[place] = node;
        // Leaves can't be opened. An area that overflowed is as large as any.
        int b = BoxTree.BOX * node;
        float[] box = from.boxes;
        float x = box[b + 3] - box[b];
        float y = box[b + 4] - box[b + 1];
        float z = box[b + 5] - box[b + 2];
        areas[place] = from.counts[node] > 0 ? -1 : x * y + y * z + z * x;
    }

    /** Puts a leaf's triangles into as few blocks as their vertices fill; returns its link. */
    private int putLeaf(int leaf) {
        int first = blockCount;
        int end = from.links[leaf] + from.counts[leaf];
        for (int i = from.links[leaf]; i < end;) {
            if (blockCount * lanes == numbers.length) {
                makeRoom(blockCount + blockCount / 2 + 4);
            }
            i += putBlock(blocks, numbers, blockCount++, lanes, local, mesh, from.triangles, i, end);
        }
        return WideTree.leaf(first, blockCount - first);
    }

    /**
     * Fills one block with the first of the given triangles.
     *
     * @param local  room for the numbers of a block's vertices
     * @return how many triangles found place
     */
    private static int putBlock(float[] blocks, int[] numbers, int block, int lanes, int[] local, Mesh mesh, int[] triangles, int begin,
            int end) {
        float[] p = mesh.positions();
        int[] corners = mesh.positionIndices();
        int at = WideTree.FIRST + block * WideTree.blockStride(lanes);
        int vertices = 0;
        int count = 0;
        while (begin + count < end && count < lanes) {
            int t = triangles[begin + count];
            int places = 0;
            int used = vertices;
            for (int corner = 0; corner < 3 && used <= lanes; corner++) {
                int v = corners[3 * t + corner];
                int place = 0;
                while (place < used && local[place] != v) {
                    place++;
                }
                if (place == used) {
                    if (used < lanes) {
                        local[place] = v;
                    }
                    used++;
                }
                places |= place << (8 * corner);
            }
            if (used > lanes) {
                break;
            }
            vertices = used;
            if (!Triangles.takesPart(p, 3 * corners[3 * t], 3 * corners[3 * t + 1], 3 * corners[3 * t + 2])) {
                places = (places & 255) * 0x010101;
            }
            blocks[at + 3 * lanes + count] = Float.intBitsToFloat(places);
            numbers[block * lanes + count] = t;
            count++;
        }
        for (int place = 0; place < lanes; place++) { // what is left repeats the last vertex, or triangle, and is never looked at
            int v = 3 * local[Math.min(place, vertices - 1)];
            blocks[at + place] = p[v];
            blocks[at + lanes + place] = p[v + 1];
            blocks[at + 2 * lanes + place] = p[v + 2];
        }
        for (int lane = count; lane < lanes; lane++) {
            blocks[at + 3 * lanes + lane] = 0;
            numbers[block * lanes + lane] = -1;
        }
        int first = Float.floatToRawIntBits(blocks[at + 3 * lanes]);
        blocks[at + 3 * lanes] = Float.intBitsToFloat(first | count << 24);
        return count;
    }

    private static void putBox(float[] nodes, int at, int lanes, float[] box, int boxAt) {
        for (int axis = 0; axis < 3; axis++) {
            nodes[at + 2 * axis * lanes] = box[boxAt + axis];
            nodes[at + (2 * axis + 1) * lanes] = box[boxAt + 3 + axis];
        }
    }

    private static void putEmpty(float[] nodes, int at, int lanes) {
        for (int axis = 0; axis < 3; axis++) {
            nodes[at + 2 * axis * lanes] = Float.POSITIVE_INFINITY;
            nodes[at + (2 * axis + 1) * lanes] = Float.NEGATIVE_INFINITY;
        }
    }

    /** Returns a tree whose boxes fit the moved mesh; a triangle that can't be hit any more becomes NaN, which nothing meets. */
    static Laid<WideTree> refit(WideTree tree, Mesh moved) {
        int lanes = tree.lanes;
        float[] blocks = new float[tree.blocks.length];
        int[] numbers = new int[tree.numbers.length];
        int[] local = new int[lanes];
        for (int block = 0; block * lanes < numbers.length; block++) {
            putBlock(blocks, numbers, block, lanes, local, moved, tree.numbers, block * lanes, block * lanes + tree.triangles(block));
        }
        float[] nodes = tree.nodes.clone();
        float[] box = new float[BoxTree.BOX];
        // Children stand behind their parents: from the back, each node finds its children's boxes ready.
        for (int at = nodes.length - WideTree.nodeStride(lanes); at >= WideTree.FIRST; at -= WideTree.nodeStride(lanes)) {
            for (int c = at; c < at + lanes; c++) {
                int link = Float.floatToRawIntBits(nodes[c + WideTree.links(lanes)]);
                if (link != WideTree.NOTHING) {
                    boxOf(nodes, blocks, lanes, link, box);
                    putBox(nodes, c, lanes, box, 0);
                }
            }
        }
        if (tree.triangleCount > 0) {
            boxOf(nodes, blocks, lanes, WideTree.FIRST, box);
        }
        WideTree refit = new WideTree(lanes, nodes, blocks, tree.numbers, tree.triangleCount, box);
        return new Laid<>(refit, refit.bytes()); // the numbers are written twice, and the second ones kept
    }

    private static void boxOf(float[] nodes, float[] blocks, int lanes, int link, float[] dest) {
        for (int axis = 0; axis < 3; axis++) {
            float low = Float.POSITIVE_INFINITY;
            float high = Float.NEGATIVE_INFINITY;
            if (link >= 0) {
                int at = link + 2 * axis * lanes;
                for (int c = at; c < at + lanes; c++) {
                    low = Math.min(low, nodes[c]);
                    high = Math.max(high, nodes[c + lanes]);
                }
            } else {
                int end = WideTree.leafFirst(link) + WideTree.leafCount(link);
                for (int block = WideTree.leafFirst(link); block < end; block++) {
                    int at = WideTree.FIRST + block * WideTree.blockStride(lanes) + axis * lanes;
                    for (int i = at; i < at + lanes; i++) {
                        if (Float.isFinite(blocks[i])) {
                            low = Math.min(low, blocks[i]);
                            high = Math.max(high, blocks[i]);
                        }
                    }
                }
            }
            dest[axis] = low;
            dest[3 + axis] = high;
        }
    }
}
