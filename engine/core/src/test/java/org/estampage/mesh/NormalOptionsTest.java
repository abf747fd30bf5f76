package org.estampage.mesh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.Arrays;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

/** Weights, borders of UVs, and options together. */
class NormalOptionsTest {
    // Positions are exact or rounded by 2⁻²⁵ of their size, a unit vector's component by 2⁻²⁵.
    private static final float FLOAT = 3e-7f;

    private static float[] unit(double x, double y, double z) {
        double length = Math.sqrt(x * x + y * y + z * z);
        return new float[] {(float) (x / length), (float) (y / length), (float) (z / length)};
    }

    private static Mesh weighted(Mesh mesh, NormalWeight weight) {
        return Normals.of(mesh).weighted(weight).build();
    }

    /** The cube's faces as polygons, for the triangles 0 1 2, 0 2 3 of each; its sides stretched. */
    private static Mesh box(float x, float y, float z) {
        Mesh cube = TestShapes.cube();
        float[] p = cube.positions().clone();
        for (int i = 0; i < p.length; i += 3) {
            p[i] *= x;
            p[i + 1] *= y;
            p[i + 2] *= z;
        }
        int[] starts = IntStream.rangeClosed(0, 6).map(q -> 4 * q).toArray();
        int[] corners = IntStream.range(0, 24).map(i -> 6 * (i / 4) + (i % 4 == 3 ? 5 : i % 4)).toArray();
        return Mesh.builder(p, cube.positionIndices()).name("box").polygons(new Polygons(starts, corners)).build();
    }

    /** The cube's UVs: each face has a square of its own if it is cut off, else all share one per position. */
    private static Mesh withUvs(Mesh cube, boolean cutOff) {
        float[] uv = new float[2 * (cutOff ? 36 : 8)];
        int[] of = new int[36];
        for (int c = 0; c < 36; c++) {
            int v = cube.positionIndices()[c];
            of[c] = cutOff ? c : v;
            uv[2 * of[c]] = cutOff ? c / 6 : v;
            uv[2 * of[c] + 1] = v / 8f;
        }
        return cube.toBuilder().uvSet(new Attribute("uv", 2, uv, of)).build();
    }

