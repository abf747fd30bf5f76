package org.estampage.lowpoly;

import java.util.ArrayList;
import java.util.List;
import org.estampage.mesh.Axis;
import org.estampage.mesh.Mesh;

/**
 * Finds the direction that a mesh is round about.
 *
 * <p>The normals of a surface of revolution all meet its axis. How far a point's normal n misses a line through c with the direction d is
 * n · (d × (m − c)); over the distance from the line that is the sine by which the surface leans out of the round, t. The score of a line is the mean of
 * t²/(t² + σ²): what leans by more than σ counts as wrong, however much, so relief, handles and damage move the best line little.
 *
 * <p>Starts are the axis of the linear complex of lines that the normals fit best, by a closed form, the directions of largest and smallest spread of the
 * surface, and the coordinate axes. Each is improved by weighted least squares over its four degrees of freedom with σ = {@value #WIDE}, by which prisms
 * of few sides and fluted shapes still have an axis; the best one once more with σ = {@value #NARROW}. A coordinate axis is taken in its place where it is
 * as good: within {@value #SNAP_RADIANS} radians with a score worse by no more than {@value #SNAP_SHARE} of itself, or within {@value #SAME_RADIANS}
 * radians at all.
 *
 * @threads confined
 * @cost a pass over the triangles for their areas, then O(points · starts)
 * @source Pottmann, Randrup, Rotational and Helical Surface Approximation for Reverse Engineering, 1998 (from memory): the linear complex; we use it as a
 *         start only, without helices, and weigh robustly
 */
final class AxisSearch {
    private static final int POINTS = 1 << 16;
    /** Starts are compared on every so many-th point. */
    private static final int STRIDE = 8;
    private static final int STEPS = 12;
    /** Steps of the last improvement, over all points; it stops before where a step brings nothing. */
    private static final int LAST_STEPS = 30;
    static final double WIDE = 0.6;
    static final double NARROW = 0.1;
    /** 1°: a larger lean of a model is meant. */
    static final double SNAP_RADIANS = 0.0175;
    /**
     * The score grows with the square of the lean, from the little that sides and relief leave: of the bollard with 200,000 triangles half a degree is
     * 0.011 of it, of a cylinder with 64 sides 0.05° is 0.0004 and half a degree 0.04.
     */
    static final double SNAP_SHARE = 0.005;
    /** About what a direction is found to: it was 2e-7 to 8e-5 off on cylinders, cones and a vase of 64 to 512 sides. */
    static final double SAME_RADIANS = 1e-4;
    /** Above this score nothing is round: a post of three sides has 0.31, a square one 0.23, one of six 0.14, a toothed wheel 0.21. */
    static final double POOR = 0.25;
    /** Directions farther apart than this, 20°, are different answers; cos. */
    private static final double APART = 0.94;
    /** An answer is as good as another if its score is worse by no more than this share and this much. */
    private static final double RIVAL_SHARE = 0.1;
    private static final double RIVAL = 0.003;
    /** Points nearer to the line than this, in units of the surface's spread, say little: their normals miss it by less than their noise. */
    private static final double NEAR = 0.05;

    /** Points and unit normals, in units of the surface's spread from its centre. */
    private final double[] point;
    private final double[] normal;
    private final int count;
    private final double[] mean = new double[3];
    private final double unit;

    /**
     * The answer.
     *
     * @param frame the direction, rising along its nearest coordinate axis
     * @param clear whether the surface is round about it and about no other direction
     */
    record Found(AxisFrame frame, boolean clear) {
    }

    /** Most things stand along Y. */
    private static final Found NONE = new Found(AxisFrame.of(Axis.Y), false);

    AxisSearch(Mesh mesh) {
        Samples samples = Samples.over(mesh, POINTS);
        point = new double[3 * POINTS];
        normal = new double[3 * POINTS];
        float[] p = mesh.positions();
        int[] corners = mesh.positionIndices();
        double[] at = new double[3];
        int n = 0;
        for (int i = 0; i < POINTS; i++) {
            samples.at(i, p, 3, corners, at);
            int t = 3 * samples.triangle(i);
            if (normalAt(p, 3 * corners[t], 3 * corners[t + 1], 3 * corners[t + 2], n)) {
                System.arraycopy(at, 0, point, n, 3);
                n += 3;
            }
        }
        count = n / 3;
        unit = centre();
    }

