package org.estampage.mesh;

import java.util.Arrays;

/**
 * Which edges of triangles meet. Edge 3t + k of triangle t runs from corner k to corner k + 1, over welded positions.
 *
 * <p>The arrays are owned by this object and must not be changed.
 *
 * @threads immutable by contract
 */
public final class Adjacency {
    /** The opposite of an edge that only one triangle has. */
    public static final int BOUNDARY = -1;
    /** The opposite of an edge that more than two triangles have, or two that run the same way. */
    public static final int NON_MANIFOLD = -2;

    private final int[] vertices;
    private final int[] opposite;

    private Adjacency(int[] vertices, int[] opposite) {
        this.vertices = vertices;
        this.opposite = opposite;
    }

    /**
     * Pairs the edges of a mesh.
     *
     * @cost linear time and memory: edges are sorted by their lower vertex with counting, then by the upper one within each
     */
    public static Adjacency of(Mesh mesh) {
        int[] canonical = Welding.canonicalVertices(mesh);
        int[] corners = mesh.positionIndices();
        int[] vertices = new int[corners.length];
        for (int c = 0; c < corners.length; c++) {
            vertices[c] = canonical[corners[c]];
        }
        return new Adjacency(vertices, pair(vertices, mesh.vertexCount()));
    }

    private static int[] pair(int[] vertices, int vertexCount) {
        int edges = vertices.length;
        int[] start = new int[vertexCount + 1];
        for (int e = 0; e < edges; e++) {
            start[Math.min(vertices[e], vertices[next(e)]) + 1]++;
        }
        for (int v = 0; v < vertexCount; v++) {
            start[v + 1] += start[v];
        }
        // Of each lower vertex the edges, as (upper vertex, edge) in one number, so that sorting brings equal edges together.
        long[] keys = new long[edges];
        int[] fill = start.clone();
        for (int e = 0; e < edges; e++) {
            int a = vertices[e], b = vertices[next(e)];
            keys[fill[Math.min(a, b)]++] = (long) Math.max(a, b) << 32 | e;
        }
        int[] opposite = new int[edges];
        for (int v = 0; v < vertexCount; v++) {
            Arrays.sort(keys, start[v], start[v + 1]);
            for (int i = start[v]; i < start[v + 1];) {
                int upper = (int) (keys[i] >>> 32);
                int end = i + 1;
                while (end < start[v + 1] && (int) (keys[end] >>> 32) == upper) {
                    end++;
                }
                int first = (int) keys[i];
                if (upper != v && end - i == 1) {
                    opposite[first] = BOUNDARY;
                } else if (upper != v && end - i == 2 && vertices[first] != vertices[(int) keys[i + 1]]) {
                    opposite[first] = (int) keys[i + 1];
                    opposite[(int) keys[i + 1]] = first;
                } else { // a repeated vertex is no edge at all
                    for (int j = i; j < end; j++) {
                        opposite[(int) keys[j]] = NON_MANIFOLD;
                    }
                }
                i = end;
            }
        }
        return opposite;
    }

    /** Returns the next edge of the same triangle. */
    public static int next(int edge) {
        return edge % 3 == 2 ? edge - 2 : edge + 1;
    }

    /** Returns the previous edge of the same triangle. */
    public static int previous(int edge) {
        return edge % 3 == 0 ? edge + 2 : edge - 1;
    }

    /** Returns the edge on the other side, {@link #BOUNDARY} or {@link #NON_MANIFOLD}. */
    public int opposite(int edge) {
        return opposite[edge];
    }

    /** Returns the welded vertex that an edge starts at. */
    public int vertex(int edge) {
        return vertices[edge];
    }

    /** Returns the number of edges of triangles: three times their number. */
    public int edgeCount() {
        return opposite.length;
    }
}
