package org.estampage.uv;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.stream.IntStream;
import org.estampage.mesh.Adjacency;
import org.estampage.task.Chunks;
import org.estampage.task.Task;

/**
 * Where charts lie beside each other: tiles, stacks, overlaps and gaps.
 *
 * @space the plane of {@link UvCharts#uv}: one unit is the image's height
 * @threads immutable by contract
 */
final class UvLayout {
    /** The charts, by number. */
    final KeptChart[] kept;
    /** The tile that a chart's middle is on. */
    final int[] column;
    final int[] row;
    /** The least distance from that tile's border; negative across it. */
    final double[] margin;
    /** The first chart of a chart's stack; −1 for that one itself. */
    final int[] stackedOn;
    /** The least distance to another chart. */
    final double[] gap;
    /** By triangle: the area that lower ones of its chart cover. */
    final double[] inside;
    /** By triangle: the area that lies on other charts. */
    final double[] outside;
    /** By triangle: the area that charts before its own cover, stacked ones left out. */
    final double[] again;
    /** By triangle: the area that nothing before it covers, on its chart's tile. */
    final double[] covered;
    /** By triangle: whether it lies on others, stacked charts left out. */
    final boolean[] overlapping;

    private final UvCharts source;
    private final int[] chartOf;
    private final double aspect;
    private final FlatOverlaps flat;
    /** The charts without those that lie exactly on one before them: what such a copy covers is covered already. */
    private final int[] distinct;
    private final FlatBoxes all;
    private final FlatBoxes[] trees;

    UvLayout(UvCharts source, int[] destChartOf, double aspect, Task task) {
        this.source = source;
        this.aspect = aspect;
        chartOf = destChartOf;
        int count = source.charts.length;
        kept = new KeptChart[count];
        column = new int[count];
        row = new int[count];
        margin = new double[count];
        stackedOn = new int[count];
        gap = new double[count];
        int n = destChartOf.length;
        inside = new double[n];
        outside = new double[n];
        again = new double[n];
        covered = new double[n];
        overlapping = new boolean[n];
        trees = new FlatBoxes[count];
        double rounding = 0;
        Stacks stacks = new Stacks(aspect, false);
        for (int c = 0; c < count; c++) {
            for (int t : source.charts[c]) {
                chartOf[t] = c;
            }
            kept[c] = new KeptChart(source, source.charts[c]);
            rounding = Math.max(rounding, kept[c].rounding());
            place(c);
            trees[c] = new FlatBoxes(triangleBoxes(source.charts[c]));
            stackedOn[c] = -1;
            if (!kept[c].empty()) {
                stacks.add(kept[c]);
            }
        }
        for (List<Stacks.Member> stack : stacks.stacks()) {
            for (Stacks.Member member : stack.subList(1, stack.size())) {
                stackedOn[number(member)] = number(stack.get(0));
            }
        }
        flat = new FlatOverlaps(source, rounding);
        distinct = IntStream.range(0, count).filter(c -> stackedOn[c] < 0 || !samePlace(c, stackedOn[c])).toArray();
        double[] boxes = new double[4 * distinct.length];
        for (int i = 0; i < distinct.length; i++) {
            System.arraycopy(kept[distinct[i]].box, 0, boxes, 4 * i, 4);
        }
        all = new FlatBoxes(boxes);
        Chunks.run(n, task.stage("looking for overlaps", n), (from, to) -> {
            for (int t = from; t < to; t++) {
                overlaps(t);
            }
        });
        gaps(task);
    }

    private int number(Stacks.Member member) {
        return chartOf[member.chart().triangles[0]];
    }

    private void place(int c) {
        double[] box = kept[c].box;
        column[c] = (int) Math.floor((box[0] + box[2]) / 2 / aspect);
        row[c] = (int) Math.floor((box[1] + box[3]) / 2);
        double least = Math.min(Math.min(box[0] - column[c] * aspect, (column[c] + 1.0) * aspect - box[2]),
                Math.min(box[1] - row[c], row[c] + 1.0 - box[3]));
        margin[c] = least < 0 && least >= -FlatOverlaps.ROUNDINGS * kept[c].rounding() ? 0 : least;
    }

    private double[] triangleBoxes(int[] triangles) {
        double[] boxes = new double[4 * triangles.length];
        for (int i = 0; i < triangles.length; i++) {
            int first = 3 * triangles[i];
            box(boxes, i, first, first + 1);
            for (int k = 0; k < 2; k++) {
                double x = source.uv[2 * source.point[first + 2] + k];
                boxes[4 * i + k] = Math.min(boxes[4 * i + k], x);
                boxes[4 * i + 2 + k] = Math.max(boxes[4 * i + 2 + k], x);
            }
        }
        return boxes;
    }

    /** Puts the box of two corners' points in its place. */
    private void box(double[] dest, int at, int corner, int other) {
        for (int k = 0; k < 2; k++) {
            double x = source.uv[2 * source.point[corner] + k];
            double y = source.uv[2 * source.point[other] + k];
            dest[4 * at + k] = Math.min(x, y);
            dest[4 * at + 2 + k] = Math.max(x, y);
        }
    }

    private boolean samePlace(int c, int d) {
        return column[c] == column[d] && row[c] == row[d];
    }

    private boolean stacked(int c, int d) {
        int first = stackedOn[c] < 0 ? c : stackedOn[c];
        return first == (stackedOn[d] < 0 ? d : stackedOn[d]);
    }

    // ---------------------------------------------------------------------------------------------------------- overlaps

    /** What of a triangle is left. */
    private static final class Rest {
        private List<double[]> pieces;
        private final double whole;

