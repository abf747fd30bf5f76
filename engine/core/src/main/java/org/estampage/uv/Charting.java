package org.estampage.uv;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.stream.IntStream;
import org.estampage.task.Task;

/**
 * Finds charts: cuts regions into disks, lays them flat, splits what is too distorted, and sews what need not be apart.
 *
 * <p>Work goes in rounds. What a round tries is settled before it starts, and its flattenings, which don't depend on one another, run in parallel; then
 * their outcomes are taken in order. So charts don't depend on the number of threads.
 *
 * @threads confined; works on the caller's fork-join pool or the common one
 * @source merging by the seam's cost is close to Sorkine et al., Bounded-distortion Piecewise Mesh Parameterization, 2002, and Li et al., OptCuts, 2018,
 *         from memory; the rounds are our own
 */
final class Charting {
    /**
     * What is asked of the charts.
     *
     * @param automatic   whether regions are cut up before they are laid flat, not only where that fails
     * @param largest     the largest distortion of a chart
     * @param largestMean the largest distortion on average, for sewing
     * @param compactness the least part of its best bounding rectangle that a sewn chart fills
     */
    record Demand(boolean automatic, double largest, double largestMean, double compactness) {
    }

    /** Pieces that a whole surface is cut into before they are sewn; 40 to 60 were tried. */
    static final int PIECES = 48;
    private static final int ROUNDS = 8;
    private static final int ROUNDS_OF_A_SPLIT = 4;
    /** A triangle stretched to about 10 : 1 spoils a chart, however good the others are. */
    static final double WORST_TRIANGLE = 25;
    /** Charts below this part of the area are sewn whatever shape comes out. */
    private static final double SCRAP = 0.002;
    /** Closed regions of more triangles are cut up before they are laid flat: they would hardly ever stay under a bound. */
    private static final int SMALL = 64;
    /** A split that leaves more than this in one part has lost little. */
    private static final double MOST = 0.8;

    private final Seams seams;
    private final Surface surface;
    private final Demand demand;
    private final Task task;
    private final Segmentation segmentation;
    private final DiskCut diskCut;
    private final List<LaidPiece> charts = new ArrayList<>();
    private int nextId;
    /** Area times distortion, and area, of all charts while they are sewn. */
    private double total;
    private double area;

    Charting(Seams seams, Demand demand, Task task) {
        this.seams = seams;
        this.surface = seams.surface;
        this.demand = demand;
        this.task = task;
        segmentation = new Segmentation(seams, task);
        diskCut = new DiskCut(seams);
    }

    /** A set of triangles that waits to become a chart, how often it was split, and whether it lost only little by the last split. */
    private static final class Waiting {
        final int[] triangles;
        final int depth;
        final boolean littleLost;

        Waiting(int[] triangles, int depth, boolean littleLost) {
            this.triangles = triangles;
            this.depth = depth;
            this.littleLost = littleLost;
        }
    }

    /** Returns the charts of a set of triangles, in the order of their first triangles. */
    List<LaidPiece> charts(int[] triangles) {
        List<Waiting> waiting = new ArrayList<>();
        if (demand.automatic()) {
            seams.separate(triangles, segmentation.labels(triangles, PIECES, 0, ROUNDS));
        }
        for (int[] part : seams.components(triangles)) {
            waiting.add(new Waiting(part, demand.automatic() ? 1 : 0, false));
        }
        Task.Stage stage = task.stage("laying charts flat", triangles.length);
        while (!waiting.isEmpty()) {
            waiting = layRound(waiting, stage);
        }
        charts.sort(Comparator.comparingInt(c -> c.piece.triangles[0]));
        sew();
        close();
        return finish();
    }

    private List<Waiting> layRound(List<Waiting> waiting, Task.Stage stage) {
        List<Waiting> tried = new ArrayList<>();
        List<Piece> pieces = new ArrayList<>();
        List<Waiting> next = new ArrayList<>();
        for (Waiting w : waiting) {
            task.check();
            Piece piece = seams.piece(w.triangles);
            boolean hopeless = w.depth == 0 && w.triangles.length > SMALL && (piece.loopCount() == 0 || piece.handles() > 0);
            if (!hopeless && !piece.roundDisk()) {
                diskCut.cut(piece);
                piece = seams.piece(w.triangles);
            }
            if (!hopeless && piece.disk()) {
                tried.add(w);
                pieces.add(piece);
            } else {
                split(w, next);
            }
        }
        List<LaidPiece> laid = layAll(pieces, false);
        for (int i = 0; i < laid.size(); i++) {
            LaidPiece chart = laid.get(i);
            int count = chart.piece.triangles.length;
            if (count == 1 || (chart.distortion <= demand.largest && chart.worst <= WORST_TRIANGLE)) {
                charts.add(chart);
                stage.advance(count);
            } else {
                split(tried.get(i), next);
            }
        }
        return next;
    }

