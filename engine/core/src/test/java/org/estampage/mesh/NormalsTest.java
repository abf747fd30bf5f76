package org.estampage.mesh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.List;
import org.estampage.finding.Place;
import org.junit.jupiter.api.Test;

class NormalsTest {
    // A unit vector's component, rounded to float, is off by up to 2⁻²⁵; positions rounded to float turn facets by a few 2⁻²⁴.
    private static final double FLOAT = 3e-7;

    private static double angle(float[] n, double x, double y, double z) {
        double cx = n[1] * z - n[2] * y, cy = n[2] * x - n[0] * z, cz = n[0] * y - n[1] * x;
        return StrictMath.atan2(Math.sqrt(cx * cx + cy * cy + cz * cz), n[0] * x + n[1] * y + n[2] * z);
    }

    private static void assertRadial(Mesh mesh, double tolerance) {
        Mesh smooth = Normals.smooth(mesh);
        for (int c = 0; c < mesh.positionIndices().length; c++) {
            int v = 3 * mesh.positionIndices()[c];
            float[] p = mesh.positions();
            assertThat(angle(TestShapes.normalAt(smooth, c), p[v], p[v + 1], p[v + 2])).isLessThan(tolerance);
        }
    }

    // By symmetry each corner's three faces, with a right angle each however they are split, sum to the space diagonal. Weights by area or by count
    // of triangles would fail here.
    @Test
    void smoothCube_pointsAlongTheSpaceDiagonals() {
        assertRadial(TestShapes.cube(), FLOAT);
        assertRadial(TestShapes.exploded(TestShapes.cube()), FLOAT);
    }

    @Test
    void smoothIcosahedron_pointsAlongItsVertices() { // closed form: by symmetry
        assertRadial(TestShapes.icosahedron(), FLOAT);
    }

    // Closed form: a triangle with its corners on a sphere has its normal through the circumcentre, at the circumcircle's angular radius from each
    // corner; and the weighted mean of directions within a cone lies in the cone.
    @Test
    void smoothSphere_differsFromThePositionByLessThanTheLargestCircumcircle() {
        Mesh mesh = TestShapes.sphere(48, 24);
        float[] facets = FacetNormals.unit(mesh);
        double largest = 0;
        for (int c = 0; c < mesh.positionIndices().length; c++) {
            int v = 3 * mesh.positionIndices()[c];
            float[] facet = {facets[c / 3 * 3], facets[c / 3 * 3 + 1], facets[c / 3 * 3 + 2]};
            largest = Math.max(largest, angle(facet, mesh.positions()[v], mesh.positions()[v + 1], mesh.positions()[v + 2]));
        }
        assertThat(largest).isBetween(0.08, 0.1); // half the diagonal of a 7.5° × 7.5° cell: 0.0925 radians
        assertRadial(mesh, largest);
    }

    @Test
    void smooth_ofWhatIsWeldedAlready_sharesTheTrianglesIndices() {
        Mesh cube = TestShapes.cube();
        assertThat(Normals.smooth(cube).normals().orElseThrow().indices()).isSameAs(cube.positionIndices());
        assertThat(Normals.smooth(TestShapes.exploded(cube)).normals().orElseThrow().count()).isEqualTo(8);
    }

    @Test
    void hardCube_hasExactlyItsFaceNormals() {
        for (Mesh cube : List.of(TestShapes.cube(), TestShapes.exploded(TestShapes.cube()))) {
            Mesh hard = Normals.hardEdges(cube, 30);
            assertThat(hard.normals().orElseThrow().count()).isEqualTo(24);
            float[] facets = FacetNormals.unit(cube);
            for (int c = 0; c < 36; c++) {
                assertThat(TestShapes.normalAt(hard, c)).containsExactly(facets[c / 3 * 3], facets[c / 3 * 3 + 1], facets[c / 3 * 3 + 2]);
            }
        }
    }

    @Test
    void hardEdges_atTheVeryAngle_stayIsSmooth() {
        assertThat(Normals.hardEdges(TestShapes.cube(), 90).normals().orElseThrow().count()).isEqualTo(8);
        assertThat(Normals.hardEdges(TestShapes.cube(), 89.99).normals().orElseThrow().count()).isEqualTo(24);
    }

    @Test
    void hardEdges_of180_equalSmooth() {
        Mesh cube = TestShapes.cube();
        Mesh hard = Normals.hardEdges(cube, 180), smooth = Normals.smooth(cube);
        for (int c = 0; c < 36; c++) {
            assertThat(TestShapes.normalAt(hard, c)).containsExactly(TestShapes.normalAt(smooth, c));
        }
    }

