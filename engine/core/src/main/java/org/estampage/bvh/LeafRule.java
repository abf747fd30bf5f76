package org.estampage.bvh;

/**
 * What a layout wants of the trees it is given, and what it pays: builders weigh cuts by it.
 *
 * @param most      the most triangles of a leaf
 * @param block     triangles that are tested at the price of one; a range of no more is not cut when this is above 1
 * @param innerCost the price of passing an inner node of the binary tree, in tests of one block
 */
public record LeafRule(int most, int block, double innerCost) {
    /**
     * Checks the numbers.
     *
     * @throws IllegalArgumentException if {@code most} or {@code block} is below 1, {@code block} above {@code most}, or {@code innerCost} not a positive
     *                                  number
     */
    public LeafRule {
        if (block < 1 || most < block) {
            throw new IllegalArgumentException("block = " + block + " must be 1 … most = " + most);
        }
        if (!(innerCost > 0 && innerCost < Double.POSITIVE_INFINITY)) {
            throw new IllegalArgumentException("innerCost = " + innerCost + " must be a positive number");
        }
    }

    /** Returns the price of a leaf of so many triangles. */
    public int leafCost(int triangles) {
        return (triangles + block - 1) / block;
    }
}
