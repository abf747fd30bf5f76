package org.estampage.lowpoly;

import org.estampage.mesh.FacetNormals;
import org.estampage.mesh.Mesh;

/**
 * Points spread evenly over a mesh's area, the same ones every time: point i lies in the triangle that holds the (i + ½)-th part of the area, at the
 * i-th place of an even sequence.
 *
 * @threads immutable
 * @source the sequence: Roberts, The Unreasonable Effectiveness of Quasirandom Sequences, 2018 (from memory)
 */
final class Samples {
    // The plane's most even additive sequence: 1/g and 1/g² for g³ = g + 1, about 1.3247.
    private static final double STEP_1 = 0.7548776662466927;
    private static final double STEP_2 = 0.5698402909980532;

    private final int[] triangle;
    private final double area;

    private Samples(int[] triangle, double area) {
        this.triangle = triangle;
        this.area = area;
    }

    static Samples over(Mesh mesh, int count) {
        double[] sums = FacetNormals.areas(mesh);
        double total = 0;
        for (int t = 0; t < sums.length; t++) {
            total += sums[t];
            sums[t] = total;
        }
        int[] triangle = new int[count];
        int t = 0;
        for (int i = 0; i < count; i++) {
            double at = (i + 0.5) / count * total;
            while (t < sums.length - 1 && sums[t] <= at) {
                t++;
            }
            triangle[i] = t;
        }
        return new Samples(triangle, total);
    }

    /** Returns the mesh's area. */
    double area() {
        return area;
    }

    /** Returns the triangle that a point is on. */
    int triangle(int i) {
        return triangle[i];
    }

    /** Sets a value at a point, interpolated between the corners. */
    void at(int i, float[] values, int components, int[] indices, double[] dest) {
        within(triangle[i], i, values, components, indices, dest);
    }

    /** Sets a value at the i-th place of the even sequence in a triangle, interpolated between the corners. */
    static void within(int triangle, int i, float[] values, int components, int[] indices, double[] dest) {
        double s1 = 0.5 + (i + 1) * STEP_1, s2 = 0.5 + (i + 1) * STEP_2;
        s1 -= Math.floor(s1);
        s2 -= Math.floor(s2);
        // The square folded onto the triangle.
        boolean beyond = s1 + s2 > 1;
        at(triangle, beyond ? 1 - s1 : s1, beyond ? 1 - s2 : s2, values, components, indices, dest);
    }

    /** Sets a value at a place of a triangle, interpolated between the corners. */
    static void at(int triangle, double b1, double b2, float[] values, int components, int[] indices, double[] dest) {
        int a = components * indices[3 * triangle], b = components * indices[3 * triangle + 1], c = components * indices[3 * triangle + 2];
        double b0 = 1 - b1 - b2;
        for (int k = 0; k < components; k++) {
            dest[k] = b0 * values[a + k] + b1 * values[b + k] + b2 * values[c + k];
        }
    }
}
