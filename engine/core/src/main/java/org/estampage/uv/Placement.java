package org.estampage.uv;

/**
 * Where a chart lies: turned, scaled, moved.
 *
 * @param cosine of the turn
 * @param sine   of the turn
 * @param scale  texels a unit, the chart's weight in it
 * @param x      what is added then, in texels from the tile's left side
 * @param y      likewise from its lower side
 * @param tile   which tile, from 0
 */
record Placement(double cosine, double sine, double scale, double x, double y, int tile) {
    /** Returns a point's texels from the left. */
    double x(double u, double v) {
        return scale * (cosine * u - sine * v) + x;
    }

    /** Returns a point's texels from below. */
    double y(double u, double v) {
        return scale * (sine * u + cosine * v) + y;
    }

    /** Returns the UVs of a chart's points there. */
    double[] uvs(double[] points, Room room) {
        double[] uv = points.clone();
        int column = tile % Room.TILES_IN_A_ROW;
        int row = tile / Room.TILES_IN_A_ROW;
        for (int i = 0; i < uv.length; i += 2) {
            double u = uv[i];
            double v = uv[i + 1];
            // rounding must not take a point off its tile
            uv[i] = column + Math.min(1, Math.max(0, x(u, v) / room.width()));
            uv[i + 1] = row + Math.min(1, Math.max(0, y(u, v) / room.height()));
        }
        return uv;
    }
}
