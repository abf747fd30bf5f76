package org.estampage.uv;

/**
 * Where charts may lie.
 *
 * @param width  of a tile, in texels
 * @param height of a tile, in texels
 * @param gutter the least distance between charts, in texels
 * @param border the least distance to a tile's sides, in texels
 * @param tiles  how many there are; the i-th lies at u = i mod 10, v = ⌊i / 10⌋
 */
record Room(int width, int height, int gutter, int border, int tiles) {
    /** UDIM counts ten tiles along u, then goes up. */
    static final int TILES_IN_A_ROW = 10;

    double innerWidth() {
        return width - 2.0 * border;
    }

    double innerHeight() {
        return height - 2.0 * border;
    }

    /** Returns how many rows of tiles there are. */
    int rows() {
        return (tiles + TILES_IN_A_ROW - 1) / TILES_IN_A_ROW;
    }
}
