package org.estampage.uv;

import java.util.Arrays;
import org.estampage.task.Task;

/**
 * Labels triangles so that each label's triangles face much the same way and its borders run where a seam costs little.
 *
 * @threads confined
 * @cost O(k n) + rounds · O(n log n) for n triangles and k labels
 * @source Cohen-Steiner, Alliez, Desbrun, Variational Shape Approximation, 2004 (normal proxies, growing from a queue, Lloyd rounds), from memory; the
 *         borders' smoothing by seam cost is our own
 */
final class Segmentation {
    /** Part of a triangle's cost that its followers carry on: between equals the one on the shorter way wins. */
    private static final double CARRIED = 0.02;
    /** Cost of a diagonal's length of way; decides on flat ground only. */
    private static final double WAY = 1e-3;
    /** No label is added for an error below this; 1 − cosine of 0.8°. */
    private static final double FLAT = 1e-4;
    private static final int SMOOTHING_ROUNDS = 3;
    /** A triangle changes sides only for a clear gain, so that rounds settle. */
    private static final double CLEARLY = 1.01;
    /** Nor does it go where it would face more than 60° away. */
    private static final double LEAST_COSINE = 0.5;

    private final Seams seams;
    private final Surface surface;
    private final Task task;
    private final CostQueue queue = new CostQueue();
    private int[] triangles = {};
    private int[] label = {};
    private double[] error = {};
    private int[] seed = {};
    private double[] proxy = {};
    private int count;

    Segmentation(Seams seams, Task task) {
        this.seams = seams;
        this.surface = seams.surface;
        this.task = task;
    }

    /**
     * Labels a set of triangles.
     *
     * @param set    rising triangle numbers
     * @param wanted how many labels at most, beyond one a connected part
     * @param least  how many at least, as far as there are triangles
     * @param rounds Lloyd rounds
     * @return a label a triangle of the set; a label need not be connected
     */
    int[] labels(int[] set, int wanted, int least, int rounds) {
        triangles = set;
        int n = set.length;
        label = new int[n];
        error = new double[n];
        int[][] parts = seams.components(set);
        int most = Math.min(n, wanted + parts.length - 1);
        seed = new int[most];
        proxy = new double[3 * most];
        seams.number(set);
        count = 0;
        int at = 0;
        for (int[] part : parts) {
            while (set[at] != part[0]) {
                at++;
            }
            plant(at);
        }
        int done = 0;
        while (true) {
            task.check();
            grow();
            fit();
            if (count < most && addSeeds(Math.max(1, Math.min(most - count, count / 3)), least)) {
                continue;
            }
            most = count;
            if (done++ == rounds) {
                break;
            }
            moveSeeds();
        }
        for (int r = 0; r < SMOOTHING_ROUNDS; r++) {
            smoothBorders();
        }
        seams.clear(set);
        return label;
    }

    /** Labels a connected set of triangles with 0 or 1 by which of two far triangles is nearer along the surface. */
    int[] halves(int[] set) {
        triangles = set;
        label = new int[set.length];
        seams.number(set);
        int end = spread(0, 0);
        int other = spread(end, end);
        spread(end, other);
        seams.clear(set);
        return label;
    }

    /** Walks from one or two triangles over all, labels each by the one it was reached from, and returns the last. */
    private int spread(int first, int second) {
        Arrays.fill(label, -1);
        queue.clear();
        queue.add(0, first, 0);
        queue.add(0, second, 1);
        int last = first;
        while (queue.take()) {
            int i = queue.item();
            if (label[i] >= 0) {
                continue;
            }
            label[i] = queue.tag();
            last = i;
            for (int k = 0; k < 3; k++) {
                int j = seams.across(3 * triangles[i] + k);
                if (j >= 0 && label[j] < 0) {
                    queue.add(queue.cost() + Math.sqrt(surface.area[triangles[i]]) + Math.sqrt(surface.area[triangles[j]]), j, queue.tag());
                }
            }
        }
        return last;
    }

    private void plant(int i) {
        seed[count] = i;
        System.arraycopy(surface.normal, 3 * triangles[i], proxy, 3 * count, 3);
        count++;
    }

