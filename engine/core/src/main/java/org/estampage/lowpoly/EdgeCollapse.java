package org.estampage.lowpoly;

import java.util.Arrays;
import java.util.EnumMap;
import java.util.Map;
import org.estampage.internal.kernel.NearestPoint;
import org.estampage.mesh.Adjacency;
import org.estampage.task.Chunks;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * A mesh that loses one edge after the other, the cheapest first, in flat arrays.
 *
 * <p>Corner 3t + k of triangle t names its vertex in {@link #vertex}; the corners of a vertex are a list, {@link #head} and {@link #next}. A triangle
 * that is gone has the vertex −1 and is in no list. An edge goes by the corner that starts it towards the vertex with the higher number, or by its
 * only corner; {@link #cost} of that corner is what the queue was told, −1 when it waits for nothing.
 *
 * <p>Lengths are in units of the square root of the surface's area, so that thresholds mean the same for any scale.
 *
 * @threads confined; set-up works on several threads, by the vertex or by the triangle
 * @source Garland and Heckbert, Surface Simplification Using Quadric Error Metrics, SIGGRAPH 1997 (from memory); link condition: Dey, Edelsbrunner,
 *         Guha and Nekhayev, Topology Preserving Edge Contraction, 1999 (from memory); the regularised optimum is in the spirit of Trettner and
 *         Kobbelt, Fast and Robust QEF Minimization using Probabilistic Quadrics, 2020 (from memory); cones of facet normals: Aubry and Löhner, On
 *         the most normal normal, 2008, found by the steps of Bădoiu and Clarkson, Smaller core-sets for balls, 2003 (from memory)
 */
final class EdgeCollapse {
    /** Why an edge stays. */
    enum Refusal {
        /** A border would leave its line or vanish. */
        BORDER,
        /** Handles, tunnels or small pieces would close, or a non-manifold edge come into being. */
        TOPOLOGY,
        /** A triangle would turn over, become a needle, or mirror its UVs. */
        FLIP,
        /** A vertex would have no direction that sees all its triangles. */
        DIRECTION,
        /** The surface would leave the bound. */
        ERROR
    }

    /** Judges a collapse beyond shape and topology. */
    interface Guard {
        /** Returns whether a collapse that is otherwise possible may happen. */
        boolean allows(EdgeCollapse mesh);

        /** Hears that the collapse that was just allowed has happened. */
        void collapsed(EdgeCollapse mesh);
    }

    private static final int QUADRIC = 10;
    // How far the optimum follows the quadric in directions in which it hardly curves: eigenvalues below a thousandth of their sum are flat ground.
    private static final double REGULARISATION = 1e-3;
    // Weight of length beside error: decides ties on flat ground for short edges, and is far below any error that shows.
    private static final double LENGTH_WEIGHT = 1e-5;
    // What moves along the surface shows less than what leaves it. On levels of a lathed bollard and of a displaced ball, 0.3 took a quarter to a third off
    // the mean drift and left the mean distance within a sixth of what it was.
    private static final double DRIFT_WEIGHT = 0.3;
    // Far above the rounding of a quadric, 2⁻⁵² of its size, and far below what regularisation gives away.
    private static final double CLEARLY = 1e-8;
    // A moved triangle's normal must keep this much of its old direction: 78°.
    private static final double LEAST_TURN_COSINE = 0.2;
    // Squared ratio of twice the area to two edges: needles of one thousandth are refused unless they were as thin before.
    private static final double NEEDLE = 1e-6;
    /** The least cosine between a vertex's direction and its facets that is aimed at: 75.5°. */
    static final double SEEING = 0.25;
    // Where no good direction is, none is lost by rounding.
    private static final double AS_POOR = 1e-6;
    private static final int CONE_STEPS = 60;
    /** Steps where it must be known whether there is any direction at all: rare, and close calls need many. */
    private static final int SURE_STEPS = 2000;
    private static final int POLL = 1 << 10;
    // A last pass over refused edges that takes away less than this part of the triangles isn't worth another one where tests are dear.
    private static final int WORTH_A_PASS = 200;

    final int[] vertex;
    final int[] wedge;
    final int[] next;
    final int[] head;
    final double[] position;
    private final double[] quadric;
    /** A unit direction a vertex that sees its triangles with at least {@link #SEEING}; 0 where none was found. */
    private final float[] direction;
    private final byte[] kind;
    private final float[] cost;
    private final Carried[] carried;
    private final int uvSetCount;
    private int live;

    private BucketQueue queue = new BucketQueue(16);
    private final Map<Refusal, Long> refusals = new EnumMap<>(Refusal.class);

    // The collapse at hand.
    int from;
    int to;
    double x;
    double y;
    double z;
    private boolean moves;
    private final int[] sharedCorner = new int[2]; // corners of `from` in the triangles that vanish
    private int sharedCount;
    private final int[] wedgeFrom = new int[2];
    private final int[] wedgeTo = new int[2];
    // Triangles that change their shape: the corner that moves and the new unit normal.
    int[] changed = new int[64];
    int changedCount;
    private double[] changedNormal = new double[192];
    private double[] star = new double[192];
    private int starCount;
    private int[] turnedVertex = new int[32];
    private float[] turnedDirection = new float[96];
    private int turnedCount;
    private final float[][] blended;

    /** Two numbers a vertex: when it was marked, and how many triangles it shares with the vertex that was asked about. */
    private final int[] mark;
    private int clock;
    private final NearestPoint nearest = new NearestPoint();
    private final float[] corners = new float[9];

    EdgeCollapse(double[] place, Wedges wedges, MemoryOrder order, Carried[] carried, int uvSetCount, Task task) {
        this.carried = carried;
        this.uvSetCount = uvSetCount;
        int vertexCount = order.vertex.length;
        live = order.triangle.length;
        position = new double[3 * vertexCount];
        kind = new byte[vertexCount];
        for (int v = 0; v < vertexCount; v++) {
            System.arraycopy(place, 3 * order.vertex[v], position, 3 * v, 3);
            kind[v] = wedges.kind[order.vertex[v]];
        }
        vertex = new int[3 * live];
        wedge = new int[3 * live];
        boolean[] border = new boolean[3 * live];
        for (int t = 0; t < live; t++) {
            for (int k = 0; k < 3; k++) {
                int c = 3 * order.triangle[t] + k;
                vertex[3 * t + k] = order.newVertex[wedges.vertex[c]];
                wedge[3 * t + k] = wedges.wedge[c];
                border[3 * t + k] = wedges.border[c];
            }
        }
        next = new int[vertex.length];
        head = new int[vertexCount];
        Arrays.fill(head, -1);
        for (int c = vertex.length - 1; c >= 0; c--) { // so that lists rise
            next[c] = head[vertex[c]];
            head[vertex[c]] = c;
        }
        mark = new int[2 * vertexCount];
        cost = new float[vertex.length];
        blended = new float[carried.length][];
        for (int a = 0; a < carried.length; a++) {
            blended[a] = new float[carried[a].components];
        }
        task.check();
        quadric = new double[QUADRIC * vertexCount];
        direction = new float[3 * vertexCount];
        Chunks.run(vertexCount, (begin, end) -> {
            task.check();
            double[] scratch = new double[192];
            for (int v = begin; v < end; v++) {
                scratch = prepare(v, border, scratch);
            }
        });
    }

    int liveTriangles() {
        return live;
    }

    /** Returns whether the vertex that stays moves, too: the whole patch around the edge changes, not only that around {@link #from}. */
    boolean moves() {
        return moves;
    }

    /** Returns the unit normals of {@link #changed} triangles after the collapse at hand. */
    double[] changedNormals() {
        return changedNormal;
    }

    /** Returns how many triangles the collapse at hand takes away. */
    int vanishing() {
        return sharedCount;
    }

    /** Returns how far a vertex is from where the edge at hand goes. */
    double move(int v) {
        double dx = position[3 * v] - x, dy = position[3 * v + 1] - y, dz = position[3 * v + 2] - z;
        return Math.sqrt(dx * dx + dy * dy + dz * dz);
    }

    /** Returns the vertex that an open border reaches behind the one that goes; −1 if there is none. */
    int beyond() {
        int beyond = -1;
        for (int c = head[from]; c >= 0; c = next[c]) {
            for (int k = 0; k < 2; k++) {
                int d = k == 0 ? Adjacency.next(c) : Adjacency.previous(c);
                if (vertex[d] != to && isOpen(c, vertex[d])) {
                    beyond = vertex[d];
                }
            }
        }
        return beyond;
    }

    /** Returns how far the vertex of an open border is from the border that will pass it by. */
    double borderStep() {
        int beyond = beyond();
        if (beyond < 0) {
            return move(from);
        }
        double[] p = position;
        int a = 3 * to, b = 3 * beyond, v = 3 * from;
        double ex = p[b] - p[a], ey = p[b + 1] - p[a + 1], ez = p[b + 2] - p[a + 2];
        double dx = p[v] - p[a], dy = p[v + 1] - p[a + 1], dz = p[v + 2] - p[a + 2];
        double squared = ex * ex + ey * ey + ez * ez;
        double s = squared > 0 ? Math.min(1, Math.max(0, (dx * ex + dy * ey + dz * ez) / squared)) : 0;
        dx -= s * ex;
        dy -= s * ey;
        dz -= s * ez;
        return Math.sqrt(dx * dx + dy * dy + dz * dz);
    }

    private boolean isOpen(int c, int w) {
        for (int d = head[vertex[c]]; d >= 0; d = next[d]) {
            if (d != c && (vertex[Adjacency.next(d)] == w || vertex[Adjacency.previous(d)] == w)) {
                return false;
            }
        }
        return true;
    }

    long refusals(Refusal why) {
        return refusals.getOrDefault(why, 0L);
    }

    /** Sums a vertex's quadric and finds its direction. */
    private double[] prepare(int v, boolean[] border, double[] scratch) {
        double[] normals = scratch;
        int count = 0;
        double sx = 0, sy = 0, sz = 0;
        double[] p = position;
        for (int c = head[v]; c >= 0; c = next[c]) {
            int a = 3 * v, b = 3 * vertex[Adjacency.next(c)], d = 3 * vertex[Adjacency.previous(c)];
            double ex = p[b] - p[a], ey = p[b + 1] - p[a + 1], ez = p[b + 2] - p[a + 2];
            double fx = p[d] - p[a], fy = p[d + 1] - p[a + 1], fz = p[d + 2] - p[a + 2];
            double nx = ey * fz - ez * fy, ny = ez * fx - ex * fz, nz = ex * fy - ey * fx;
            double length = Math.sqrt(nx * nx + ny * ny + nz * nz);
            if (!(length > 0)) {
                continue;
            }
            sx += nx;
            sy += ny;
            sz += nz;
            nx /= length;
            ny /= length;
            nz /= length;
            if (3 * count == normals.length) {
                normals = Arrays.copyOf(normals, 2 * normals.length);
            }
            normals[3 * count] = nx;
            normals[3 * count + 1] = ny;
            normals[3 * count + 2] = nz;
            count++;
            addPlane(v, nx, ny, nz, length / 2);
            if (border[c]) {
                addWall(v, ex, ey, ez, nx, ny, nz);
            }
            if (border[Adjacency.previous(c)]) {
                addWall(v, fx, fy, fz, nx, ny, nz);
            }
        }
        double length = Math.sqrt(sx * sx + sy * sy + sz * sz);
        if (length > 0 && sees(normals, count, sx / length, sy / length, sz / length)) {
            setDirection(v, sx / length, sy / length, sz / length);
        } else {
            double[] found = new double[3];
            if (cone(normals, count, found) >= SEEING) {
                setDirection(v, found[0], found[1], found[2]);
            }
        }
        return normals;
    }

    /** Adds the plane through a border edge that stands on its triangle. */
    private void addWall(int v, double ex, double ey, double ez, double nx, double ny, double nz) {
        double wx = ey * nz - ez * ny, wy = ez * nx - ex * nz, wz = ex * ny - ey * nx;
        double squared = wx * wx + wy * wy + wz * wz;
        double length = Math.sqrt(squared);
        if (length > 0) {
            addPlane(v, wx / length, wy / length, wz / length, 2 * squared);
        }
    }

    private void addPlane(int v, double nx, double ny, double nz, double weight) {
        double d = -(nx * position[3 * v] + ny * position[3 * v + 1] + nz * position[3 * v + 2]);
        int o = QUADRIC * v;
        double[] q = quadric;
        q[o] += weight * nx * nx;
        q[o + 1] += weight * nx * ny;
        q[o + 2] += weight * nx * nz;
        q[o + 3] += weight * ny * ny;
        q[o + 4] += weight * ny * nz;
        q[o + 5] += weight * nz * nz;
        q[o + 6] += weight * nx * d;
        q[o + 7] += weight * ny * d;
        q[o + 8] += weight * nz * d;
        q[o + 9] += weight * d * d;
    }

    private void setDirection(int v, double dx, double dy, double dz) {
        direction[3 * v] = (float) dx;
        direction[3 * v + 1] = (float) dy;
        direction[3 * v + 2] = (float) dz;
    }

    private static boolean sees(double[] normals, int count, double dx, double dy, double dz) {
        for (int i = 0; i < 3 * count; i += 3) {
            if (normals[i] * dx + normals[i + 1] * dy + normals[i + 2] * dz < SEEING) {
                return false;
            }
        }
        return true;
    }

    /**
     * Looks for the direction with the largest least cosine to unit normals; stops at {@link #SEEING}.
     *
     * @return the least cosine of the direction that is left in {@code dest}; 1 when there are no normals
     */
    static double cone(double[] normals, int count, double[] dest) {
        return cone(normals, count, CONE_STEPS, dest);
    }

    private static double cone(double[] normals, int count, int steps, double[] dest) {
        if (count == 0) {
            return 1;
        }
        double cx = 0, cy = 0, cz = 0;
        for (int i = 0; i < 3 * count; i += 3) {
            cx += normals[i];
            cy += normals[i + 1];
            cz += normals[i + 2];
        }
        cx /= count;
        cy /= count;
        cz /= count;
        double best = -1;
        for (int step = 2; step < steps; step++) {
            double length = Math.sqrt(cx * cx + cy * cy + cz * cz) + 1e-30;
            double least = 2;
            int worst = 0;
            for (int i = 0; i < 3 * count; i += 3) {
                double dot = cx * normals[i] + cy * normals[i + 1] + cz * normals[i + 2];
                if (dot < least) {
                    least = dot;
                    worst = i;
                }
            }
            if (least / length > best) {
                best = least / length;
                dest[0] = cx / length;
                dest[1] = cy / length;
                dest[2] = cz / length;
                if (best >= SEEING) {
                    return best;
                }
            }
            cx += (normals[worst] - cx) / step;
            cy += (normals[worst + 1] - cy) / step;
            cz += (normals[worst + 2] - cz) / step;
        }
        return best;
    }

    /**
     * Takes edges away until at most {@code target} triangles are left or no edge may go.
     *
     * @param guard a further condition, or null
     */
    void run(int target, @Nullable Guard guard, Task task) {
        int start = live;
        Task.Stage stage = task.stage("decimating", Math.max(0, start - target));
        pushAll(task);
        int reported = live;
        int steps = 0;
        int atPass = live;
        boolean more = true;
        while (live > target) {
            int c = queue.pop();
            if (c < 0) {
                more = live < atPass && (guard == null || atPass - live > atPass / WORTH_A_PASS);
                if (!more) {
                    break;
                }
                // What was refused may be possible by now.
                atPass = live;
                refusals.clear();
                pushAll(task);
                continue;
            }
            if (++steps % POLL == 0 || (guard != null && steps % 64 == 0)) {
                stage.advance(reported - live);
                reported = live;
            }
            float told = cost[c];
            if (told < 0 || BucketQueue.bucket(told) != queue.current()) {
                continue;
            }
            cost[c] = -1;
            Refusal refusal = attempt(c, guard);
            if (refusal != null) {
                refusals.merge(refusal, 1L, Long::sum);
            }
        }
        stage.advance(reported - live);
    }

    private void pushAll(Task task) {
        int triangles = vertex.length / 3;
        Chunks.run(triangles, (begin, end) -> {
            task.check();
            Evaluation evaluation = new Evaluation();
            for (int t = begin; t < end; t++) {
                for (int c = 3 * t; c < 3 * t + 3; c++) {
                    cost[c] = -1;
                    if (vertex[3 * t] >= 0 && names(c)) {
                        cost[c] = (float) evaluate(vertex[c], vertex[Adjacency.next(c)], evaluation);
                    }
                }
            }
        });
        queue = new BucketQueue(live + live / 2 + 64);
        for (int c = vertex.length - 1; c >= 0; c--) {
            if (cost[c] >= 0) {
                queue.push(c, cost[c]);
            }
        }
    }

    /** Returns whether an edge goes by this corner. */
    private boolean names(int c) {
        int a = vertex[c], b = vertex[Adjacency.next(c)];
        if (a < b) {
            return true;
        }
        if (kind[a] == Wedges.FREE || kind[b] == Wedges.FREE) {
            return false; // two triangles
        }
        for (int d = head[a]; d >= 0; d = next[d]) {
            if (d != c && (vertex[Adjacency.next(d)] == b || vertex[Adjacency.previous(d)] == b)) {
                return false;
            }
        }
        return true;
    }

    /** What an edge would become. */
    private static final class Evaluation {
        int from;
        int to;
        double x;
        double y;
        double z;
    }

    private final Evaluation evaluation = new Evaluation();

    /** Returns the price of an edge and sets what it would become; negative if neither end may move. */
    private double evaluate(int u, int v, Evaluation dest) {
        double[] q = quadric;
        int a = QUADRIC * u, b = QUADRIC * v;
        double q0 = q[a] + q[b], q1 = q[a + 1] + q[b + 1], q2 = q[a + 2] + q[b + 2], q3 = q[a + 3] + q[b + 3], q4 = q[a + 4] + q[b + 4];
        double q5 = q[a + 5] + q[b + 5], q6 = q[a + 6] + q[b + 6], q7 = q[a + 7] + q[b + 7], q8 = q[a + 8] + q[b + 8];
        double q9 = q[a + 9] + q[b + 9];
        double[] p = position;
        double ux = p[3 * u], uy = p[3 * u + 1], uz = p[3 * u + 2];
        double vx = p[3 * v], vy = p[3 * v + 1], vz = p[3 * v + 2];
        double squared = (ux - vx) * (ux - vx) + (uy - vy) * (uy - vy) + (uz - vz) * (uz - vz);
        double trace = q0 + q3 + q5;
        double tie = LENGTH_WEIGHT * squared * trace;
        int ku = kind[u], kv = kind[v];
        if (ku == Wedges.FREE && kv == Wedges.FREE) {
            double mx = (ux + vx) / 2, my = (uy + vy) / 2, mz = (uz + vz) / 2;
            double e = REGULARISATION * trace + 1e-300;
            double d0 = q0 + e, d1 = q3 + e, d2 = q5 + e;
            // (A + eI) d = −(A m + b) about the midpoint m
            double rx = -(q0 * mx + q1 * my + q2 * mz + q6);
            double ry = -(q1 * mx + q3 * my + q4 * mz + q7);
            double rz = -(q2 * mx + q4 * my + q5 * mz + q8);
            double c00 = d1 * d2 - q4 * q4, c01 = q2 * q4 - q1 * d2, c02 = q1 * q4 - q2 * d1;
            double determinant = d0 * c00 + q1 * c01 + q2 * c02;
            double dx = 0, dy = 0, dz = 0;
            if (determinant > 0) {
                dx = (c00 * rx + c01 * ry + c02 * rz) / determinant;
                dy = (c01 * rx + (d0 * d2 - q2 * q2) * ry + (q1 * q2 - d0 * q4) * rz) / determinant;
                dz = (c02 * rx + (q1 * q2 - d0 * q4) * ry + (d0 * d1 - q1 * q1) * rz) / determinant;
            }
            double far = dx * dx + dy * dy + dz * dz;
            if (!(far <= 4 * squared)) { // at most two edge lengths
                double shrink = Math.sqrt(4 * squared / far);
                shrink = shrink >= 0 ? shrink : 0;
                dx *= shrink;
                dy *= shrink;
                dz *= shrink;
            }
            dest.from = u;
            dest.to = v;
            dest.x = mx + dx;
            dest.y = my + dy;
            dest.z = mz + dz;
            // Regularised, the optimum falls a little short of a corner: an end that is clearly better is taken as it is.
            double least = error(dest.x, dest.y, dest.z, q0, q1, q2, q3, q4, q5, q6, q7, q8, q9) - CLEARLY * tie;
            double atU = error(ux, uy, uz, q0, q1, q2, q3, q4, q5, q6, q7, q8, q9);
            double atV = error(vx, vy, vz, q0, q1, q2, q3, q4, q5, q6, q7, q8, q9);
            if (Math.min(atU, atV) < least) {
                boolean takeU = atU < atV || (atU == atV && u < v);
                dest.x = takeU ? ux : vx;
                dest.y = takeU ? uy : vy;
                dest.z = takeU ? uz : vz;
                return Math.max(Math.min(atU, atV), 0) + tie;
            }
        } else if (ku != Wedges.FREE && kv != Wedges.FREE && ku == Wedges.FIXED && kv == Wedges.FIXED) {
            return -1;
        } else if (ku == Wedges.LINE && kv == Wedges.LINE) {
            double atU = error(ux, uy, uz, q0, q1, q2, q3, q4, q5, q6, q7, q8, q9);
            double atV = error(vx, vy, vz, q0, q1, q2, q3, q4, q5, q6, q7, q8, q9);
            // A tie goes to the lower number, whichever end asks.
            boolean toU = atU < atV || (atU == atV && u < v);
            keepEnd(toU ? v : u, toU ? u : v, dest);
            return Math.max(Math.min(atU, atV), 0) + tie;
        } else {
            boolean toU = ku > kv;
            keepEnd(toU ? v : u, toU ? u : v, dest);
        }
        return Math.max(error(dest.x, dest.y, dest.z, q0, q1, q2, q3, q4, q5, q6, q7, q8, q9), 0) + tie;
    }

    private void keepEnd(int from, int to, Evaluation dest) {
        dest.from = from;
        dest.to = to;
        dest.x = position[3 * to];
        dest.y = position[3 * to + 1];
        dest.z = position[3 * to + 2];
    }

    private static double error(double x, double y, double z, double q0, double q1, double q2, double q3, double q4, double q5, double q6,
            double q7, double q8, double q9) {
        return x * (q0 * x + 2 * (q1 * y + q2 * z + q6)) + y * (q3 * y + 2 * (q4 * z + q7)) + z * (q5 * z + 2 * q8) + q9;
    }

    /** Collapses an edge or says why not. */
    private @Nullable Refusal attempt(int corner, @Nullable Guard guard) {
        double price = evaluate(vertex[corner], vertex[Adjacency.next(corner)], evaluation);
        from = evaluation.from;
        to = evaluation.to;
        x = evaluation.x;
        y = evaluation.y;
        z = evaluation.z;
        moves = kind[to] == Wedges.FREE;
        Refusal refusal = topology();
        if (refusal != null) {
            return refusal;
        }
        if (!shapes()) {
            return Refusal.FLIP;
        }
        if (carried.length > 0 && !attributes()) {
            return Refusal.FLIP;
        }
        if (uvSetCount > 0) {
            // What moves on the maps is known only now: if that makes the edge dearer than others it waits for its turn, and will then find the same price.
            float dearer = (float) (price + DRIFT_WEIGHT * drift());
            if (BucketQueue.bucket(dearer) > queue.current()) {
                cost[corner] = dearer;
                queue.push(corner, dearer);
                return null;
            }
        }
        if (!directions()) {
            return Refusal.DIRECTION;
        }
        if (guard != null && !guard.allows(this) && !(moves && (allowsAt(from, guard) || allowsAt(to, guard)))) {
            return Refusal.ERROR;
        }
        collapse();
        if (guard != null) {
            guard.collapsed(this);
        }
        requeue();
        return null;
    }

    /** Tries the collapse at hand with the merged vertex at one of the edge's ends, where the optimum was too far off. */
    private boolean allowsAt(int end, Guard guard) {
        x = position[3 * end];
        y = position[3 * end + 1];
        z = position[3 * end + 2];
        return shapes() && (carried.length == 0 || attributes()) && directions() && guard.allows(this);
    }

    /** Marks the neighbours of a vertex and how many triangles each shares with it; returns the number of triangles. */
    private int mark(int v) {
        clock += 2;
        int now = clock;
        int valence = 0;
        for (int c = head[v]; c >= 0; c = next[c]) {
            valence++;
            count(2 * vertex[Adjacency.next(c)], now);
            count(2 * vertex[Adjacency.previous(c)], now);
        }
        return valence;
    }

    private void count(int at, int now) {
        if (mark[at] != now) {
            mark[at] = now;
            mark[at + 1] = 0;
        }
        mark[at + 1]++;
    }

    /** Tests the link condition and that borders keep their lines. */
    private @Nullable Refusal topology() {
        if (clock > Integer.MAX_VALUE - 8) {
            Arrays.fill(mark, 0);
            clock = 0;
        }
        int valenceFrom = mark(from);
        int now = clock;
        if (mark[2 * to] != now || mark[2 * to + 1] > 2) {
            return Refusal.TOPOLOGY;
        }
        int expected = mark[2 * to + 1];
        int common = 0;
        int valenceTo = 0;
        for (int c = head[to]; c >= 0; c = next[c]) {
            valenceTo++;
            int a = vertex[Adjacency.next(c)], b = vertex[Adjacency.previous(c)];
            if (mark[2 * a] == now) {
                mark[2 * a] = now + 1;
                common++;
            }
            if (mark[2 * b] == now) {
                mark[2 * b] = now + 1;
                common++;
            }
        }
        if (common != expected || (expected == 2 && valenceFrom == 3 && valenceTo == 3)) {
            return Refusal.TOPOLOGY;
        }
        // Which wedge each of the moving corners joins.
        sharedCount = 0;
        for (int c = head[from]; c >= 0; c = next[c]) {
            int a = Adjacency.next(c), b = Adjacency.previous(c);
            if (vertex[a] == to || vertex[b] == to) {
                wedgeFrom[sharedCount] = wedge[c];
                wedgeTo[sharedCount] = wedge[vertex[a] == to ? a : b];
                sharedCorner[sharedCount++] = c;
            }
        }
        if (sharedCount == 2 && wedgeFrom[0] == wedgeFrom[1] && wedgeTo[0] != wedgeTo[1]) {
            return Refusal.BORDER;
        }
        if (kind[from] != Wedges.FREE) {
            boolean isBorder = sharedCount == 1 || wedgeFrom[0] != wedgeFrom[1] || wedgeTo[0] != wedgeTo[1];
            if (!isBorder) {
                return Refusal.BORDER;
            }
            for (int s = 0; s < sharedCount; s++) {
                int c = sharedCorner[s];
                int apex = vertex[Adjacency.next(c)] == to ? vertex[Adjacency.previous(c)] : vertex[Adjacency.next(c)];
                if (valenceFrom == 1) {
                    // The tip of an open border: what is behind it must stay.
                    int behind = 0;
                    for (int d = head[to]; d >= 0; d = next[d]) {
                        behind += vertex[Adjacency.next(d)] == apex || vertex[Adjacency.previous(d)] == apex ? 1 : 0;
                    }
                    if (behind < 2) {
                        return Refusal.TOPOLOGY;
                    }
                } else if (isBorderEdge(c, apex)) {
                    return Refusal.BORDER;
                }
            }
        }
        for (int c = head[from]; c >= 0; c = next[c]) {
            if (target(wedge[c]) < 0) {
                return Refusal.BORDER;
            }
        }
        return null;
    }

    /** Returns whether the edge from corner c's vertex to {@code apex} of the same triangle is a border. */
    private boolean isBorderEdge(int c, int apex) {
        int atApex = vertex[Adjacency.next(c)] == apex ? Adjacency.next(c) : Adjacency.previous(c);
        for (int d = head[vertex[c]]; d >= 0; d = next[d]) {
            if (d != c) {
                int other = vertex[Adjacency.next(d)] == apex
                        ? Adjacency.next(d)
                        : vertex[Adjacency.previous(d)] == apex ? Adjacency.previous(d) : -1;
                if (other >= 0) {
                    return wedge[d] != wedge[c] || wedge[other] != wedge[atApex];
                }
            }
        }
        return true;
    }

    private int target(int w) {
        return w == wedgeFrom[0] ? wedgeTo[0] : sharedCount == 2 && w == wedgeFrom[1] ? wedgeTo[1] : -1;
    }

    /** Lists the triangles that change and tests their shapes. */
    private boolean shapes() {
        changedCount = 0;
        if (!shapes(from, to)) {
            return false;
        }
        return !moves || shapes(to, from);
    }

    private boolean shapes(int v, int other) {
        double[] p = position;
        double vx = p[3 * v], vy = p[3 * v + 1], vz = p[3 * v + 2];
        for (int c = head[v]; c >= 0; c = next[c]) {
            int a = vertex[Adjacency.next(c)], b = vertex[Adjacency.previous(c)];
            if (a == other || b == other) {
                continue;
            }
            double ax = p[3 * a], ay = p[3 * a + 1], az = p[3 * a + 2];
            double ex = p[3 * b] - ax, ey = p[3 * b + 1] - ay, ez = p[3 * b + 2] - az;
            double fx = vx - ax, fy = vy - ay, fz = vz - az;
            double gx = x - ax, gy = y - ay, gz = z - az;
            double ox = ey * fz - ez * fy, oy = ez * fx - ex * fz, oz = ex * fy - ey * fx;
            double nx = ey * gz - ez * gy, ny = ez * gx - ex * gz, nz = ex * gy - ey * gx;
            double old = ox * ox + oy * oy + oz * oz, now = nx * nx + ny * ny + nz * nz;
            double ee = ex * ex + ey * ey + ez * ez, gg = gx * gx + gy * gy + gz * gz, ff = fx * fx + fy * fy + fz * fz;
            double most = ee * Math.max(ee, gg);
            if (now < NEEDLE * most && now * ee * Math.max(ee, ff) <= old * most) {
                return false;
            }
            double dot = ox * nx + oy * ny + oz * nz;
            // Below this a triangle has no side that could turn over.
            if (old > 1e-12 * ee * ee && (dot <= 0 || dot * dot < LEAST_TURN_COSINE * LEAST_TURN_COSINE * old * now)) {
                return false;
            }
            if (changedCount == changed.length) {
                changed = Arrays.copyOf(changed, 2 * changedCount);
                changedNormal = Arrays.copyOf(changedNormal, 6 * changedCount);
            }
            double length = Math.sqrt(now);
            double scale = length > 0 ? 1 / length : 0;
            int n = 3 * changedCount;
            changed[changedCount++] = c;
            changedNormal[n] = nx * scale;
            changedNormal[n + 1] = ny * scale;
            changedNormal[n + 2] = nz * scale;
        }
        return true;
    }

    /** Finds the merged vertex's attributes and tests that no UV triangle turns over. */
    private boolean attributes() {
        if (moves) {
            blend();
        }
        for (int s = 0; s < uvSetCount; s++) {
            Carried uv = carried[s];
            float[] value = uv.value;
            for (int i = 0; i < changedCount; i++) {
                int c = changed[i];
                int o = 2 * wedge[c];
                int a = 2 * wedge[Adjacency.next(c)], b = 2 * wedge[Adjacency.previous(c)];
                double newU, newV;
                if (moves) {
                    newU = blended[s][0];
                    newV = blended[s][1];
                } else {
                    int w = 2 * target(wedge[c]);
                    newU = value[w];
                    newV = value[w + 1];
                }
                double eu = (double) value[b] - value[a], ev = (double) value[b + 1] - value[a + 1];
                double old = eu * ((double) value[o + 1] - value[a + 1]) - ev * ((double) value[o] - value[a]);
                double now = eu * (newV - value[a + 1]) - ev * (newU - value[a]);
                if ((old > 0 && !(now > 0)) || (old < 0 && !(now < 0))) {
                    return false;
                }
            }
        }
        return true;
    }

    /**
     * Returns how far what the first UV set shows at the vertices of the edge moves on the surface: squared lengths times the area they stand for, as in
     * the quadrics.
     */
    private double drift() {
        double[] p = position;
        float[] uv = carried[0].value;
        double area = 0, uvArea = 0;
        for (int i = 0; i < changedCount; i++) {
            int c = changed[i];
            int a = Adjacency.next(c), b = Adjacency.previous(c);
            int v = 3 * vertex[c], va = 3 * vertex[a], vb = 3 * vertex[b];
            double ex = p[va] - p[v], ey = p[va + 1] - p[v + 1], ez = p[va + 2] - p[v + 2];
            double fx = p[vb] - p[v], fy = p[vb + 1] - p[v + 1], fz = p[vb + 2] - p[v + 2];
            double nx = ey * fz - ez * fy, ny = ez * fx - ex * fz, nz = ex * fy - ey * fx;
            area += Math.sqrt(nx * nx + ny * ny + nz * nz);
            int o = 2 * wedge[c], oa = 2 * wedge[a], ob = 2 * wedge[b];
            uvArea += Math.abs(((double) uv[oa] - uv[o]) * ((double) uv[ob + 1] - uv[o + 1])
                    - ((double) uv[oa + 1] - uv[o + 1]) * ((double) uv[ob] - uv[o]));
        }
        if (!(uvArea > 0)) {
            return 0;
        }
        double squared = 0;
        for (int s = 0; s < sharedCount; s++) {
            if (s == 0 || wedgeFrom[s] != wedgeFrom[0]) {
                squared = Math.max(squared, uvDrift(from, wedgeFrom[s]));
            }
        }
        if (moves) {
            squared = Math.max(squared, uvDrift(to, wedgeTo[0]));
        }
        int a = QUADRIC * from, b = QUADRIC * to;
        double weight = quadric[a] + quadric[a + 3] + quadric[a + 5] + quadric[b] + quadric[b + 3] + quadric[b + 5];
        return weight * squared * area / uvArea;
    }

    /** Returns the squared distance, in UV, of an old vertex's value and that of the new surface next to it. */
    private double uvDrift(int v, int w) {
        float[] uv = carried[0].value;
        double[] p = position;
        float best = Float.POSITIVE_INFINITY;
        double du = 0, dv = 0;
        for (int i = 0; i < changedCount; i++) {
            int c = changed[i];
            int mine = moves ? wedgeTo[0] : target(wedge[c]);
            if (!moves && wedge[c] != w) {
                continue;
            }
            int a = Adjacency.next(c), b = Adjacency.previous(c);
            // Relative to the old vertex, so that floats are enough.
            corners[0] = (float) (x - p[3 * v]);
            corners[1] = (float) (y - p[3 * v + 1]);
            corners[2] = (float) (z - p[3 * v + 2]);
            for (int k = 0; k < 3; k++) {
                corners[3 + k] = (float) (p[3 * vertex[a] + k] - p[3 * v + k]);
                corners[6 + k] = (float) (p[3 * vertex[b] + k] - p[3 * v + k]);
            }
            nearest.set(0, 0, 0);
            nearest.of(corners, 0, 3, 6);
            if (nearest.distance < best) {
                best = nearest.distance;
                double b1 = nearest.b1, b2 = nearest.b2, b0 = 1 - b1 - b2;
                double u0 = moves ? blended[0][0] : uv[2 * mine], v0 = moves ? blended[0][1] : uv[2 * mine + 1];
                du = b0 * u0 + b1 * uv[2 * wedge[a]] + b2 * uv[2 * wedge[b]] - uv[2 * w];
                dv = b0 * v0 + b1 * uv[2 * wedge[a] + 1] + b2 * uv[2 * wedge[b] + 1] - uv[2 * w + 1];
            }
        }
        return du * du + dv * dv;
    }

    /** Sets the attributes of the merged vertex to those of the nearest point on the triangles around the edge. */
    private void blend() {
        // Relative to the new place, so that floats are enough.
        nearest.set(0, 0, 0);
        float best = Float.POSITIVE_INFINITY;
        int bestCorner = -1;
        float b1 = 0, b2 = 0;
        for (int end = 0; end < 2; end++) {
            for (int c = head[end == 0 ? from : to]; c >= 0; c = next[c]) {
                int t = c - c % 3;
                if (end == 1 && (vertex[Adjacency.next(c)] == from || vertex[Adjacency.previous(c)] == from)) {
                    continue;
                }
                for (int k = 0; k < 3; k++) {
                    int p = 3 * vertex[t + k];
                    corners[3 * k] = (float) (position[p] - x);
                    corners[3 * k + 1] = (float) (position[p + 1] - y);
                    corners[3 * k + 2] = (float) (position[p + 2] - z);
                }
                nearest.of(corners, 0, 3, 6);
                if (nearest.distance < best) {
                    best = nearest.distance;
                    bestCorner = t;
                    b1 = nearest.b1;
                    b2 = nearest.b2;
                }
            }
        }
        int t = bestCorner < 0 ? sharedCorner[0] - sharedCorner[0] % 3 : bestCorner;
        for (int a = 0; a < carried.length; a++) {
            carried[a].blend(wedge[t], wedge[t + 1], wedge[t + 2], b1, b2, blended[a]);
        }
    }

    /** Tests that the merged vertex and those around it keep a direction, and collects new ones. */
    private boolean directions() {
        turnedCount = 0;
        float[] d = direction;
        // Around: only changed triangles can be out of sight.
        for (int i = 0; i < changedCount; i++) {
            double nx = changedNormal[3 * i], ny = changedNormal[3 * i + 1], nz = changedNormal[3 * i + 2];
            if (nx == 0 && ny == 0 && nz == 0) {
                continue;
            }
            int c = changed[i];
            int a = vertex[Adjacency.next(c)], b = vertex[Adjacency.previous(c)];
            if (d[3 * a] * nx + d[3 * a + 1] * ny + d[3 * a + 2] * nz < SEEING && !keepsDirection(a)) {
                return false;
            }
            if (d[3 * b] * nx + d[3 * b + 1] * ny + d[3 * b + 2] * nz < SEEING && !keepsDirection(b)) {
                return false;
            }
        }
        // The merged vertex: its own direction, that of the other end, or a new one.
        if (sees(changedNormal, changedCount, d[3 * to], d[3 * to + 1], d[3 * to + 2])
                && (d[3 * to] != 0 || d[3 * to + 1] != 0 || d[3 * to + 2] != 0)) {
            return true;
        }
        collectStar(to, true);
        if (starCount == 0) {
            return true;
        }
        if (sees(star, starCount, d[3 * from], d[3 * from + 1], d[3 * from + 2])) {
            turn(to, d[3 * from], d[3 * from + 1], d[3 * from + 2]);
            return true;
        }
        double[] found = coneScratch;
        double after = cone(star, starCount, found);
        if (after >= SEEING) {
            turn(to, found[0], found[1], found[2]);
            return true;
        }
        // Where both ends had none, or a poor one, it may stay as poor.
        collectStar(to, false);
        double before = cone(star, starCount, found);
        if (before >= SEEING) {
            return false;
        }
        collectStar(from, false);
        double beforeFrom = cone(star, starCount, found);
        if (beforeFrom < SEEING && isAsPoor(to, from)) {
            turn(to, 0, 0, 0);
            return true;
        }
        return false;
    }

    /** Tests that a vertex without a good direction gets no poorer one than the poorer of two vertices had, and keeps one that sees everything, if barely. */
    private boolean isAsPoor(int v, int other) {
        collectStar(v, false);
        double before = cone(star, starCount, SURE_STEPS, coneScratch);
        collectStar(other, false);
        before = Math.min(before, cone(star, starCount, SURE_STEPS, coneScratch));
        collectStar(v, true);
        double after = cone(star, starCount, SURE_STEPS, coneScratch);
        return after >= before - AS_POOR && (after > 0 || before <= 0);
    }

    private final double[] coneScratch = new double[3];

    private boolean keepsDirection(int w) {
        for (int i = 0; i < turnedCount; i++) {
            if (turnedVertex[i] == w) {
                return true;
            }
        }
        collectStar(w, true);
        double after = cone(star, starCount, coneScratch);
        if (after >= SEEING) {
            turn(w, coneScratch[0], coneScratch[1], coneScratch[2]);
            return true;
        }
        collectStar(w, false);
        double before = cone(star, starCount, coneScratch);
        if (before < SEEING && isAsPoor(w, w)) {
            turn(w, 0, 0, 0);
            return true;
        }
        return false;
    }

    private void turn(int v, double dx, double dy, double dz) {
        if (turnedCount == turnedVertex.length) {
            turnedVertex = Arrays.copyOf(turnedVertex, 2 * turnedCount);
            turnedDirection = Arrays.copyOf(turnedDirection, 6 * turnedCount);
        }
        turnedVertex[turnedCount] = v;
        turnedDirection[3 * turnedCount] = (float) dx;
        turnedDirection[3 * turnedCount + 1] = (float) dy;
        turnedDirection[3 * turnedCount + 2] = (float) dz;
        turnedCount++;
    }

    /** Collects the unit normals around a vertex, after the collapse or as they are. */
    private void collectStar(int w, boolean collapsed) {
        starCount = 0;
        addStar(w, collapsed);
        if (collapsed && w == to) {
            addStar(from, true);
        }
    }

    private void addStar(int w, boolean collapsed) {
        double[] p = position;
        for (int c = head[w]; c >= 0; c = next[c]) {
            int v0 = vertex[c], v1 = vertex[Adjacency.next(c)], v2 = vertex[Adjacency.previous(c)];
            boolean m0 = false, m1 = false, m2 = false;
            if (collapsed) {
                m0 = v0 == from || v0 == to;
                m1 = v1 == from || v1 == to;
                m2 = v2 == from || v2 == to;
                if ((m0 && m1) || (m1 && m2) || (m2 && m0)) {
                    continue;
                }
            }
            double ax = m0 ? x : p[3 * v0], ay = m0 ? y : p[3 * v0 + 1], az = m0 ? z : p[3 * v0 + 2];
            double ex = (m1 ? x : p[3 * v1]) - ax, ey = (m1 ? y : p[3 * v1 + 1]) - ay, ez = (m1 ? z : p[3 * v1 + 2]) - az;
            double fx = (m2 ? x : p[3 * v2]) - ax, fy = (m2 ? y : p[3 * v2 + 1]) - ay, fz = (m2 ? z : p[3 * v2 + 2]) - az;
            double nx = ey * fz - ez * fy, ny = ez * fx - ex * fz, nz = ex * fy - ey * fx;
            double length = Math.sqrt(nx * nx + ny * ny + nz * nz);
            if (!(length > 0)) {
                continue;
            }
            if (3 * starCount + 3 > star.length) {
                star = Arrays.copyOf(star, 2 * star.length);
            }
            star[3 * starCount] = nx / length;
            star[3 * starCount + 1] = ny / length;
            star[3 * starCount + 2] = nz / length;
            starCount++;
        }
    }

    private void collapse() {
        if (moves && carried.length > 0) {
            for (int a = 0; a < carried.length; a++) {
                System.arraycopy(blended[a], 0, carried[a].value, carried[a].components * wedgeTo[0], carried[a].components);
            }
        }
        for (int c = head[from]; c >= 0;) {
            int following = next[c];
            int a = Adjacency.next(c), b = Adjacency.previous(c);
            if (vertex[a] == to || vertex[b] == to) {
                unlink(a);
                unlink(b);
                int t = c - c % 3;
                vertex[t] = -1;
                cost[t] = -1;
                cost[t + 1] = -1;
                cost[t + 2] = -1;
                live--;
            } else {
                wedge[c] = target(wedge[c]);
                vertex[c] = to;
                next[c] = head[to];
                head[to] = c;
            }
            c = following;
        }
        head[from] = -1;
        position[3 * to] = x;
        position[3 * to + 1] = y;
        position[3 * to + 2] = z;
        for (int k = 0; k < QUADRIC; k++) {
            quadric[QUADRIC * to + k] += quadric[QUADRIC * from + k];
        }
        for (int i = 0; i < turnedCount; i++) {
            System.arraycopy(turnedDirection, 3 * i, direction, 3 * turnedVertex[i], 3);
        }
    }

    private void unlink(int corner) {
        int v = vertex[corner];
        if (head[v] == corner) {
            head[v] = next[corner];
            return;
        }
        int c = head[v];
        while (next[c] != corner) {
            c = next[c];
        }
        next[c] = next[corner];
    }

    private void requeue() {
        mark(to);
        for (int c = head[to]; c >= 0; c = next[c]) {
            int a = vertex[Adjacency.next(c)];
            put(c, to, a, to < a || mark[2 * a + 1] == 1);
            int b = vertex[Adjacency.previous(c)];
            put(Adjacency.previous(c), b, to, b < to || mark[2 * b + 1] == 1);
        }
    }

    private void put(int c, int u, int v, boolean names) {
        float price = names ? (float) evaluate(u, v, evaluation) : -1;
        cost[c] = price;
        if (price >= 0) {
            queue.push(c, price);
        }
    }
}
