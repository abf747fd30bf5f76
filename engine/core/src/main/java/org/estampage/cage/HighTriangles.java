package org.estampage.cage;

import java.util.Arrays;
import org.estampage.internal.kernel.MortonBits;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.Mesh;
import org.estampage.task.Chunks;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * The triangles of a high poly in groups of neighbours, each with the box around it: made once, and asked for every cage that is tried.
 *
 * @shape group g holds the triangles at 64g … 64g + 63 of the order; its box stands at 6g of the boxes: least xyz, most xyz
 * @threads immutable by contract
 */
final class HighTriangles {
    /** Bits an axis of the Morton code. */
    private static final int BITS = 10;
    static final int GROUP = 64;
    /** Every so many groups are looked at to see whether the mesh's own order will do. */
    private static final int SKIPPED = 16;
    /** 64 triangles side by side make a patch about 6 to 8 triangles wide; in a strip, 32. */
    private static final double WIDE = 48;

    final Mesh mesh;
    /** All triangles, neighbours together; null for the mesh's own order. */
    final int @Nullable [] order;
    final int groupCount;
    final float[] boxes;

    HighTriangles(Mesh mesh, Task task) {
        this.mesh = mesh;
        order = order(mesh, task);
        groupCount = (mesh.triangleCount() + GROUP - 1) / GROUP;
        boxes = new float[6 * groupCount];
        Chunks.run(mesh.triangleCount(), task.stage("boxes around high-poly triangles", mesh.triangleCount()), (start, end) -> {
            float[] box = new float[6];
            for (int from = start; from < end; from += GROUP) { // pieces begin with a group
                box(mesh, order, from, Math.min(end, from + GROUP), box);
                System.arraycopy(box, 0, boxes, from / GROUP * 6, 6);
            }
        });
    }

    /** Returns the triangles in Morton order of their middles, or null when groups of 64 in the mesh's own order are small enough. */
    private static int @Nullable [] order(Mesh mesh, Task task) {
        if (areTogether(mesh)) {
            return null;
        }
        int count = mesh.triangleCount();
        Bounds b = mesh.bounds();
        double size = b.longestSide();
        double scale = size > 0 ? ((1 << BITS) - 1) / (3 * size) : 0;
        double x0 = 3.0 * b.minX(), y0 = 3.0 * b.minY(), z0 = 3.0 * b.minZ();
        float[] p = mesh.positions();
        int[] c = mesh.positionIndices();
        long[] keys = new long[count];
        Chunks.run(count, task.stage("neighbouring triangles", count), (start, end) -> {
            for (int t = start; t < end; t++) {
                int i = 3 * c[3 * t], j = 3 * c[3 * t + 1], k = 3 * c[3 * t + 2];
                int x = (int) (scale * ((double) p[i] + p[j] + p[k] - x0));
                int y = (int) (scale * ((double) p[i + 1] + p[j + 1] + p[k + 1] - y0));
                int z = (int) (scale * ((double) p[i + 2] + p[j + 2] + p[k + 2] - z0));
                keys[t] = MortonBits.of(x, y, z) << 32 | t;
            }
        });
        Arrays.parallelSort(keys);
        int[] order = new int[count];
        for (int i = 0; i < count; i++) {
            order[i] = (int) keys[i];
        }
        return order;
    }

    private static boolean areTogether(Mesh mesh) {
        double groups = 0, triangles = 0;
        float[] box = new float[6];
        for (int from = 0; from + GROUP <= mesh.triangleCount(); from += SKIPPED * GROUP) {
            box(mesh, null, from, from + GROUP, box);
            groups += GROUP * width(box);
            for (int t = from; t < from + GROUP; t++) {
                box(mesh, null, t, t + 1, box);
                triangles += width(box);
            }
        }
        return groups <= WIDE * triangles;
    }

    /** Writes the box around some triangles of a mesh: least xyz, most xyz. */
    static void box(Mesh high, int @Nullable [] numbers, int from, int to, float[] box) {
        float[] p = high.positions();
        int[] corners = high.positionIndices();
        float x0 = Float.POSITIVE_INFINITY, y0 = x0, z0 = x0, x1 = Float.NEGATIVE_INFINITY, y1 = x1, z1 = x1;
        for (int i = from; i < to; i++) {
            int t = numbers == null ? i : numbers[i];
            for (int c = 3 * t; c < 3 * t + 3; c++) {
                int v = 3 * corners[c];
                x0 = Math.min(x0, p[v]);
                y0 = Math.min(y0, p[v + 1]);
                z0 = Math.min(z0, p[v + 2]);
                x1 = Math.max(x1, p[v]);
                y1 = Math.max(y1, p[v + 1]);
                z1 = Math.max(z1, p[v + 2]);
            }
        }
        box[0] = x0;
        box[1] = y0;
        box[2] = z0;
        box[3] = x1;
        box[4] = y1;
        box[5] = z1;
    }

    private static double width(float[] box) {
        return Math.max((double) box[3] - box[0], Math.max((double) box[4] - box[1], (double) box[5] - box[2]));
    }
}