    private boolean normalAt(float[] p, int i, int j, int k, int at) {
        double abX = (double) p[j] - p[i], abY = (double) p[j + 1] - p[i + 1], abZ = (double) p[j + 2] - p[i + 2];
        double acX = (double) p[k] - p[i], acY = (double) p[k + 1] - p[i + 1], acZ = (double) p[k + 2] - p[i + 2];
        double x = abY * acZ - abZ * acY, y = abZ * acX - abX * acZ, z = abX * acY - abY * acX;
        double length = Math.sqrt(x * x + y * y + z * z);
        if (!(length > 0)) {
            return false;
        }
        normal[at] = x / length;
        normal[at + 1] = y / length;
        normal[at + 2] = z / length;
        return true;
    }

    private double centre() {
        for (int i = 0; i < 3 * count; i++) {
            mean[i % 3] += point[i] / count;
        }
        double squares = 0;
        for (int i = 0; i < 3 * count; i++) {
            point[i] -= mean[i % 3];
            squares += point[i] * point[i] / count;
        }
        double spread = squares > 0 ? Math.sqrt(squares) : 1;
        for (int i = 0; i < 3 * count; i++) {
            point[i] /= spread;
        }
        return spread;
    }

    /** Returns the share of the surface that faces a line, by more than 30° out of what runs along it or around it. */
    double shareFacing(Turning line) {
        AxisFrame f = line.frame();
        int facing = 0;
        for (int i = 0; i < 3 * count; i += 3) {
            double x = mean[0] + unit * point[i], y = mean[1] + unit * point[i + 1], z = mean[2] + unit * point[i + 2];
            double a = f.a(x, y, z) - line.centreA(), b = f.b(x, y, z) - line.centreB();
            double out = a * f.a(normal[i], normal[i + 1], normal[i + 2]) + b * f.b(normal[i], normal[i + 1], normal[i + 2]);
            facing += out < -0.5 * Math.sqrt(a * a + b * b) ? 1 : 0;
        }
        return (double) facing / Math.max(1, count);
    }

    /** Finds the direction; Y where none is clear. */
    Found find() {
        if (count == 0) {
            return NONE;
        }
        List<Line> lines = starts();
        Line best = lines.get(0);
        for (Line line : lines) {
            line.refine(STRIDE, STEPS, true, WIDE);
            best = line.score < best.score ? line : best;
        }
        for (Line line : lines) {
            boolean rival = line.score <= best.score * (1 + RIVAL_SHARE) + RIVAL;
            if (best.score > POOR || (rival && Math.abs(line.along(best)) < APART)) {
                return NONE;
            }
        }
        best.refine(1, LAST_STEPS, true, NARROW);
        Axis nearest = AxisFrame.nearest(best.dx, best.dy, best.dz);
        AxisFrame coordinate = AxisFrame.of(nearest);
        double lean = lean(best, coordinate);
        if (lean <= SNAP_RADIANS) {
            Line straight = new Line(coordinate.cx(), coordinate.cy(), coordinate.cz(), best.x, best.y, best.z);
            straight.refine(1, LAST_STEPS, false, NARROW);
            if (lean <= SAME_RADIANS || straight.score <= best.score * (1 + SNAP_SHARE)) {
                return new Found(coordinate, true);
            }
        }
        double sign = coordinate.c(best.dx, best.dy, best.dz) < 0 ? -1 : 1;
        return new Found(AxisFrame.of(sign * best.dx, sign * best.dy, sign * best.dz), true);
    }

    /** Returns the sine of the angle between a line and a frame's axis. */
    private static double lean(Line line, AxisFrame frame) {
        double a = frame.a(line.dx, line.dy, line.dz);
        double b = frame.b(line.dx, line.dy, line.dz);
        return Math.sqrt(a * a + b * b);
    }

