package org.estampage.uv;

import java.util.Arrays;
import java.util.List;
import java.util.stream.IntStream;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Finds places for charts by their silhouettes, at the largest scale that fits or at a given one.
 *
 * <p>Charts are put down one after another, each at the lowest free place of all its turns, holes in and between others included. Whether all find a place
 * depends on their order in no foreseeable way; so several orders are tried at every scale, and the scale grows as long as one of them fits. Where rows of
 * rectangles do better, those are taken.
 *
 * @units texels; scales are texels a unit of the charts, for a chart of weight 1
 * @threads confined; works on the caller's fork-join pool or the common one, and places alike on any number of threads
 * @cost tens of trials, each about a millisecond a chart
 */
final class Packing {
    /** The grid has no fewer and no more cells on its longer side than these. */
    private static final int LEAST_CELLS = 256;
    private static final int MOST_CELLS = 1024;
    /** Cells a gutter, in the first round and in the second. */
    private static final int[] CELLS = {4, 8};
    /** Steps of the scale in both rounds. */
    private static final double[][] STEPS = {{0.2, 0.08, 0.03, 0.012}, {0.012, 0.004, 0.0015}};
    /** With more charts than the first of a row, there are only so many orders and turns: small charts find a place in any. */
    private static final int[][] EFFORTS = {{1000, 2, 4}, {200, 4, 8}, {40, 8, 8}, {-1, 10, 16}};
    /** No packing is denser than this. */
    private static final double DENSEST = 0.98;
    /** A level chart is turned by these many right angles. */
    private static final int RIGHT_TURNS = 4;

    private final List<Chart> charts;
    private final Room room;
    private final Task task;
    /** Orders of the charts that are tried. */
    private final int[][] order;
    private final int turns;
    /** Squared units that all charts cover, weighted. */
    private final double area;
    private final int rounds;
    private final RowPacking rows;
    private final @Nullable Search[] searches = new @Nullable Search[CELLS.length];

    Packing(List<Chart> charts, Room room, boolean inRows, Task task) {
        this.charts = charts;
        this.room = room;
        this.task = task;
        int effort = 0;
        while (charts.size() <= EFFORTS[effort][0]) {
            effort++;
        }
        order = orders(charts, EFFORTS[effort][1]);
        turns = EFFORTS[effort][2];
        double sum = 0;
        for (Chart chart : charts) {
            sum += chart.area() * chart.weight * chart.weight;
        }
        area = sum;
        rounds = inRows ? 0 : CELLS.length;
        rows = new RowPacking(charts, room);
    }

    /** Places all charts at a scale, or returns null. */
    @Nullable
    List<Placement> at(double scale) {
        if (rows.fits(scale)) {
            return rows.placements(scale);
        }
        for (int round = 0; round < rounds; round++) {
            List<Placement> placed = search(round).fit(scale);
            if (placed != null) {
                return placed;
            }
        }
        return null;
    }

    /** Places all charts at the largest scale that is found, or returns null where gutter and border leave no room at all. */
    @Nullable
    List<Placement> largest() {
        double s = rows.largestScale();
        if (!(s > 0) || !rows.fits(s)) {
            return null;
        }
        double top = most();
        List<Placement> best = rows.placements(s);
        for (int round = 0; round < rounds; round++) {
            for (double step : STEPS[round]) {
                for (;;) {
                    double next = s * (1 + step);
                    List<Placement> placed = next < top ? search(round).fit(next) : null;
                    if (placed == null) {
                        break;
                    }
                    s = next;
                    best = placed;
                }
            }
        }
        return best;
    }

    private Search search(int round) {
        Search search = searches[round];
        if (search == null) {
            search = new Search(CELLS[round]);
            searches[round] = search;
        }
        return search;
    }

    /** Returns a scale that is never reached. */
    private double most() {
        double extent = 0;
        for (Chart chart : charts) {
            extent = Math.max(extent, chart.rectangle().width * chart.weight);
        }
        double width = room.innerWidth();
        double height = room.innerHeight();
        // Charts without area still have a length.
        double top = Math.min(Math.sqrt(DENSEST * room.tiles() * width * height / area), 1.5 * (width + height) / extent);
        return top > 0 && top < Double.POSITIVE_INFINITY ? top : 1; // all charts are points
    }

    /** Returns orders of the charts: by length, by size, and by both with some chance in it. */
    private static int[][] orders(List<Chart> charts, int count) {
        int n = charts.size();
        double[] extent = new double[n];
        double[] size = new double[n];
        for (int c = 0; c < n; c++) {
            Chart chart = charts.get(c);
            extent[c] = chart.rectangle().width * chart.weight;
            size[c] = Math.sqrt(chart.area()) * chart.weight;
        }
        int[][] result = new int[count][];
        for (int k = 0; k < count; k++) {
            double[] key = new double[n];
            for (int c = 0; c < n; c++) {
                key[c] = switch (k) {
                    case 0 -> extent[c];
                    case 1 -> size[c];
                    default -> Math.sqrt(extent[c] * size[c]) * (1 + 0.5 * (hash(k, c) - 0.5));
                };
            }
            result[k] = IntStream.range(0, n).boxed().sorted((a, b) -> key[a] != key[b] ? Double.compare(key[b], key[a]) : a - b)
                    .mapToInt(i -> i)
                    .toArray();
        }
        return result;
    }

