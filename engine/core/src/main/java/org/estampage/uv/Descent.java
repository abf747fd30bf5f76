package org.estampage.uv;

import java.util.Arrays;
import org.estampage.task.Task;

/**
 * Lowers the symmetric Dirichlet energy of a net laid flat; no step flips a triangle, and if wanted none makes the border
 * cross itself.
 *
 * <p>Far from the least energy each step minimises a quadratic stand-in that pulls every triangle towards its own rotation; near it, a Newton step whose
 * matrix is made positive triangle by triangle, which converges quadratically where the stand-in creeps. Both matrices are sums over the four modes of a
 * triangle's map: two stretches, a turn and a shear. The systems are solved by conjugate gradients, with a factored Laplacian of the same weights as
 * preconditioner: the number of rounds does not grow with the net, and the factor is a quarter as large as that of the system itself.
 *
 * @threads confined
 * @source the stand-in: Rabinovich, Poranne, Panozzo and Sorkine-Hornung, Scalable Locally Injective Mappings, 2017; the modes: Smith, de Goes and Kim,
 *         Analytic Eigensystems for Isotropic Distortion Energies, 2019; the longest step and the energy: Smith and Schaefer, Bijective Parameterization
 *         with Free Boundaries, 2015; all from memory
 */
final class Descent {
    /** How much of the way to the first flip a step may go. */
    private static final double SAFE = 0.9;
    /** The part of the promised fall that a step must bring. */
    private static final double ARMIJO = 1e-4;
    private static final int HALVINGS = 30;
    /** A relative fall below this means that the least energy is near: Newton steps from there. */
    private static final double NEAR = 0.05;
    /** More rounds than this, and the preconditioner is made anew. */
    private static final int WORN = 12;
    private static final int MOST_ROUNDS = 400;
    /** Turns count at least this much in the Newton matrix: 1e-6 of what stretches count. */
    private static final double LEAST_TURN = 8e-6;

    private final Net net;
    private final Outline outline;
    private final Task task;
    /** The matrix: three numbers a vertex (uu, uv, vv) and four an edge (row of the lower end: uu, uv; vu, vv). */
    private final double[] diagonal;
    private final double[] block;
    private final double[] plainDiagonal;
    private final double[] plain;
    private final double[] gradient;
    private final double[] way;
    private final double[] residual;
    private final double[] direction;
    private final double[] image;
    private final double[] preconditioned;
    private final Laplacian laplacian;
    private boolean worn = true;
    private final double[] sums = new double[3];

    Descent(Net net, Outline outline, Task task) {
        this.net = net;
        this.outline = outline;
        this.task = task;
        int n = net.vertexCount;
        diagonal = new double[3 * n];
        block = new double[4 * net.low.length];
        plainDiagonal = new double[n];
        plain = new double[net.low.length];
        gradient = new double[2 * n];
        way = new double[2 * n];
        residual = new double[2 * n];
        direction = new double[2 * n];
        image = new double[2 * n];
        preconditioned = new double[2 * n];
        // One vertex stays where it is, or all could move together; the last in the order, as it hurts the factor least.
        boolean[] fixed = new boolean[n];
        fixed[n - 1] = true;
        laplacian = new Laplacian(net, fixed, task);
    }

    /**
     * Lowers the energy of {@code inoutUv}, which must be without flips; returns whether it stopped falling.
     *
     * @param guarded whether the border, which must not cross itself at first, may not do so later
     * @param safe    takes each place on the way where the border does not cross itself
     */
    boolean run(double[] inoutUv, Effort effort, boolean guarded, double[] safe) {
        worn = true;
        net.measure(inoutUv, sums);
        double energy = sums[0] + sums[1];
        double[] next = new double[inoutUv.length];
        boolean newton = energy < (1 + NEAR) * 4 * net.totalArea;
        int idle = 0;
        for (int step = 0; step < effort.steps; step++) {
            task.check();
            assemble(inoutUv, newton);
            double promised = solve(effort.residual);
            if (!(promised > 0)) {
                return true;
            }
            double part = Math.min(1, SAFE * net.firstFlip(inoutUv, way));
            double lower = search(inoutUv, next, energy, part, promised, guarded);
            if (Double.isNaN(lower)) {
                if (!newton) {
                    newton = true;
                    continue;
                }
                // What is promised is less than what sums can tell apart.
                return promised < effort.tolerance * energy;
            }
            double fall = (energy - lower) / energy;
            System.arraycopy(next, 0, inoutUv, 0, next.length);
            if (!guarded && !outline.crosses(next)) {
                System.arraycopy(next, 0, safe, 0, next.length);
            }
            energy = lower;
            newton = newton || fall < NEAR;
            idle = fall < effort.tolerance ? idle + 1 : 0;
            if (promised < effort.tolerance * energy) {
                return true;
            }
            // Short steps along the border's own barrier fall little without being done.
            if (idle >= 2) {
                return false;
            }
        }
        return false;
    }

