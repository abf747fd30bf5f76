package org.estampage.bake;

import java.util.List;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshJoin;

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
        int normalCount = 0;
        for (int m = 0; m < shaded.size(); m++) {
            first[m + 1] = Math.addExact(first[m], shaded.get(m).triangleCount());
            normalCount = Math.addExact(normalCount, normalsOf(shaded.get(m)).count());
        }
        Mesh all = MeshJoin.shapes(shaded);
        if (shaded.size() == 1) {
            Attribute only = normalsOf(all);
            return new HighPoly(all, only.values(), only.indices(), first);
        }
        float[] normals = new float[Math.multiplyExact(3, normalCount)];
        int[] normalIndices = new int[all.positionIndices().length];
        int normal = 0;
        int corner = 0;
        for (Mesh mesh : shaded) {
            Attribute own = normalsOf(mesh);
            System.arraycopy(own.values(), 0, normals, 3 * normal, own.values().length);
            for (int index : own.indices()) {
                normalIndices[corner++] = index + normal;
            }
            normal += own.count();
        }
        return new HighPoly(all, normals, normalIndices, first);
    }

    /** Returns the bytes that joining took; 0 for a single mesh. */
    long bytes() {
        return firstTriangle.length == 2
                ? 0
                : 4L * all.positions().length + 4L * all.positionIndices().length + 4L * normals.length + 4L * normalIndices.length;
    }

    private static Attribute normalsOf(Mesh mesh) {
        return mesh.normals().orElseThrow(() -> new IllegalStateException(mesh.name() + " was given no normals"));
    }

    /** Writes the unit normal of a triangle's face; not a number where it has no area. */
    void writeFaceNormal(int triangle, double[] dest) {
        float[] p = all.positions();
        int[] corners = all.positionIndices();
        int a = 3 * corners[3 * triangle], b = 3 * corners[3 * triangle + 1], c = 3 * corners[3 * triangle + 2];
        double ux = (double) p[b] - p[a], uy = (double) p[b + 1] - p[a + 1], uz = (double) p[b + 2] - p[a + 2];
        double vx = (double) p[c] - p[a], vy = (double) p[c + 1] - p[a + 1], vz = (double) p[c + 2] - p[a + 2];
        double x = uy * vz - uz * vy, y = uz * vx - ux * vz, z = ux * vy - uy * vx;
        double length = Math.sqrt(x * x + y * y + z * z);
        dest[0] = x / length;
        dest[1] = y / length;
        dest[2] = z / length;
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
