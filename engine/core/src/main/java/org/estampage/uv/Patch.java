package org.estampage.uv;

/**
 * A disk to be laid flat: one border, no handle, and no two edges with the same ends.
 *
 * @shape xyz: three numbers a vertex; triangles: three vertex numbers each, counter-clockwise seen from outside
 * @threads immutable by contract
 */
final class Patch {
    /** Where its vertices are. */
    final double[] xyz;
    /** Its triangles' vertices. */
    final int[] triangles;

    Patch(double[] xyz, int[] triangles) {
        this.xyz = xyz;
        this.triangles = triangles;
    }

    int vertexCount() {
        return xyz.length / 3;
    }
}