    /** Trials on a grid of one kind. */
    private final class Search {
        private final double cellX;
        private final double cellY;
        private final int columns;
        private final int rowCount;
        /** Tiles for each order. */
        private final Board[][] boards;

        Search(int cellsPerGutter) {
            double longer = Math.max(room.innerWidth(), room.innerHeight());
            double cell = Math.min(longer / LEAST_CELLS, Math.max(longer / MOST_CELLS, (double) room.gutter() / cellsPerGutter));
            columns = (int) Math.max(1, Math.ceil(room.innerWidth() / cell - 1e-9));
            rowCount = (int) Math.max(1, Math.ceil(room.innerHeight() / cell - 1e-9));
            cellX = room.innerWidth() / columns;
            cellY = room.innerHeight() / rowCount;
            boards = new Board[order.length][0];
        }

        /** Places all at one scale, or returns null. */
        private @Nullable List<Placement> fit(double s) {
            task.check();
            if (area * s * s > room.tiles() * room.innerWidth() * room.innerHeight() * (1 + 1e-9)) { // more than rounding
                return null;
            }
            Silhouette[][] shapes = new Silhouette[charts.size()][];
            IntStream.range(0, charts.size()).parallel().forEach(c -> shapes[c] = shapes(c, s));
            long cells = 0;
            for (Silhouette[] shape : shapes) {
                for (int run = 2; run < shape[0].runs.length; run += 3) {
                    cells += shape[0].runs[run];
                }
            }
            if (cells > (long) room.tiles() * columns * rowCount) {
                return null;
            }
            List<@Nullable List<Placement>> tried = IntStream.range(0, order.length).parallel().mapToObj(k -> inOrder(k, shapes, s))
                    .toList();
            for (List<Placement> placed : tried) {
                if (placed != null) {
                    return placed;
                }
            }
            return null;
        }

        private Silhouette[] shapes(int c, double s) {
            double[] t = charts.get(c).rectangle().turns(charts.get(c).level ? RIGHT_TURNS : turns);
            Silhouette[] result = new Silhouette[t.length / 2];
            for (int i = 0; i < result.length; i++) {
                result[i] = new Silhouette(charts.get(c), t[2 * i], t[2 * i + 1], s * charts.get(c).weight, cellX, cellY, room.gutter());
            }
            return result;
        }

        private @Nullable List<Placement> inOrder(int k, Silhouette[][] shapes, double s) {
            Board[] tiles = boards[k];
            if (tiles.length == 0) {
                tiles = new Board[room.tiles()];
                Arrays.setAll(tiles, i -> new Board(columns, rowCount));
                boards[k] = tiles;
            }
            for (Board board : tiles) {
                board.clear();
            }
            Placement[] placed = new Placement[charts.size()];
            for (int c : order[k]) {
                Silhouette best = null;
                int tile = 0;
                int at = -1;
                for (int b = 0; b < room.tiles() && best == null; b++) {
                    int least = Integer.MAX_VALUE;
                    for (Silhouette shape : shapes[c]) {
                        // low on the whole, or low at the top
                        int below = least == Integer.MAX_VALUE
                                ? rowCount
                                : k % 2 == 0 ? least - shape.height : (least - shape.height + 1) / 2;
                        int found = tiles[b].find(shape, below);
                        if (found < 0) {
                            continue;
                        }
                        int score = k % 2 == 0 ? found / columns + shape.height : 2 * (found / columns) + shape.height;
                        if (score < least) {
                            least = score;
                            best = shape;
                            tile = b;
                            at = found;
                        }
                    }
                }
                if (best == null) {
                    return null;
                }
                int x = at % columns;
                int y = at / columns;
                tiles[tile].take(best, x, y);
                placed[c] = new Placement(best.cosine, best.sine, s * charts.get(c).weight, room.border() + x * cellX - best.left,
                        room.border() + y * cellY - best.bottom, tile);
            }
            return List.of(placed);
        }
    }

    /** Returns a number from 0 to 1 for two numbers. */
    private static double hash(int a, int b) {
        int h = a * 0x9e3779b9 + b * 0x85ebca6b;
        h = (h ^ h >>> 16) * 0x7feb352d;
        h = (h ^ h >>> 15) * 0x846ca68b;
        return ((h ^ h >>> 16) >>> 8) * 0x1p-24;
    }
}
