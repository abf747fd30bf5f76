package org.estampage.io.shared;

import java.util.Arrays;
import java.util.List;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;

/**
 * A mesh's vertices for formats with one index list for everything. A vertex that has the same attributes at all its triangle corners stays as it
 * is; of the others the first combination keeps the vertex's number and each further one becomes a copy behind all vertices, in the order of the
 * triangle corners. Values are the same when their bits are.
 *
 * @threads immutable by contract
 */
public final class VertexSplit {
    private static final int UNUSED = -1;

    private final int originalCount;
    private final int count;
    private final int[] indices;
    /** A triangle corner at each vertex. */
    private final int[] corners;

    private VertexSplit(int originalCount, int count, int[] indices, int[] corners) {
        this.originalCount = originalCount;
        this.count = count;
        this.indices = indices;
        this.corners = corners;
    }

    /** Splits the vertices of a mesh as far as {@code attributes} need it. */
    @SuppressWarnings("ReferenceEquality") // sharing the positions' own array is what makes an attribute one of vertices
    public static VertexSplit of(Mesh mesh, List<Attribute> attributes) {
        int[] positions = mesh.positionIndices();
        int vertices = mesh.vertexCount();
        Attribute[] own = attributes.stream().filter(a -> a.indices() != positions).toArray(Attribute[]::new);
        int[] corners = new int[vertices];
        Arrays.fill(corners, UNUSED);
        if (own.length == 0) {
            for (int i = positions.length - 1; i >= 0; i--) {
                corners[positions[i]] = i;
            }
            return new VertexSplit(vertices, vertices, positions, corners);
        }
        int[] indices = new int[positions.length];
        int[] nextCopy = new int[vertices];
        int count = vertices;
        for (int i = 0; i < positions.length; i++) {
            int v = positions[i];
            if (corners[v] == UNUSED) {
                corners[v] = i;
            }
            while (!same(own, corners[v], i)) {
                if (nextCopy[v] == 0) { // no copy has the number 0
                    if (count == corners.length) {
                        int length = Growth.next(count, 1);
                        corners = Arrays.copyOf(corners, length);
                        nextCopy = Arrays.copyOf(nextCopy, length);
                    }
                    corners[count] = i;
                    nextCopy[v] = count++;
                }
                v = nextCopy[v];
            }
            indices[i] = v;
        }
        return new VertexSplit(vertices, count, indices, corners);
    }

    private static boolean same(Attribute[] attributes, int a, int b) {
        if (a == b) {
            return true;
        }
        for (Attribute attribute : attributes) {
            int ea = attribute.indices()[a], eb = attribute.indices()[b];
            if (ea != eb && !VertexAttributes.same(attribute.values(), attribute.components(), ea, eb)) {
                return false;
            }
        }
        return true;
    }

    /** Returns the number of vertices, copies included. */
    public int count() {
        return count;
    }

    /** Returns the number of copies. */
    public int copies() {
        return count - originalCount;
    }

    /** Returns three vertex numbers a triangle; not to be changed. */
    public int[] indices() {
        return indices;
    }

    /** Returns the mesh's vertex that a vertex is or is a copy of. */
    public int original(Mesh mesh, int vertex) {
        return vertex < originalCount ? vertex : mesh.positionIndices()[corners[vertex]];
    }

    /** Returns the entry that a vertex has in an attribute; −1 when no triangle says it. */
    @SuppressWarnings("ReferenceEquality") // as above
    public int entry(Mesh mesh, Attribute attribute, int vertex) {
        if (corners[vertex] != UNUSED) {
            return attribute.indices()[corners[vertex]];
        }
        return attribute.indices() == mesh.positionIndices() && attribute.count() == originalCount ? vertex : -1;
    }
}