    /** Writes the first point on the way that is lower and does not cross itself; returns its energy, NaN for none. */
    private double search(double[] uv, double[] next, double energy, double longest, double promised, boolean guarded) {
        double part = longest;
        for (int halving = 0; halving < HALVINGS; halving++) {
            for (int i = 0; i < uv.length; i++) {
                next[i] = uv[i] + part * way[i];
            }
            if (net.measure(next, sums)) {
                double lower = sums[0] + sums[1];
                if (lower < energy - ARMIJO * part * promised && !(guarded && outline.crosses(next))) {
                    return lower;
                }
            }
            part /= 2;
        }
        return Double.NaN;
    }

    /** Sums up gradient and matrix. */
    private void assemble(double[] uv, boolean newton) {
        Arrays.fill(diagonal, 0);
        Arrays.fill(block, 0);
        Arrays.fill(gradient, 0);
        Arrays.fill(plainDiagonal, 0);
        Arrays.fill(plain, 0);
        double[] mode = new double[6];
        double[] map = new double[4];
        for (int t = 0; t < net.triangleCount; t++) {
            net.map(t, uv, map);
            double a = map[0];
            double b = map[1];
            double c = map[2];
            double d = map[3];
            // The map is a turn, scaled, plus a reflection, scaled: stretches are sum and difference of the two scales.
            double p0 = (a + d) / 2;
            double p1 = (c - b) / 2;
            double s0 = (a - d) / 2;
            double s1 = (c + b) / 2;
            double turn = Math.sqrt(p0 * p0 + p1 * p1);
            double reflection = Math.sqrt(s0 * s0 + s1 * s1);
            p0 /= turn;
            p1 /= turn;
            boolean even = !(reflection > 1e-15 * turn);
            s0 = even ? 1 : s0 / reflection;
            s1 = even ? 0 : s1 / reflection;
            double most = turn + reflection;
            // By the determinant: the difference of the scales would lose what a thin triangle has.
            double least = (a * d - b * c) / most;
            double area = net.area[t];
            double slopeMost = 2 * (most - 1 / (most * most * most));
            double slopeLeast = 2 * (least - 1 / (least * least * least));
            double wMost;
            double wLeast;
            double wTurn;
            double wShear;
            double mixed = 0;
            if (newton) {
                wMost = 2 + 6 / (most * most * most * most);
                wLeast = 2 + 6 / (least * least * least * least);
                wTurn = Math.max((slopeMost + slopeLeast) / (most + least), LEAST_TURN);
                // (f′(σ₁) − f′(σ₂)) / (σ₁ − σ₂), divided out.
                double product = most * least;
                wShear = 2 + 2 * (most * most + product + least * least) / (product * product * product);
            } else {
                wMost = weight(most);
                wLeast = weight(least);
                wTurn = (wMost + wLeast) / 2;
                wShear = wTurn;
                mixed = (wLeast - wMost) / 2;
            }
            // Corner vectors of each mode's unit matrix; rows of turn [p0 −p1; p1 p0], reflection [s0 s1; s1 −s0].
            double root = Math.sqrt(0.5);
            double weight = (wMost + wLeast + wTurn + wShear) / 4 * area;
            addPlain(t, weight);
            add(t, mode, (p0 + s0) / 2, (s1 - p1) / 2, (p1 + s1) / 2, (p0 - s0) / 2, wMost * area, slopeMost * area);
            add(t, mode, (p0 - s0) / 2, (-p1 - s1) / 2, (p1 - s1) / 2, (p0 + s0) / 2, wLeast * area, slopeLeast * area);
            // Turn by a right angle of the turn, and of the reflection.
            double t00 = -p1 * root;
            double t01 = -p0 * root;
            double t10 = p0 * root;
            double t11 = -p1 * root;
            double f00 = -s1 * root;
            double f01 = s0 * root;
            double f10 = s0 * root;
            double f11 = s1 * root;
            if (mixed == 0) {
                add(t, mode, t00, t01, t10, t11, wTurn * area, 0);
                add(t, mode, f00, f01, f10, f11, wShear * area, 0);
            } else {
                // u₁v₂ᵀ weighs as u₁ does, u₂v₁ᵀ as u₂ does; shear plus and minus turn, over √2.
                add(t, mode, (f00 - t00) * root, (f01 - t01) * root, (f10 - t10) * root, (f11 - t11) * root, wMost * area, 0);
                add(t, mode, (f00 + t00) * root, (f01 + t01) * root, (f10 + t10) * root, (f11 + t11) * root, wLeast * area, 0);
            }
        }
    }

