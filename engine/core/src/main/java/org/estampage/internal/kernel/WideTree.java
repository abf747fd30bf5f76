package org.estampage.internal.kernel;

/**
 * A tree whose nodes have as many children as a vector has lanes, and whose leaves are blocks of as many triangles; in flat arrays.
 *
 * <p>A node is a record of 7 · lanes floats: minX, maxX, minY, maxY, minZ, maxZ of all children, then their links as raw int bits. So one load takes one
 * plane of all children, and the near planes of a ray are found by its octant. A link ≥ 0 is the index of a node's first float; a link &lt; 0 is
 * {@code ~block}. The box of an empty slot reaches from +∞ to −∞, which no ray meets; its
 * link is {@link #NOTHING}.
 *
 * <p>A block is 9 · lanes floats: x of all corners 0, of all corners 1, of all corners 2, then y, then z. Empty lanes hold NaN, which no ray hits, and the
 * number −1.
 *
 * @shape nodes: records from index {@link #FIRST} on, parents before children; blocks: from {@link #FIRST} on; numbers: {@code lanes} a block
 * @threads immutable by contract
 */
public final class WideTree {
    /** Index of the first record: array payloads begin 16 bytes into a cache line, 12 floats later begins the next one. */
    public static final int FIRST = 12;
    /** The link of an empty slot. */
    public static final int NOTHING = 0;
    /** The deepest a binary tree may be of which a wide one is made. */
    public static final int DEEPEST = 100;

    /** Children a node, triangles a block. */
    public final int lanes;
    /** Records. */
    public final float[] nodes;
    /** Vertices. */
    public final float[] blocks;
    /** Triangle numbers of the mesh, −1 in empty lanes. */
    public final int[] numbers;
    /** How many triangles there are. */
    public final int triangleCount;
    final float minX;
    final float minY;
    final float minZ;
    final float maxX;
    final float maxY;
    final float maxZ;

    /**
     * Takes over a tree; without triangles the arrays hold no record.
     *
     * @param bounds min xyz, max xyz around everything; copied
     */
    public WideTree(int lanes, float[] nodes, float[] blocks, int[] numbers, int triangleCount, float[] bounds) {
        this.lanes = lanes;
        this.nodes = nodes;
        this.blocks = blocks;
        this.numbers = numbers;
        this.triangleCount = triangleCount;
        minX = bounds[0];
        minY = bounds[1];
        minZ = bounds[2];
        maxX = bounds[3];
        maxY = bounds[4];
        maxZ = bounds[5];
    }

    /** Returns the floats of a node of so many children. */
    public static int nodeStride(int lanes) {
        return 7 * lanes;
    }

    /** Returns where a node of so many children holds its links. */
    public static int links(int lanes) {
        return 6 * lanes;
    }

    /** Returns the floats of a block of so many triangles. */
    public static int blockStride(int lanes) {
        return 9 * lanes;
    }

    /** Returns the bytes of the arrays. */
    public long bytes() {
        return 4L * nodes.length + 4L * blocks.length + 4L * numbers.length;
    }

    /** Copies the corners of the triangle in one lane of a block, xyz each. */
    void corners(int block, int lane, float[] dest) {
        int at = FIRST + block * 9 * lanes + lane;
        for (int axis = 0; axis < 3; axis++) {
            dest[axis] = blocks[at];
            dest[3 + axis] = blocks[at + lanes];
            dest[6 + axis] = blocks[at + 2 * lanes];
            at += 3 * lanes;
        }
    }
}
