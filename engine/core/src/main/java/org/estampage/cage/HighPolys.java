package org.estampage.cage;

import java.util.List;
import org.estampage.mesh.Mesh;

/** Several high polys as one. */
final class HighPolys {
    private HighPolys() {
    }

    /** Returns the positions and triangles of all meshes as one mesh; a single mesh is returned as it is. */
    static Mesh joined(List<Mesh> meshes) {
        if (meshes.size() == 1) {
            return meshes.get(0);
        }
        int vertices = 0;
        int corners = 0;
        for (Mesh mesh : meshes) {
            vertices = Math.addExact(vertices, mesh.vertexCount());
            corners = Math.addExact(corners, mesh.positionIndices().length);
        }
        float[] positions = new float[Math.multiplyExact(3, vertices)];
        int[] indices = new int[corners];
        int vertex = 0;
        int corner = 0;
        for (Mesh mesh : meshes) {
            System.arraycopy(mesh.positions(), 0, positions, 3 * vertex, mesh.positions().length);
            for (int index : mesh.positionIndices()) {
                indices[corner++] = vertex + index;
            }
            vertex += mesh.vertexCount();
        }
        return Mesh.builder(positions, indices).build();
    }
}
