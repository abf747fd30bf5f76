package org.estampage.io.shared;

import org.estampage.mesh.EarClipping;
import org.estampage.mesh.Polygons;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * The triangles that a file's faces become. Faces are lists of corners one after another; what a file says of a corner (position, UV, normal) is
 * found for a triangle's corner through the number of the face's corner.
 *
 * <p>Arrays are owned by this object and must not be changed.
 *
 * @threads immutable by contract
 */
public final class PolygonTriangles {
    private static final int REPORT_EVERY = 1 << 16;

    private final int @Nullable [] sources;
    private final @Nullable Polygons polygons;

    private PolygonTriangles(int @Nullable [] sources, @Nullable Polygons polygons) {
        this.sources = sources;
        this.polygons = polygons;
    }

    /**
     * Cuts faces into triangles.
     *
     * @param positions xyz interleaved
     * @param corners   a position number for each corner of each face, all in range
     * @param sizes     the number of corners of each face, at least 3; null when all have 3
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public static PolygonTriangles of(float[] positions, int[] corners, int @Nullable [] sizes, Task task) {
        if (sizes == null) {
            return new PolygonTriangles(null, null);
        }
        int triangles = corners.length - 2 * sizes.length;
        int[] sources = new int[Math.multiplyExact(3, triangles)];
        int[] starts = new int[sizes.length + 1];
        int[] polygonCorners = new int[corners.length];
        EarClipping clipping = new EarClipping(task);
        for (int face = 0; face < sizes.length; face++) {
            if (face % REPORT_EVERY == 0) {
                task.check();
            }
            int from = starts[face];
            int size = sizes[face];
            int dest = 3 * (from - 2 * face);
            clipping.triangulate(positions, corners, from, size, sources, dest);
            int end = dest + 3 * (size - 2);
            for (int i = end - 1; i >= dest; i--) { // backwards: the first triangle corner at a polygon corner names it
                polygonCorners[from + sources[i]] = i;
                sources[i] += from;
            }
            starts[face + 1] = from + size;
        }
        return new PolygonTriangles(sources, new Polygons(starts, polygonCorners));
    }

    /** Returns the polygons; null when all faces are triangles. */
    public @Nullable Polygons polygons() {
        return polygons;
    }

    /** Returns what face corners point to, by triangle corners: {@code ofCorner} itself when all faces are triangles. */
    public int[] spread(int[] ofCorner) {
        int[] from = sources;
        if (from == null) {
            return ofCorner;
        }
        int[] result = new int[from.length];
        for (int i = 0; i < result.length; i++) {
            result[i] = ofCorner[from[i]];
        }
        return result;
    }

    /** Returns the first triangle of a face; of the number of faces, the number of triangles. */
    public int firstTriangle(int face) {
        return polygons == null ? face : polygons.firstTriangle(face);
    }
}
