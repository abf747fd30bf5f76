package org.estampage.uv;

import java.util.Arrays;

/**
 * A set of triangles cut free along seams and borders, with vertices of its own: one for each fan of its triangles.
 *
 * @shape triangles: rising numbers; corners: the piece's vertex at corner k of its i-th triangle, at 3i + k; loop: half-edges of the surface, loop after
 *        loop, each in the order in which they follow one another, inside on the left
 * @threads immutable by contract
 */
final class Piece {
    /** Its triangles. */
    final int[] triangles;
    /** Its vertices at its triangles' corners. */
    final int[] corners;
    /** How many vertices it has. */
    final int vertexCount;
    /** The half-edges of its border. */
    final int[] loop;
    /** Where each loop begins in {@link #loop}, and its length at the end. */
    final int[] loopStart;
    /** Vertices − edges + triangles. */
    final int euler;
    /** Whether no two edges join the same two vertices. */
    final boolean simple;
    /** The sum of its triangles' areas. */
    final double area;

    Piece(int[] triangles, int[] corners, int vertexCount, int[] loop, int[] loopStart, int euler, boolean simple, double area) {
        this.triangles = triangles;
        this.corners = corners;
        this.vertexCount = vertexCount;
        this.loop = loop;
        this.loopStart = loopStart;
        this.euler = euler;
        this.simple = simple;
        this.area = area;
    }

    int loopCount() {
        return loopStart.length - 1;
    }

    /** Whether it can be laid flat: one border, no handle, and straight edges can embed it. */
    boolean disk() {
        return simple && roundDisk();
    }

    /** Whether it is a disk as a surface. */
    boolean roundDisk() {
        return loopCount() == 1 && euler == 1;
    }

    /** Returns the number of handles. */
    int handles() {
        return (2 - euler - loopCount()) / 2;
    }

    /** Returns the piece's vertices on its border, one a half-edge of {@link #loop}. */
    int[] border() {
        int[] vertices = new int[loop.length];
        for (int i = 0; i < loop.length; i++) {
            vertices[i] = corners[3 * Arrays.binarySearch(triangles, loop[i] / 3) + loop[i] % 3];
        }
        return vertices;
    }

    /** Returns the surface's vertex at each of the piece's vertices. */
    int[] sources(Surface surface) {
        int[] source = new int[vertexCount];
        for (int i = 0; i < corners.length; i++) {
            source[corners[i]] = surface.corner[3 * triangles[i / 3] + i % 3];
        }
        return source;
    }
}
