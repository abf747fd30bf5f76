package org.estampage.cage;

import java.util.Arrays;
import java.util.Objects;
import org.estampage.mesh.Mesh;
import org.estampage.task.Chunks;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * All pairs of a high-poly triangle and a cage triangle that meet, exactly: none means that no high-poly edge meets the cage and no cage edge the high
 * poly.
 *
 * <p>Triangles of the high poly are taken in groups of neighbours by number: a group's box throws out the cage triangles that it does not meet or that
 * have it wholly on one side of their plane. Both tests keep too much rather than too little, and what is left goes to {@link ExactTriangles}.
 *
 * @threads one call at a time; it uses the caller's fork-join pool or the common one
 */
final class Crossings {
    private static final Mesh NOTHING = Mesh.builder(new float[0], new int[0]).build();
    /** Groups with more cage triangles than this in reach are halved. */
    private static final int MANY = 8;
    /** A normal's rounding error is at most so many parts of the sum of its terms' absolute values: 4 roundings of 2⁻⁵³, 16 to be safe. */
    private static final double NORMAL_ERROR = 16 * 0x1p-53;
    /** The same for the middle and half width of a box, and the product with a normal. */
    private static final double BOX_ERROR = 32 * 0x1p-53;

    private final Mesh high;
    private final int[] triangles;
    private final float[] cage;
    private final BoxPairs tree;
    /** For each cage triangle its normal and a bound of the normal's rounding error. */
    private final double[] planes;
    private final @Nullable HighTriangles all;
    private final Task task;

    /**
     * Prepares the search.
     *
     * @param high      the high poly, in groups; null where only the cage itself is looked at
     * @param cage      cage positions
     * @param triangles three position numbers a cage triangle
     */
    Crossings(@Nullable HighTriangles high, float[] cage, int[] triangles, Task task) {
        all = high;
        this.high = high == null ? NOTHING : high.mesh;
        this.cage = cage;
        this.triangles = triangles;
        this.task = task;
        tree = new BoxPairs(cage, triangles);
        planes = new double[6 * (triangles.length / 3)];
        for (int t = 0; t < triangles.length / 3; t++) {
            int a = 3 * triangles[3 * t], b = 3 * triangles[3 * t + 1], c = 3 * triangles[3 * t + 2];
            for (int k = 0; k < 3; k++) {
                int i = (k + 1) % 3, j = (k + 2) % 3;
                double left = ((double) cage[b + i] - cage[a + i]) * ((double) cage[c + j] - cage[a + j]);
                double right = ((double) cage[b + j] - cage[a + j]) * ((double) cage[c + i] - cage[a + i]);
                planes[6 * t + k] = left - right;
                planes[6 * t + 3 + k] = NORMAL_ERROR * (Math.abs(left) + Math.abs(right));
            }
        }
    }

    /**
     * Finds the pairs.
     *
     * @param some the high-poly triangles to look at; null for all
     * @return high-poly triangle · 2³² + cage triangle, ascending
     */
    long[] find(int @Nullable [] some) {
        HighTriangles groups = Objects.requireNonNull(all);
        int[] numbers = some == null ? groups.order : some;
        int count = some == null ? high.triangleCount() : some.length;
        long[][] found = new long[Chunks.count(count)][];
        Chunks.run(count, task.stage("crossings of cage and high poly", count), (start, end) -> {
            Scratch s = new Scratch(tree.count());
            for (int from = start; from < end; from += HighTriangles.GROUP) { // pieces begin with a group
                int to = Math.min(end, from + HighTriangles.GROUP);
                if (some == null) {
                    System.arraycopy(groups.boxes, from / HighTriangles.GROUP * 6, s.box, 0, 6);
                } else {
                    box(numbers, from, to, s.box);
                }
                group(numbers, from, to, s.all, tree.find(s.box, s.all), s, 0);
            }
            found[Chunks.number(start)] = Arrays.copyOf(s.found, s.size);
        });
        int size = 0;
        for (long[] part : found) {
            size += part.length;
        }
        long[] pairs = new long[size];
        int next = 0;
        for (long[] part : found) {
            System.arraycopy(part, 0, pairs, next, part.length);
            next += part.length;
        }
        Arrays.sort(pairs);
        return pairs;
    }

    private static final class Scratch {
        final float[] box = new float[6];
        final int[] all;
        /** The cage triangles in reach of a group and its halves; a group of 64 halves six times. */
        final int[][] near = new int[8][];
        long[] found = new long[16];
        int size;

        Scratch(int triangles) {
            all = new int[triangles];
            Arrays.setAll(near, i -> new int[0]);
        }
    }

    private void box(int @Nullable [] numbers, int from, int to, float[] box) {
        HighTriangles.box(high, numbers, from, to, box);
    }

