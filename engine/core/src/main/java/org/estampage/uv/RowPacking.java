package org.estampage.uv;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.stream.IntStream;

/**
 * Places charts by their smallest rectangles in rows, the highest first: quick, exact, and best where charts are rectangles.
 *
 * @threads confined
 */
final class RowPacking {
    private static final int BISECTIONS = 60;

    private final List<Chart> charts;
    private final Room room;
    private final BestRectangle[] best;
    private final int[] order;
    private final int[] tile;
    private final double[] x;
    private final double[] y;

    RowPacking(List<Chart> charts, Room room) {
        this.charts = charts;
        this.room = room;
        int n = charts.size();
        best = new BestRectangle[n];
        Arrays.parallelSetAll(best, c -> charts.get(c).rectangle());
        order = IntStream.range(0, n).boxed().sorted(Comparator.comparingDouble(c -> -charts.get(c).weight * best[c].height))
                .mapToInt(c -> c)
                .toArray();
        tile = new int[n];
        x = new double[n];
        y = new double[n];
    }

    /** Returns a scale, in texels a unit of the charts, that fits and is next to the largest one in rows; 0 where gutter and border leave no room. */
    double largestScale() {
        double longest = 0;
        for (int c = 0; c < x.length; c++) {
            longest = Math.max(longest, charts.get(c).weight * best[c].width);
        }
        double high = longest > 0 ? room.width() / longest : 1;
        double low = 0;
        for (int step = 0; step < BISECTIONS; step++) {
            double middle = (low + high) / 2;
            if (fits(middle)) {
                low = middle;
            } else {
                high = middle;
            }
        }
        return low;
    }

    /** Places all charts at a scale; returns whether they fit. */
    boolean fits(double scale) {
        double right = room.width() - room.border();
        double top = room.height() - room.border();
        double atX = room.border();
        double atY = room.border();
        double row = 0;
        int at = 0;
        for (int c : order) {
            double w = best[c].width * scale * charts.get(c).weight;
            double h = best[c].height * scale * charts.get(c).weight;
            if (atX > room.border() && atX + w > right) {
                atX = room.border();
                atY += row + room.gutter();
                row = 0;
            }
            if (atY > room.border() && atY + h > top) {
                at++;
                atX = room.border();
                atY = room.border();
                row = 0;
            }
            if (at == room.tiles() || atX + w > right || atY + h > top) {
                return false;
            }
            tile[c] = at;
            x[c] = atX;
            y[c] = atY;
            atX += w + room.gutter();
            row = Math.max(row, h);
        }
        return true;
    }

    /** Returns where {@link #fits} placed them. */
    List<Placement> placements(double scale) {
        List<Placement> placed = new ArrayList<>();
        for (int c = 0; c < x.length; c++) {
            double s = scale * charts.get(c).weight;
            placed.add(new Placement(best[c].cosine, best[c].sine, s, x[c] - s * best[c].left, y[c] - s * best[c].bottom, tile[c]));
        }
        return placed;
    }
}
