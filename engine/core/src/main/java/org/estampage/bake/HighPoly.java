package org.estampage.bake;

import java.util.List;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;

/**
 * All high polys of a job as one: positions and normals of the triangles under one numbering, mesh after mesh.
 *
 * @threads immutable
 */
final class HighPoly {
    /** One mesh with all positions and triangles; it is the only high poly itself where there is just one. */
    final Mesh all;
    final float[] normals;
    final int[] normalIndices;
    /** First triangle number of each mesh, and the count of all at the end. */
    final int[] firstTriangle;

    private HighPoly(Mesh all, float[] normals, int[] normalIndices, int[] firstTriangle) {
        this.all = all;
        this.normals = normals;
        this.normalIndices = normalIndices;
        this.firstTriangle = firstTriangle;
    }

    /**
     * Joins meshes.
     *
     * @param shaded the high polys, each with the normals that maps see
     */
    static HighPoly of(List<Mesh> shaded) {
        int[] first = new int[shaded.size() + 1];
        int vertices = 0;
        int normalCount = 0;
        for (int m = 0; m < shaded.size(); m++) {
            first[m + 1] = Math.addExact(first[m], shaded.get(m).triangleCount());
            vertices = Math.addExact(vertices, shaded.get(m).vertexCount());
            normalCount = Math.addExact(normalCount, normalsOf(shaded.get(m)).count());
        }
        if (shaded.size() == 1) {
            Attribute only = normalsOf(shaded.get(0));
            return new HighPoly(shaded.get(0), only.values(), only.indices(), first);
        }
        int triangles = first[shaded.size()];
        float[] positions = new float[Math.multiplyExact(3, vertices)];
        int[] indices = new int[Math.multiplyExact(3, triangles)];
        float[] normals = new float[Math.multiplyExact(3, normalCount)];
        int[] normalIndices = new int[3 * triangles];
        int vertex = 0;
        int normal = 0;
        for (int m = 0; m < shaded.size(); m++) {
            Mesh mesh = shaded.get(m);
            Attribute own = normalsOf(mesh);
            System.arraycopy(mesh.positions(), 0, positions, 3 * vertex, mesh.positions().length);
            System.arraycopy(own.values(), 0, normals, 3 * normal, own.values().length);
            for (int c = 0; c < 3 * mesh.triangleCount(); c++) {
                indices[3 * first[m] + c] = mesh.positionIndices()[c] + vertex;
                normalIndices[3 * first[m] + c] = own.indices()[c] + normal;
            }
            vertex += mesh.vertexCount();
            normal += own.count();
        }
        Mesh joined = Mesh.builder(positions, indices).name("high polys").parts(List.of(new Part("high polys")), null).build();
        return new HighPoly(joined, normals, normalIndices, first);
    }

    private static Attribute normalsOf(Mesh mesh) {
        return mesh.normals().orElseThrow(() -> new IllegalStateException(mesh.name() + " was given no normals"));
    }

    /** Returns which mesh a triangle of the common numbering is of. */
    int meshOf(int triangle) {
        int m = 0;
        while (firstTriangle[m + 1] <= triangle) {
            m++;
        }
        return m;
    }
}
