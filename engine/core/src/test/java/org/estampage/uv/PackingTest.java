package org.estampage.uv;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.awt.geom.Line2D;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import java.util.concurrent.ForkJoinPool;
import java.util.concurrent.TimeUnit;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Charts by silhouettes: distances are measured between segments, not on the packer's own grid. */
class PackingTest {
    /** Doubles of a few thousand texels are exact to 1e-12; the packer leaves whole cells. */
    private static final double ROUNDING = 1e-9;

    private static Chart rectangle(double w, double h) {
        return new Chart(new double[] {0, 0, w, 0, w, h, 0, h}, new int[] {0, 1, 2, 0, 2, 3}, 1);
    }

    /** A fan about the origin whose border goes in and out. */
    private static Chart star(Random random, double size, double weight) {
        int n = 5 + random.nextInt(20);
        double[] uv = new double[2 * n + 2];
        int[] triangles = new int[3 * n];
        for (int i = 0; i < n; i++) {
            double r = size * (0.2 + random.nextDouble());
            double a = 2 * Math.PI * i / n;
            uv[2 * i + 2] = r * Math.cos(a);
            uv[2 * i + 3] = 0.5 * r * Math.sin(a);
            triangles[3 * i] = 0;
            triangles[3 * i + 1] = 1 + i;
            triangles[3 * i + 2] = 1 + (i + 1) % n;
        }
        return new Chart(uv, triangles, weight);
    }

    private static List<Chart> stars(int count, long seed) {
        Random random = new Random(seed);
        List<Chart> charts = new ArrayList<>();
        for (int i = 0; i < count; i++) {
            charts.add(star(random, 0.1 + random.nextDouble() * random.nextDouble(), random.nextInt(5) == 0 ? 2 : 1));
        }
        return charts;
    }

    private static List<Chart> rectangles(long seed) {
        Random random = new Random(seed);
        List<Chart> charts = new ArrayList<>();
        for (int i = 0; i < 200; i++) {
            charts.add(rectangle(4 + random.nextInt(60), 4 + random.nextInt(60)));
        }
        return charts;
    }

    private static List<Placement> largest(List<Chart> charts, Room room) {
        return some(new Packing(charts, room, false, Task.silent()).largest());
    }

    private static List<Placement> some(@Nullable List<Placement> placed) {
        assertThat(placed).isNotNull();
        return placed == null ? List.of() : placed;
    }

    private static double fill(List<Chart> charts, List<Placement> placed, Room room) {
        double area = 0;
        for (int c = 0; c < charts.size(); c++) {
            area += charts.get(c).area() * placed.get(c).scale() * placed.get(c).scale();
        }
        return area / room.width() / room.height() / room.tiles();
    }

    /** The segments of a chart's triangles in texels: x0, y0, x1, y1 each. */
    private static double[][] segments(Chart chart, Placement p) {
        int[] t = chart.triangles;
        double[][] result = new double[t.length][];
        for (int c = 0; c < t.length; c++) {
            int i = 2 * t[c];
            int j = 2 * t[c % 3 == 2 ? c - 2 : c + 1];
            double[] uv = chart.uv;
            result[c] = new double[] {p.x(uv[i], uv[i + 1]), p.y(uv[i], uv[i + 1]), p.x(uv[j], uv[j + 1]), p.y(uv[j], uv[j + 1])};
        }
        return result;
    }

    private static double distance(double[] a, double[] b) {
        if (Line2D.linesIntersect(a[0], a[1], a[2], a[3], b[0], b[1], b[2], b[3])) {
            return 0;
        }
        return Math.min(
                Math.min(Line2D.ptSegDist(a[0], a[1], a[2], a[3], b[0], b[1]), Line2D.ptSegDist(a[0], a[1], a[2], a[3], b[2], b[3])),
                Math.min(Line2D.ptSegDist(b[0], b[1], b[2], b[3], a[0], a[1]), Line2D.ptSegDist(b[0], b[1], b[2], b[3], a[2], a[3])));
    }

    private static boolean inside(double[][] triangles, int from, double x, double y) {
        boolean left = true;
        boolean right = true;
        for (int e = from; e < from + 3; e++) {
            double[] s = triangles[e];
            double turn = (s[2] - s[0]) * (y - s[1]) - (s[3] - s[1]) * (x - s[0]);
            left &= turn > 0; // on an edge is not inside: distances tell of that
            right &= turn < 0;
        }
        return left || right;
    }

