package org.estampage.testresources;

import org.jspecify.annotations.Nullable;

/**
 * A triangle mesh as plain arrays, with whatever its generator knows besides.
 *
 * <p>Arrays are shared with the caller, who must not change them.
 *
 * @shape positions and normals: xyz interleaved, one entry a vertex; colours: rgb bytes, one entry a vertex; triangles: three vertex numbers each;
 *        uvs: u, v interleaved with an index list of their own
 * @threads immutable by contract, safe for concurrent calls
 */
public final class Shape {
    private final float[] positions;
    private final int[] triangles;
    private final float @Nullable [] normals;
    private final byte @Nullable [] colours;
    private final float @Nullable [] uvs;
    private final int @Nullable [] uvTriangles;

    /**
     * Makes a shape of positions and triangles alone.
     *
     * @throws IllegalArgumentException if a length is not a multiple of 3, or a triangle names a vertex that does not exist
     */
    public Shape(float[] positions, int[] triangles) {
        this(positions, triangles, null, null, null, null);
    }

    private Shape(float[] positions, int[] triangles, float @Nullable [] normals, byte @Nullable [] colours, float @Nullable [] uvs,
            int @Nullable [] uvTriangles) {
        this.positions = positions;
        this.triangles = triangles;
        this.normals = normals;
        this.colours = colours;
        this.uvs = uvs;
        this.uvTriangles = uvTriangles;
        requireLength("positions", positions.length, positions.length / 3 * 3);
        checkIndices("triangles", triangles, positions.length / 3);
        if (normals != null) {
            requireLength("normals", normals.length, positions.length);
        }
        if (colours != null) {
            requireLength("colours", colours.length, positions.length);
        }
        if (uvs != null && uvTriangles != null) {
            requireLength("UV indices", uvTriangles.length, triangles.length);
            checkIndices("UV indices", uvTriangles, uvs.length / 2);
        }
    }

    private static void requireLength(String what, int length, int needed) {
        if (length != needed) {
            throw new IllegalArgumentException(what + ": " + length + " values are given, " + needed + " are needed");
        }
    }

    private static void checkIndices(String what, int[] indices, int count) {
        requireLength(what, indices.length, indices.length / 3 * 3);
        for (int index : indices) {
            if (index < 0 || index >= count) {
                throw new IllegalArgumentException(what + ": index " + index + " must be 0 … " + (count - 1));
            }
        }
    }

    /** Returns this shape with a normal a vertex. */
    public Shape withNormals(float[] vertexNormals) {
        return new Shape(positions, triangles, vertexNormals, colours, uvs, uvTriangles);
    }

    /** Returns this shape with a colour a vertex: red, green, blue, each 0 … 255, sRGB-encoded. */
    public Shape withColours(byte[] vertexColours) {
        return new Shape(positions, triangles, normals, vertexColours, uvs, uvTriangles);
    }

    /** Returns this shape with a texture coordinate a vertex. */
    public Shape withUvs(float[] vertexUvs) {
        requireLength("UVs", vertexUvs.length, positions.length / 3 * 2);
        return withUvs(vertexUvs, triangles);
    }

    /** Returns this shape with texture coordinates and the corners' indices into them. */
    public Shape withUvs(float[] coordinates, int[] cornerIndices) {
        return new Shape(positions, triangles, normals, colours, coordinates, cornerIndices);
    }

    /** Returns the number of vertices. */
    public int vertexCount() {
        return positions.length / 3;
    }

    /** Returns the number of triangles. */
    public int triangleCount() {
        return triangles.length / 3;
    }

    /** Returns the positions, xyz interleaved. */
    public float[] positions() {
        return positions;
    }

    /** Returns three vertex numbers a triangle. */
    public int[] triangles() {
        return triangles;
    }

    /** Returns the unit normals a vertex, xyz interleaved, or null. */
    public float @Nullable [] normals() {
        return normals;
    }

    /** Returns the sRGB-encoded colours a vertex, rgb interleaved, or null. */
    public byte @Nullable [] colours() {
        return colours;
    }

    /** Returns the texture coordinates, u, v interleaved, or null. */
    public float @Nullable [] uvs() {
        return uvs;
    }

    /** Returns the index into {@link #uvs()} of every triangle corner, or null where there are no texture coordinates. */
    public int @Nullable [] uvTriangles() {
        return uvTriangles;
    }
}