    private void split(Waiting w, List<Waiting> next) {
        int count = 2;
        if (w.depth == 0) {
            double part = 0;
            for (int t : w.triangles) {
                part += surface.area[t];
            }
            count = Math.max(2, (int) Math.rint(PIECES * part / surface.totalArea));
        }
        // What stands out is cut off first; where that did not help, the rest is halved, or it would lose little again and again.
        int[] labels = w.littleLost
                ? segmentation.halves(w.triangles)
                : segmentation.labels(w.triangles, count, 2, w.depth == 0 ? ROUNDS : ROUNDS_OF_A_SPLIT);
        seams.separate(w.triangles, labels);
        int[][] parts = seams.components(w.triangles);
        if (parts.length == 1) {
            // Smoothing took one label away: one triangle alone is enough to go on.
            int[] label = new int[w.triangles.length];
            label[0] = 1;
            seams.separate(w.triangles, label);
            parts = seams.components(w.triangles);
        }
        for (int[] part : parts) {
            next.add(new Waiting(part, w.depth + 1, part.length > MOST * w.triangles.length));
        }
    }

    private List<LaidPiece> layAll(List<Piece> pieces, boolean full) {
        LaidPiece[] laid = new LaidPiece[pieces.size()];
        int first = nextId;
        nextId += laid.length;
        // The largest first, so that no thread is left alone with it; where each goes is settled by its number.
        int[] order = IntStream.range(0, laid.length).boxed().sorted(Comparator.comparingInt(i -> -pieces.get(i).triangles.length))
                .mapToInt(i -> i).toArray();
        Arrays.stream(order).parallel().forEach(i -> {
            task.check();
            laid[i] = LaidPiece.of(surface, pieces.get(i), first + i, full, task);
        });
        return new ArrayList<>(Arrays.asList(laid));
    }

    // ------------------------------------------------------------------------------------------------------------ sewing

    /** Two charts that could be sewn along an arc of their borders. */
    private static final class Match {
        final LaidPiece a;
        final LaidPiece b;
        final int[] arc;
        final double gain;

        Match(LaidPiece a, LaidPiece b, int[] arc, double gain) {
            this.a = a;
            this.b = b;
            this.arc = arc;
            this.gain = gain;
        }
    }

    private void sew() {
        Set<Long> failed = new HashSet<>(); // asked only whether it holds a pair
        Task.Stage stage = task.stage("sewing charts", -1);
        total = 0;
        area = 0;
        for (LaidPiece c : charts) {
            total += c.distortion * c.piece.area;
            area += c.piece.area;
        }
        while (true) {
            List<Match> matches = matches(failed);
            if (matches.isEmpty()) {
                return;
            }
            List<Match> tried = new ArrayList<>();
            List<Piece> pieces = new ArrayList<>();
            Set<Integer> busy = new HashSet<>();
            for (Match m : matches) {
                task.check();
                if (busy.contains(m.a.id) || busy.contains(m.b.id)) {
                    continue;
                }
                Piece piece = sewn(union(m.a.piece.triangles, m.b.piece.triangles), m.arc);
                if (piece.disk()) {
                    busy.add(m.a.id);
                    busy.add(m.b.id);
                    tried.add(m);
                    pieces.add(piece);
                } else {
                    failed.add(pair(m.a.id, m.b.id));
                }
            }
            List<LaidPiece> laid = layAll(pieces, false);
            Set<Integer> gone = new HashSet<>();
            List<LaidPiece> made = new ArrayList<>();
            for (int i = 0; i < laid.size(); i++) {
                Match m = tried.get(i);
                LaidPiece c = laid.get(i);
                double newTotal = total + c.distortion * c.piece.area - m.a.distortion * m.a.piece.area - m.b.distortion * m.b.piece.area;
                if (c.distortion <= demand.largest && c.worst <= WORST_TRIANGLE && newTotal <= demand.largestMean * area
                        && compactEnough(m, c)) {
                    total = newTotal;
                    gone.add(m.a.id);
                    gone.add(m.b.id);
                    made.add(c);
                    for (int h : m.arc) {
                        seams.set(h, false);
                    }
                } else {
                    failed.add(pair(m.a.id, m.b.id));
                }
            }
            charts.removeIf(c -> gone.contains(c.id));
            charts.addAll(made);
            charts.sort(Comparator.comparingInt(c -> c.piece.triangles[0]));
            stage.advance(made.size());
        }
    }

