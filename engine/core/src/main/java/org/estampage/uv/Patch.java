package org.estampage.uv;

import java.util.Arrays;
import org.estampage.internal.kernel.DisjointSets;
import org.estampage.mesh.Adjacency;

/**
 * A surface of its own with its own vertices: what is laid flat in one go.
 *
 * @shape xyz: three numbers a vertex; triangles: three vertices a triangle, counter-clockwise from outside
 * @units the surface's
 * @threads immutable by contract: the arrays are kept, not copied
 */
final class Patch {
    /** Where its vertices are. */
    final double[] xyz;
    /** The vertices at its triangles' corners. */
    final int[] triangles;
    /** How many vertices it has. */
    final int vertexCount;

    /**
     * Keeps both arrays.
     *
     * @throws IllegalArgumentException if an array is not of whole vertices or triangles, a coordinate is not finite, or a corner names no vertex
     */
    Patch(double[] xyz, int[] triangles) {
        if (xyz.length % 3 != 0 || triangles.length % 3 != 0) {
            throw new IllegalArgumentException(
                    "xyz has " + xyz.length + " and triangles " + triangles.length + " numbers; both must be multiples of 3");
        }
        vertexCount = xyz.length / 3;
        for (int i = 0; i < xyz.length; i++) {
            if (!Double.isFinite(xyz[i])) {
                throw new IllegalArgumentException("xyz[" + i + "] is " + xyz[i] + "; it must be finite");
            }
        }
        for (int i = 0; i < triangles.length; i++) {
            if (triangles[i] < 0 || triangles[i] >= vertexCount) {
                throw new IllegalArgumentException(
                        "triangles[" + i + "] is " + triangles[i] + "; it must be from 0 to " + (vertexCount - 1));
            }
        }
        this.xyz = xyz;
        this.triangles = triangles;
    }

    /**
     * Returns the border of a disk, or an empty array when this is none: a disk has one border that meets itself nowhere, no handle, no edge of three
     * triangles, no two edges between the same vertices, no vertex without a triangle, and its triangles go round alike.
     *
     * @shape vertices in order, the inside on the left
     * @cost O(n log n) time, O(n) memory for n triangles
     */
    int[] border() {
        int corners = triangles.length;
        long[] edges = new long[corners];
        for (int c = 0; c < corners; c++) {
            edges[c] = (long) triangles[c] << 32 | triangles[Adjacency.next(c)];
        }
        Arrays.sort(edges);
        int[] next = new int[vertexCount];
        Arrays.fill(next, -1);
        int open = 0;
        int first = -1;
        for (int e = 0; e < corners; e++) {
            int from = (int) (edges[e] >> 32);
            int to = (int) edges[e];
            if (from == to || (e > 0 && edges[e] == edges[e - 1])) {
                return new int[0];
            }
            if (Arrays.binarySearch(edges, (long) to << 32 | from) < 0) {
                if (next[from] >= 0) {
                    return new int[0];
                }
                next[from] = to;
                first = first < 0 ? from : first;
                open++;
            }
        }
        int edgeCount = (corners + open) / 2;
        if (open == 0 || vertexCount - edgeCount + corners / 3 != 1) {
            return new int[0];
        }
        int[] border = new int[open];
        int v = first;
        for (int i = 0; i < open; i++) {
            border[i] = v;
            v = next[v];
            // Back at the start too early: there is a second border.
            if (v < 0 || (v == first) != (i == open - 1)) {
                return new int[0];
            }
        }
        return connected() ? border : new int[0];
    }

    /** Whether every vertex is reached from the first over edges. */
    private boolean connected() {
        DisjointSets sets = new DisjointSets(vertexCount);
        for (int t = 0; t < triangles.length; t += 3) {
            sets.join(triangles[t], triangles[t + 1]);
            sets.join(triangles[t], triangles[t + 2]);
        }
        int root = sets.find(0);
        for (int v = 1; v < vertexCount; v++) {
            if (sets.find(v) != root) {
                return false;
            }
        }
        return true;
    }
}
