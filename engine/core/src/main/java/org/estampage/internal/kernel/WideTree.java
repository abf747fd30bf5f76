package org.estampage.internal.kernel;

/**
 * A tree whose nodes have as many children as a vector has lanes, and whose leaves are blocks of as many triangles; in flat arrays.
 *
 * <p>A node is a record of 7 · lanes floats: minX, maxX, minY, maxY, minZ, maxZ of all children, then their links as raw int bits. So one load takes one
 * plane of all children, and the near planes of a ray are found by its octant. A link ≥ 0 is the index of a node's first float; a link &lt; 0 is
 * a leaf. The box of an empty slot reaches from +∞ to −∞, which no ray meets; its
 * link is {@link #NOTHING}.
 *
 * <p>A block is 4 · lanes floats: x, y, z of up to {@code lanes} vertices, and as raw int bits for each triangle the places of its three corners among them,
 * a byte each, lowest first. Triangles of a surface share vertices, so that this is less than half of what three corners each would take, and the rays
 * have fewer vertices to shear. The highest byte of the first int is the number of triangles. A triangle that takes no part has three equal corners.
 * The link of leaves is {@code ~(first block · 4 + blocks − 1)}: mostly one block, up to four where triangles share no vertices.
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
    public static final int DEEPEST = BinaryTree.DEEPEST;

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
        return 4 * lanes;
    }

    /** Returns the bytes of the arrays. */
    public long bytes() {
        return 4L * nodes.length + 4L * blocks.length + 4L * numbers.length;
    }

    /** Returns the link of a leaf of one to four blocks. */
    public static int leaf(int firstBlock, int count) {
        assert count >= 1 && count <= 4 && firstBlock < 1 << 29;
        return ~(firstBlock << 2 | count - 1);
    }

    /** Returns the first block of a leaf. */
    public static int leafFirst(int link) {
        return ~link >>> 2;
    }

    /** Returns how many blocks a leaf has. */
    public static int leafCount(int link) {
        return (~link & 3) + 1;
    }

    /** Returns how many triangles a block has. */
    public int triangles(int block) {
        return Float.floatToRawIntBits(blocks[FIRST + block * 4 * lanes + 3 * lanes]) >>> 24;
    }

    /** Copies the corners of the triangle in one lane of a block, xyz each; returns whether it takes part. */
    boolean corners(int block, int lane, float[] dest) {
        float[] b = blocks;
        int at = FIRST + block * 4 * lanes;
        int places = Float.floatToRawIntBits(b[at + 3 * lanes + lane]);
        int i = at + (places & 255);
        int j = at + (places >>> 8 & 255);
        int k = at + (places >>> 16 & 255);
        dest[0] = b[i];
        dest[1] = b[i + lanes];
        dest[2] = b[i + 2 * lanes];
        dest[3] = b[j];
        dest[4] = b[j + lanes];
        dest[5] = b[j + 2 * lanes];
        dest[6] = b[k];
        dest[7] = b[k + lanes];
        dest[8] = b[k + 2 * lanes];
        return i != j;
    }
}
