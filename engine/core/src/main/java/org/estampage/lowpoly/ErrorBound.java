package org.estampage.lowpoly;

import java.util.Arrays;
import org.estampage.mesh.Adjacency;

/**
 * Holds a decimated surface within a distance of the one it came from, both ways: no point of the result is farther from the input, and no point of
 * the input farther from the result.
 *
 * <p>Each collapse replaces a patch of triangles by another one with the same rim. Seen along a direction from which neither of the two is folded they
 * cover the same area, so each point has a partner straight above or below it. Each vertex carries a bound; between vertices the bound of a point is
 * linear. The rim keeps its bounds, and the merged vertex gets the least one with which the new patch's bound is nowhere below the old patch's bound
 * plus the height between the two. All of these are linear in each cell of the two patches laid over each other, so the cells' corners decide: inner
 * vertices of either patch and crossings of their edges. Where there is no such direction, the way that the ends of the edge move is added instead.
 *
 * @edge an open border that is cut short adds the distance of its vertex to the new border
 * @threads confined
 * @source the idea of bounding successive maps: Cohen, Manocha and Olano, Simplifying Polygonal Models Using Successive Mappings, 1997 (from
 *         memory); here without texture coordinates and with heights in place of distances
 */
final class ErrorBound implements EdgeCollapse.Guard {
    // Projected needles are located by which corner they are least outside of; products of unit-sized numbers round at 2⁻⁵³.
    private static final double OUTSIDE = 1e-9;
    // A patch counts as seen from a direction if all its facets face it by at least this cosine: heights above 4 distances are useless.
    private static final double FACING = EdgeCollapse.SEEING;
    // Heights are differences of unit-sized numbers in double, sums of a few products: 2⁻⁵⁰ or so. What is below needs no bound.
    private static final double ROUNDING = 1e-13;
    // A border vertex no farther than this from the line is on it.
    private static final double STRAIGHT = 1e-12;

    private final double most;
    /** A bound a vertex. */
    private final double[] carried;
    private double grown;
    private int beyond;

    // The patch in the coordinates of its direction: u, v, height.
    private int[] oldTriangle = new int[32];
    private int oldCount;
    private double[] flat = new double[96]; // corners of old triangles, 9 numbers each
    private double[] fan = new double[96]; // corners of new triangles, 9 numbers each; the first is the merged vertex
    private int[] oldInner = new int[64]; // old inner edges: the inner vertex they start from
    private int[] oldRim = new int[64]; // and the vertex they end at
    private double[] oldEdge = new double[96]; // and their ends, 6 numbers each
    private int oldEdgeCount;
    private int[] newRim = new int[64];
    private double[] newEdge = new double[96];
    private int newEdgeCount;
    private final double[] axes = new double[9];
    private double[] unit = new double[96];
    private final double[] middle = new double[3];
    private double b1;
    private double b2;

    /**
     * Starts at a distance of 0.
     *
     * @param most the largest distance, in the units of the collapse
     */
    ErrorBound(double most, int vertexCount) {
        this.most = most;
        carried = new double[vertexCount];
    }

    @Override
    public boolean allows(EdgeCollapse mesh) {
        double here = Math.max(carried[mesh.from], mesh.moves() ? 0 : carried[mesh.to]);
        beyond = -1;
        if (mesh.vanishing() == 1) {
            // An open border: what is cut off, or added, is no farther from the new border than the vertex that goes.
            double step = mesh.borderStep();
            if (step > STRAIGHT) {
                beyond = mesh.beyond();
                here = Math.max(here, Math.max(carried[mesh.to], beyond < 0 ? 0 : carried[beyond])) + step;
            }
        }
        if (here > most) {
            return false;
        }
        double moved = Math.max(carried[mesh.from] + mesh.move(mesh.from), carried[mesh.to] + mesh.move(mesh.to));
        if (mesh.changedCount > 0 && moved > here) {
            collectOld(mesh);
            double least = beyond >= 0 ? here : mesh.moves() ? 0 : carried[mesh.to];
            grown = Math.max(least, Math.min(moved, needed(mesh, least)));
        } else {
            grown = here;
        }
        return grown <= most;
    }

    @Override
    public void collapsed(EdgeCollapse mesh) {
        carried[mesh.to] = grown;
        if (beyond >= 0) {
            carried[beyond] = Math.max(carried[beyond], grown);
        }
    }