    // An n-gon prism's sides turn by 360°/n.
    @Test
    void prism_breaksBetweenTheTurnOfItsSidesAndThatOfItsRim() {
        int n = 12;
        float[] p = new float[6 * n + 6];
        int[] t = new int[12 * n];
        for (int i = 0; i < n; i++) {
            p[6 * i] = p[6 * i + 3] = (float) StrictMath.cos(2 * Math.PI * i / n);
            p[6 * i + 1] = p[6 * i + 4] = (float) StrictMath.sin(2 * Math.PI * i / n);
            p[6 * i + 5] = 1;
            int a = 2 * i, b = 2 * ((i + 1) % n);
            int[] side = {a, b, b + 1, a, b + 1, a + 1, 2 * n, b, a, 2 * n + 1, a + 1, b + 1};
            System.arraycopy(side, 0, t, 12 * i, 12);
        }
        p[6 * n + 5] = 1;
        Mesh prism = Mesh.builder(p, t).build();
        assertThat(Normals.hardEdges(prism, 30).normals().orElseThrow().count()).isEqualTo(4 * n + 2); // rim hard, sides smooth
        assertThat(Normals.hardEdges(prism, 29.9).normals().orElseThrow().count()).isEqualTo(6 * n + 2); // sides flat too
        Mesh hard = Normals.hardEdges(prism, 45);
        float[] rim = TestShapes.normalAt(hard, 0);
        assertThat(angle(rim, 1, 0, 0)).isLessThan(FLOAT);
    }

    @Test
    void degrees_outsideTheRange_areRefused() {
        for (double bad : new double[] {-1, 181, Double.NaN}) {
            assertThatThrownBy(() -> Normals.hardEdges(TestShapes.cube(), bad)).isInstanceOf(IllegalArgumentException.class)
                    .hasMessageContaining("degrees = " + bad).hasMessageContaining("0 … 180");
        }
    }

    @Test
    void smoothingGroups_breakBetweenGroupsAndFlattenGroupZero() {
        int[] groups = new int[12];
        groups[0] = groups[1] = 7; // −x
        groups[4] = groups[5] = 7; // −y, joins −x in one edge
        Mesh mesh = Normals.bySmoothingGroups(TestShapes.cube().toBuilder().smoothingGroups(groups).build());
        double h = Math.sqrt(0.5);
        for (int c = 0; c < 6; c++) {
            int v = 3 * mesh.positionIndices()[c];
            float[] n = TestShapes.normalAt(mesh, c);
            if (mesh.positions()[v + 1] < 0) { // on the common edge: half way between −x and −y
                assertThat(angle(n, -h, -h, 0)).isLessThan(FLOAT);
            } else {
                assertThat(n).containsExactly(-1, 0, 0);
            }
        }
        for (int c = 6; c < 12; c++) {
            assertThat(TestShapes.normalAt(mesh, c)).containsExactly(1, 0, 0);
        }
    }

    @Test
    void oneSmoothingGroup_equalsSmooth() {
        Mesh ball = TestShapes.sphere(12, 7);
        int[] groups = new int[ball.triangleCount()];
        java.util.Arrays.fill(groups, 3);
        Mesh grouped = Normals.bySmoothingGroups(ball.toBuilder().smoothingGroups(groups).build()), smooth = Normals.smooth(ball);
        for (int c = 0; c < 3 * groups.length; c++) {
            assertThat(TestShapes.normalAt(grouped, c)).containsExactly(TestShapes.normalAt(smooth, c));
        }
    }

    @Test
    void bySmoothingGroups_withoutGroups_isRefused() {
        assertThatThrownBy(() -> Normals.bySmoothingGroups(TestShapes.cube())).hasMessageContaining("cube has no smoothing groups");
    }

    @Test
    void shading_keepsTheFilesNormals() {
        Mesh given = Normals.hardEdges(TestShapes.cube(), 30);
        assertThat(Normals.shading(given)).isSameAs(given);
    }

    @Test
    void shading_followsSmoothingGroupsWithoutAFinding() {
        int[] groups = {1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 6, 6};
        Mesh mesh = Normals.shading(TestShapes.cube().toBuilder().smoothingGroups(groups).build());
        assertThat(mesh.normals().orElseThrow().count()).isEqualTo(24);
        assertThat(mesh.findings()).isEmpty();
    }

    @Test
    void shading_reportsTheEdgesThatItSmoothed() {
        Mesh mesh = Normals.shading(TestShapes.cube());
        assertThat(mesh.findings()).hasSize(1);
        assertThat(mesh.findings().get(0).kind()).isEqualTo("sharp-edges-smoothed");
        assertThat(mesh.findings().get(0).count()).isEqualTo(12);
        assertThat(mesh.findings().get(0).places()).hasSize(12).allSatisfy(place -> {
            Place.Point p = (Place.Point) place;
            assertThat(Math.abs(p.x()) + Math.abs(p.y()) + Math.abs(p.z())).isEqualTo(2); // middles of the cube's edges
        });
        assertThat(Normals.shading(TestShapes.sphere(24, 12)).findings()).isEmpty();
    }

