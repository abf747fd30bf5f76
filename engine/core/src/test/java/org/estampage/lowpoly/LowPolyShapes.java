package org.estampage.lowpoly;

import java.util.Arrays;
import java.util.HashMap;
import java.util.Map;
import org.estampage.mesh.Adjacency;
import org.estampage.mesh.Mesh;
import org.estampage.testresources.Shape;

/** Meshes and measures for the tests of this package. */
final class LowPolyShapes {
    private LowPolyShapes() {
    }

    static Mesh mesh(Shape shape) {
        return Mesh.builder(shape.positions(), shape.triangles()).name("shape").build();
    }

    /** A square 0 … 1 in x and y, cut into columns × rows cells. */
    static Mesh square(int columns, int rows) {
        float[] p = new float[3 * (columns + 1) * (rows + 1)];
        for (int j = 0; j <= rows; j++) {
            for (int i = 0; i <= columns; i++) {
                int v = 3 * (j * (columns + 1) + i);
                p[v] = (float) i / columns;
                p[v + 1] = (float) j / rows;
            }
        }
        return Mesh.builder(p, cells(columns, rows, columns + 1)).name("square").build();
    }

    /** Two triangles a cell of a grid whose rows have so many vertices. */
    static int[] cells(int columns, int rows, int stride) {
        int[] t = new int[6 * columns * rows];
        int at = 0;
        for (int j = 0; j < rows; j++) {
            for (int i = 0; i < columns; i++) {
                int a = j * stride + i, b = a + 1, c = b + stride, d = a + stride;
                for (int v : new int[] {a, b, c, a, c, d}) {
                    t[at++] = v;
                }
            }
        }
        return t;
    }

    /** Edges that more than two triangles share, or two in the same direction, over welded positions. */
    static long nonManifoldEdges(Mesh mesh) {
        return Arrays.stream(Adjacency.of(mesh).opposite()).filter(o -> o == Adjacency.NON_MANIFOLD).count();
    }

    static long openEdges(Mesh mesh) {
        return Arrays.stream(Adjacency.of(mesh).opposite()).filter(o -> o == Adjacency.BOUNDARY).count();
    }

    /** V − E + F over welded positions that triangles use. */
    static int eulerCharacteristic(Mesh mesh) {
        Adjacency adjacency = Adjacency.of(mesh);
        Map<Long, Integer> edges = new HashMap<>();
        boolean[] used = new boolean[mesh.vertexCount()];
        int vertices = 0;
        for (int e = 0; e < adjacency.edgeCount(); e++) {
            int a = adjacency.vertex(e), b = adjacency.vertex(Adjacency.next(e));
            vertices += used[a] ? 0 : 1;
            used[a] = true;
            edges.merge((long) Math.min(a, b) << 32 | Math.max(a, b), 1, Integer::sum);
        }
        return vertices - edges.size() + mesh.triangleCount();
    }

    /** Unit normals in double, nine numbers of the corners' places ignored when the triangle has no area. */
    static double[] normal(Mesh mesh, int t) {
        float[] p = mesh.positions();
        int[] i = mesh.positionIndices();
        double[] e = new double[6];
        for (int k = 0; k < 3; k++) {
            e[k] = (double) p[3 * i[3 * t + 1] + k] - p[3 * i[3 * t] + k];
            e[3 + k] = (double) p[3 * i[3 * t + 2] + k] - p[3 * i[3 * t] + k];
        }
        double[] n = {e[1] * e[5] - e[2] * e[4], e[2] * e[3] - e[0] * e[5], e[0] * e[4] - e[1] * e[3]};
        double length = Math.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]);
        return length > 0 ? new double[] {n[0] / length, n[1] / length, n[2] / length} : n;
    }

    static double area(Mesh mesh, int t) {
        float[] p = mesh.positions();
        int[] i = mesh.positionIndices();
        double[] e = new double[6];
        for (int k = 0; k < 3; k++) {
            e[k] = (double) p[3 * i[3 * t + 1] + k] - p[3 * i[3 * t] + k];
            e[3 + k] = (double) p[3 * i[3 * t + 2] + k] - p[3 * i[3 * t] + k];
        }
        double x = e[1] * e[5] - e[2] * e[4], y = e[2] * e[3] - e[0] * e[5], z = e[0] * e[4] - e[1] * e[3];
        return Math.sqrt(x * x + y * y + z * z) / 2;
    }

    static double area(Mesh mesh) {
        double sum = 0;
        for (int t = 0; t < mesh.triangleCount(); t++) {
            sum += area(mesh, t);
        }
        return sum;
    }

    /** How many welded vertices have no direction with a positive cosine to all their facets, by a search that is finer than the one under test. */
    static int blindVertices(Mesh mesh) {
        Adjacency adjacency = Adjacency.of(mesh);
        double[][] normals = new double[mesh.triangleCount()][];
        for (int t = 0; t < normals.length; t++) {
            normals[t] = normal(mesh, t);
        }
        int[][] around = new int[mesh.vertexCount()][];
        int[] count = new int[mesh.vertexCount()];
        for (int c = 0; c < adjacency.edgeCount(); c++) {
            int v = adjacency.vertex(c);
            if (around[v] == null) {
                around[v] = new int[8];
            }
            if (count[v] == around[v].length) {
                around[v] = Arrays.copyOf(around[v], 2 * count[v]);
            }
            around[v][count[v]++] = c / 3;
        }
        int blind = 0;
        for (int v = 0; v < count.length; v++) {
            if (count[v] > 0 && !sees(around[v], count[v], normals)) {
                blind++;
            }
        }
        return blind;
    }

    /** Steps towards the facet that is seen worst (the perceptron of linear separation: ends if a direction exists). */
    private static boolean sees(int[] triangles, int count, double[][] normals) {
        double x = 0, y = 0, z = 0;
        for (int step = 0; step < 20_000; step++) {
            double least = Double.POSITIVE_INFINITY;
            int worst = -1;
            for (int i = 0; i < count; i++) {
                double[] n = normals[triangles[i]];
                double dot = n[0] * x + n[1] * y + n[2] * z;
                if (dot < least && (n[0] != 0 || n[1] != 0 || n[2] != 0)) {
                    least = dot;
                    worst = triangles[i];
                }
            }
            if (worst < 0 || least > 0) {
                return true;
            }
            x += normals[worst][0];
            y += normals[worst][1];
            z += normals[worst][2];
        }
        return false;
    }
}
