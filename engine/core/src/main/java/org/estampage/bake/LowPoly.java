package org.estampage.bake;

import org.estampage.cage.Cage;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.FacetNormals;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Tangents;

/**
 * What the samples of a low poly are interpolated from, a value a triangle corner.
 *
 * @shape corner k of triangle t at 3t + k, vectors xyz interleaved
 * @threads immutable
 */
final class LowPoly {
    final float[] positions;
    final float[] cagePositions;
    final float[] cageDirections;
    final float[] reaches;
    final float[] normals;
    final float[] tangents;
    final float[] bitangents;
    /** w of the triangle's tangents, ±1; the corners of a triangle agree. */
    final float[] handedness;

    /** How wide a texel is on each triangle, in mesh units: the root of area over texels; 0 for triangles without UV area. */
    final float[] texelWidths;

    /**
     * Returns a low poly with the tangents that its maps are baked with: its own, else MikkTSpace's.
     *
     * @param shaded the low poly with normals
     */
    static Mesh worn(Mesh shaded) {
        return shaded.toBuilder().tangents(shaded.tangents().orElseGet(() -> Tangents.mikkTSpace(shaded))).build();
    }

    LowPoly(Mesh low, Cage cage, Attribute lowNormals, Attribute lowTangents, double depth, int width, int height) {
        int corners = 3 * low.triangleCount();
        positions = new float[3 * corners];
        cagePositions = new float[3 * corners];
        cageDirections = new float[3 * corners];
        reaches = new float[corners];
        normals = new float[3 * corners];
        tangents = new float[3 * corners];
        bitangents = new float[3 * corners];
        handedness = new float[corners];
        for (int c = 0; c < corners; c++) {
            int vertex = low.positionIndices()[c];
            System.arraycopy(low.positions(), 3 * vertex, positions, 3 * c, 3);
            System.arraycopy(cage.positions(), 3 * vertex, cagePositions, 3 * c, 3);
            System.arraycopy(cage.directions(), 3 * vertex, cageDirections, 3 * c, 3);
            reaches[c] = Double.isNaN(depth) ? cage.reaches()[vertex] : (float) depth;
            // Corner normals have unit length whatever the file says: that is what a shader is given.
            unit(lowNormals.values(), 3 * lowNormals.indices()[c], normals, 3 * c);
            int t = 4 * lowTangents.indices()[c];
            System.arraycopy(lowTangents.values(), t, tangents, 3 * c, 3);
            float w = lowTangents.values()[t + 3] < 0 ? -1f : 1f;
            handedness[c] = w;
            bitangent(normals, tangents, 3 * c, w, bitangents, 3 * c);
        }
        texelWidths = texelWidths(low, width, height);
    }

    private static float[] texelWidths(Mesh low, int width, int height) {
        double[] areas = FacetNormals.areas(low);
        float[] uv = low.uvSets().get(0).values();
        int[] at = low.uvSets().get(0).indices();
        float[] widths = new float[low.triangleCount()];
        for (int t = 0; t < widths.length; t++) {
            int i = 2 * at[3 * t], j = 2 * at[3 * t + 1], k = 2 * at[3 * t + 2];
            double doubleArea = ((double) uv[j] - uv[i]) * ((double) uv[k + 1] - uv[i + 1])
                    - ((double) uv[j + 1] - uv[i + 1]) * ((double) uv[k] - uv[i]);
            double texels = Math.abs(doubleArea) / 2 * width * height;
            widths[t] = texels > 0 ? (float) Math.sqrt(areas[t] / texels) : 0f;
        }
        return widths;
    }

    private static void unit(float[] from, int at, float[] dest, int destAt) {
        double x = from[at], y = from[at + 1], z = from[at + 2];
        double length = Math.sqrt(x * x + y * y + z * z);
        double scale = length > 0 ? 1 / length : 0;
        dest[destAt] = (float) (x * scale);
        dest[destAt + 1] = (float) (y * scale);
        dest[destAt + 2] = (float) (z * scale);
    }

    /** Returns the value at a point of three corners' values that stand three apart from {@code at} on. */
    static float mix(float[] corners, int at, float b0, float b1, float b2) {
        return b0 * corners[at] + b1 * corners[at + 3] + b2 * corners[at + 6];
    }

    /** Writes w · (normal × tangent). */
    static void bitangent(float[] normals, float[] tangents, int at, float w, float[] dest, int destAt) {
        float nx = normals[at], ny = normals[at + 1], nz = normals[at + 2];
        float tx = tangents[at], ty = tangents[at + 1], tz = tangents[at + 2];
        dest[destAt] = w * (ny * tz - nz * ty);
        dest[destAt + 1] = w * (nz * tx - nx * tz);
        dest[destAt + 2] = w * (nx * ty - ny * tx);
    }
}
