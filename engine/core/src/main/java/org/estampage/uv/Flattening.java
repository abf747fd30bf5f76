package org.estampage.uv;

import java.util.Arrays;
import org.estampage.task.Task;

/**
 * Lays a disk flat with little distortion, without flips and without overlaps.
 *
 * <p>The start is the disk seen along its mean normal where that is one-to-one, else its border on a circle and every inner vertex in the middle of its
 * neighbours, which is one-to-one by a theorem. From there the symmetric Dirichlet energy falls in steps that stop before the first triangle would flip,
 * to a shape whose border does not cross itself; a disk whose triangles all keep their side and whose border is simple does not overlap.
 *
 * @threads confined
 * @source Tutte, How to Draw a Graph, 1963, and Floater, 1997 (the start); Rabinovich, Poranne, Panozzo, Sorkine-Hornung, Scalable Locally Injective
 *         Mappings, 2017 (the steps' reweighting); Smith, Schaefer, Bijective Parameterization with Free Boundaries, 2015 (the first flip); all from
 *         memory
 */
final class Flattening {
    /** Part of the way to the first flip that a step may go. */
    private static final double SAFE = 0.9;
    /** Triangles flatter than this carry no shape: they count as equilateral with next to no weight. */
    private static final double NEEDLE = 1e-5;
    private static final double NEEDLE_WEIGHT = 1e-6;
    private static final int QUICK_ROUNDS = 20;
    /** Part of what is above 1 that a round has to gain for another one to follow. */
    private static final double QUICK_GAIN = 0.03;
    private static final int FULL_ROUNDS = 200;
    private static final double FULL_GAIN = 1e-3;
    /** Nothing is left to gain: what is above 1 is the square of the stretch, and floats hold 6e-8. */
    private static final double ISOMETRY = 1 + 1e-12;
    private static final int HALVINGS = 12;

    private final Patch patch;
    private final int[] triangles;
    private final int count;
    /** Gradients of the three corners' hat functions in each triangle's own plane. */
    private final double[] gradient;
    private final double[] weight;
    private final boolean[] needle;
    private final double totalWeight;
    private final int[] border;
    private final BorderCrossing crossing;
    private final BlockSystem system;
    private final Task task;
    private double worst;

    private Flattening(Patch patch, Task task) {
        this.patch = patch;
        this.task = task;
        triangles = patch.triangles;
        count = triangles.length / 3;
        gradient = new double[6 * count];
        weight = new double[count];
        needle = new boolean[count];
        double mean = measure();
        double sum = 0;
        for (int t = 0; t < count; t++) {
            if (needle[t]) {
                weight[t] = NEEDLE_WEIGHT * mean;
            }
            sum += weight[t];
        }
        totalWeight = sum;
        border = border();
        crossing = new BorderCrossing(border);
        system = new BlockSystem(patch.vertexCount(), triangles, task);
    }

    /**
     * Lays a disk flat.
     *
     * @edge where rounding leaves no valid start, the distortion is infinite; a disk without area has distortion 1 and its needles' places
     */
    static Flat flatten(Patch disk, Effort effort, Task task) {
        return new Flattening(disk, task).run(effort == Effort.FULL);
    }

    /** Measures the triangles; returns the mean area of those that are no needles. */
    private double measure() {
        double sum = 0;
        int good = 0;
        double size = 0;
        for (int t = 0; t < count; t++) {
            double[] side = new double[3];
            for (int k = 0; k < 3; k++) {
                side[k] = distance(triangles[3 * t + k], triangles[3 * t + (k + 1) % 3]);
            }
            double longest = Math.max(side[0], Math.max(side[1], side[2]));
            size = Math.max(size, longest);
            double twice = twiceArea(t);
            needle[t] = !(twice > NEEDLE * longest * longest);
            double x1 = longest > 0 ? longest : 1;
            double x2 = x1 / 2;
            double y2 = x1 * Math.sqrt(3) / 2;
            if (!needle[t]) {
                x1 = side[0];
                y2 = twice / side[0];
                x2 = (side[0] * side[0] + side[2] * side[2] - side[1] * side[1]) / (2 * side[0]);
                weight[t] = twice / 2;
                sum += weight[t];
                good++;
            }
            double d = x1 * y2;
            gradient[6 * t] = -y2 / d;
            gradient[6 * t + 1] = (x2 - x1) / d;
            gradient[6 * t + 2] = y2 / d;
            gradient[6 * t + 3] = -x2 / d;
            gradient[6 * t + 5] = x1 / d;
        }
        return good > 0 ? sum / good : Math.max(size * size, Double.MIN_NORMAL);
    }

