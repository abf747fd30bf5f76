package org.estampage.io.gltf;

import java.util.Arrays;
import org.estampage.io.shared.FloatList;
import org.estampage.io.shared.IntList;

/**
 * Normals of triangles that have none of their own, beside those of vertices.
 *
 * @threads confined to one thread at a time
 */
final class FlatNormals {
    private final int vertices;
    private final FloatList values = new FloatList(0);
    private final IntList triangles = new IntList(0);

    FlatNormals(int vertices) {
        this.vertices = vertices;
    }

    /** Takes the triangles of some corners. */
    void add(float[] positions, int[] corners, int from, int to) {
        for (int c = from; c < to; c += 3) {
            int a = 3 * corners[c], b = 3 * corners[c + 1], d = 3 * corners[c + 2];
            double ux = (double) positions[b] - positions[a], uy = (double) positions[b + 1] - positions[a + 1],
                    uz = (double) positions[b + 2] - positions[a + 2];
            double vx = (double) positions[d] - positions[a], vy = (double) positions[d + 1] - positions[a + 1],
                    vz = (double) positions[d + 2] - positions[a + 2];
            double x = uy * vz - uz * vy, y = uz * vx - ux * vz, z = ux * vy - uy * vx;
            double length = Math.sqrt(x * x + y * y + z * z);
            double unit = length > 0 ? 1 / length : 0;
            values.add((float) (unit * x), (float) (unit * y), (float) (unit * z));
            triangles.add(c / 3);
        }
    }

    /** Returns the vertices' normals with the triangles' behind them. */
    float[] values(float[] ofVertices) {
        float[] flat = values.take();
        float[] out = Arrays.copyOf(ofVertices, ofVertices.length + flat.length);
        System.arraycopy(flat, 0, out, ofVertices.length, flat.length);
        return out;
    }

    /** Returns the entries of all corners. */
    int[] indices(int[] corners) {
        int[] out = corners.clone();
        for (int i = 0; i < triangles.size(); i++) {
            Arrays.fill(out, 3 * triangles.get(i), 3 * triangles.get(i) + 3, vertices + i);
        }
        return out;
    }
}