    private static void assertApart(List<Chart> charts, List<Placement> placed, Room room) {
        List<double[][]> all = new ArrayList<>();
        for (int c = 0; c < charts.size(); c++) {
            double[][] segments = segments(charts.get(c), placed.get(c));
            for (double[] s : segments) {
                assertThat(s[0]).isBetween(room.border() - ROUNDING, room.width() - room.border() + ROUNDING);
                assertThat(s[1]).isBetween(room.border() - ROUNDING, room.height() - room.border() + ROUNDING);
            }
            all.add(segments);
        }
        for (int a = 0; a < all.size(); a++) {
            for (int b = a + 1; b < all.size(); b++) {
                if (placed.get(a).tile() != placed.get(b).tile()) {
                    continue;
                }
                for (double[] s : all.get(a)) {
                    for (double[] t : all.get(b)) {
                        assertThat(distance(s, t)).as("charts %d and %d", a, b).isGreaterThanOrEqualTo(room.gutter() - ROUNDING);
                    }
                }
                for (int t = 0; t < all.get(b).length; t += 3) { // one within the other touches no segment
                    assertThat(inside(all.get(b), t, all.get(a)[0][0], all.get(a)[0][1])).isFalse();
                    assertThat(inside(all.get(a), 3 * (t / 3 % (all.get(a).length / 3)), all.get(b)[t][0], all.get(b)[t][1])).isFalse();
                }
            }
        }
    }

    @ParameterizedTest
    @ValueSource(ints = {0, 1, 7, 16})
    void charts_keepTheGutterAndTheBorder(int gutter) {
        Room room = new Room(1024, 640, gutter, gutter / 2 + 1, 1);
        List<Chart> charts = stars(40, gutter);
        List<Placement> placed = largest(charts, room);
        assertApart(charts, placed, room);
        for (int c = 0; c < placed.size(); c++) { // turned, never stretched or mirrored
            Placement p = placed.get(c);
            assertThat(p.cosine() * p.cosine() + p.sine() * p.sine()).isCloseTo(1, within(1e-12)); // rounding of a few products
            assertThat(p.scale() / charts.get(c).weight).isCloseTo(placed.get(0).scale() / charts.get(0).weight, within(1e-9));
        }
    }

    /** Packing 200 random rectangles of 4 … 63 into a square: common practice calls 0.90 good, no source. */
    @Test
    void rectangles_fillNineTenths() {
        Room room = new Room(512, 512, 0, 0, 1);
        List<Chart> charts = rectangles(1);
        List<Placement> placed = largest(charts, room);
        assertThat(fill(charts, placed, room)).isBetween(0.90, 1.0);
        assertApart(charts, placed, room);
    }

    @Test
    void smallCharts_findPlaceInTheHolesOfOthers() {
        // A frame of 80 with a hole of 60, and a square of 50: beside each other they need 130.
        double[] uv = {0, 0, 80, 0, 80, 80, 0, 80, 10, 10, 70, 10, 70, 70, 10, 70};
        int[] ring = {0, 1, 5, 0, 5, 4, 1, 2, 6, 1, 6, 5, 2, 3, 7, 2, 7, 6, 3, 0, 4, 3, 4, 7};
        List<Chart> charts = List.of(new Chart(uv, ring, 1), rectangle(50, 50));
        Room room = new Room(100, 100, 2, 2, 1);
        List<Placement> placed = some(new Packing(charts, room, false, Task.silent()).at(1));
        assertApart(charts, placed, room);
    }

    @Test
    void aGivenScale_isKept_orRefused() {
        List<Chart> charts = stars(20, 3);
        Room room = new Room(512, 512, 4, 2, 1);
        double most = largest(charts, room).get(0).scale() / charts.get(0).weight;
        Packing packing = new Packing(charts, room, false, Task.silent());
        List<Placement> placed = some(packing.at(0.9 * most));
        assertThat(placed.get(3).scale()).isEqualTo(0.9 * most * charts.get(3).weight);
        assertApart(charts, placed, room);
        assertThat(packing.at(1.5 * most)).isNull();
    }

