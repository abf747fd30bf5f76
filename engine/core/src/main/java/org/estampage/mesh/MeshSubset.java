package org.estampage.mesh;

import java.util.Arrays;

/** Some triangles of a mesh, with everything that they carry. */
public final class MeshSubset {
    private MeshSubset() {
    }

    /**
     * Returns a mesh of some triangles of another one, in their order and with all that the other one says of them: attributes, parts, materials, groups,
     * smoothing groups, polygons, findings. Vertices that none of them uses are left out. All triangles make the mesh itself, unused vertices included.
     *
     * @param triangles rising numbers
     * @edge a polygon that loses a triangle becomes the triangles that are left of it. Parts and materials without triangles stay in their lists.
     * @cost O(triangles + vertices); values of attributes are shared with the mesh
     * @throws IllegalArgumentException if numbers are out of range or don't rise
     */
    public static Mesh of(Mesh mesh, int[] triangles) {
        for (int i = 0; i < triangles.length; i++) {
            int least = i == 0 ? 0 : triangles[i - 1] + 1;
            if (triangles[i] < least || triangles[i] >= mesh.triangleCount()) {
                throw new IllegalArgumentException("triangles[" + i + "] = " + triangles[i] + " must be " + least + " … "
                        + (mesh.triangleCount() - 1));
            }
        }
        if (triangles.length == mesh.triangleCount()) {
            return mesh;
        }
        int[] corners = picked(mesh.positionIndices(), triangles, 3);
        int[] number = new int[mesh.vertexCount()];
        for (int v : corners) {
            number[v] = 1;
        }
        float[] positions = new float[mesh.positions().length];
        int count = 0;
        for (int v = 0; v < number.length; v++) {
            if (number[v] > 0) {
                System.arraycopy(mesh.positions(), 3 * v, positions, 3 * count, 3);
                number[v] = count++;
            }
        }
        for (int c = 0; c < corners.length; c++) {
            corners[c] = number[corners[c]];
        }
        return builder(mesh, triangles, Arrays.copyOf(positions, 3 * count), corners).build();
    }

    /**
     * Adds what triangles carry each for itself to a mesh made of them: their parts, materials, groups and smoothing groups.
     *
     * @param inout     the mesh in the making
     * @param triangles for each of its triangles, one of {@code mesh}
     */
    public static void addLabels(Mesh.Builder inout, Mesh mesh, int[] triangles) {
        inout.parts(mesh.parts(), mesh.partLabels().picked(triangles));
        mesh.materialLabels().ifPresent(labels -> inout.materials(mesh.materials(), labels.picked(triangles)));
        mesh.groupLabels().ifPresent(labels -> inout.groups(new Labels(labels.names(), labels.picked(triangles))));
        int[] groups = mesh.smoothingGroups();
        inout.smoothingGroups(groups == null ? null : picked(groups, triangles, 1));
    }

    /** Starts a mesh of rising triangles that has vertices of its own, with all that the triangles carry. */
    static Mesh.Builder builder(Mesh mesh, int[] triangles, float[] positions, int[] corners) {
        Mesh.Builder b = Mesh.builder(positions, corners).name(mesh.name());
        b.normals(mesh.normals().map(a -> picked(a, triangles)).orElse(null));
        b.tangents(mesh.tangents().map(a -> picked(a, triangles)).orElse(null));
        mesh.uvSets().forEach(a -> b.uvSet(picked(a, triangles)));
        mesh.colourSets().forEach(a -> b.colourSet(picked(a, triangles)));
        mesh.extras().forEach(a -> b.extra(picked(a, triangles)));
        addLabels(b, mesh, triangles);
        b.polygons(mesh.polygons().map(p -> new Pieces(p, triangles, corners, positions.length / 3).polygons()).orElse(null));
        return b.findings(mesh.findings());
    }

    private static Attribute picked(Attribute a, int[] triangles) {
        return 3 * triangles.length == a.indices().length
                ? a
                : new Attribute(a.name(), a.components(), a.values(), picked(a.indices(), triangles, 3), a.storage());
    }

    /** Returns the entries of some triangles, so many each. */
    static int[] picked(int[] values, int[] triangles, int each) {
        int[] out = new int[each * triangles.length];
        for (int i = 0; i < triangles.length; i++) {
            System.arraycopy(values, each * triangles[i], out, each * i, each);
        }
        return out;
    }

    /** The polygons of which all triangles are there and still hang together; of the others, the triangles. */
    private static final class Pieces {
        private final Polygons old;
        private final int[] corners;
        // For each vertex, after which polygon it was last named, plus one.
        private final int[] named;
        private final int[] starts;
        private final int[] out;
        private int count;
        private int end;

        Pieces(Polygons old, int[] triangles, int[] corners, int vertexCount) {
            this.old = old;
            this.corners = corners;
            named = new int[vertexCount];
            starts = new int[triangles.length + 1];
            out = new int[corners.length];
            int i = 0;
            for (int p = 0; p < old.count(); p++) {
                int from = i;
                while (i < triangles.length && triangles[i] < old.firstTriangle(p + 1)) {
                    i++;
                }
                if (i - from == old.cornerCount(p) - 2 && isWhole(p, from, i)) {
                    for (int k = 0; k < old.cornerCount(p); k++) {
                        out[end++] = moved(p, k, from);
                    }
                    starts[++count] = end;
                } else {
                    for (int c = 3 * from; c < 3 * i; c++) {
                        out[end++] = c;
                        if (c % 3 == 2) {
                            starts[++count] = end;
                        }
                    }
                }
            }
        }

        /** Returns the new triangle corner of a polygon's corner, if its triangles begin at {@code from} now. */
        private int moved(int polygon, int corner, int from) {
            return old.corner(polygon, corner) + 3 * (from - old.firstTriangle(polygon));
        }

        /** Returns whether the polygon's own corners name all vertices of its triangles: where they were split along a diagonal, it is no face any more. */
        private boolean isWhole(int polygon, int from, int to) {
            for (int k = 0; k < old.cornerCount(polygon); k++) {
                named[corners[moved(polygon, k, from)]] = polygon + 1;
            }
            for (int c = 3 * from; c < 3 * to; c++) {
                if (named[corners[c]] != polygon + 1) {
                    return false;
                }
            }
            return true;
        }

        Polygons polygons() {
            return new Polygons(Arrays.copyOf(starts, count + 1), Arrays.copyOf(out, end));
        }
    }
}