    private void collectOld(EdgeCollapse mesh) {
        oldCount = 0;
        addOld(mesh, mesh.from, -1);
        if (mesh.moves()) {
            addOld(mesh, mesh.to, mesh.from);
        }
    }

    private void addOld(EdgeCollapse mesh, int v, int but) {
        for (int c = mesh.head[v]; c >= 0; c = mesh.next[c]) {
            if (mesh.vertex[Adjacency.next(c)] != but && mesh.vertex[Adjacency.previous(c)] != but) {
                if (oldCount == oldTriangle.length) {
                    oldTriangle = Arrays.copyOf(oldTriangle, 2 * oldCount);
                }
                oldTriangle[oldCount++] = c / 3;
            }
        }
    }

    /** Returns the least bound of the merged vertex, no lower than {@code least}; infinite if there is no direction that sees both patches. */
    private double needed(EdgeCollapse mesh, double least) {
        if (!turn(mesh)) {
            return Double.POSITIVE_INFINITY;
        }
        // Vertices of the old patch over the new one, and the merged vertex over the old one.
        double bound = Math.max(least, over(mesh, mesh.from));
        if (mesh.moves()) {
            bound = Math.max(bound, over(mesh, mesh.to));
            bound = Math.max(bound, under(mesh));
        }
        for (int i = 0; i < oldEdgeCount && bound <= most; i++) {
            for (int j = 0; j < newEdgeCount; j++) {
                if (oldRim[i] != newRim[j]) {
                    bound = Math.max(bound, crossing(i, j));
                }
            }
        }
        return bound;
    }

    private double along(int axis, double px, double py, double pz) {
        return axes[axis] * px + axes[axis + 1] * py + axes[axis + 2] * pz;
    }

    /** Looks for a direction that sees both patches and sets them in its coordinates: that of the area first, then the middle of all facets. */
    private boolean turn(EdgeCollapse mesh) {
        double[] p = mesh.position;
        if (unit.length < 3 * (oldCount + mesh.changedCount)) {
            unit = new double[6 * (oldCount + mesh.changedCount)];
        }
        int count = 0;
        double dx = 0, dy = 0, dz = 0;
        for (int i = 0; i < oldCount; i++) {
            int t = 3 * oldTriangle[i];
            int a = 3 * mesh.vertex[t], b = 3 * mesh.vertex[t + 1], c = 3 * mesh.vertex[t + 2];
            double ex = p[b] - p[a], ey = p[b + 1] - p[a + 1], ez = p[b + 2] - p[a + 2];
            double fx = p[c] - p[a], fy = p[c + 1] - p[a + 1], fz = p[c + 2] - p[a + 2];
            double nx = ey * fz - ez * fy, ny = ez * fx - ex * fz, nz = ex * fy - ey * fx;
            dx += nx;
            dy += ny;
            dz += nz;
            double length = Math.sqrt(nx * nx + ny * ny + nz * nz);
            if (length > 0) {
                unit[count++] = nx / length;
                unit[count++] = ny / length;
                unit[count++] = nz / length;
            }
        }
        double length = Math.sqrt(dx * dx + dy * dy + dz * dz);
        if (length > 0 && turn(mesh, dx / length, dy / length, dz / length)) {
            return true;
        }
        System.arraycopy(mesh.changedNormals(), 0, unit, count, 3 * mesh.changedCount);
        return EdgeCollapse.cone(unit, count / 3 + mesh.changedCount, middle) >= FACING && turn(mesh, middle[0], middle[1], middle[2]);
    }

