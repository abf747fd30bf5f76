package org.estampage.testresources;

import java.util.Arrays;

/**
 * Makes shapes dirty in the ways that scans and conversions do, each by a known number of faults. None moves or drops a triangle that is there, except
 * where a method says so; what is added comes last.
 *
 * @threads stateless
 */
public final class DirtyShapes {
    private DirtyShapes() {
    }

    /** Returns the shape with three vertices of its own for each triangle: triangle t stands on 3t, 3t + 1, 3t + 2. */
    public static Shape unwelded(Shape shape) {
        float[] p = new float[3 * shape.triangles().length];
        int[] t = new int[shape.triangles().length];
        for (int c = 0; c < t.length; c++) {
            System.arraycopy(shape.positions(), 3 * shape.triangles()[c], p, 3 * c, 3);
            t[c] = c;
        }
        return new Shape(p, t);
    }

    /** Returns the shape with more triangles on its own vertices. */
    public static Shape withTriangles(Shape shape, int... vertices) {
        return new Shape(shape.positions(), joined(shape.triangles(), vertices));
    }

    /** Returns the shape with some of its triangles a second time. */
    public static Shape withCopies(Shape shape, int... triangles) {
        int[] more = new int[3 * triangles.length];
        for (int i = 0; i < triangles.length; i++) {
            System.arraycopy(shape.triangles(), 3 * triangles[i], more, 3 * i, 3);
        }
        return withTriangles(shape, more);
    }

    /** Returns the shape with a triangle on each three vertices and another one that looks the other way. */
    public static Shape withOppositePairs(Shape shape, int... vertices) {
        int[] more = new int[2 * vertices.length];
        for (int i = 0; i < vertices.length; i += 3) {
            int[] pair = {vertices[i], vertices[i + 1], vertices[i + 2], vertices[i], vertices[i + 2], vertices[i + 1]};
            System.arraycopy(pair, 0, more, 2 * i, 6);
        }
        return withTriangles(shape, more);
    }

    /** Returns the shape with both sides of each of its triangles: after all of them, all again, turned over. */
    public static Shape twoSided(Shape shape) {
        int[] back = shape.triangles().clone();
        for (int c = 0; c < back.length; c += 3) {
            back[c + 1] = shape.triangles()[c + 2];
            back[c + 2] = shape.triangles()[c + 1];
        }
        return withTriangles(shape, back);
    }

    /** Returns the shape with a triangle on each edge 3t + k that stands off from it: the edge then has one triangle more. Its tip is a new vertex. */
    public static Shape withFins(Shape shape, double height, int... edges) {
        float[] p = Arrays.copyOf(shape.positions(), shape.positions().length + 3 * edges.length);
        int[] more = new int[3 * edges.length];
        int[] t = shape.triangles();
        for (int i = 0; i < edges.length; i++) {
            int a = t[edges[i]], b = t[edges[i] % 3 == 2 ? edges[i] - 2 : edges[i] + 1], tip = shape.vertexCount() + i;
            for (int k = 0; k < 3; k++) { // outwards, for shapes about the origin
                p[3 * tip + k] = (float) ((1 + height) * ((double) p[3 * a + k] + p[3 * b + k]) / 2);
            }
            more[3 * i] = a;
            more[3 * i + 1] = b;
            more[3 * i + 2] = tip;
        }
        return new Shape(p, joined(t, more));
    }

    /** Returns the shape with an edge 3t + k cut in the middle on one side only: triangle t becomes one half, the other half and a triangle without area
     * that fills the gap come last. What was closed stays closed. */
    public static Shape withFlatTriangle(Shape shape, int edge) {
        int[] t = shape.triangles().clone();
        int next = edge % 3 == 2 ? edge - 2 : edge + 1, last = edge % 3 == 0 ? edge + 2 : edge - 1;
        int a = t[edge], b = t[next], c = t[last], middle = shape.vertexCount();
        float[] p = Arrays.copyOf(shape.positions(), shape.positions().length + 3);
        for (int k = 0; k < 3; k++) {
            p[3 * middle + k] = (float) (((double) p[3 * a + k] + p[3 * b + k]) / 2);
        }
        t[next] = middle;
        return new Shape(p, joined(t, new int[] {middle, b, c, a, b, middle}));
    }

    /** Returns the shape with so many vertices that no triangle uses. */
    public static Shape withUnused(Shape shape, int count) {
        float[] p = Arrays.copyOf(shape.positions(), shape.positions().length + 3 * count);
        for (int i = shape.positions().length; i < p.length; i++) {
            p[i] = i;
        }
        return new Shape(p, shape.triangles());
    }

    /** Returns two pyramids on squares, tip on tip: the tip, vertex 0, is one vertex with two fans. Each is closed and has six triangles. */
    public static Shape tipOnTip() {
        float[] p = new float[27];
        for (int v = 1; v <= 8; v++) {
            int side = (v - 1) % 4;
            p[3 * v] = side == 0 || side == 3 ? -1 : 1;
            p[3 * v + 1] = v <= 4 ? 1 : -1;
            p[3 * v + 2] = side < 2 ? -1 : 1;
        }
        return new Shape(p,
                new int[] {0, 2, 1, 0, 3, 2, 0, 4, 3, 0, 1, 4, 1, 2, 3, 1, 3, 4, 0, 5, 6, 0, 6, 7, 0, 7, 8, 0, 8, 5, 5, 7, 6, 5, 8, 7});
    }

    private static int[] joined(int[] a, int[] b) {
        int[] both = Arrays.copyOf(a, a.length + b.length);
        System.arraycopy(b, 0, both, a.length, b.length);
        return both;
    }
}