    private List<Line> starts() {
        double[] spread = new double[9];
        // Sums over the lines of the normals: direction by direction, moment by direction, moment by moment.
        double[] nn = new double[9], mn = new double[9], mm = new double[9];
        double[] moment = new double[3];
        for (int i = 0; i < 3 * count; i += 3) {
            moment[0] = point[i + 1] * normal[i + 2] - point[i + 2] * normal[i + 1];
            moment[1] = point[i + 2] * normal[i] - point[i] * normal[i + 2];
            moment[2] = point[i] * normal[i + 1] - point[i + 1] * normal[i];
            for (int r = 0; r < 3; r++) {
                for (int s = 0; s < 3; s++) {
                    spread[3 * r + s] += point[i + r] * point[i + s];
                    nn[3 * r + s] += normal[i + r] * normal[i + s];
                    mn[3 * r + s] += moment[r] * normal[i + s];
                    mm[3 * r + s] += moment[r] * moment[s];
                }
            }
        }
        List<Line> lines = new ArrayList<>();
        for (Axis axis : new Axis[] {Axis.Y, Axis.Z, Axis.X}) {
            AxisFrame f = AxisFrame.of(axis);
            lines.add(new Line(f.cx(), f.cy(), f.cz(), 0, 0, 0));
        }
        addComplex(nn, mn, mm, lines);
        double[] v = new SymmetricEigen(spread).vector;
        for (int i = 0; i < 9; i += 3) {
            lines.add(new Line(v[i], v[i + 1], v[i + 2], 0, 0, 0));
        }
        return lines;
    }

    /**
     * Adds the lines (d, e), e the moment, for which the squares of d·moment + e·normal add up to the least: e = −nn⁻¹·mnᵀ·d leaves a 3×3 problem, and
     * each of its three directions is a start. Where normals leave a direction out, as a cylinder's do along it, e has no part of that.
     */
    private void addComplex(double[] nn, double[] mn, double[] mm, List<Line> dest) {
        SymmetricEigen normals = new SymmetricEigen(nn);
        double[] inverse = new double[9];
        for (int k = 0; k < 3; k++) {
            // A direction that normals have a millionth in is noise.
            if (normals.value[k] > 1e-6 * normals.value[2]) {
                for (int i = 0; i < 9; i++) {
                    inverse[i] += normals.vector[3 * k + i / 3] * normals.vector[3 * k + i % 3] / normals.value[k];
                }
            }
        }
        double[] back = new double[9];
        double[] rest = mm.clone();
        for (int r = 0; r < 3; r++) {
            for (int s = 0; s < 3; s++) {
                for (int k = 0; k < 3; k++) {
                    back[3 * r + s] -= inverse[3 * r + k] * mn[3 * s + k];
                }
            }
        }
        for (int r = 0; r < 3; r++) {
            for (int s = 0; s < 3; s++) {
                for (int k = 0; k < 3; k++) {
                    rest[3 * r + s] += mn[3 * r + k] * back[3 * k + s];
                }
            }
        }
        double[] v = new SymmetricEigen(rest).vector;
        for (int i = 0; i < 9; i += 3) {
            double dx = v[i], dy = v[i + 1], dz = v[i + 2];
            double ex = back[0] * dx + back[1] * dy + back[2] * dz;
            double ey = back[3] * dx + back[4] * dy + back[5] * dz;
            double ez = back[6] * dx + back[7] * dy + back[8] * dz;
            // The line's point nearest to the centre.
            double[] p = {dy * ez - dz * ey, dz * ex - dx * ez, dx * ey - dy * ex};
            double far = Math.sqrt(p[0] * p[0] + p[1] * p[1] + p[2] * p[2]);
            double keep = far <= 1 ? 1 : 0; // an axis beyond the surface's spread is no start
            dest.add(new Line(dx, dy, dz, keep * p[0], keep * p[1], keep * p[2]));
        }
    }

    /** A line that is improved. */
    private final class Line {
        double dx;
        double dy;
        double dz;
        double x;
        double y;
        double z;
        double score;

        Line(double dx, double dy, double dz, double x, double y, double z) {
            this.dx = dx;
            this.dy = dy;
            this.dz = dz;
            this.x = x;
            this.y = y;
            this.z = z;
        }

        double along(Line o) {
            return dx * o.dx + dy * o.dy + dz * o.dz;
        }