    /** Sews seams inside charts from their inner ends, as far as the bound allows. */
    private void close() {
        Set<Long> failed = new HashSet<>(); // asked only whether it holds a chart and an edge
        while (true) {
            List<Integer> which = new ArrayList<>();
            List<int[]> tried = new ArrayList<>();
            List<Piece> pieces = new ArrayList<>();
            for (int c = 0; c < charts.size(); c++) {
                task.check();
                int[] slit = slit(charts.get(c), failed);
                if (slit.length == 0) {
                    continue;
                }
                Piece piece = sewn(charts.get(c).piece.triangles, slit);
                if (piece.disk()) {
                    which.add(c);
                    tried.add(slit);
                    pieces.add(piece);
                } else {
                    failed.add(slitKey(charts.get(c), slit[0]));
                }
            }
            if (which.isEmpty()) {
                return;
            }
            List<LaidPiece> laid = layAll(pieces, false);
            for (int i = 0; i < laid.size(); i++) {
                LaidPiece old = charts.get(which.get(i));
                LaidPiece c = laid.get(i);
                double newTotal = total + (c.distortion - old.distortion) * old.piece.area;
                if (c.distortion <= demand.largest && c.worst <= WORST_TRIANGLE && newTotal <= demand.largestMean * area
                        && (demand.compactness <= 0 || fill(c) >= Math.min(demand.compactness, fill(old)))) {
                    total = newTotal;
                    for (int h : tried.get(i)) {
                        seams.set(h, false);
                    }
                    charts.set(which.get(i), c);
                } else {
                    failed.add(slitKey(old, tried.get(i)[0]));
                }
            }
        }
    }

    /** Returns the dearest run of edges of a seam that ends inside a chart, from the end on; empty when there is none that has not failed. */
    private int[] slit(LaidPiece chart, Set<Long> failed) {
        int[] loop = chart.piece.loop;
        int n = loop.length;
        int[] best = {};
        double dearest = 0;
        for (int i = 0; i < n; i++) {
            if (surface.opposite[loop[i]] != loop[(i + 1) % n] || seams.fixed(loop[i]) || failed.contains(slitKey(chart, loop[i]))) {
                continue;
            }
            int length = 0;
            double cost = 0;
            // Something has to stay open, hence half the border less one edge.
            while (length < n / 2 - 1 && surface.opposite[loop[(i - length + n) % n]] == loop[(i + 1 + length) % n]
                    && !seams.fixed(loop[(i - length + n) % n])) {
                cost += surface.cost[loop[(i - length + n) % n]];
                length++;
            }
            if (cost > dearest) {
                dearest = cost;
                best = new int[length];
                for (int e = 0; e < length; e++) {
                    best[e] = loop[(i - e + n) % n];
                }
            }
        }
        return best;
    }

    private static long slitKey(LaidPiece chart, int edge) {
        return (long) chart.id << 32 | edge;
    }

    private static long pair(int a, int b) {
        return (long) Math.min(a, b) << 32 | Math.max(a, b);
    }

    private static int[] union(int[] a, int[] b) {
        int[] both = Arrays.copyOf(a, a.length + b.length);
        System.arraycopy(b, 0, both, a.length, b.length);
        Arrays.sort(both);
        return both;
    }

    /** Returns the piece that triangles would be if some seams were sewn. */
    private Piece sewn(int[] triangles, int[] arc) {
        for (int h : arc) {
            seams.set(h, false);
        }
        Piece piece = seams.piece(triangles);
        for (int h : arc) {
            seams.set(h, true);
        }
        return piece;
    }

    private boolean compactEnough(Match m, LaidPiece c) {
        if (demand.compactness <= 0 || Math.min(m.a.piece.area, m.b.piece.area) < SCRAP * surface.totalArea) {
            return true;
        }
        return fill(c) >= demand.compactness;
    }

    private static double fill(LaidPiece c) {
        return c.piece.area / rectangle(c);
    }

    private static double rectangle(LaidPiece c) {
        return BestRectangle.around(c.uv, c.piece.border()).area();
    }

