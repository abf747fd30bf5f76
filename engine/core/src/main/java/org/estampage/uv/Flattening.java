package org.estampage.uv;

import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Lays one disk flat with little distortion, without flipped triangles and without overlap.
 *
 * <p>It starts from a least-squares conformal map where that has no flip, otherwise, or where that is much stretched and the other less, from one with the
 * border on a circle, and goes downhill from there, see {@link Descent}. On the way the border may cross itself; where it still does in the end, the way is
 * gone again from a start that doesn't, with steps that don't.
 *
 * @threads stateless; safe for concurrent calls
 */
final class Flattening {
    /** A conformal start worse than this is compared with the one on a circle. */
    private static final double POOR = 3;

    private Flattening() {
    }

    /**
     * Returns the disk laid flat.
     *
     * @edge triangles without area are given a little, see {@link Net}; where numbers can't hold any start without flips, the distortion is infinite
     * @cost about O(n log n) time, O(n log n) memory for n triangles; cancelling is noticed between linear solves
     * @throws IllegalArgumentException if the patch is no disk
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    static Flat flatten(Patch disk, Effort effort, Task task) {
        return flatten(disk, null, effort, task);
    }

    /** The same from a flat shape of before, which is passed over when it flips or crosses itself. */
    static Flat flatten(Patch disk, double @Nullable [] before, Effort effort, Task task) {
        int[] border = disk.border();
        if (border.length == 0) {
            throw new IllegalArgumentException(
                    "the patch of " + disk.triangles.length / 3 + " triangles is not a disk; it must have one border, no"
                            + " handle, and no two edges between the same vertices");
        }
        task.check();
        Net net = new Net(disk, border);
        Outline outline = new Outline(net.border);
        double[] uv = before == null ? null : again(net, outline, before);
        double[] safe = uv;
        if (uv == null) {
            uv = conformal(net, task);
            double first = distortion(net, uv);
            if (uv != null && first < Double.POSITIVE_INFINITY && !outline.crosses(uv)) {
                safe = uv;
            }
            if (safe == null || !(first < POOR)) {
                task.check();
                double[] circle = Start.circle(net, task);
                double second = distortion(net, circle);
                if (circle != null && second < Double.POSITIVE_INFINITY && !outline.crosses(circle)) {
                    safe = safe == null ? circle : safe;
                    uv = first < POOR || first <= second ? uv : circle;
                }
            }
        }
        if (uv == null || safe == null) {
            return new Flat(new double[2 * disk.vertexCount], Double.POSITIVE_INFINITY, Double.POSITIVE_INFINITY, false);
        }
        // The quick way is the same for both efforts, so that more effort never ends worse.
        Descent descent = new Descent(net, outline, task);
        Way way = new Way(uv.clone(), safe.clone());
        boolean converged = improve(net, outline, descent, way, Effort.QUICK);
        if (effort != Effort.QUICK) {
            way.uv = way.safe.clone();
            converged = improve(net, outline, descent, way, effort);
        }
        return finished(net, way.safe, converged);
    }

    /** Returns a flat shape of the net at the area of the surface, measured; it must be without flips. */
    static Flat finished(Net net, double[] inoutUv, boolean converged) {
        double distortion = distortion(net, inoutUv);
        double worst = net.worst(inoutUv, bestScale(net, inoutUv));
        scale(net, inoutUv, true);
        double[] result = new double[inoutUv.length];
        for (int i = 0; i < net.vertexCount; i++) {
            result[2 * net.order[i]] = inoutUv[2 * i] * net.unit;
            result[2 * net.order[i] + 1] = inoutUv[2 * i + 1] * net.unit;
        }
        return new Flat(result, distortion, worst, converged);
    }

    /** Where a descent is, and the last place on its way where the border did not cross itself. */
    private static final class Way {
        double[] uv;
        double[] safe;

        Way(double[] uv, double[] safe) {
            this.uv = uv;
            this.safe = safe;
        }
    }

    /**
     * Goes down from the way's place with a border that may cross itself, and where it still does in the end, from its last safe place with one that may
     * not. Leaves the outcome as the safe place.
     */
    private static boolean improve(Net net, Outline outline, Descent descent, Way inoutWay, Effort effort) {
        scale(net, inoutWay.uv, false);
        boolean converged = descent.run(inoutWay.uv, effort, false, inoutWay.safe);
        if (!outline.crosses(inoutWay.uv)) {
            inoutWay.safe = inoutWay.uv;
            return converged;
        }
        scale(net, inoutWay.safe, false);
        return descent.run(inoutWay.safe, effort, true, inoutWay.safe);
    }

    private static double @Nullable [] again(Net net, Outline outline, double[] before) {
        double[] uv = new double[before.length];
        for (int i = 0; i < net.vertexCount; i++) {
            uv[2 * i] = before[2 * net.order[i]] / net.unit;
            uv[2 * i + 1] = before[2 * net.order[i] + 1] / net.unit;
        }
        return Double.isFinite(distortion(net, uv)) && !outline.crosses(uv) ? uv : null;
    }

    private static double @Nullable [] conformal(Net net, Task task) {
        int[] pins = Start.farApart(net);
        return pins[0] == pins[1] ? null : Start.conformal(net, pins, new double[] {0, 0, net.distance(pins[0], pins[1]), 0}, task);
    }

    /** Returns the distortion at the best scale; infinite when there is no map or a triangle flips. */
    private static double distortion(Net net, double @Nullable [] uv) {
        double[] sums = new double[3];
        if (uv == null || !net.measure(uv, sums)) {
            return Double.POSITIVE_INFINITY;
        }
        return Math.sqrt(sums[0]) * Math.sqrt(sums[1]) / (2 * net.totalArea);
    }

    private static double bestScale(Net net, double[] uv) {
        double[] sums = new double[3];
        net.measure(uv, sums);
        return Math.sqrt(Math.sqrt(sums[1] / sums[0]));
    }

    /** Scales to the least energy, or to the same area. */
    private static void scale(Net net, double[] inoutUv, boolean sameArea) {
        double[] sums = new double[3];
        net.measure(inoutUv, sums);
        double scale = sameArea ? Math.sqrt(net.totalArea / sums[2]) : Math.sqrt(Math.sqrt(sums[1] / sums[0]));
        for (int i = 0; i < inoutUv.length; i++) {
            inoutUv[i] *= scale;
        }
    }
}
