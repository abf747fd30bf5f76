package org.estampage.internal.kernel;

/**
 * A binary tree of boxes over triangles in flat arrays; built elsewhere, read by {@link BinaryTraversal}.
 *
 * <p>An inner node is a record of 16 floats that holds the boxes of its two children L and R, so that one fetch of a cache line tests both: minX L R,
 * maxX L R, minY L R, maxY L R, minZ L R, maxZ L R, then the two links as raw int bits, then two unused. A link ≥ 0 is the index of a record's first
 * float; a link &lt; 0 is a leaf, see {@link #leaf}.
 *
 * @shape nodes: records from index {@link #FIRST} on, in depth-first order, parents before children; triangles: nine floats each, corners 0, 1, 2 as
 *        xyz, in leaf order; numbers: the mesh's triangle numbers, in the same order
 * @threads immutable by contract
 */
public final class BinaryTree {
    /** Floats a record. */
    public static final int RECORD = 16;
    /** Index of the first record: array payloads begin 16 bytes into a cache line, 12 floats later begins the next one. */
    public static final int FIRST = 12;
    /** Where a record holds its links. */
    public static final int LINKS = 12;
    /** The most triangles a leaf can hold. */
    public static final int MOST_IN_LEAF = 8;
    /** The deepest a tree may be: the size of traversal stacks. */
    public static final int DEEPEST = 100;

    /** Records. */
    public final float[] nodes;
    /** Vertices. */
    public final float[] triangles;
    /** Triangle numbers. */
    public final int[] numbers;
    /** The root's link. */
    public final int root;
    final float minX;
    final float minY;
    final float minZ;
    final float maxX;
    final float maxY;
    final float maxZ;

    /**
     * Takes over a tree.
     *
     * @param root   the root's link; ignored when there are no triangles
     * @param bounds min xyz, max xyz around everything; copied
     */
    public BinaryTree(float[] nodes, float[] triangles, int[] numbers, int root, float[] bounds) {
        this.nodes = nodes;
        this.triangles = triangles;
        this.numbers = numbers;
        this.root = root;
        minX = bounds[0];
        minY = bounds[1];
        minZ = bounds[2];
        maxX = bounds[3];
        maxY = bounds[4];
        maxZ = bounds[5];
    }

    /** Returns the link of a leaf of {@code count} triangles from {@code first} on. */
    public static int leaf(int first, int count) {
        assert count >= 1 && count <= MOST_IN_LEAF && first < 1 << 28;
        return ~(first << 3 | count - 1);
    }

    /** Returns the first triangle of a leaf. */
    public static int leafFirst(int link) {
        return ~link >>> 3;
    }

    /** Returns how many triangles a leaf holds. */
    public static int leafCount(int link) {
        return (~link & 7) + 1;
    }

    /** Returns how many triangles there are. */
    public int triangleCount() {
        return numbers.length;
    }

    /** Returns the bytes of the arrays. */
    public long bytes() {
        return 4L * nodes.length + 4L * triangles.length + 4L * numbers.length;
    }
}
