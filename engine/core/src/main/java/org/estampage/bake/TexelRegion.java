package org.estampage.bake;

import org.estampage.raster.UvTile;

/**
 * A rectangle of texels of one image of a bake.
 *
 * @param tile   of which unit square's image
 * @param x      the leftmost column
 * @param y      the upper row
 * @param width  how many columns, at least 1
 * @param height how many rows, at least 1
 * @space texels; row 0 on top
 * @threads immutable
 */
public record TexelRegion(UvTile tile, int x, int y, int width, int height) {
    /**
     * Checks the numbers.
     *
     * @throws IllegalArgumentException if {@code x} or {@code y} is negative, or a side below 1
     */
    public TexelRegion {
        if (x < 0 || y < 0 || width < 1 || height < 1) {
            throw new IllegalArgumentException(
                    "region " + width + " × " + height + " at (" + x + ", " + y + ") must have sides of at least 1 and no negative corner");
        }
    }

    /** Returns a rectangle of the only image of a job that is not on UDIM tiles. */
    public static TexelRegion of(int x, int y, int width, int height) {
        return new TexelRegion(UvTile.UNIT, x, y, width, height);
    }

    /** Returns whether a texel lies in this region. */
    public boolean contains(int column, int row) {
        return column >= x && column - x < width && row >= y && row - y < height;
    }

    /** Returns this region with so many texels more on each side, within an image of a size. */
    TexelRegion grown(int texels, int imageWidth, int imageHeight) {
        int left = Math.max(0, x - texels), top = Math.max(0, y - texels);
        return new TexelRegion(tile, left, top, Math.min(imageWidth, x + width + texels) - left,
                Math.min(imageHeight, y + height + texels) - top);
    }
}
