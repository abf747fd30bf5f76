package org.estampage.bake;

/**
 * The texels that a worker has at once: a block that it writes, and an apron around it that it only looks at, cut off at the image's sides. Texels of both
 * are numbered row by row, the block's own by their place in it.
 *
 * @threads immutable
 */
final class BlockArea {
    final int x;
    final int y;
    final int blockWidth;
    final int blockHeight;
    final int left;
    final int top;
    final int width;
    final int height;

    BlockArea(int x, int y, int blockWidth, int blockHeight, int apron, int imageWidth, int imageHeight) {
        this.x = x;
        this.y = y;
        this.blockWidth = blockWidth;
        this.blockHeight = blockHeight;
        left = Math.max(0, x - apron);
        top = Math.max(0, y - apron);
        width = Math.min(imageWidth, x + blockWidth + apron) - left;
        height = Math.min(imageHeight, y + blockHeight + apron) - top;
    }

    /** Returns how many texels there are, those of the apron included. */
    int texelCount() {
        return width * height;
    }

    /** Returns how many texels are written. */
    int blockCount() {
        return blockWidth * blockHeight;
    }

    /** Returns whether a texel lies in the block or within so many texels of it. */
    boolean isNear(int texel, int distance) {
        int column = left + texel % width - x;
        int row = top + texel / width - y;
        return column >= -distance && column < blockWidth + distance && row >= -distance && row < blockHeight + distance;
    }

    /** Returns the place in the block of a texel; −1 for those of the apron. */
    int place(int texel) {
        return isNear(texel, 0) ? (top + texel / width - y) * blockWidth + left + texel % width - x : -1;
    }

    /** Returns the texel at a place of the block. */
    int texelAt(int place) {
        return (y - top + place / blockWidth) * width + x - left + place % blockWidth;
    }
}
