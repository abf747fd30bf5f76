package org.estampage.lowpoly;

import java.util.Arrays;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Labels;
import org.estampage.mesh.Mesh;
import org.jspecify.annotations.Nullable;

/** Some triangles of a mesh, with all that they carry. */
final class TriangleChoice {
    private final int[] chosen;

    /**
     * Chooses triangles.
     *
     * @param chosen their numbers, in the order in which they shall stand
     */
    TriangleChoice(int[] chosen) {
        this.chosen = chosen;
    }

    /** Returns the chosen triangles of a mesh, with the vertices that they use in their old order. Polygons are dropped, findings come along. */
    Mesh.Builder of(Mesh mesh) {
        int[] corners = corners(mesh.positionIndices());
        int[] number = new int[mesh.vertexCount()];
        for (int v : corners) {
            number[v] = 1;
        }
        float[] p = new float[3 * Arrays.stream(number).sum()];
        int count = 0;
        for (int v = 0; v < number.length; v++) {
            if (number[v] > 0) {
                System.arraycopy(mesh.positions(), 3 * v, p, 3 * count, 3);
                number[v] = count++;
            }
        }
        for (int c = 0; c < corners.length; c++) {
            corners[c] = number[corners[c]];
        }
        Mesh.Builder out = Mesh.builder(p, corners).name(mesh.name()).findings(mesh.findings());
        out.normals(mesh.normals().map(this::of).orElse(null));
        out.tangents(mesh.tangents().map(this::of).orElse(null));
        mesh.uvSets().forEach(a -> out.uvSet(of(a)));
        mesh.colourSets().forEach(a -> out.colourSet(of(a)));
        mesh.extras().forEach(a -> out.extra(of(a)));
        out.parts(mesh.parts(), numbers(mesh.partLabels()));
        mesh.materialLabels().ifPresent(labels -> out.materials(mesh.materials(), numbers(labels)));
        mesh.groupLabels().ifPresent(labels -> out.groups(new Labels(labels.names(), numbers(labels))));
        return out.smoothingGroups(of(mesh.smoothingGroups()));
    }

    private int[] corners(int[] indices) {
        int[] out = new int[3 * chosen.length];
        for (int i = 0; i < chosen.length; i++) {
            System.arraycopy(indices, 3 * chosen[i], out, 3 * i, 3);
        }
        return out;
    }

    private Attribute of(Attribute attribute) {
        return new Attribute(attribute.name(), attribute.components(), attribute.values(), corners(attribute.indices()),
                attribute.storage());
    }

    /** Returns the number of the label of each chosen triangle. */
    int[] numbers(Labels labels) {
        int[] out = new int[chosen.length];
        Arrays.setAll(out, i -> labels.of(chosen[i]));
        return out;
    }

    /** Returns the chosen triangles' smoothing groups. */
    int @Nullable [] of(int @Nullable [] smoothingGroups) {
        if (smoothingGroups == null) {
            return null;
        }
        int[] out = new int[chosen.length];
        Arrays.setAll(out, i -> smoothingGroups[chosen[i]]);
        return out;
    }
}
