package org.estampage.uv;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.stream.IntStream;

/**
 * Places charts by their bounding rectangles in rows, the highest first, on one or several tiles.
 *
 * <p>Neighbouring rectangles are a gutter apart and keep to the border's distance, in texels, so charts do, too. All charts have the same scale times
 * their own weight.
 *
 * @threads confined
 */
final class RowPacking {
    /**
     * Where charts may lie.
     *
     * @param width  of a tile, in texels
     * @param height of a tile, in texels
     * @param gutter between charts, in texels
     * @param border to the tile's edges, in texels
     * @param tiles  how many there are; the i-th lies at u = i mod 10, v = ⌊i / 10⌋
     */
    record Room(int width, int height, int gutter, int border, int tiles) {
    }

    private static final int BISECTIONS = 60;

    private final List<Upright> charts = new ArrayList<>();
    private final double[] weight;
    private final int[] order;
    private final int[] tile;
    private final double[] x;
    private final double[] y;

    RowPacking(List<LaidPiece> pieces, double[] weight) {
        for (LaidPiece piece : pieces) {
            charts.add(Upright.of(piece));
        }
        this.weight = weight;
        order = IntStream.range(0, weight.length).boxed().sorted(Comparator.comparingDouble(c -> -weight[c] * charts.get(c).height))
                .mapToInt(c -> c).toArray();
        tile = new int[weight.length];
        x = new double[weight.length];
        y = new double[weight.length];
    }

    /** Returns a scale, in texels a unit of the charts, that fits and is next to the largest one in rows; 0 where gutter and border leave no room. */
    double largestScale(Room room) {
        double longest = 0;
        for (int c = 0; c < weight.length; c++) {
            longest = Math.max(longest, weight[c] * charts.get(c).width);
        }
        double high = longest > 0 ? room.width / longest : 1;
        double low = 0;
        for (int step = 0; step < BISECTIONS; step++) {
            double middle = (low + high) / 2;
            if (fits(room, middle)) {
                low = middle;
            } else {
                high = middle;
            }
        }
        return low;
    }

    /** Places all charts at a scale; returns whether they fit. */
    boolean fits(Room room, double scale) {
        double right = room.width - room.border;
        double top = room.height - room.border;
        double atX = room.border;
        double atY = room.border;
        double row = 0;
        int at = 0;
        for (int c : order) {
            double w = charts.get(c).width * scale * weight[c];
            double h = charts.get(c).height * scale * weight[c];
            if (atX > room.border && atX + w > right) {
                atX = room.border;
                atY += row + room.gutter;
                row = 0;
            }
            if (atY > room.border && atY + h > top) {
                at++;
                atX = room.border;
                atY = room.border;
                row = 0;
            }
            if (at == room.tiles || atX + w > right || atY + h > top) {
                return false;
            }
            tile[c] = at;
            x[c] = atX;
            y[c] = atY;
            atX += w + room.gutter;
            row = Math.max(row, h);
        }
        return true;
    }

    /** Returns the UVs of each chart's vertices as {@link #fits} placed them. */
    List<double[]> uvs(Room room, double scale) {
        List<double[]> placed = new ArrayList<>();
        for (int c = 0; c < weight.length; c++) {
            double[] uv = charts.get(c).uv.clone();
            int column = tile[c] % 10;
            int row = tile[c] / 10;
            for (int i = 0; i < uv.length; i += 2) {
                // Rounding must not take a point off its tile.
                uv[i] = column + Math.min(1, Math.max(0, (x[c] + uv[i] * scale * weight[c]) / room.width));
                uv[i + 1] = row + Math.min(1, Math.max(0, (y[c] + uv[i + 1] * scale * weight[c]) / room.height));
            }
            placed.add(uv);
        }
        return placed;
    }
}