    private double distance(int a, int b) {
        double x = patch.xyz[3 * a] - patch.xyz[3 * b];
        double y = patch.xyz[3 * a + 1] - patch.xyz[3 * b + 1];
        double z = patch.xyz[3 * a + 2] - patch.xyz[3 * b + 2];
        return Math.sqrt(x * x + y * y + z * z);
    }

    private double[] cross(int t) {
        double[] n = new double[3];
        int a = 3 * triangles[3 * t];
        int b = 3 * triangles[3 * t + 1];
        int c = 3 * triangles[3 * t + 2];
        for (int k = 0; k < 3; k++) {
            int i = (k + 1) % 3;
            int j = (k + 2) % 3;
            n[k] = (patch.xyz[b + i] - patch.xyz[a + i]) * (patch.xyz[c + j] - patch.xyz[a + j])
                    - (patch.xyz[b + j] - patch.xyz[a + j]) * (patch.xyz[c + i] - patch.xyz[a + i]);
        }
        return n;
    }

    private double twiceArea(int t) {
        double[] n = cross(t);
        return Math.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]);
    }

    /** Returns the vertices of the border in order. */
    private int[] border() {
        long[] edge = new long[triangles.length];
        for (int c = 0; c < triangles.length; c++) {
            edge[c] = (long) triangles[c] << 32 | triangles[Surface.next(c)];
        }
        long[] sorted = edge.clone();
        Arrays.sort(sorted);
        int[] follows = new int[patch.vertexCount()];
        Arrays.fill(follows, -1);
        int length = 0;
        int first = -1;
        for (long e : edge) {
            if (Arrays.binarySearch(sorted, e << 32 | e >>> 32) < 0) {
                follows[(int) (e >> 32)] = (int) e;
                first = first < 0 ? (int) (e >> 32) : first;
                length++;
            }
        }
        int[] loop = new int[length];
        int v = first;
        for (int i = 0; i < length; i++) {
            loop[i] = v;
            v = follows[v];
        }
        return loop;
    }

    private Flat run(boolean full) {
        double[] x = seen();
        if (!valid(x)) {
            x = onCircle();
            if (!valid(x)) {
                return new Flat(x, Double.POSITIVE_INFINITY, Double.POSITIVE_INFINITY);
            }
        }
        // Exact steps from a rough shape run the border into itself and stick; so the quick way comes first, and is never worsened.
        x = improve(x, QUICK_ROUNDS, QUICK_GAIN, 1e-3, 80);
        if (full) {
            x = improve(x, FULL_ROUNDS, FULL_GAIN, 1e-4, 400);
        }
        double energy = energy(x);
        return new Flat(x, energy, worst);
    }

    /**
     * Lowers the energy. On its way the border may cross itself, since a strip that unrolls often passes through itself; only where it still does in
     * the end, the way is gone again with a border that never does, which can stick.
     */
    private double[] improve(double[] start, int rounds, double least, double part, int steps) {
        double[] free = descend(start, rounds, least, part, steps, false);
        return crossing.crosses(free) ? descend(start, rounds, least, part, steps, true) : free;
    }

    private double[] descend(double[] start, int rounds, double least, double part, int steps, boolean guarded) {
        double[] x = start;
        double energy = energy(x);
        for (int round = 0; round < rounds; round++) {
            task.check();
            reweigh(x);
            double[] aim = x.clone();
            system.solve(aim, part, steps);
            double step = Math.min(1, SAFE * firstFlip(x, aim));
            double[] next = new double[x.length];
            double found = Double.POSITIVE_INFINITY;
            for (int h = 0; h < HALVINGS && !(found < energy); h++) {
                for (int i = 0; i < x.length; i++) {
                    next[i] = x[i] + step * (aim[i] - x[i]);
                }
                found = energy(next);
                if (guarded && found < energy && crossing.crosses(next)) {
                    found = Double.POSITIVE_INFINITY;
                }
                step /= 2;
            }
            if (!(found < energy)) {
                break;
            }
            double gain = energy - found;
            x = next;
            energy = found;
            if (gain < least * (energy - 1) || energy < ISOMETRY) {
                break;
            }
        }
        return x;
    }

    /** The disk seen along its mean normal. */
    private double[] seen() {
        double[] n = new double[3];
        for (int t = 0; t < count; t++) {
            double[] c = cross(t);
            for (int k = 0; k < 3; k++) {
                n[k] += c[k];
            }
        }
        double length = Math.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]);
        double[] x = new double[2 * patch.vertexCount()];
        if (!(length > 0)) {
            return x;
        }
        // u is along the border's first edge as far as it is seen, so that turning the disk turns nothing here.
        double[] u = new double[3];
        double along = 0;
        for (int i = 0; i < border.length && !(along > 0); i++) {
            int a = 3 * border[i];
            int b = 3 * border[(i + 1) % border.length];
            double dot = 0;
            for (int k = 0; k < 3; k++) {
                u[k] = patch.xyz[b + k] - patch.xyz[a + k];
                dot += u[k] * n[k] / length;
            }
            double square = 0;
            for (int k = 0; k < 3; k++) {
                u[k] -= dot * n[k] / length;
                square += u[k] * u[k];
            }
            along = Math.sqrt(square);
        }
        if (!(along > 0)) {
            return x;
        }
        for (int v = 0; v < patch.vertexCount(); v++) {
            for (int k = 0; k < 3; k++) {
                int i = (k + 1) % 3;
                int j = (k + 2) % 3;
                x[2 * v] += patch.xyz[3 * v + k] * u[k] / along;
                x[2 * v + 1] += patch.xyz[3 * v + k] * (n[i] * u[j] - n[j] * u[i]) / (length * along);
            }
        }
        return x;
    }

    /** The border on a circle by its lengths, and every inner vertex in the middle of its neighbours. */
    private double[] onCircle() {
        int n = patch.vertexCount();
        double[] x = new double[2 * n];
        boolean[] held = new boolean[n];
        double around = 0;
        for (int i = 0; i < border.length; i++) {
            around += distance(border[i], border[(i + 1) % border.length]);
        }
        // No edge is so short that its ends fall together.
        double least = 1e-3 * around / border.length;
        double padded = 0;
        for (int i = 0; i < border.length; i++) {
            padded += Math.max(least, distance(border[i], border[(i + 1) % border.length]));
        }
        double radius = Math.sqrt(totalWeight / Math.PI);
        double at = 0;
        system.clear();
        for (int i = 0; i < border.length; i++) {
            int v = border[i];
            double angle = 2 * Math.PI * (padded > 0 ? at / padded : (double) i / border.length);
            x[2 * v] = radius * StrictMath.cos(angle);
            x[2 * v + 1] = radius * StrictMath.sin(angle);
            held[v] = true;
            system.right[2 * v] = x[2 * v];
            system.right[2 * v + 1] = x[2 * v + 1];
            at += Math.max(least, distance(v, border[(i + 1) % border.length]));
        }
        // Each inner edge is met from both its triangles, with the same weight.
        for (int t = 0; t < count; t++) {
            for (int p = 0; p < 3; p++) {
                for (int q = 0; q < 3; q++) {
                    if (p == q) {
                        system.add(t, p, p, 2, 0, 2);
                        continue;
                    }
                    int v = triangles[3 * t + p];
                    int w = triangles[3 * t + q];
                    system.add(t, p, q, -1, 0, -1);
                    if (!held[v] && held[w]) {
                        system.right[2 * v] += x[2 * w];
                        system.right[2 * v + 1] += x[2 * w + 1];
                    }
                }
            }
        }
        system.hold(held);
        system.solve(x, 1e-12, 10 * n + 50);
        return x;
    }

    private boolean valid(double[] x) {
        for (int t = 0; t < count; t++) {
            if (!(signed(x, t) > 0)) {
                return false;
            }
        }
        return Double.isFinite(energy(x)) && !crossing.crosses(x);
    }

    private double signed(double[] x, int t) {
        int a = 2 * triangles[3 * t];
        int b = 2 * triangles[3 * t + 1];
        int c = 2 * triangles[3 * t + 2];
        return (x[b] - x[a]) * (x[c + 1] - x[a + 1]) - (x[b + 1] - x[a + 1]) * (x[c] - x[a]);
    }

    /** Returns the energy, infinity where a triangle is flipped; keeps the worst triangle's. */
    private double energy(double[] x) {
        double sum = 0;
        worst = 1;
        for (int t = 0; t < count; t++) {
            double a = 0;
            double b = 0;
            double c = 0;
            double d = 0;
            for (int k = 0; k < 3; k++) {
                int v = 2 * triangles[3 * t + k];
                a += gradient[6 * t + 2 * k] * x[v];
                b += gradient[6 * t + 2 * k + 1] * x[v];
                c += gradient[6 * t + 2 * k] * x[v + 1];
                d += gradient[6 * t + 2 * k + 1] * x[v + 1];
            }
            double determinant = a * d - b * c;
            if (!(determinant > 0)) {
                return Double.POSITIVE_INFINITY;
            }
            double e = (a * a + b * b + c * c + d * d) * (1 + 1 / (determinant * determinant)) / 4;
            sum += weight[t] * e;
            if (!needle[t]) {
                worst = Math.max(worst, e);
            }
        }
        return sum / totalWeight;
    }

    /** Sets up the quadratic energy that has the same slope here: A |W (J − R)|², R the nearest rotation, W by the stretches. */
    private void reweigh(double[] x) {
        system.clear();
        for (int t = 0; t < count; t++) {
            double a = 0;
            double b = 0;
            double c = 0;
            double d = 0;
            for (int k = 0; k < 3; k++) {
                int v = 2 * triangles[3 * t + k];
                a += gradient[6 * t + 2 * k] * x[v];
                b += gradient[6 * t + 2 * k + 1] * x[v];
                c += gradient[6 * t + 2 * k] * x[v + 1];
                d += gradient[6 * t + 2 * k + 1] * x[v + 1];
            }
            // J is a rotation by (e, h) / q, stretched by q ± r; u is the direction of the larger stretch.
            double e = (a + d) / 2;
            double f = (a - d) / 2;
            double g = (c + b) / 2;
            double h = (c - b) / 2;
            double q = Math.sqrt(e * e + h * h);
            double r = Math.sqrt(f * f + g * g);
            double large = reweight(q + r);
            double small = reweight(Math.max(q - r, 1e-12));
            double angle = (StrictMath.atan2(h, e) + StrictMath.atan2(g, f)) / 2;
            double ux = StrictMath.cos(angle);
            double uy = StrictMath.sin(angle);
            double xx = weight[t] * (large * ux * ux + small * uy * uy);
            double xy = weight[t] * (large - small) * ux * uy;
            double yy = weight[t] * (large * uy * uy + small * ux * ux);
            for (int p = 0; p < 3; p++) {
                double g0 = gradient[6 * t + 2 * p];
                double g1 = gradient[6 * t + 2 * p + 1];
                double rx = (g0 * e - g1 * h) / q;
                double ry = (g0 * h + g1 * e) / q;
                int v = 2 * triangles[3 * t + p];
                system.right[v] += xx * rx + xy * ry;
                system.right[v + 1] += xy * rx + yy * ry;
                for (int s = 0; s < 3; s++) {
                    double dot = g0 * gradient[6 * t + 2 * s] + g1 * gradient[6 * t + 2 * s + 1];
                    system.add(t, p, s, dot * xx, dot * xy, dot * yy);
                }
            }
        }
    }

    /** (σ − σ⁻³) / (σ − 1), 4 at 1, as (σ + 1)(σ² + 1) / σ³. */
    private static double reweight(double s) {
        return (s + 1) * (s * s + 1) / (s * s * s);
    }

    /** Returns the first step from x towards {@code aim} at which a triangle has no area; 10⁹ for none. */
    private double firstFlip(double[] x, double[] aim) {
        double first = 1e9;
        for (int t = 0; t < count; t++) {
            int a = 2 * triangles[3 * t];
            int b = 2 * triangles[3 * t + 1];
            int c = 2 * triangles[3 * t + 2];
            double e1 = x[b] - x[a];
            double e2 = x[b + 1] - x[a + 1];
            double f1 = x[c] - x[a];
            double f2 = x[c + 1] - x[a + 1];
            double d1 = aim[b] - aim[a] - e1;
            double d2 = aim[b + 1] - aim[a + 1] - e2;
            double g1 = aim[c] - aim[a] - f1;
            double g2 = aim[c + 1] - aim[a + 1] - f2;
            // Twice the area is q0 + q1 s + q2 s².
            double q0 = e1 * f2 - e2 * f1;
            double q1 = e1 * g2 + d1 * f2 - e2 * g1 - d2 * f1;
            double q2 = d1 * g2 - d2 * g1;
            double discriminant = q1 * q1 - 4 * q2 * q0;
            if (discriminant < 0) {
                continue;
            }
            double m = -0.5 * (q1 + (q1 >= 0 ? Math.sqrt(discriminant) : -Math.sqrt(discriminant)));
            double s1 = m / q2;
            double s2 = q0 / m;
            first = s1 > 0 && s1 < first ? s1 : first;
            first = s2 > 0 && s2 < first ? s2 : first;
        }
        return first;
    }
}
