package org.estampage.testresources;

/**
 * Even grids on the unit sphere.
 *
 * @threads stateless
 */
final class SphereGrids {
    private static final int[] FACES = {0, 11, 5, 0, 5, 1, 0, 1, 7, 0, 7, 10, 0, 10, 11, 1, 5, 9, 5, 11, 4, 11, 10, 2, 10, 7, 6, 7, 1, 8, 3,
            9, 4, 3, 4, 2, 3,
            2, 6, 3, 6, 8, 3, 8, 9, 4, 9, 5, 2, 4, 11, 6, 2, 10, 8, 6, 7, 9, 8, 1};

    private SphereGrids() {
    }

    /** Returns the directions of an icosahedron's twelve corners. */
    private static double[] corners() {
        double golden = (1 + Math.sqrt(5)) / 2;
        double scale = 1 / Math.sqrt(1 + golden * golden);
        double a = scale;
        double b = golden * scale;
        return new double[] {-a, b, 0, a, b, 0, -a, -b, 0, a, -b, 0, 0, -a, b, 0, a, b, 0, -a, -b, 0, a, -b, b, 0, -a, b, 0, a, -b, 0, -a,
                -b, 0, a};
    }

    /** Returns an icosahedron with every edge cut into {@code cuts}, pushed onto the unit sphere: 10 · cuts² + 2 vertices, 20 · cuts² triangles. */
    static Shape icosphere(int cuts) {
        double[] corner = corners();
        int inner = (cuts - 1) * (cuts - 2) / 2;
        int[] edgeStart = new int[12 * 12];
        float[] p = new float[3 * (10 * cuts * cuts + 2)];
        int next = 0;
        for (int v = 0; v < 12; v++) {
            Shapes.set(p, next++, corner[3 * v], corner[3 * v + 1], corner[3 * v + 2]);
        }
        // Every edge belongs to two triangles and gets its vertices once, counted from its lower corner.
        for (int f = 0; f < 60; f++) {
            int a = FACES[f];
            int b = FACES[f % 3 == 2 ? f - 2 : f + 1];
            if (a < b) {
                edgeStart[12 * a + b] = next;
                for (int i = 1; i < cuts; i++) {
                    put(p, next++, corner, a, cuts - i, b, i, a, 0);
                }
            }
        }
        int[] t = new int[60 * cuts * cuts];
        int at = 0;
        for (int f = 0; f < 60; f += 3) {
            int a = FACES[f];
            int b = FACES[f + 1];
            int c = FACES[f + 2];
            int first = next;
            for (int j = 1; j < cuts - 1; j++) {
                for (int i = 1; i < cuts - j; i++) {
                    put(p, next++, corner, a, cuts - i - j, b, i, c, j);
                }
            }
            assert next - first == inner;
            for (int j = 0; j < cuts; j++) {
                for (int i = 0; i < cuts - j; i++) {
                    t[at++] = vertex(i, j, cuts, a, b, c, first, edgeStart);
                    t[at++] = vertex(i + 1, j, cuts, a, b, c, first, edgeStart);
                    t[at++] = vertex(i, j + 1, cuts, a, b, c, first, edgeStart);
                    if (i + j < cuts - 1) {
                        t[at++] = vertex(i + 1, j, cuts, a, b, c, first, edgeStart);
                        t[at++] = vertex(i + 1, j + 1, cuts, a, b, c, first, edgeStart);
                        t[at++] = vertex(i, j + 1, cuts, a, b, c, first, edgeStart);
                    }
                }
            }
        }
        return new Shape(p, t);
    }

    /** Returns the vertex i steps from a towards b and j steps towards c. */
    private static int vertex(int i, int j, int cuts, int a, int b, int c, int first, int[] edgeStart) {
        int k = cuts - i - j;
        if (k == cuts) {
            return a;
        }
        if (i == cuts) {
            return b;
        }
        if (j == cuts) {
            return c;
        }
        if (j == 0) {
            return onEdge(a, b, i, cuts, edgeStart);
        }
        if (i == 0) {
            return onEdge(a, c, j, cuts, edgeStart);
        }
        if (k == 0) {
            return onEdge(b, c, j, cuts, edgeStart);
        }
        // Row j holds cuts − 1 − j inner vertices.
        int before = (j - 1) * (cuts - 1) - (j - 1) * j / 2;
        return first + before + i - 1;
    }

    private static int onEdge(int a, int b, int steps, int cuts, int[] edgeStart) {
        return a < b ? edgeStart[12 * a + b] + steps - 1 : edgeStart[12 * b + a] + cuts - steps - 1;
    }

    private static void put(float[] p, int vertex, double[] corner, int a, int wa, int b, int wb, int c, int wc) {
        double x = corner[3 * a] * wa + corner[3 * b] * wb + corner[3 * c] * wc;
        double y = corner[3 * a + 1] * wa + corner[3 * b + 1] * wb + corner[3 * c + 1] * wc;
        double z = corner[3 * a + 2] * wa + corner[3 * b + 2] * wb + corner[3 * c + 2] * wc;
        double length = Math.sqrt(x * x + y * y + z * z);
        Shapes.set(p, vertex, x / length, y / length, z / length);
    }
}