        /** Improves the line by a number of steps as long as they help, and sets its score. */
        void refine(int stride, int steps, boolean turns, double lean) {
            double[] normal4 = new double[20];
            score = measure(stride, lean, normal4);
            for (int step = 0; step < steps; step++) {
                double[] move = solve(normal4, turns);
                double wasX = x, wasY = y, wasZ = z, wasDx = dx, wasDy = dy, wasDz = dz;
                AxisFrame f = AxisFrame.of(dx, dy, dz);
                x += f.ax() * move[2] + f.bx() * move[3];
                y += f.ay() * move[2] + f.by() * move[3];
                z += f.az() * move[2] + f.bz() * move[3];
                double nx = dx + f.ax() * move[0] + f.bx() * move[1];
                double ny = dy + f.ay() * move[0] + f.by() * move[1];
                double nz = dz + f.az() * move[0] + f.bz() * move[1];
                double length = Math.sqrt(nx * nx + ny * ny + nz * nz);
                if (turns) {
                    dx = nx / length;
                    dy = ny / length;
                    dz = nz / length;
                }
                double[] next = new double[20];
                double other = measure(stride, lean, next);
                if (!(other < score)) {
                    x = wasX;
                    y = wasY;
                    z = wasZ;
                    dx = wasDx;
                    dy = wasDy;
                    dz = wasDz;
                    return;
                }
                score = other;
                normal4 = next;
            }
        }

        /**
         * Returns the score, and adds up the weighted normal equations of a step: d turned by (0, 1) along the frame's directions, the point shifted by
         * (2, 3).
         *
         * @param dest four rows of four, then the right side
         */
        private double measure(int stride, double lean, double[] dest) {
            AxisFrame f = AxisFrame.of(dx, dy, dz);
            double sum = 0;
            int seen = 0;
            double[] row = new double[4];
            for (int i = 0; i < 3 * count; i += 3 * stride) {
                double px = point[i] - x, py = point[i + 1] - y, pz = point[i + 2] - z;
                double a = f.a(px, py, pz), b = f.b(px, py, pz), c = f.c(px, py, pz);
                double na = f.a(normal[i], normal[i + 1], normal[i + 2]);
                double nb = f.b(normal[i], normal[i + 1], normal[i + 2]);
                double nc = f.c(normal[i], normal[i + 1], normal[i + 2]);
                // n · (d × p) with d the third direction; turning d to the first adds n · (a × p), shifting p by it takes n · (d × a).
                double miss = nb * a - na * b;
                double squared = a * a + b * b + NEAR * NEAR;
                double t2 = miss * miss / squared;
                double share = lean * lean / (t2 + lean * lean);
                sum += 1 - share;
                seen++;
                double weight = share * share / squared;
                row[0] = nc * b - nb * c;
                row[1] = na * c - nc * a;
                row[2] = -nb;
                row[3] = na;
                for (int r = 0; r < 4; r++) {
                    for (int s = 0; s < 4; s++) {
                        dest[4 * r + s] += weight * row[r] * row[s];
                    }
                    dest[16 + r] -= weight * row[r] * miss;
                }
            }
            return sum / seen;
        }
    }

    /** Solves for a step; directions in which nothing changes stay. Without turns only the point moves. */
    private static double[] solve(double[] system, boolean turns) {
        double[] m = system.clone();
        double trace = m[0] + m[5] + m[10] + m[15];
        int first = turns ? 0 : 2;
        double[] out = new double[4];
        for (int i = first; i < 4; i++) {
            // A millionth of the trace holds what the surface leaves open, as a ball leaves the direction.
            m[5 * i] += 1e-6 * trace;
        }
        for (int i = first; i < 4; i++) {
            for (int r = i + 1; r < 4; r++) {
                double factor = m[4 * r + i] / m[5 * i];
                for (int s = i; s < 4; s++) {
                    m[4 * r + s] -= factor * m[4 * i + s];
                }
                m[16 + r] -= factor * m[16 + i];
            }
        }
        for (int i = 3; i >= first; i--) {
            double rest = m[16 + i];
            for (int s = i + 1; s < 4; s++) {
                rest -= m[4 * i + s] * out[s];
            }
            out[i] = m[5 * i] > 0 ? rest / m[5 * i] : 0;
        }
        return out;
    }
}