    private void group(int @Nullable [] numbers, int from, int to, int[] candidates, int candidateCount, Scratch s,
            int depth) {
        if (candidateCount == 0) {
            return;
        }
        if (depth > 0) { // that of the whole group is there already
            box(numbers, from, to, s.box);
        }
        if (s.near[depth].length < candidateCount) {
            s.near[depth] = new int[2 * candidateCount];
        }
        int[] near = s.near[depth];
        int count = 0;
        for (int i = 0; i < candidateCount; i++) {
            int t = candidates[i];
            if (!tree.apart(t, s.box) && !onOneSide(t, s.box)) {
                near[count++] = t;
            }
        }
        if (count == 0) {
            return;
        }
        if (to - from > 1 && (to - from > HighTriangles.GROUP / 8 || count > MANY)) {
            int middle = (from + to) >>> 1;
            group(numbers, from, middle, near, count, s, depth + 1);
            group(numbers, middle, to, near, count, s, depth + 1);
            return;
        }
        int[] corners = high.positionIndices();
        float[] p = high.positions();
        for (int i = from; i < to; i++) {
            int h = numbers == null ? i : numbers[i];
            if (to - from > 1) {
                box(numbers, i, i + 1, s.box);
            }
            for (int j = 0; j < count; j++) {
                int t = near[j];
                if (!tree.apart(t, s.box) && ExactTriangles.meet(cage, 3 * triangles[3 * t], 3 * triangles[3 * t + 1],
                        3 * triangles[3 * t + 2], p, 3 * corners[3 * h], 3 * corners[3 * h + 1], 3 * corners[3 * h + 2])) {
                    if (s.size == s.found.length) {
                        s.found = Arrays.copyOf(s.found, 2 * s.size);
                    }
                    s.found[s.size++] = (long) h << 32 | t;
                }
            }
        }
    }

    /** Returns whether a box lies wholly, beyond all rounding, on one side of a cage triangle's plane. */
    private boolean onOneSide(int t, float[] box) {
        int a = 3 * triangles[3 * t];
        double side = 0, width = 0;
        for (int k = 0; k < 3; k++) {
            double middle = 0.5 * ((double) box[k] + box[k + 3]), half = 0.5 * ((double) box[k + 3] - box[k]);
            double n = planes[6 * t + k], e = planes[6 * t + 3 + k];
            double d = middle - cage[a + k];
            side += n * d;
            width += Math.abs(n) * half + e * (Math.abs(d) + half)
                    + BOX_ERROR * (Math.abs(n) + e) * (Math.abs(middle) + half + Math.abs(cage[a + k]));
        }
        return Math.abs(side) > width;
    }

    /**
     * Finds the pairs of triangles of the cage itself that meet where they are not joined: with no corner in common, or with one and another common
     * point. Triangles that share an edge are left to the test for folds.
     *
     * @return lower number · 2³² + higher number, ascending
     */
    long[] findOwn() {
        int count = triangles.length / 3;
        long[][] found = new long[Chunks.count(count)][];
        Chunks.run(count, task.stage("self-crossings of the cage", count), (start, end) -> {
            int[] near = new int[tree.count()];
            float[] box = new float[6];
            long[] pairs = new long[16];
            int size = 0;
            for (int t = start; t < end; t++) {
                if (!ExactTriangles.hasArea(cage, 3 * triangles[3 * t], 3 * triangles[3 * t + 1], 3 * triangles[3 * t + 2])) {
                    continue;
                }
                tree.box(t, box);
                int n = tree.find(box, near);
                for (int i = 0; i < n; i++) {
                    if (near[i] > t && selfMeet(t, near[i])) {
                        if (size == pairs.length) {
                            pairs = Arrays.copyOf(pairs, 2 * size);
                        }
                        pairs[size++] = (long) t << 32 | near[i];
                    }
                }
            }
            found[Chunks.number(start)] = Arrays.copyOf(pairs, size);
        });
        return Arrays.stream(found).flatMapToLong(Arrays::stream).sorted().toArray();
    }

    private boolean selfMeet(int s, int t) {
        int shared = 0, ownCorner = 0, otherCorner = 0;
        for (int i = 0; i < 3; i++) {
            for (int j = 0; j < 3; j++) {
                if (triangles[3 * s + i] == triangles[3 * t + j]) {
                    shared++;
                    ownCorner = i;
                    otherCorner = j;
                }
            }
        }
        int a = 3 * triangles[3 * s], b = 3 * triangles[3 * s + 1], c = 3 * triangles[3 * s + 2];
        int d = 3 * triangles[3 * t], e = 3 * triangles[3 * t + 1], f = 3 * triangles[3 * t + 2];
        if (shared == 0) {
            return ExactTriangles.meet(cage, a, b, c, cage, d, e, f);
        }
        // what two triangles have in common beside a corner ends on an edge away from it
        return shared == 1 && (ExactTriangles.edgeMeets(cage, a, b, c, cage, 3 * triangles[3 * t + (otherCorner + 1) % 3],
                3 * triangles[3 * t + (otherCorner + 2) % 3])
                || ExactTriangles.edgeMeets(cage, d, e, f, cage, 3 * triangles[3 * s + (ownCorner + 1) % 3],
                        3 * triangles[3 * s + (ownCorner + 2) % 3]));
    }
}
