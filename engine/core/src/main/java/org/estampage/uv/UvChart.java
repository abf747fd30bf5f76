package org.estampage.uv;

/**
 * What was measured of one chart.
 *
 * @param firstTriangle   the chart's lowest triangle; charts are in its order
 * @param triangles       how many triangles it has
 * @param column          of the tile that the middle of its bounds is on, from 0; {@link #onTile} says whether there is such a tile
 * @param row             likewise
 * @param mirrored        whether more of its area is mirrored than not; a mirrored chart's triangles are not flipped for that
 * @param flipped         triangles that face against the larger part of its area, by more than rounding of the UVs explains
 * @param degenerate      triangles without area on the mesh or in UV space, or turned by so little that rounding explains it
 * @param meshArea        in square mesh units
 * @param texelArea       in square texels, each triangle counted
 * @param borderLength    of its border on the mesh, both sides of cuts counted, in mesh units
 * @param distortion      its own
 * @param density         its own
 * @param overlapInside   the area that it covers again, in square texels
 * @param overlapOutside  its area that lies on other charts, each triangle counted, without those it is stacked with, in square texels
 * @param stackedOn       the first chart that it lies exactly on, or is a copy of from outside of all tiles; −1 if there is none
 * @param gap             the least distance to another chart on its tile, those it is stacked with left out, in texels; infinite if there is none
 * @param margin          the least distance from its tile's border, in texels; negative where it goes across
 * @threads immutable
 */
public record UvChart(int firstTriangle, int triangles, int column, int row, boolean mirrored, int flipped, int degenerate, double meshArea,
        double texelArea, double borderLength, UvDistortion distortion, TexelDensity density, double overlapInside, double overlapOutside,
        int stackedOn, double gap, double margin) {
    /** Tiles in a row. */
    private static final int COLUMNS = Room.TILES_IN_A_ROW;

    /** Returns whether it is on a tile: the first one at u = v = 0, ten in a row. */
    public boolean onTile() {
        return column >= 0 && column < COLUMNS && row >= 0;
    }

    /** Returns whether it goes across its tile's border, by more than rounding of the UVs explains. */
    public boolean acrossTiles() {
        return margin < 0;
    }
}