        Rest(List<double[]> pieces, double whole) {
            this.pieces = pieces;
            this.whole = whole;
        }

        void without(double[] triangle) {
            pieces = FlatOverlaps.without(pieces, triangle, whole);
        }

        double area() {
            double sum = 0;
            for (double[] piece : pieces) {
                sum += FlatOverlaps.area(piece);
            }
            return sum;
        }

        boolean gone() {
            return pieces.isEmpty();
        }
    }

    private void overlaps(int t) {
        double[] own = flat.corners(t);
        double area = FlatOverlaps.area(own);
        if (!(area > 0)) {
            return;
        }
        int c = chartOf[t];
        double[] box = triangleBoxes(new int[] {t});
        Rest fresh = new Rest(List.of(own), area);
        trees[c].near(box, 0, 0, i -> {
            int s = source.charts[c][i];
            double[] other = s == t ? own : flat.corners(s);
            if (s != t && flat.overlap(own, other)) {
                overlapping[t] = true;
                if (s < t) {
                    fresh.without(other);
                }
            }
            return fresh.gone() ? -1 : 0;
        });
        inside[t] = area - fresh.area();
        Rest alone = new Rest(List.of(own), area);
        Rest before = new Rest(List.of(own), area);
        all.near(box, 0, 0, number -> {
            int d = distinct[number];
            boolean copy = stacked(c, d);
            if (d != c && !(copy && (d > c || fresh.gone()))) {
                trees[d].near(box, 0, 0, i -> {
                    double[] other = flat.corners(source.charts[d][i]);
                    if (flat.overlap(own, other)) {
                        if (!copy) {
                            overlapping[t] = true;
                            alone.without(other);
                        }
                        if (!copy && d < c) {
                            before.without(other);
                        }
                        if (d < c) {
                            fresh.without(other);
                        }
                    }
                    return alone.gone() && fresh.gone() ? -1 : 0;
                });
            }
            return alone.gone() && fresh.gone() ? -1 : 0;
        });
        outside[t] = area - alone.area();
        again[t] = area - before.area();
        if (column[c] >= 0 && column[c] < Room.TILES_IN_A_ROW && row[c] >= 0) {
            Rest onTile = margin[c] >= 0
                    ? fresh
                    : new Rest(FlatOverlaps.within(fresh.pieces, column[c] * aspect, row[c], (column[c] + 1.0) * aspect, row[c] + 1.0),
                            area);
            covered[t] = onTile.area();
        }
    }

    // -------------------------------------------------------------------------------------------------------------- gaps

    private void gaps(Task task) {
        int count = kept.length;
        int[][] edges = new int[count][];
        FlatBoxes[] borders = new FlatBoxes[count];
        double[][] boxes = new double[count][];
        for (int c = 0; c < count; c++) {
            edges[c] = borderOf(source.charts[c]);
            boxes[c] = new double[4 * edges[c].length];
            for (int i = 0; i < edges[c].length; i++) {
                box(boxes[c], i, edges[c][i], Adjacency.next(edges[c][i]));
            }
            borders[c] = new FlatBoxes(boxes[c]);
        }
        Task.Stage stage = task.stage("measuring gaps", count);
        IntStream.range(0, count).parallel().forEach(c -> {
            gap[c] = gap(c, edges, boxes, borders);
            stage.advance(1);
        });
    }

    private int[] borderOf(int[] triangles) {
        List<Integer> edges = new ArrayList<>();
        for (int t : triangles) {
            for (int e = 3 * t; e < 3 * t + 3; e++) {
                if (source.border[e]) {
                    edges.add(e);
                }
            }
        }
        return edges.stream().mapToInt(Integer::intValue).toArray();
    }

    private double gap(int c, int[][] edges, double[][] boxes, FlatBoxes[] borders) {
        if (kept[c].empty()) {
            return Double.POSITIVE_INFINITY;
        }
        // a chart may lie within another one, its border far from the other's
        if (Arrays.stream(source.charts[c]).anyMatch(t -> outside[t] > 0)) {
            return 0;
        }
        double[] best = {Double.POSITIVE_INFINITY};
        for (int i = 0; i < edges[c].length; i++) {
            int edge = edges[c][i];
            int at = 4 * i;
            all.near(boxes[c], at, best[0], number -> {
                int d = distinct[number];
                if (d != c && !kept[d].empty() && !stacked(c, d) && samePlace(c, d)) {
                    borders[d].near(boxes[c], at, best[0], j -> {
                        best[0] = Math.min(best[0], distance(edge, edges[d][j]));
                        return best[0];
                    });
                }
                return best[0];
            });
        }
        return Math.sqrt(best[0]);
    }

    /** Returns the squared distance of two edges that don't cross: from an end of one to the other. */
    private double distance(int e, int f) {
        int a = source.point[e];
        int b = source.point[Adjacency.next(e)];
        int c = source.point[f];
        int d = source.point[Adjacency.next(f)];
        return Math.min(Math.min(distance(a, c, d), distance(b, c, d)), Math.min(distance(c, a, b), distance(d, a, b)));
    }

    private double distance(int p, int a, int b) {
        double[] uv = source.uv;
        double x = uv[2 * b] - uv[2 * a];
        double y = uv[2 * b + 1] - uv[2 * a + 1];
        double px = uv[2 * p] - uv[2 * a];
        double py = uv[2 * p + 1] - uv[2 * a + 1];
        double square = x * x + y * y;
        double part = square > 0 ? Math.min(1, Math.max(0, (px * x + py * y) / square)) : 0;
        px -= part * x;
        py -= part * y;
        return px * px + py * py;
    }
}