    /** Sets both patches in a direction's coordinates; returns whether it sees both. */
    private boolean turn(EdgeCollapse mesh, double dx, double dy, double dz) {
        double[] p = mesh.position;
        // Two axes across.
        double hx = Math.abs(dx) < 0.6 ? 1 : 0, hy = hx == 0 ? 1 : 0;
        double ux = hy * dz, uy = -hx * dz, uz = hx * dy - hy * dx;
        double ul = Math.sqrt(ux * ux + uy * uy + uz * uz);
        ux /= ul;
        uy /= ul;
        uz /= ul;
        axes[0] = ux;
        axes[1] = uy;
        axes[2] = uz;
        axes[3] = dy * uz - dz * uy;
        axes[4] = dz * ux - dx * uz;
        axes[5] = dx * uy - dy * ux;
        axes[6] = dx;
        axes[7] = dy;
        axes[8] = dz;
        if (flat.length < 9 * oldCount) {
            flat = new double[18 * oldCount];
        }
        if (oldEdge.length < 12 * oldCount + 6) {
            oldEdge = new double[24 * oldCount + 6];
            oldRim = new int[4 * oldCount + 1];
            oldInner = new int[4 * oldCount + 1];
        }
        oldEdgeCount = 0;
        addOldEdge(mesh, mesh.from, mesh.to);
        for (int i = 0; i < oldCount; i++) {
            int t = 3 * oldTriangle[i];
            for (int k = 0; k < 3; k++) {
                int v = mesh.vertex[t + k];
                put(flat, 9 * i + 3 * k, p[3 * v], p[3 * v + 1], p[3 * v + 2]);
                int w = mesh.vertex[t + (k + 1) % 3];
                boolean inner = v == mesh.from || (mesh.moves() && v == mesh.to);
                boolean other = w == mesh.from || w == mesh.to;
                if (inner && !other) {
                    addOldEdge(mesh, v, w);
                } else if (!inner && v != mesh.to && (w == mesh.from || (mesh.moves() && w == mesh.to))) {
                    addOldEdge(mesh, w, v); // the border's edges have one triangle: some come twice
                }
            }
            if (!faces(flat, 9 * i)) {
                return false;
            }
        }
        int count = mesh.changedCount;
        if (fan.length < 9 * count) {
            fan = new double[18 * count];
        }
        if (newEdge.length < 12 * count) {
            newEdge = new double[24 * count];
            newRim = new int[4 * count];
        }
        newEdgeCount = 0;
        for (int i = 0; i < count; i++) {
            int c = mesh.changed[i];
            int a = mesh.vertex[Adjacency.next(c)], b = mesh.vertex[Adjacency.previous(c)];
            put(fan, 9 * i, mesh.x, mesh.y, mesh.z);
            put(fan, 9 * i + 3, p[3 * a], p[3 * a + 1], p[3 * a + 2]);
            put(fan, 9 * i + 6, p[3 * b], p[3 * b + 1], p[3 * b + 2]);
            addNewEdge(9 * i, 9 * i + 3, a);
            addNewEdge(9 * i, 9 * i + 6, b);
            if (!faces(fan, 9 * i)) {
                return false;
            }
        }
        return true;
    }

    private void addOldEdge(EdgeCollapse mesh, int v, int rim) {
        double[] p = mesh.position;
        oldInner[oldEdgeCount] = v;
        oldRim[oldEdgeCount] = rim;
        put(oldEdge, 6 * oldEdgeCount, p[3 * v], p[3 * v + 1], p[3 * v + 2]);
        put(oldEdge, 6 * oldEdgeCount + 3, p[3 * rim], p[3 * rim + 1], p[3 * rim + 2]);
        oldEdgeCount++;
    }

    private void addNewEdge(int centre, int rim, int vertex) {
        for (int j = 0; j < newEdgeCount; j++) {
            if (newRim[j] == vertex) {
                return;
            }
        }
        newRim[newEdgeCount] = vertex;
        System.arraycopy(fan, centre, newEdge, 6 * newEdgeCount, 3);
        System.arraycopy(fan, rim, newEdge, 6 * newEdgeCount + 3, 3);
        newEdgeCount++;
    }

    private void put(double[] dest, int at, double px, double py, double pz) {
        dest[at] = along(0, px, py, pz);
        dest[at + 1] = along(3, px, py, pz);
        dest[at + 2] = along(6, px, py, pz);
    }

    /** Returns whether a triangle faces the direction; one without area has no side and hides nothing. */
    private static boolean faces(double[] f, int i) {
        double ex = f[i + 3] - f[i], ey = f[i + 4] - f[i + 1], ez = f[i + 5] - f[i + 2];
        double gx = f[i + 6] - f[i], gy = f[i + 7] - f[i + 1], gz = f[i + 8] - f[i + 2];
        double nx = ey * gz - ez * gy, ny = ez * gx - ex * gz, nz = ex * gy - ey * gx;
        return nz >= FACING * Math.sqrt(nx * nx + ny * ny + nz * nz);
    }

