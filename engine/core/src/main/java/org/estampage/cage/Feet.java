package org.estampage.cage;

import org.estampage.bvh.PointBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.mesh.Mesh;
import org.estampage.task.Chunks;
import org.estampage.task.Task;

/**
 * The nearest low-poly point, the foot, of every point of the high poly.
 *
 * @shape parallel arrays, entry i for point {@code vertices[i]}; barycentrics b1, b2 of corners 1 and 2, b0 = 1 − b1 − b2
 * @threads immutable by contract
 * @cost 16 bytes a point
 */
final class Feet {
    /** A foot whose weight of a corner is below this lies on the edge opposite to it; the weights are floats. */
    static final double ON_EDGE = 1e-6;

    final Shell shell;
    final float[] xyz;
    final int[] vertices;
    /** Points from this number on are none of the high poly's vertices. */
    final int vertexCount;
    final int[] triangles;
    final float[] b1;
    final float[] b2;
    /** Entries that lie on the outer side of their foot, ascending. */
    final int[] outer;
    /** The largest distance of an entry on the inner side. */
    final double deepest;

    private Feet(Shell shell, Mesh high, RayTracer low, Task task) {
        this.shell = shell;
        HighPoints points = HighPoints.of(high, shell.meanEdge());
        xyz = points.xyz;
        vertices = points.numbers;
        vertexCount = points.vertexCount;
        int count = vertices.length;
        triangles = new int[count];
        b1 = new float[count];
        b2 = new float[count];
        boolean[] outside = new boolean[count];
        float[] depth = new float[count];
        Chunks.run(count, task.stage("nearest low-poly points", count), (start, end) -> find(low, start, end, outside, depth));
        int outerCount = 0;
        float most = 0;
        for (int i = 0; i < count; i++) {
            if (outside[i]) {
                outerCount++;
            }
            most = Math.max(most, depth[i]);
        }
        deepest = most;
        outer = new int[outerCount];
        int next = 0;
        for (int i = 0; i < count; i++) {
            if (outside[i]) {
                outer[next++] = i;
            }
        }
    }

    static Feet of(Shell shell, Mesh high, RayTracer low, Task task) {
        return new Feet(shell, high, low, task);
    }

    private void find(RayTracer low, int start, int end, boolean[] outside, float[] depth) {
        int size = Math.min(end - start, Math.max(1, low.preferredBatchSize()));
        PointBatch points = new PointBatch(size);
        for (int from = start; from < end; from += size) {
            int to = Math.min(end, from + size);
            points.size = 0;
            for (int i = from; i < to; i++) {
                int v = vertices[i];
                points.add(xyz[3 * v], xyz[3 * v + 1], xyz[3 * v + 2], Float.POSITIVE_INFINITY);
            }
            low.nearestPoints(points);
            for (int i = from; i < to; i++) {
                triangles[i] = points.triangle[i - from];
                if (triangles[i] < 0) {
                    continue; // no low-poly triangle has an area
                }
                b1[i] = points.b1[i - from];
                b2[i] = points.b2[i - from];
                // The side is judged along the directions: also right where the foot lies on an edge or a corner.
                double side = 0;
                for (int k = 0; k < 3; k++) {
                    side += blend(shell.directions, i, k) * (xyz[3 * vertices[i] + k] - blend(shell.xyz, i, k));
                }
                outside[i] = side > 0;
                depth[i] = side > 0 ? 0 : points.distance[i - from];
            }
        }
    }

    /** Returns component k of values at the nodes, xyz a node, blended at the foot of entry i. */
    double blend(double[] values, int i, int k) {
        int c = 3 * triangles[i];
        int[] t = shell.triangles;
        double w1 = b1[i], w2 = b2[i];
        return (1 - w1 - w2) * values[3 * t[c] + k] + w1 * values[3 * t[c + 1] + k] + w2 * values[3 * t[c + 2] + k];
    }

    /** Returns whether the foot of entry i lies on an edge that only one triangle has. */
    boolean onBorder(int i) {
        int t = triangles[i];
        double w1 = b1[i], w2 = b2[i];
        return (shell.isBorder(t, 0) && w2 < ON_EDGE) || (shell.isBorder(t, 1) && 1 - w1 - w2 < ON_EDGE)
                || (shell.isBorder(t, 2) && w1 < ON_EDGE);
    }
}
