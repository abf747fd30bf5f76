package org.estampage.mesh;

/**
 * The flat triangles' own normals and areas.
 *
 * @threads safe for concurrent calls
 */
public final class FacetNormals {
    private FacetNormals() {
    }

    /**
     * Returns the unit normal of each triangle, computed in double from the float positions.
     *
     * @shape xyz interleaved, three floats a triangle
     * @space object; on the side from which the corners run counter-clockwise
     * @edge a triangle without area, or with a coordinate that is not finite: 0, 0, 0
     * @cost O(triangles); allocates the result
     */
    public static float[] unit(Mesh mesh) {
        float[] positions = mesh.positions();
        int[] indices = mesh.positionIndices();
        float[] out = new float[indices.length];
        Facet facet = new Facet();
        for (int i = 0; i < indices.length; i += 3) {
            facet.setNormal(positions, indices[i], indices[i + 1], indices[i + 2]);
            out[i] = (float) facet.nx;
            out[i + 1] = (float) facet.ny;
            out[i + 2] = (float) facet.nz;
        }
        return out;
    }

    /**
     * Returns the area of each triangle, computed in double from the float positions.
     *
     * @units mesh units, squared
     * @edge a triangle with a coordinate that is not finite: 0
     * @cost O(triangles); allocates the result
     */
    public static double[] areas(Mesh mesh) {
        float[] positions = mesh.positions();
        int[] indices = mesh.positionIndices();
        double[] out = new double[indices.length / 3];
        Facet facet = new Facet();
        for (int t = 0; t < out.length; t++) {
            facet.setNormal(positions, indices[3 * t], indices[3 * t + 1], indices[3 * t + 2]);
            out[t] = facet.doubleArea / 2;
        }
        return out;
    }

    /**
     * Returns the unit normal of each triangle as {@link #unit} does, not rounded to float; the same shape and edge cases.
     *
     * @cost O(triangles); allocates the result
     */
    public static double[] unitInDouble(Mesh mesh) {
        float[] positions = mesh.positions();
        int[] indices = mesh.positionIndices();
        double[] out = new double[indices.length];
        Facet facet = new Facet();
        for (int i = 0; i < indices.length; i += 3) {
            facet.setNormal(positions, indices[i], indices[i + 1], indices[i + 2]);
            out[i] = facet.nx;
            out[i + 1] = facet.ny;
            out[i + 2] = facet.nz;
        }
        return out;
    }
}
