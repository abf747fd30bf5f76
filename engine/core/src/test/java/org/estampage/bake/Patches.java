package org.estampage.bake;

import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;

/** Small meshes for tests of the bake. */
final class Patches {
    interface Height {
        double at(double x, double z);
    }

    private Patches() {
    }

    /** Returns a grid over [−1, 1]² of x and z, facing +Y, its UVs within a margin of the unit square; v rises towards −z. */
    static Mesh grid(int cells, double margin, Height height) {
        int side = cells + 1;
        float[] p = new float[3 * side * side], uv = new float[2 * side * side];
        for (int j = 0; j < side; j++) {
            for (int i = 0; i < side; i++) {
                int v = j * side + i;
                double x = -1 + 2.0 * i / cells, z = 1 - 2.0 * j / cells;
                p[3 * v] = (float) x;
                p[3 * v + 1] = (float) height.at(x, z);
                p[3 * v + 2] = (float) z;
                uv[2 * v] = (float) (margin + (1 - 2 * margin) * i / cells);
                uv[2 * v + 1] = (float) (margin + (1 - 2 * margin) * j / cells);
            }
        }
        int[] corners = new int[6 * cells * cells];
        int c = 0;
        for (int j = 0; j < cells; j++) {
            for (int i = 0; i < cells; i++) {
                int a = j * side + i;
                for (int v : new int[] {a, a + 1, a + side + 1, a, a + side + 1, a + side}) {
                    corners[c++] = v;
                }
            }
        }
        return Mesh.builder(p, corners).name("grid").uvSet(new Attribute("uv", 2, uv, corners)).build();
    }

    static Mesh flat(int cells, double margin) {
        return grid(cells, margin, (x, z) -> 0);
    }

    /** Returns two unit-wide flat strips side by side as the parts "left" and "right", at two heights. */
    static Mesh twoParts(double leftHeight, double rightHeight, String left, String right) {
        float[] p = {-1, (float) leftHeight, 1, 0, (float) leftHeight, 1, 0, (float) leftHeight, -1, -1, (float) leftHeight, -1, 0,
                (float) rightHeight, 1, 1, (float) rightHeight, 1, 1, (float) rightHeight, -1, 0, (float) rightHeight, -1};
        float[] uv = {0.1f, 0.1f, 0.45f, 0.1f, 0.45f, 0.9f, 0.1f, 0.9f, 0.55f, 0.1f, 0.9f, 0.1f, 0.9f, 0.9f, 0.55f, 0.9f};
        int[] corners = {0, 1, 2, 0, 2, 3, 4, 5, 6, 4, 6, 7};
        return Mesh.builder(p, corners).uvSet(new Attribute("uv", 2, uv, corners))
                .parts(java.util.List.of(new Part(left), new Part(right)), new int[] {0, 0, 1, 1}).build();
    }
}
