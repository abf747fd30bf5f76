package org.estampage.session;

import java.util.List;
import java.util.Map;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Labels;
import org.estampage.mesh.Material;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.mesh.Polygons;
import org.joml.Matrix4f;

/** Meshes for the tests of this package. */
final class Meshes {
    private Meshes() {
    }

    /** A quad and a triangle with everything that a mesh can hold. */
    static Mesh rich() {
        float[] positions = {0, 0, 0, 1, 0, 0, 1, 1, -0f, 0, 1, 0, 2, 0.5f, 0.25f, 9, 9, Float.NaN};
        int[] corners = {0, 1, 2, 0, 2, 3, 1, 4, 2};
        int[] own = {0, 0, 1, 0, 1, 1, 2, 2, 1};
        return Mesh.builder(positions, corners).name("kräftig \ud83d\udd29 \ud800")
                .normals(new Attribute("normals", 3, new float[] {0, 0, 1, 0, 0.6f, 0.8f, 1, 0, 0}, own))
                .tangents(new Attribute("tangents", 4, new float[] {1, 0, 0, 1, 1, 0, 0, -1, 0, 1, 0, 1}, own))
                .uvSet(new Attribute("uv", 2, new float[] {0, 0, 1, 0, 1, 1, 0, 1, 2, 2, 3, 3}, corners))
                .uvSet(new Attribute("second", 2, new float[] {0, 0, 0.5f, 0.5f, 1, 0}, own))
                .colourSet(new Attribute("paint", 3, new float[] {0, 0, 0, 1, 1, 1, 0.2f, 0.4f, 0.6f}, own, Attribute.Storage.UNIT_BYTE))
                .extra(new Attribute("weights", 4, new float[] {1, 0, 0, 0, 0.5f, 0.5f, 0, 0, 0.25f, 0.25f, 0.25f, 0.25f}, own,
                        Attribute.Storage.UNIT_SHORT))
                .polygons(new Polygons(new int[] {0, 4, 7}, new int[] {0, 1, 2, 5, 6, 7, 8})).smoothingGroups(new int[] {1, 1, 0})
                .parts(List.of(new Part("drum", new Matrix4f().translate(1, 2, 3).rotateX(0.3f)), new Part("base")), new int[] {0, 0, 1})
                .materials(List.of(new Material("iron", 0.1f, 0.2f, 0.3f, 0.5f, Map.of("base-colour", "iron.png"), Map.of("Ns", "10")),
                        Material.named("paint")), new int[] {1, 1, -1})
                .groups(new Labels(List.of("a", "b"), new int[] {0, 1, 0}))
                .findings(List.of(
                        Finding.note("seen", 3, "three", "none",
                                List.of(new Place.Line("a.obj", 4), new Place.Byte("b.ply", 5), new Place.Element("edge", 6))),
                        Finding.warning("odd", 1, "one", "look", List.of(new Place.Point(1, 2, 3), new Place.Texel(7, 8)))))
                .build();
    }

    /** A wavy square of 2 n² triangles with UVs. */
    static Mesh waves(int n) {
        float[] p = new float[3 * (n + 1) * (n + 1)];
        float[] uv = new float[2 * (n + 1) * (n + 1)];
        int[] t = new int[6 * n * n];
        for (int y = 0; y <= n; y++) {
            for (int x = 0; x <= n; x++) {
                int v = y * (n + 1) + x;
                uv[2 * v] = (float) x / n;
                uv[2 * v + 1] = (float) y / n;
                p[3 * v] = uv[2 * v];
                p[3 * v + 1] = uv[2 * v + 1];
                p[3 * v + 2] = (float) (0.02 * StrictMath.sin(9 * uv[2 * v]) * StrictMath.cos(7 * uv[2 * v + 1]));
                if (x < n && y < n) {
                    int[] corners = {v, v + 1, v + n + 2, v, v + n + 2, v + n + 1};
                    System.arraycopy(corners, 0, t, 6 * (y * n + x), 6);
                }
            }
        }
        return Mesh.builder(p, t).name("waves").uvSet(new Attribute("uv", 2, uv, t)).build();
    }
}