    @Test
    void trianglesBackToBack_keepTheirOwnNormals() {
        float[] p = {0, 0, 0, 1, 0, 0, 0, 1, 0};
        Mesh smooth = Normals.smooth(Mesh.builder(p, new int[] {0, 1, 2, 0, 2, 1}).build());
        for (int c = 0; c < 6; c++) {
            assertThat(TestShapes.normalAt(smooth, c)).containsExactly(0, 0, c < 3 ? 1 : -1);
        }
    }

    @Test
    void trianglesWithoutArea_giveNothing() {
        float[] p = {0, 0, 0, 1, 0, 0, 0, 1, 0, 0.5f, 0, 0, Float.NaN, 0, 0, 5, 5, 5};
        Mesh mesh = Mesh.builder(p, new int[] {0, 1, 2, 0, 3, 1, 0, 4, 1, 5, 5, 5}).build();
        for (Mesh m : List.of(Normals.smooth(mesh), Normals.hardEdges(mesh, 10))) {
            for (int c = 0; c < 12; c++) { // corners that only such triangles touch get +Z, and so does all else here
                assertThat(TestShapes.normalAt(m, c)).containsExactly(0, 0, 1);
            }
        }
        assertThat(FacetNormals.unit(mesh)).containsExactly(0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0);
    }

    // A triangle without area that fills a T-junction along a hard edge must not join the faces on either side, nor break a flat one.
    @Test
    void triangleWithoutArea_passesTheTurnOn() {
        float[] flat = {0, 0, 0, 2, 0, 0, 1, 2, 0, 1, 0, 0, 1, -2, 0};
        float[] bent = {0, 0, 0, 2, 0, 0, 1, 2, 0, 1, 0, 0, 1, 0, -2};
        int[] t = {0, 1, 2, 1, 0, 3, 0, 4, 3, 3, 4, 1}; // the second has its third corner in the middle of the first's edge
        Mesh joined = Normals.hardEdges(Mesh.builder(flat, t).build(), 30);
        assertThat(joined.normals().orElseThrow().indices()[0]).isEqualTo(joined.normals().orElseThrow().indices()[6]);
        Mesh split = Normals.hardEdges(Mesh.builder(bent, t).build(), 30);
        assertThat(TestShapes.normalAt(split, 0)).containsExactly(0, 0, 1);
        assertThat(TestShapes.normalAt(split, 6)[2]).isZero();
    }

    @Test
    void noTriangles_giveNoNormals() {
        Mesh empty = Mesh.builder(new float[] {1, 2, 3}, new int[0]).build();
        assertThat(Normals.smooth(empty).normals().orElseThrow().count()).isZero();
        assertThat(Normals.hardEdges(empty, 30).normals().orElseThrow().count()).isZero();
        assertThat(Normals.shading(empty).findings()).isEmpty();
    }

    // Powers of two scale floats without rounding, so not a bit may change; × 1000 and × 0.001 round the positions by 2⁻²⁴ of their size, which turns
    // the facets of this mesh, whose triangles are a tenth of its size, by about ten times that.
    @Test
    void scale_doesNotMatter() {
        Mesh ball = TestShapes.sphere(20, 11);
        float[] expected = Normals.hardEdges(ball, 20).normals().orElseThrow().values();
        for (double exact : new double[] {0x1p30, 0x1p-30, 0x1p60, 0x1p-60}) {
            assertThat(Normals.hardEdges(ball.unit(exact), 20).normals().orElseThrow().values()).containsExactly(expected);
        }
        for (double factor : new double[] {1000, 0.001}) {
            assertThat(Normals.hardEdges(ball.unit(factor), 20).normals().orElseThrow().values()).containsExactly(expected, within(2e-6f));
        }
    }

    @Test
    void farFromTheOrigin_givesTheSameBits() {
        Mesh sheet = TestShapes.sheet(16, 0.3);
        float[] near = sheet.positions().clone(), far = near.clone();
        for (int i = 0; i < near.length; i++) {
            near[i] = Math.round(near[i] * 1024) / 1024f; // a lattice that floats hold at 0 and at 4096 alike
            far[i] = near[i] + 4096;
        }
        assertThat(Normals.smooth(sheet.toBuilder().positions(far).build()).normals().orElseThrow().values())
                .containsExactly(Normals.smooth(sheet.toBuilder().positions(near).build()).normals().orElseThrow().values());
    }

    @Test
    void givenTangents_areDropped() {
        int[] zero = new int[36];
        Mesh mesh = TestShapes.cube().toBuilder().tangents(new Attribute("t", 4, new float[] {1, 0, 0, 1}, zero)).build();
        assertThat(Normals.smooth(mesh).tangents()).isEmpty();
    }
}