    // Closed form: at P = (0, 1, 0) the triangle that faces +z has the angle arctan 1 = 45° and the area 1/2, the one that faces +x arctan √3 = 60° and
    // √3/2. The weights' definitions are in the papers that NormalWeight names.
    @Test
    void vertexWithKnownAnglesAndAreas_weighsByThem() {
        float root3 = (float) Math.sqrt(3);
        Mesh tent = Mesh.builder(new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, root3}, new int[] {0, 1, 2, 0, 2, 3}).build();
        assertThat(TestShapes.normalAt(weighted(tent, NormalWeight.ANGLE), 2)).containsExactly(unit(4, 0, 3), within(FLOAT));
        assertThat(TestShapes.normalAt(weighted(tent, NormalWeight.AREA), 2)).containsExactly(unit(root3, 0, 1), within(FLOAT));
        assertThat(TestShapes.normalAt(weighted(tent, NormalWeight.AREA_AND_ANGLE), 2)).containsExactly(unit(4 * root3, 0, 3),
                within(FLOAT));
    }

    // Closed form: where three rectangles meet at right angles, areas weigh as the products of the other two sides.
    @Test
    void cornerOfABox_leansToItsLargeFaces_whereverTheyAreCut() {
        Mesh box = box(1, 2, 3);
        for (NormalWeight weight : NormalWeight.values()) {
            Mesh mesh = weighted(box, weight);
            for (int c = 0; c < 36; c++) {
                int v = 3 * box.positionIndices()[c];
                double sx = Math.signum(box.positions()[v]), sy = Math.signum(box.positions()[v + 1]),
                        sz = Math.signum(box.positions()[v + 2]);
                float[] expected = weight == NormalWeight.ANGLE ? unit(sx, sy, sz) : unit(6 * sx, 3 * sy, 2 * sz);
                assertThat(TestShapes.normalAt(mesh, c)).containsExactly(expected, within(FLOAT));
            }
        }
    }

    // Without polygons each half of a face counts: vertex 0 has two triangles in every face, 1 and 2 have not.
    @Test
    void cubeOfTriangles_byArea_countsThem_byAngleToo_doesNot() {
        Mesh cube = TestShapes.cube();
        int[] t = cube.positionIndices();
        double[][] sum = new double[8][3];
        float[] facets = FacetNormals.unit(cube);
        for (int c = 0; c < 36; c++) {
            for (int k = 0; k < 3; k++) {
                sum[t[c]][k] += facets[c / 3 * 3 + k];
            }
        }
        Mesh area = weighted(cube, NormalWeight.AREA);
        Mesh both = weighted(cube, NormalWeight.AREA_AND_ANGLE);
        for (int c = 0; c < 36; c++) {
            double[] s = sum[t[c]];
            assertThat(TestShapes.normalAt(area, c)).containsExactly(unit(s[0], s[1], s[2]), within(FLOAT));
            int v = 3 * t[c];
            assertThat(TestShapes.normalAt(both, c)).containsExactly(
                    unit(cube.positions()[v], cube.positions()[v + 1], cube.positions()[v + 2]), within(FLOAT));
        }
        assertThat(Arrays.stream(sum).anyMatch(s -> Math.abs(s[0]) != Math.abs(s[1]))).isTrue();
    }

    @ParameterizedTest
    @EnumSource(NormalWeight.class)
    void smallCornersBesideHugeFaces_haveNormals(NormalWeight weight) { // a limit on the sum's length alone would call the small one's vanished
        float[] p = {0, 0, 0, 1e9f, 0, 0, 0, 1e9f, 0, 0, 0, 1, 0, 1e-6f, 1, 0, 0, 1.000001f};
        Mesh mesh = weighted(Mesh.builder(p, new int[] {0, 1, 2, 3, 4, 5}).build(), weight);
        assertThat(TestShapes.normalAt(mesh, 0)).containsExactly(0, 0, 1);
        assertThat(TestShapes.normalAt(mesh, 3)).containsExactly(1, 0, 0);
    }

    @ParameterizedTest
    @EnumSource(NormalWeight.class)
    void trianglesBackToBack_keepTheirOwnNormals(NormalWeight weight) {
        float[] p = {0, 0, 0, 1e-3f, 0, 0, 0, 1e-3f, 0, 5, 5, 5};
        Mesh mesh = weighted(Mesh.builder(p, new int[] {0, 1, 2, 0, 2, 1, 3, 3, 0}).build(), weight);
        for (int c = 0; c < 6; c++) {
            assertThat(TestShapes.normalAt(mesh, c)).containsExactly(0, 0, c < 3 ? 1 : -1);
        }
    }

    @ParameterizedTest
    @EnumSource(NormalWeight.class)
    void powersOfTwo_changeNoBit(NormalWeight weight) { // they scale floats, areas and sums without rounding
        Mesh ball = TestShapes.sphere(20, 11);
        float[] expected = weighted(ball, weight).normals().orElseThrow().values();
        for (double exact : new double[] {0x1p30, 0x1p-30, 0x1p60, 0x1p-60}) {
            assertThat(weighted(ball.unit(exact), weight).normals().orElseThrow().values()).containsExactly(expected);
        }
    }

    @Test
    void facesCutOffInTheirUvs_areFlat() {
        Mesh cube = withUvs(TestShapes.cube(), true);
        Mesh hard = Normals.hardAtUvBorders(cube);
        float[] facets = FacetNormals.unit(cube);
        for (int c = 0; c < 36; c++) {
            assertThat(TestShapes.normalAt(hard, c)).containsExactly(facets[c / 3 * 3], facets[c / 3 * 3 + 1], facets[c / 3 * 3 + 2]);
        }
        assertThat(hard.normals().orElseThrow().count()).isEqualTo(24);
    }

    @Test
    void uvsWithoutBorders_leaveClosedMeshesSmooth() {
        Mesh cube = withUvs(TestShapes.cube(), false);
        Mesh hard = Normals.hardAtUvBorders(cube), smooth = Normals.smooth(cube);
        for (int c = 0; c < 36; c++) {
            assertThat(TestShapes.normalAt(hard, c)).containsExactly(TestShapes.normalAt(smooth, c));
        }
    }

    // The slit runs from the rim of a fan of six triangles to its centre, where the triangles still hang together.
    @Test
    void slitThatEndsAtAVertex_leavesItOneNormal_andPartsItsOtherEnd() {
        float[] p = new float[21];
        float[] uv = new float[16];
        int[] t = new int[18];
        int[] uvOf = new int[18];
        for (int i = 0; i < 6; i++) {
            p[3 * i] = uv[2 * i] = (float) StrictMath.cos(i * Math.PI / 3);
            p[3 * i + 1] = uv[2 * i + 1] = (float) StrictMath.sin(i * Math.PI / 3);
            t[3 * i] = uvOf[3 * i] = 6;
            t[3 * i + 1] = uvOf[3 * i + 1] = i;
            t[3 * i + 2] = uvOf[3 * i + 2] = (i + 1) % 6;
        }
        p[20] = 1; // the centre stands up
        uv[14] = 3;
        uvOf[17] = 7; // the last triangle meets the first at another place
        Mesh mesh = Mesh.builder(p, t).uvSet(new Attribute("uv", 2, uv, uvOf)).build();
        Mesh hard = Normals.hardAtUvBorders(mesh);
        for (int i = 1; i < 6; i++) {
            assertThat(TestShapes.normalAt(hard, 3 * i)).containsExactly(TestShapes.normalAt(hard, 0));
        }
        float[] facets = FacetNormals.unit(mesh);
        assertThat(TestShapes.normalAt(hard, 1)).containsExactly(facets[0], facets[1], facets[2]);
        assertThat(TestShapes.normalAt(hard, 17)).containsExactly(facets[15], facets[16], facets[17]);
    }

    @Test
    void groupsAndBorders_bothPart() {
        int[] groups = new int[12];
        Arrays.fill(groups, 1);
        groups[0] = groups[1] = 2;
        Mesh cube = withUvs(TestShapes.cube(), true).toBuilder().smoothingGroups(groups).build();
        assertThat(Normals.of(cube).hardBetweenSmoothingGroups().build().normals().orElseThrow().count()).isEqualTo(12); // 4 + 8
        assertThat(Normals.of(cube).hardBetweenSmoothingGroups().hardAtUvBorders().build().normals().orElseThrow().count()).isEqualTo(24);
        Mesh joined = withUvs(TestShapes.cube(), false).toBuilder().smoothingGroups(groups).build();
        Mesh both = Normals.of(joined).hardBetweenSmoothingGroups().hardAtUvBorders().build(), one = Normals.bySmoothingGroups(joined);
        for (int c = 0; c < 36; c++) {
            assertThat(TestShapes.normalAt(both, c)).containsExactly(TestShapes.normalAt(one, c));
        }
    }

    @Test
    void optionsWithoutEffect_areRefused() {
        assertThatThrownBy(() -> Normals.hardAtUvBorders(TestShapes.cube())).isInstanceOf(IllegalArgumentException.class)
                .hasMessage("mesh cube has no UVs, so no borders of UVs");
        assertThatThrownBy(() -> Normals.of(TestShapes.cube()).hardBetweenSmoothingGroups()).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("has no smoothing groups");
    }
}
