package org.estampage.mesh;

/**
 * The polygons that a mesh's triangles came from. A polygon of n corners became n − 2 neighbouring triangles, in the polygons' order, and every
 * polygon corner is a corner of one of them: so a polygon corner is named by a triangle corner, and all its attributes are found there.
 *
 * <p>The arrays are owned by this object after construction and must not be changed.
 *
 * @shape starts: polygonCount + 1 offsets into corners; corners: triangle corner numbers 3t + k, in the polygon's own winding order
 * @threads immutable by contract
 */
public final class Polygons {
    private final int[] starts;
    private final int[] corners;

    /**
     * Makes polygons.
     *
     * @throws IllegalArgumentException if a polygon has fewer than three corners or a corner is not of its own triangles
     */
    public Polygons(int[] starts, int[] corners) {
        this.starts = starts;
        this.corners = corners;
        if (starts.length == 0 || starts[0] != 0 || starts[starts.length - 1] != corners.length) {
            throw new IllegalArgumentException("polygon offsets must run from 0 to the number of corners");
        }
        for (int p = 0; p + 1 < starts.length; p++) {
            if (starts[p + 1] - starts[p] < 3) {
                throw new IllegalArgumentException("polygon " + p + " has fewer than three corners");
            }
            int first = 3 * firstTriangle(p);
            int end = 3 * firstTriangle(p + 1);
            for (int i = starts[p]; i < starts[p + 1]; i++) {
                if (corners[i] < first || corners[i] >= end) {
                    throw new IllegalArgumentException("polygon " + p + ": corner " + corners[i] + " is not of its triangles");
                }
            }
        }
    }

    /** Returns the number of polygons. */
    public int count() {
        return starts.length - 1;
    }

    /** Returns the number of corners of a polygon. */
    public int cornerCount(int polygon) {
        return starts[polygon + 1] - starts[polygon];
    }

    /** Returns the triangle corner number, 3t + k, of a polygon's corner. */
    public int corner(int polygon, int corner) {
        return corners[starts[polygon] + corner];
    }

    /** Returns the number of the first triangle of a polygon; those of polygon p are {@code firstTriangle(p) … firstTriangle(p + 1) − 1}. */
    public int firstTriangle(int polygon) {
        return starts[polygon] - 2 * polygon;
    }

    /** Returns the number of triangles that all polygons became. */
    public int triangleCount() {
        return firstTriangle(count());
    }

    /** Returns these polygons with the winding of each turned over, over triangles that are turned over by {@link #turnedOver(int)}. */
    Polygons turnedOver() {
        int[] out = new int[corners.length];
        for (int p = 0; p < count(); p++) {
            out[starts[p]] = turnedOver(corners[starts[p]]);
            for (int i = 1; i < cornerCount(p); i++) { // the first stays the first, so that turning over twice changes nothing
                out[starts[p] + i] = turnedOver(corners[starts[p + 1] - i]);
            }
        }
        return new Polygons(starts, out);
    }

    /** Returns where the corner of a triangle goes when its winding is turned over: the second and the third change places. */
    static int turnedOver(int corner) {
        return corner % 3 == 0 ? corner : corner % 3 == 1 ? corner + 1 : corner - 1;
    }
}