    /** Twice (σ − σ⁻³) / (σ − 1), divided out. */
    private static double weight(double s) {
        return 2 * (s * s * s + s * s + s + 1) / (s * s * s);
    }

    private void addPlain(int t, double weight) {
        int i = 6 * t;
        for (int k = 0; k < 3; k++) {
            int a = i + 2 * k;
            int b = i + 2 * ((k + 1) % 3);
            plainDiagonal[net.corner[3 * t + k]] += weight * (net.slope[a] * net.slope[a] + net.slope[a + 1] * net.slope[a + 1]);
            plain[net.edge[3 * t + k]] += weight * (net.slope[a] * net.slope[b] + net.slope[a + 1] * net.slope[b + 1]);
        }
    }

    private void add(int t, double[] mode, double m00, double m01, double m10, double m11, double weight, double slope) {
        int i = 6 * t;
        for (int k = 0; k < 3; k++) {
            double gx = net.slope[i + 2 * k];
            double gy = net.slope[i + 2 * k + 1];
            mode[2 * k] = m00 * gx + m01 * gy;
            mode[2 * k + 1] = m10 * gx + m11 * gy;
        }
        for (int k = 0; k < 3; k++) {
            int v = net.corner[3 * t + k];
            int l = k == 2 ? 0 : k + 1;
            int w = net.corner[3 * t + l];
            double x = mode[2 * k];
            double y = mode[2 * k + 1];
            gradient[2 * v] += slope * x;
            gradient[2 * v + 1] += slope * y;
            diagonal[3 * v] += weight * x * x;
            diagonal[3 * v + 1] += weight * x * y;
            diagonal[3 * v + 2] += weight * y * y;
            int e = 4 * net.edge[3 * t + k];
            double xx = weight * x * mode[2 * l];
            double xy = weight * x * mode[2 * l + 1];
            double yx = weight * y * mode[2 * l];
            double yy = weight * y * mode[2 * l + 1];
            block[e] += xx;
            block[e + 1] += v < w ? xy : yx;
            block[e + 2] += v < w ? yx : xy;
            block[e + 3] += yy;
        }
    }

    /** Writes the way down; returns the fall it promises at first, gradient times way. */
    private double solve(double leave) {
        int n = 2 * net.vertexCount;
        if (worn) {
            if (!laplacian.factor(plainDiagonal, plain)) {
                return 0;
            }
            worn = false;
        }
        Arrays.fill(way, 0);
        for (int i = 0; i < n; i++) {
            residual[i] = -gradient[i];
        }
        residual[n - 1] = 0;
        residual[n - 2] = 0;
        laplacian.solve(residual, preconditioned);
        System.arraycopy(preconditioned, 0, direction, 0, n);
        double rz = dot(residual, preconditioned);
        double enough = leave * rz;
        int rounds = 0;
        while (rz > enough && rounds < MOST_ROUNDS) {
            task.check();
            multiply(direction, image);
            double curvature = dot(direction, image);
            if (!(curvature > 0)) {
                break;
            }
            double step = rz / curvature;
            for (int i = 0; i < n; i++) {
                way[i] += step * direction[i];
                residual[i] -= step * image[i];
            }
            residual[n - 1] = 0;
            residual[n - 2] = 0;
            laplacian.solve(residual, preconditioned);
            double old = rz;
            rz = dot(residual, preconditioned);
            double beta = rz / old;
            for (int i = 0; i < n; i++) {
                direction[i] = preconditioned[i] + beta * direction[i];
            }
            rounds++;
        }
        worn = rounds > WORN;
        return -dot(gradient, way);
    }

    private static double dot(double[] a, double[] b) {
        double sum = 0;
        for (int i = 0; i < a.length; i++) {
            sum += a[i] * b[i];
        }
        return sum;
    }

    private void multiply(double[] x, double[] dest) {
        for (int v = 0; v < net.vertexCount; v++) {
            double u = diagonal[3 * v] * x[2 * v] + diagonal[3 * v + 1] * x[2 * v + 1];
            double w = diagonal[3 * v + 1] * x[2 * v] + diagonal[3 * v + 2] * x[2 * v + 1];
            for (int e = net.edgeStart[v]; e < net.edgeStart[v + 1]; e++) {
                int o = 2 * net.low[e];
                int b = 4 * e;
                u += block[b] * x[o] + block[b + 2] * x[o + 1];
                w += block[b + 1] * x[o] + block[b + 3] * x[o + 1];
                dest[o] += block[b] * x[2 * v] + block[b + 1] * x[2 * v + 1];
                dest[o + 1] += block[b + 2] * x[2 * v] + block[b + 3] * x[2 * v + 1];
            }
            // Lower ends come first: what is added to them later finds them begun.
            dest[2 * v] = u;
            dest[2 * v + 1] = w;
        }
    }
}
