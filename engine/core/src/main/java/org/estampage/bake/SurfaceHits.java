package org.estampage.bake;

/**
 * A batch of samples that hit the high poly: where the low poly is, where the ray went, where it hit. The arrays are the baker's, to be read only
 * during the call.
 *
 * @shape vectors xyz interleaved; the first {@link #size} entries count
 * @space object space; lengths in mesh units
 * @threads confined
 */
public final class SurfaceHits {
    /** Which triangle of the low poly. */
    public final int[] lowTriangles;
    /** Barycentric of corner 1 in that triangle. */
    public final float[] lowB1;
    /** Barycentric of corner 2 in that triangle. */
    public final float[] lowB2;
    /** Points of the low poly. */
    public final float[] lowPositions;
    /** Interpolated tangents of the low poly, not normalised. */
    public final float[] tangents;
    /** Bitangents of the low poly, w · (normal × tangent) by the job's frame rule. */
    public final float[] bitangents;
    /** Interpolated normals of the low poly, not normalised. */
    public final float[] normals;
    /** Unit directions of the rays. */
    public final float[] directions;
    /** Distance of the hit above the low poly along the ray, positive outward. */
    public final float[] heights;
    /** Points of the high poly. */
    public final float[] highPositions;
    /** Unit shading normals of the high poly: its own, interpolated. */
    public final float[] highNormals;
    /** Which high poly of the job was hit. */
    public final int[] highMeshes;
    /** Which triangle of that mesh. */
    public final int[] highTriangles;
    /** Barycentric of corner 1 in that triangle. */
    public final float[] highB1;
    /** Barycentric of corner 2 in that triangle. */
    public final float[] highB2;
    int size;

    SurfaceHits(int capacity) {
        lowTriangles = new int[capacity];
        lowB1 = new float[capacity];
        lowB2 = new float[capacity];
        lowPositions = new float[3 * capacity];
        tangents = new float[3 * capacity];
        bitangents = new float[3 * capacity];
        normals = new float[3 * capacity];
        directions = new float[3 * capacity];
        heights = new float[capacity];
        highPositions = new float[3 * capacity];
        highNormals = new float[3 * capacity];
        highMeshes = new int[capacity];
        highTriangles = new int[capacity];
        highB1 = new float[capacity];
        highB2 = new float[capacity];
    }

    /** Returns how many samples there are. */
    public int size() {
        return size;
    }
}
