package org.estampage.testresources;

import java.util.Arrays;

/**
 * Measures of a shape that closed forms speak about: area, volume, Euler characteristic, open and doubtful edges, connected pieces.
 *
 * @units mesh units
 * @threads stateless
 */
public final class ShapeMeasures {
    private ShapeMeasures() {
    }

    /** Returns the surface area. */
    public static double area(Shape shape) {
        double[] cross = new double[3];
        double twice = 0;
        for (int t = 0; t < shape.triangleCount(); t++) {
            cross(shape, t, cross);
            twice += Math.sqrt(cross[0] * cross[0] + cross[1] * cross[1] + cross[2] * cross[2]);
        }
        return twice / 2;
    }

    /** Returns the volume that a closed shape encloses, negative if it is inside out. */
    public static double volume(Shape shape) {
        double[] cross = new double[3];
        double six = 0;
        float[] p = shape.positions();
        for (int t = 0; t < shape.triangleCount(); t++) {
            cross(shape, t, cross);
            int a = 3 * shape.triangles()[3 * t];
            six += p[a] * cross[0] + p[a + 1] * cross[1] + p[a + 2] * cross[2];
        }
        return six / 6;
    }

    private static void cross(Shape shape, int triangle, double[] dest) {
        float[] p = shape.positions();
        int a = 3 * shape.triangles()[3 * triangle];
        int b = 3 * shape.triangles()[3 * triangle + 1];
        int c = 3 * shape.triangles()[3 * triangle + 2];
        double ux = (double) p[b] - p[a];
        double uy = (double) p[b + 1] - p[a + 1];
        double uz = (double) p[b + 2] - p[a + 2];
        double vx = (double) p[c] - p[a];
        double vy = (double) p[c + 1] - p[a + 1];
        double vz = (double) p[c + 2] - p[a + 2];
        dest[0] = uy * vz - uz * vy;
        dest[1] = uz * vx - ux * vz;
        dest[2] = ux * vy - uy * vx;
    }

    /** Returns vertices − edges + triangles: 2 for a sphere, 0 for a torus. Vertices that no triangle uses do not count. */
    public static int eulerCharacteristic(Shape shape) {
        boolean[] used = new boolean[shape.vertexCount()];
        int vertices = 0;
        for (int v : shape.triangles()) {
            if (!used[v]) {
                used[v] = true;
                vertices++;
            }
        }
        long[] edges = directedEdges(shape);
        for (int i = 0; i < edges.length; i++) {
            edges[i] = undirected(edges[i]);
        }
        Arrays.sort(edges);
        int distinct = 0;
        for (int i = 0; i < edges.length; i++) {
            if (i == 0 || edges[i] != edges[i - 1]) {
                distinct++;
            }
        }
        return vertices - distinct + shape.triangleCount();
    }

    /** Returns how many edges have one triangle only. */
    public static int openEdgeCount(Shape shape) {
        long[] edges = directedEdges(shape);
        Arrays.sort(edges);
        int open = 0;
        for (long edge : edges) {
            if (Arrays.binarySearch(edges, edge >>> 32 | edge << 32) < 0) {
                open++;
            }
        }
        return open;
    }

    /** Returns how many triangle sides run the same way as another one's between the same vertices: more than two triangles, or a flipped one. */
    public static int doubtfulEdgeCount(Shape shape) {
        long[] edges = directedEdges(shape);
        Arrays.sort(edges);
        int doubtful = 0;
        for (int i = 1; i < edges.length; i++) {
            if (edges[i] == edges[i - 1]) {
                doubtful++;
            }
        }
        return doubtful;
    }

    /** Returns how many pieces hang together by shared vertices. */
    public static int pieceCount(Shape shape) {
        int[] parent = new int[shape.vertexCount()];
        boolean[] used = new boolean[shape.vertexCount()];
        Arrays.setAll(parent, v -> v);
        int[] t = shape.triangles();
        for (int i = 0; i < t.length; i += 3) {
            for (int k = 0; k < 3; k++) {
                used[t[i + k]] = true;
                parent[root(parent, t[i + k])] = root(parent, t[i]);
            }
        }
        int pieces = 0;
        for (int v = 0; v < parent.length; v++) {
            if (used[v] && root(parent, v) == v) {
                pieces++;
            }
        }
        return pieces;
    }

    private static int root(int[] parent, int vertex) {
        int v = vertex;
        while (parent[v] != v) {
            parent[v] = parent[parent[v]];
            v = parent[v];
        }
        return v;
    }

    private static long[] directedEdges(Shape shape) {
        int[] t = shape.triangles();
        long[] edges = new long[t.length];
        for (int i = 0; i < t.length; i += 3) {
            for (int k = 0; k < 3; k++) {
                edges[i + k] = (long) t[i + k] << 32 | t[i + (k + 1) % 3];
            }
        }
        return edges;
    }

    private static long undirected(long edge) {
        return Math.min(edge, edge >>> 32 | edge << 32);
    }
}