    @Test
    void tiles_areFilledOneAfterAnother() {
        List<Chart> charts = stars(30, 4);
        Room one = new Room(256, 256, 4, 2, 1);
        Room three = new Room(256, 256, 4, 2, 3);
        List<Placement> placed = largest(charts, three);
        assertThat(placed).extracting(Placement::tile).contains(0, 1, 2);
        assertApart(charts, placed, three);
        assertThat(placed.get(0).scale()).isGreaterThan(1.4 * largest(charts, one).get(0).scale()); // √3 = 1.73 with equal fill
    }

    @Test
    void placements_areTheSame_onAnyNumberOfThreads() throws Exception {
        List<Chart> charts = stars(25, 5);
        Room room = new Room(512, 512, 4, 2, 1);
        List<List<Placement>> results = new ArrayList<>();
        for (int threads : new int[] {1, 3}) {
            try (ForkJoinPool pool = new ForkJoinPool(threads)) {
                results.add(pool.submit(() -> largest(charts, room)).get());
            }
        }
        assertThat(results.get(0)).isEqualTo(results.get(1));
    }

    @Test
    void unitsOfCharts_changeTheScaleOnly() {
        List<Chart> charts = stars(15, 6);
        List<Chart> larger = charts.stream().map(c -> new Chart(scaled(c.uv, 1024), c.triangles, c.weight)).toList();
        Room room = new Room(512, 512, 4, 2, 1);
        List<Placement> a = largest(charts, room);
        List<Placement> b = largest(larger, room);
        for (int c = 0; c < a.size(); c++) {
            assertThat(b.get(c).x()).isCloseTo(a.get(c).x(), within(1e-6)); // rounding at 1,024 times the numbers
            assertThat(b.get(c).scale() * 1024).isCloseTo(a.get(c).scale(), within(1e-9 * a.get(c).scale()));
        }
    }

    private static double[] scaled(double[] uv, double factor) {
        double[] result = uv.clone();
        for (int i = 0; i < result.length; i++) {
            result[i] *= factor;
        }
        return result;
    }

    @Test
    void oneChart_fillsItsTile() {
        Room room = new Room(256, 256, 4, 8, 1);
        List<Placement> placed = largest(List.of(rectangle(3, 3)), room);
        assertThat(placed.get(0).scale()).isBetween(79.0, 80.0 + ROUNDING); // 240 texels for 3 units; the search ends within a percent
        assertApart(List.of(rectangle(3, 3)), placed, room);
    }

    @Test
    void chartsWithoutArea_getAPlace() {
        Chart point = new Chart(new double[] {1, 1, 1, 1, 1, 1}, new int[] {0, 1, 2}, 1);
        Chart line = new Chart(new double[] {0, 0, 1, 2, 2, 4}, new int[] {0, 1, 2}, 1);
        Room room = new Room(64, 64, 2, 1, 1);
        assertThat(largest(List.of(point), room)).hasSize(1);
        assertApart(List.of(point, line), largest(List.of(point, line), room), room);
    }

    @Test
    void gutterThatLeavesNoRoom_isRefused() {
        assertThat(new Packing(stars(300, 7), new Room(64, 64, 32, 16, 1), false, Task.silent()).largest()).isNull();
        assertThat(new Packing(stars(2, 7), new Room(64, 64, 1, 32, 1), false, Task.silent()).largest()).isNull();
    }

    @Test
    @Timeout(value = 60, unit = TimeUnit.SECONDS)
    void thousandsOfCharts_takeSeconds() {
        List<Chart> charts = stars(2000, 8);
        Room room = new Room(2048, 2048, 2, 1, 1);
        assertThat(fill(charts, largest(charts, room), room)).isBetween(0.3, 1.0);
    }

    @Test
    void cancelling_stopsIt() {
        Cancellation cancellation = new Cancellation();
        cancellation.cancel();
        Task task = new Task(Task.silent().progress(), cancellation, MemoryBudget.ofHeap());
        org.assertj.core.api.Assertions
                .assertThatThrownBy(() -> new Packing(stars(10, 9), new Room(64, 64, 1, 1, 1), false, task).largest())
                .isInstanceOf(java.util.concurrent.CancellationException.class);
    }
}
