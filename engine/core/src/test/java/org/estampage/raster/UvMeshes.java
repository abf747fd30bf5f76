package org.estampage.raster;

import java.util.Random;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;

/** Small meshes whose UVs are what a test needs; positions are the UVs at z = 0. */
final class UvMeshes {
    private UvMeshes() {
    }

    static Mesh of(float[] uv, int... indices) {
        float[] positions = new float[uv.length / 2 * 3];
        for (int i = 0; i < uv.length / 2; i++) {
            positions[3 * i] = uv[2 * i];
            positions[3 * i + 1] = uv[2 * i + 1];
        }
        return Mesh.builder(positions, indices).uvSet(new Attribute("uv", 2, uv, indices)).build();
    }

    /** Triangles that share no corner: six numbers each. */
    static Mesh soup(float... uv) {
        int[] indices = new int[uv.length / 2];
        for (int i = 0; i < indices.length; i++) {
            indices[i] = i;
        }
        return of(uv, indices);
    }

    /**
     * The unit square cut into {@code cells}² cells of two triangles; inner corners moved at random by up to {@code jitter} cells (below ½ cells
     * stay convex enough not to fold up to 0.25), diagonals at random, every other triangle mirrored index order if asked.
     */
    static Mesh grid(int cells, double jitter, long seed) {
        Random random = new Random(seed);
        int side = cells + 1;
        float[] uv = new float[2 * side * side];
        for (int y = 0; y < side; y++) {
            for (int x = 0; x < side; x++) {
                double dx = x == 0 || x == cells ? 0 : jitter * (2 * random.nextDouble() - 1);
                double dy = y == 0 || y == cells ? 0 : jitter * (2 * random.nextDouble() - 1);
                uv[2 * (y * side + x)] = (float) ((x + dx) / cells);
                uv[2 * (y * side + x) + 1] = (float) ((y + dy) / cells);
            }
        }
        int[] indices = new int[6 * cells * cells];
        int at = 0;
        for (int y = 0; y < cells; y++) {
            for (int x = 0; x < cells; x++) {
                int a = y * side + x;
                int b = a + 1;
                int c = b + side;
                int d = a + side;
                int[] quad = random.nextBoolean() ? new int[] {a, b, c, a, c, d} : new int[] {a, b, d, b, c, d};
                for (int i : quad) {
                    indices[at++] = i;
                }
            }
        }
        return of(uv, indices);
    }

    /** Returns the mesh with the corners 1 and 2 of the triangles of one parity swapped, so that those are mirrored. */
    static Mesh halfMirrored(Mesh mesh) {
        Attribute set = mesh.uvSets().get(0);
        int[] indices = set.indices().clone();
        for (int t = 0; t < indices.length / 3; t += 2) {
            int keep = indices[3 * t + 1];
            indices[3 * t + 1] = indices[3 * t + 2];
            indices[3 * t + 2] = keep;
        }
        return of(set.values(), indices);
    }
}