    /** Returns the pairs that may be sewn and have not failed, the most gainful first. */
    private List<Match> matches(Set<Long> failed) {
        int[] owner = new int[surface.triangleCount];
        int[] place = new int[surface.opposite.length];
        Arrays.fill(owner, -1);
        for (int c = 0; c < charts.size(); c++) {
            Piece piece = charts.get(c).piece;
            for (int t : piece.triangles) {
                owner[t] = c;
            }
            for (int i = 0; i < piece.loop.length; i++) {
                place[piece.loop[i]] = i;
            }
        }
        List<Match> matches = new ArrayList<>();
        // The best arc between this chart and each later one; index by chart, listed in the order of finding.
        int[][] arc = new int[charts.size()][];
        double[] cost = new double[charts.size()];
        for (int c = 0; c < charts.size(); c++) {
            LaidPiece a = charts.get(c);
            List<Integer> found = new ArrayList<>();
            findArcs(c, owner, place, failed, arc, cost, found);
            for (int other : found) {
                LaidPiece b = charts.get(other);
                double smaller = Math.max(Math.min(a.piece.area, b.piece.area), Double.MIN_NORMAL);
                int[] edges = arc[other];
                if (edges != null) {
                    matches.add(new Match(a, b, edges, cost[other] / Math.sqrt(smaller)));
                }
                arc[other] = null;
                cost[other] = 0;
            }
        }
        matches.sort(Comparator.comparingDouble((Match m) -> -m.gain).thenComparingInt(m -> m.a.piece.triangles[0])
                .thenComparingInt(m -> m.b.piece.triangles[0]));
        return matches;
    }

    /** Goes around a chart's border and keeps the dearest unbroken arc with each later neighbour. */
    private void findArcs(int c, int[] owner, int[] place, Set<Long> failed, int[][] arc, double[] cost, List<Integer> found) {
        int[] loop = charts.get(c).piece.loop;
        int n = loop.length;
        int first = 0;
        // Begin where an arc begins; where the whole border is one arc, leave its cheapest edge shut: something has to stay open.
        boolean allOne = true;
        for (int i = 0; i < n && allOne; i++) {
            if (!goesOn(loop, i, c, owner, place)) {
                allOne = false;
                first = (i + 1) % n;
            }
        }
        int edges = n;
        if (allOne) {
            for (int i = 0; i < n; i++) {
                first = surface.cost[loop[i]] < surface.cost[loop[(first + n - 1) % n]] ? (i + 1) % n : first;
            }
            edges = n - 1;
        }
        int i = 0;
        while (i < edges) {
            int other = neighbour(loop[(first + i) % n], c, owner);
            int from = i;
            double sum = surface.cost[loop[(first + i) % n]];
            while (i + 1 < edges && goesOn(loop, (first + i) % n, c, owner, place)) {
                i++;
                sum += surface.cost[loop[(first + i) % n]];
            }
            i++;
            if (other > c && !failed.contains(pair(charts.get(c).id, charts.get(other).id)) && sum > cost[other]) {
                if (arc[other] == null) {
                    found.add(other);
                }
                int[] run = new int[i - from];
                for (int e = 0; e < run.length; e++) {
                    run[e] = loop[(first + from + e) % n];
                }
                arc[other] = run;
                cost[other] = sum;
            }
        }
    }

    /** Returns the chart across a seam that may be sewn, −1 for none. */
    private int neighbour(int h, int c, int[] owner) {
        int o = surface.opposite[h];
        if (o < 0 || seams.fixed(h) || owner[o / 3] == c) {
            return -1;
        }
        return owner[o / 3];
    }

    /** Whether edge i and the next one of a border face the same chart, one after the other in its border, too. */
    private boolean goesOn(int[] loop, int i, int c, int[] owner, int[] place) {
        int h = loop[i];
        int g = loop[(i + 1) % loop.length];
        int other = neighbour(h, c, owner);
        if (other < 0 || other != neighbour(g, c, owner)) {
            return false;
        }
        int there = charts.get(other).piece.loop.length;
        return place[surface.opposite[h]] == (place[surface.opposite[g]] + 1) % there;
    }

    // ------------------------------------------------------------------------------------------------------------ the end

    private List<LaidPiece> finish() {
        List<Piece> pieces = new ArrayList<>();
        for (LaidPiece c : charts) {
            pieces.add(c.piece);
        }
        return layAll(pieces, true);
    }
}