    /** Returns the bound that an old inner vertex asks for; 0 outside the new patch. */
    private double over(EdgeCollapse mesh, int v) {
        double[] p = mesh.position;
        double px = p[3 * v], py = p[3 * v + 1], pz = p[3 * v + 2];
        int i = locate(fan, mesh.changedCount, along(0, px, py, pz), along(3, px, py, pz));
        if (i < 0) {
            return 0;
        }
        int c = mesh.changed[i];
        double b0 = 1 - b1 - b2;
        double height = Math.abs(along(6, px, py, pz) - (b0 * fan[9 * i + 2] + b1 * fan[9 * i + 5] + b2 * fan[9 * i + 8]));
        return asked(carried[v] + height,
                b1 * carried[mesh.vertex[Adjacency.next(c)]] + b2 * carried[mesh.vertex[Adjacency.previous(c)]], b0);
    }

    /** Returns the bound that the old patch asks for where the merged vertex is. */
    private double under(EdgeCollapse mesh) {
        int i = locate(flat, oldCount, along(0, mesh.x, mesh.y, mesh.z), along(3, mesh.x, mesh.y, mesh.z));
        if (i < 0) {
            return Double.POSITIVE_INFINITY; // the new patch would be folded
        }
        int t = 3 * oldTriangle[i];
        double b0 = 1 - b1 - b2;
        double height = Math
                .abs(along(6, mesh.x, mesh.y, mesh.z) - (b0 * flat[9 * i + 2] + b1 * flat[9 * i + 5] + b2 * flat[9 * i + 8]));
        return b0 * carried[mesh.vertex[t]] + b1 * carried[mesh.vertex[t + 1]] + b2 * carried[mesh.vertex[t + 2]] + height;
    }

    /** Returns the bound of the merged vertex with which a point that it shares in has at least {@code total}, of which others bring {@code others}. */
    private static double asked(double total, double others, double share) {
        double missing = total - others;
        if (missing <= ROUNDING) {
            return 0;
        }
        return share > 0 ? missing / share : Double.POSITIVE_INFINITY;
    }

    /** Returns which triangle a point is in, and sets its barycentrics; −1 outside all. */
    private int locate(double[] f, int count, double px, double py) {
        double best = -OUTSIDE;
        int found = -1;
        for (int n = 0; n < count; n++) {
            int i = 9 * n;
            double ex = f[i + 3] - f[i], ey = f[i + 4] - f[i + 1], gx = f[i + 6] - f[i], gy = f[i + 7] - f[i + 1];
            double area = ex * gy - ey * gx;
            if (!(area > 0)) {
                continue;
            }
            double qx = px - f[i], qy = py - f[i + 1];
            double s1 = (qx * gy - qy * gx) / area, s2 = (ex * qy - ey * qx) / area;
            double inside = Math.min(Math.min(s1, s2), 1 - s1 - s2);
            if (inside > best) {
                best = inside;
                found = n;
                b1 = s1;
                b2 = s2;
            }
        }
        return found;
    }

    /** Returns the bound that the crossing of an old and a new edge asks for; 0 where they don't cross. */
    private double crossing(int oldEdgeIndex, int newEdgeIndex) {
        int i = 6 * oldEdgeIndex, j = 6 * newEdgeIndex;
        double[] o = oldEdge, n = newEdge;
        double ox = o[i + 3] - o[i], oy = o[i + 4] - o[i + 1];
        double nx = n[j + 3] - n[j], ny = n[j + 4] - n[j + 1];
        double cross = ox * ny - oy * nx;
        if (cross == 0) {
            return 0; // along each other: their ends count as vertices
        }
        double dx = n[j] - o[i], dy = n[j + 1] - o[i + 1];
        double s = (dx * ny - dy * nx) / cross, t = (dx * oy - dy * ox) / cross;
        if (!(s >= 0 && s <= 1 && t >= 0 && t <= 1)) {
            return 0;
        }
        double height = Math.abs(o[i + 2] + s * (o[i + 5] - o[i + 2]) - (n[j + 2] + t * (n[j + 5] - n[j + 2])));
        double before = (1 - s) * carried[oldInner[oldEdgeIndex]] + s * carried[oldRim[oldEdgeIndex]];
        return asked(before + height, t * carried[newRim[newEdgeIndex]], 1 - t);
    }
}
