package org.estampage.mesh;

import java.util.List;

/** Several meshes as one. */
public final class MeshJoin {
    private MeshJoin() {
    }

    /**
     * Returns the positions and triangles of all meshes under one numbering, mesh after mesh, and nothing else of them; a single mesh is returned as it
     * is.
     *
     * @throws ArithmeticException if there are more vertices or triangles than arrays hold
     */
    public static Mesh shapes(List<Mesh> meshes) {
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
