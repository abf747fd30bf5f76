package org.estampage.mesh;

import java.util.Arrays;
import org.estampage.task.Task;

/**
 * Which triangle lies across each edge. Vertices at exactly the same position count as one, so UV seams and split vertices don't tear the surface.
 *
 * <p>Edge 3t + k runs from corner k of triangle t to the next corner. Two edges are opposite when they are the only two between their vertices and
 * run in opposite directions.
 *
 * @threads immutable
 */
public final class Adjacency {
    /** Stands for the missing neighbour of an edge that one triangle has alone. */
    public static final int BOUNDARY = -1;
    /**
     * Stands for the missing neighbour of an edge that more than two triangles share, or two that run through it in the same direction; also for the
     * edges of a triangle that stands on one vertex twice, which takes no part in pairing.
     */
    public static final int NON_MANIFOLD = -2;

    private final int[] cornerVertex;
    private final int vertexCount;
    private final int[] opposite;

    private Adjacency(int[] cornerVertex, int vertexCount, int[] opposite) {
        this.cornerVertex = cornerVertex;
        this.vertexCount = vertexCount;
        this.opposite = opposite;
    }

    /**
     * Pairs the edges of a mesh.
     *
     * @edge a triangle with two corners at the same position is left out: its neighbours face each other across it
     * @cost O(triangles) time, O(d log d) at a vertex of d > 24 edges; allocates six to nine ints a triangle, keeps six
     */
    public static Adjacency of(Mesh mesh) {
        return of(mesh, Welding.canonicalVertices(mesh));
    }

    /**
     * Pairs the edges of a mesh whose welding is known.
     *
     * @param canonical what {@link Welding#canonicalVertices} returned for this mesh
     * @throws IllegalArgumentException if there is not one number a vertex
     */
    public static Adjacency of(Mesh mesh, int[] canonical) {
        return of(mesh, canonical, Task.silent());
    }

    /**
     * Does the same for a task, which can be cancelled.
     *
     * @throws IllegalArgumentException                   if there is not one number a vertex
     * @throws java.util.concurrent.CancellationException if it is cancelled
     */
    public static Adjacency of(Mesh mesh, int[] canonical, Task task) {
        if (canonical.length != mesh.vertexCount()) {
            throw new IllegalArgumentException(
                    "canonical: " + canonical.length + " numbers are given, " + mesh.vertexCount() + " vertices need one each");
        }
        return of(Welding.cornerVertices(mesh, canonical), canonical.length, task);
    }

    /** Pairs the edges of triangles that name a vertex a corner. */
    static Adjacency of(int[] corners, int vertexCount) {
        return of(corners, vertexCount, Task.silent());
    }

    private static Adjacency of(int[] corners, int vertexCount, Task task) {
        int[] opposite = new int[corners.length];
        boolean[] skipped = new boolean[corners.length / 3];
        for (int t = 0; t < skipped.length; t++) {
            skipped[t] = repeats(corners, t);
        }
        task.check();
        EdgeRuns runs = new EdgeRuns(corners, vertexCount, skipped, task);
        int[] order = runs.order();
        Arrays.fill(opposite, NON_MANIFOLD);
        int run = 0;
        for (int from = 0; from < order.length;) {
            task.check(run++);
            int to = runs.endOf(from);
            int edge = order[from];
            if (to == from + 1) {
                opposite[edge] = BOUNDARY;
            } else if (to == from + 2 && corners[edge] != corners[order[from + 1]]) {
                opposite[edge] = order[from + 1];
                opposite[order[from + 1]] = edge;
            }
            from = to;
        }
        return new Adjacency(corners, vertexCount, opposite);
    }

    /**
     * Returns whether a triangle stands on one vertex twice.
     *
     * @param corners a vertex a triangle corner
     */
    public static boolean repeats(int[] corners, int triangle) {
        int a = corners[3 * triangle], b = corners[3 * triangle + 1], c = corners[3 * triangle + 2];
        return a == b || b == c || c == a;
    }

    /**
     * Returns the opposite edge of each edge; not to be changed.
     *
     * @shape one edge number an edge 3t + k, or {@link #BOUNDARY}, or {@link #NON_MANIFOLD}
     */
    public int[] opposite() {
        return opposite;
    }

    /** Returns the opposite edge of an edge, {@link #BOUNDARY} or {@link #NON_MANIFOLD}. */
    public int opposite(int edge) {
        return opposite[edge];
    }

    /** Returns the number of edges of triangles: three times their number. */
    public int edgeCount() {
        return opposite.length;
    }

    /** Returns the welded vertex that an edge starts at. */
    public int vertex(int edge) {
        return cornerVertex[edge];
    }

    /** Returns the welded vertex of each triangle corner, which is also where edge 3t + k starts; not to be changed. */
    public int[] cornerVertices() {
        return cornerVertex;
    }

    /**
     * Numbers the fans: corners that hang together around their vertex over edges at which none ends, in the order of their first corners.
     *
     * @param ends of each edge, whether fans end there; those without an opposite edge must
     * @param dest takes a number a corner; −1 in triangles that stand on one vertex twice
     * @return how many fans there are
     */
    public int fans(boolean[] ends, int[] dest) {
        Arrays.fill(dest, -1);
        int next = 0;
        for (int c = 0; c < dest.length; c++) {
            if (dest[c] >= 0 || repeats(cornerVertex, c / 3)) {
                continue;
            }
            int corner = c;
            boolean open;
            do {
                dest[corner] = next;
                open = ends[corner];
                corner = open ? -1 : next(opposite[corner]);
            } while (!open && corner != c);
            if (open) {
                for (int e = previous(c); !ends[e]; e = previous(opposite[e])) {
                    dest[opposite[e]] = next;
                }
            }
            next++;
        }
        return next;
    }

    /** Returns for each edge whether it has no opposite one. */
    boolean[] borders() {
        boolean[] borders = new boolean[opposite.length];
        for (int e = 0; e < borders.length; e++) {
            borders[e] = opposite[e] < 0;
        }
        return borders;
    }

    /** Returns the same triangles with other pairs of edges; the array is shared. */
    Adjacency paired(int[] otherOpposite) {
        return new Adjacency(cornerVertex, vertexCount, otherOpposite);
    }

    /** Returns for each triangle whether it has no {@link #NON_MANIFOLD} edge, or takes no part. */
    boolean[] inOrder() {
        boolean[] inOrder = new boolean[cornerVertex.length / 3];
        for (int t = 0; t < inOrder.length; t++) {
            inOrder[t] = repeats(cornerVertex, t) || (opposite[3 * t] != NON_MANIFOLD && opposite[3 * t + 1] != NON_MANIFOLD
                    && opposite[3 * t + 2] != NON_MANIFOLD);
        }
        return inOrder;
    }

    /** Returns the edges of some triangles, brought together. Without those {@link #inOrder}, few are left in which to tell the others apart. */
    EdgeRuns runs(boolean[] skipped) {
        return new EdgeRuns(cornerVertex, vertexCount, skipped);
    }

    /** Returns the edge that follows an edge around its triangle. */
    public static int next(int edge) {
        return EdgeRuns.next(edge);
    }

    /** Returns the edge that comes before an edge around its triangle. */
    public static int previous(int edge) {
        return EdgeRuns.previous(edge);
    }
}
