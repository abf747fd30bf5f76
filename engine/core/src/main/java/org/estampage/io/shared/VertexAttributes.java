package org.estampage.io.shared;

import java.util.Arrays;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.jspecify.annotations.Nullable;

/** Attributes by vertex, for formats that have no index lists. */
public final class VertexAttributes {
    private VertexAttributes() {
    }

    /**
     * Returns an attribute with one entry a vertex that says the same at every triangle corner; null when a vertex has different values.
     *
     * @edge entries of vertices that no triangle uses are kept where the attribute has one a vertex; otherwise they are 0
     */
    public static @Nullable Attribute byVertex(Mesh mesh, Attribute attribute) {
        int[] positions = mesh.positionIndices();
        int[] indices = attribute.indices();
        int vertices = mesh.vertexCount();
        if (attribute.count() == vertices && Arrays.equals(indices, positions)) {
            return attribute;
        }
        int components = attribute.components();
        float[] from = attribute.values();
        float[] values = new float[Math.multiplyExact(components, vertices)];
        int[] entryOf = new int[vertices];
        Arrays.fill(entryOf, -1);
        for (int i = 0; i < indices.length; i++) {
            int v = positions[i];
            int e = indices[i];
            if (entryOf[v] < 0) {
                entryOf[v] = e;
                System.arraycopy(from, components * e, values, components * v, components);
            } else if (entryOf[v] != e && !same(from, components, entryOf[v], e)) {
                return null;
            }
        }
        return new Attribute(attribute.name(), components, values, positions, attribute.storage());
    }

    /** Whether two entries have the same bits. */
    static boolean same(float[] values, int components, int a, int b) {
        for (int k = 0; k < components; k++) {
            if (Float.floatToRawIntBits(values[components * a + k]) != Float.floatToRawIntBits(values[components * b + k])) {
                return false;
            }
        }
        return true;
    }
}
