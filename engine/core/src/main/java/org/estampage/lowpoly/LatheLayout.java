package org.estampage.lowpoly;

/**
 * Where the charts of a turned shape lie: one rectangle for the side, a disc for each end. All have one scale, in which the whole side has as many
 * texels a unit of area as the discs.
 *
 * <p>Charts stand in boxes of whole texels, with the gutter between boxes and half of it (rounded up) at the border: so between texels that two
 * charts touch there are always at least as many free ones as the gutter says. The side fills its box, which stretches it by less than a texel.
 *
 * @units texels from the lower left
 */
final class LatheLayout {
    final int size;
    final int sideX;
    final int sideY;
    final int sideWidth;
    final int sideHeight;
    /** The boxes of the two discs, low end first: squares. */
    final int[] discX = new int[2];
    final int[] discY = new int[2];
    final int[] discSide = new int[2];
    /** Texels a unit of length. */
    final double scale;

    private LatheLayout(int size, double scale, int sideX, int sideY, int sideWidth, int sideHeight) {
        this.size = size;
        this.scale = scale;
        this.sideX = sideX;
        this.sideY = sideY;
        this.sideWidth = sideWidth;
        this.sideHeight = sideHeight;
    }

    /**
     * Lays charts out as large as they can be: the discs in a row above the side, or in a column beside it.
     *
     * @param width  the side's width in mesh units
     * @param height the side's height along its outline in mesh units
     * @param low    the diameter of the disc at the low end, 0 for none
     * @param high   the diameter of the disc at the high end, 0 for none
     * @param size   the image's side in texels
     * @param gutter the gap between charts in texels
     * @throws IllegalArgumentException if the gutter leaves less than a texel for a chart
     */
    static LatheLayout of(double width, double height, double low, double high, int size, int gutter) {
        int margin = (gutter + 1) / 2;
        double room = size - 2.0 * margin;
        double larger = Math.max(low, high);
        boolean inRow = true;
        double scale = Math.min(room / width, room / height);
        if (larger > 0) {
            // Two discs beside each other may each need a part of a texel more than their diameter.
            double discs = (room - gutter - 2) / (low + high);
            double row = Math.min(room / width, Math.min((room - gutter) / (height + larger), discs));
            double column = Math.min(room / height, Math.min((room - gutter) / (width + larger), discs));
            inRow = row >= column;
            scale = Math.max(row, column);
        }
        int[] box = {(int) Math.ceil(low * scale), (int) Math.ceil(high * scale)};
        int sideWidth = (int) Math.floor(width * scale);
        int sideHeight = (int) Math.floor(height * scale);
        if (larger > 0) {
            // The larger disc's box may be a part of a texel larger than planned; the side gives that away.
            int limit = size - 2 * margin - gutter - Math.max(box[0], box[1]);
            sideHeight = inRow ? Math.min(sideHeight, limit) : sideHeight;
            sideWidth = inRow ? sideWidth : Math.min(sideWidth, limit);
        }
        if (!(scale > 0) || sideWidth < 1 || sideHeight < 1) {
            throw new IllegalArgumentException("gutterTexels = " + gutter + " leaves no room for charts in size = " + size + " texels");
        }
        LatheLayout layout = new LatheLayout(size, scale, margin, margin, sideWidth, sideHeight);
        layout.discSide[0] = box[0];
        layout.discSide[1] = box[1];
        layout.discX[0] = inRow ? margin : margin + sideWidth + gutter;
        layout.discX[1] = inRow ? margin + box[0] + gutter : layout.discX[0];
        layout.discY[0] = inRow ? margin + sideHeight + gutter : margin;
        layout.discY[1] = inRow ? layout.discY[0] : margin + box[0] + gutter;
        return layout;
    }

    /** Returns the UV coordinate of a place between two whole texels; never outside them, not even by rounding. */
    float uv(double texels, int low, int high) {
        float value = (float) (texels / size);
        // A float times a whole number below 2²⁹ is exact in double.
        while ((double) value * size < low) {
            value = Math.nextUp(value);
        }
        while ((double) value * size > high) {
            value = Math.nextDown(value);
        }
        return value;
    }
}