    private double misfit(int i, int s) {
        int t = triangles[i];
        if (surface.area[t] == 0) {
            return 0;
        }
        return Math.max(0, 1 - (surface.normal[3 * t] * proxy[3 * s] + surface.normal[3 * t + 1] * proxy[3 * s + 1]
                + surface.normal[3 * t + 2] * proxy[3 * s + 2]));
    }

    private void grow() {
        Arrays.fill(label, -1);
        queue.clear();
        for (int s = 0; s < count; s++) {
            queue.add(0, seed[s], s);
        }
        int taken = 0;
        while (queue.take()) {
            int i = queue.item();
            if (label[i] >= 0) {
                continue;
            }
            if ((++taken & 0xFFF) == 0) {
                task.check();
            }
            int s = queue.tag();
            double carried = CARRIED * queue.cost();
            label[i] = s;
            error[i] = misfit(i, s);
            for (int k = 0; k < 3; k++) {
                int h = 3 * triangles[i] + k;
                int j = seams.across(h);
                if (j >= 0 && label[j] < 0) {
                    queue.add(misfit(j, s) + carried + WAY * Math.sqrt(surface.area[triangles[j]]), j, s);
                }
            }
        }
    }

    private void fit() {
        double[] sum = new double[3 * count];
        for (int i = 0; i < triangles.length; i++) {
            int t = triangles[i];
            for (int k = 0; k < 3; k++) {
                sum[3 * label[i] + k] += surface.area[t] * surface.normal[3 * t + k];
            }
        }
        for (int s = 0; s < count; s++) {
            double x = sum[3 * s];
            double y = sum[3 * s + 1];
            double z = sum[3 * s + 2];
            double length = Math.sqrt(x * x + y * y + z * z);
            if (length > 0) {
                proxy[3 * s] = x / length;
                proxy[3 * s + 1] = y / length;
                proxy[3 * s + 2] = z / length;
            }
        }
    }

    /** Plants seeds where triangles fit worst; returns whether it planted any. */
    private boolean addSeeds(int more, int least) {
        boolean[] taken = new boolean[triangles.length];
        for (int s = 0; s < count; s++) {
            taken[seed[s]] = true;
        }
        boolean any = false;
        for (int m = 0; m < more; m++) {
            int worst = -1;
            double largest = -1;
            for (int i = 0; i < triangles.length; i++) {
                double e = error[i] * Math.sqrt(surface.area[triangles[i]]);
                if (!taken[i] && e > largest && (error[i] > FLAT || count < least)) {
                    largest = e;
                    worst = i;
                }
            }
            if (worst < 0) {
                break;
            }
            task.check();
            taken[worst] = true;
            any = true;
            // The rest of its label is thought to fit better from now on.
            for (int i = 0; i < triangles.length; i++) {
                if (label[i] == label[worst]) {
                    error[i] /= 2;
                }
            }
            plant(worst);
        }
        return any;
    }

    /** Moves each seed to its label's best fitting triangle. */
    private void moveSeeds() {
        double[] least = new double[count];
        Arrays.fill(least, Double.POSITIVE_INFINITY);
        for (int i = 0; i < triangles.length; i++) {
            double e = misfit(i, label[i]);
            if (e < least[label[i]] && surface.area[triangles[i]] > 0) {
                least[label[i]] = e;
                seed[label[i]] = i;
            }
        }
    }

    private void smoothBorders() {
        for (int i = 0; i < triangles.length; i++) {
            int t = triangles[i];
            double own = 0;
            for (int k = 0; k < 3; k++) {
                int j = seams.across(3 * t + k);
                own += j >= 0 && label[j] == label[i] ? surface.cost[3 * t + k] : 0;
            }
            for (int k = 0; k < 3; k++) {
                int j = seams.across(3 * t + k);
                if (j < 0 || label[j] == label[i]) {
                    continue;
                }
                double other = 0;
                for (int m = 0; m < 3; m++) {
                    int q = seams.across(3 * t + m);
                    other += q >= 0 && label[q] == label[j] ? surface.cost[3 * t + m] : 0;
                }
                if (other > own * CLEARLY && misfit(i, label[j]) < 1 - LEAST_COSINE) {
                    label[i] = label[j];
                    break;
                }
            }
        }
    }
}
