package org.estampage.mesh;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.stream.IntStream;
import org.estampage.finding.Finding;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

class MeshMirrorTest {
    /** A stretched cube off the origin, with everything a mesh can hold: polygons, normals, tangents, UVs, colours, an extra, groups. */
    private static Mesh full() {
        Mesh cube = TestShapes.cube();
        float[] p = cube.positions().clone();
        for (int i = 0; i < p.length; i += 3) {
            p[i] = 2 * p[i] + 5;
            p[i + 1] = p[i + 1] * (p[i] > 5 ? 1 : 3) + 1;
        }
        int[] starts = IntStream.rangeClosed(0, 6).map(q -> 4 * q).toArray();
        int[] corners = IntStream.range(0, 24).map(i -> 6 * (i / 4) + (i % 4 == 3 ? 5 : i % 4)).toArray();
        float[] uv = new float[72];
        int[] own = IntStream.range(0, 36).toArray();
        for (int c = 0; c < 36; c++) { // a square a face: corners 0 1 2, 0 2 3
            int corner = c % 6 < 3 ? c % 6 : new int[] {0, 2, 3}[c % 6 - 3];
            uv[2 * c] = (corner == 1 || corner == 2 ? 0.1f : 0) + 0.15f * Math.floorDiv(c, 6);
            uv[2 * c + 1] = corner >= 2 ? 0.1f : 0;
        }
        int[] groups = IntStream.range(0, 12).map(t -> t / 2).toArray();
        Mesh mesh = Mesh.builder(p, cube.positionIndices()).name("full").polygons(new Polygons(starts, corners))
                .uvSet(new Attribute("uv", 2, uv, own)).colourSet(new Attribute("colour", 3, p, cube.positionIndices()))
                .extra(new Attribute("quality", 1, uv, own)).smoothingGroups(groups).build();
        Mesh hard = Normals.hardEdges(mesh, 20);
        return hard.toBuilder().tangents(Tangents.mikkTSpace(hard)).build();
    }

    private static double volume(Mesh mesh) {
        double six = 0;
        float[] p = mesh.positions();
        int[] t = mesh.positionIndices();
        for (int c = 0; c < t.length; c += 3) {
            int i = 3 * t[c], j = 3 * t[c + 1], k = 3 * t[c + 2];
            six += p[i] * ((double) p[j + 1] * p[k + 2] - (double) p[j + 2] * p[k + 1])
                    + p[i + 1] * ((double) p[j + 2] * p[k] - (double) p[j] * p[k + 2])
                    + p[i + 2] * ((double) p[j] * p[k + 1] - (double) p[j + 1] * p[k]);
        }
        return six / 6;
    }

    @ParameterizedTest
    @EnumSource(Axis.class)
    void mirroredTwice_isTheSameMesh(Axis axis) {
        Mesh mesh = full();
        assertThat(mesh.mirrored(axis).sameAs(mesh)).isFalse();
        assertThat(mesh.mirrored(axis).mirrored(axis).sameAs(mesh)).isTrue();
    }

    @ParameterizedTest
    @EnumSource(Axis.class)
    void volumeAndOutside_stay(Axis axis) {
        Mesh mesh = full();
        assertThat(volume(mesh)).isPositive();
        assertThat(volume(mesh.mirrored(axis))).isEqualTo(volume(mesh), org.assertj.core.api.Assertions.within(1e-9)); // sums in another order
        assertThat(MeshCheck.check(mesh.mirrored(axis)).stream().map(Finding::kind))
                .doesNotContain("inside-out", "normals-against-winding", "inconsistent-winding").contains("uvs-mirrored");
        assertThat(MeshCheck.check(mesh).stream().map(Finding::kind)).doesNotContain("uvs-mirrored");
    }

    /** Normals and tangents that are computed after mirroring are the mirrored ones: the sign of tangents too. */
    @ParameterizedTest
    @EnumSource(Axis.class)
    void normalsAndTangents_areThoseOfTheMirroredSurface(Axis axis) {
        Mesh mirrored = full().mirrored(axis);
        Mesh anew = Normals.hardEdges(mirrored, 20);
        anew = anew.toBuilder().tangents(Tangents.mikkTSpace(anew)).build();
        for (int c = 0; c < 36; c++) {
            assertThat(at(mirrored.normals().orElseThrow(), c)).containsExactly(at(anew.normals().orElseThrow(), c),
                    org.assertj.core.api.Assertions.within(1e-6f)); // sums in another order, in float for tangents
            assertThat(at(mirrored.tangents().orElseThrow(), c)).containsExactly(at(anew.tangents().orElseThrow(), c),
                    org.assertj.core.api.Assertions.within(1e-6f));
        }
    }

    private static float[] at(Attribute attribute, int corner) {
        int from = attribute.components() * attribute.indices()[corner];
        return java.util.Arrays.copyOfRange(attribute.values(), from, from + attribute.components());
    }

    /** A corner takes all its values along: its colour, which was its position, is its place before mirroring. */
    @ParameterizedTest
    @EnumSource(Axis.class)
    void polygons_runTheOtherWay_withTheirValues(Axis axis) {
        Mesh mesh = full();
        Mesh mirrored = mesh.mirrored(axis);
        Polygons before = mesh.polygons().orElseThrow(), after = mirrored.polygons().orElseThrow();
        for (int q = 0; q < 6; q++) {
            for (int i = 0; i < 4; i++) {
                int c = after.corner(q, i);
                int was = before.corner(q, (4 - i) % 4);
                assertThat(mirrored.positionIndices()[c]).isEqualTo(mesh.positionIndices()[was]);
                assertThat(at(mirrored.uvSets().get(0), c)).containsExactly(at(mesh.uvSets().get(0), was));
                float[] place = at(mirrored.colourSets().get(0), c);
                place[axis.component()] = -place[axis.component()];
                int v = 3 * mirrored.positionIndices()[c];
                assertThat(java.util.Arrays.copyOfRange(mirrored.positions(), v, v + 3)).containsExactly(place);
            }
        }
    }
}
