package org.estampage.mesh;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Arrays;
import java.util.List;
import java.util.stream.Stream;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.finding.Place;
import org.estampage.finding.Severity;
import org.junit.jupiter.api.Test;

class MeshCheckTest {
    private static final float[] POINTS = {0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0, 0, 0, 1, 0.5f, 0, 0};

    private static Mesh triangles(int... t) {
        return Mesh.builder(POINTS, t).name("m").build();
    }

    private static Finding only(Findings findings, String kind) {
        assertThat(findings.ofKind(kind)).as(kind).hasSize(1);
        return findings.ofKind(kind).get(0);
    }

    private static Stream<String> kinds(Mesh mesh) {
        return MeshCheck.check(mesh).stream().map(Finding::kind);
    }

    private static Mesh flipped(Mesh mesh, int... triangles) {
        int[] t = mesh.positionIndices().clone();
        for (int i : triangles) {
            t[3 * i] = mesh.positionIndices()[3 * i + 1];
            t[3 * i + 1] = mesh.positionIndices()[3 * i];
        }
        return Mesh.builder(mesh.positions(), t).name(mesh.name()).build();
    }

    private static int[] all(Mesh mesh) {
        return java.util.stream.IntStream.range(0, mesh.triangleCount()).toArray();
    }

    private static Mesh together(Mesh a, Mesh b, float scale, float shift) {
        float[] p = Arrays.copyOf(a.positions(), a.positions().length + b.positions().length);
        for (int i = 0; i < b.positions().length; i++) {
            p[a.positions().length + i] = b.positions()[i] * scale + shift;
        }
        int[] t = Arrays.copyOf(a.positionIndices(), a.positionIndices().length + b.positionIndices().length);
        for (int i = 0; i < b.positionIndices().length; i++) {
            t[a.positionIndices().length + i] = b.positionIndices()[i] + a.vertexCount();
        }
        return Mesh.builder(p, t).build();
    }

    @Test
    void cube_hasNothingButNoUvs() {
        assertThat(kinds(TestShapes.cube())).containsExactly("no-uvs");
        assertThat(MeshCheck.check(TestShapes.cube()).has(Severity.WARNING)).isFalse();
    }

    @Test
    void smoothedSphere_withItsUvs_hasOnlyNotes() { // its seam and poles are split, and weld
        Findings findings = MeshCheck.check(Normals.smooth(TestShapes.sphere(12, 6)));
        assertThat(findings.stream().map(Finding::kind)).containsExactlyInAnyOrder("duplicate-positions", "unused-vertices");
    }

    @Test
    void whatTheFileSaid_comesFirst() {
        Finding told = Finding.warning("told", 1, "m", "r", List.of());
        assertThat(MeshCheck.check(TestShapes.cube().toBuilder().findings(List.of(told)).build())).first().isSameAs(told);
    }

    @Test
    void emptyMesh_isAnError() {
        assertThat(only(MeshCheck.check(triangles()), "no-triangles").severity()).isEqualTo(Severity.ERROR);
    }

    @Test
    void notFinitePositions_areErrorsWithTheirVertices() {
        float[] p = POINTS.clone();
        p[4] = Float.NaN;
        p[15] = Float.NEGATIVE_INFINITY;
        Mesh mesh = Mesh.builder(p, new int[] {0, 1, 2, 0, 2, 5}).build();
        Finding finding = only(MeshCheck.check(mesh), "positions-not-finite");
        assertThat(finding.severity()).isEqualTo(Severity.ERROR);
        assertThat(finding.places()).containsExactly(new Place.Element("vertex", 1), new Place.Element("vertex", 5));
        assertThat(kinds(mesh)).doesNotContain("zero-area");
    }

    @Test
    void repeatedVerticesAndZeroAreas_areToldApart() {
        Findings findings = MeshCheck.check(triangles(0, 1, 2, 0, 0, 1, 0, 5, 1, 3, 3, 3));
        assertThat(only(findings, "repeated-vertex").count()).isEqualTo(2);
        assertThat(only(findings, "repeated-vertex").places()).containsExactly(new Place.Element("triangle", 1),
                new Place.Element("triangle", 3));
        assertThat(only(findings, "zero-area").places()).containsExactly(new Place.Element("triangle", 2));
    }

    @Test
    void boundary_isCountedAndPlacedInTheMiddleOfTheEdge() {
        Finding finding = only(MeshCheck.check(triangles(0, 1, 2)), "boundary-edges");
        assertThat(finding.count()).isEqualTo(3);
        assertThat(finding.places()).contains(new Place.Point(0.5f, 0, 0), new Place.Point(0.5f, 0.5f, 0), new Place.Point(0, 0.5f, 0));
        int n = 20;
        assertThat(only(MeshCheck.check(TestShapes.sheet(n, 0)), "boundary-edges").count()).isEqualTo(4L * n);
    }

    @Test
    void threeTrianglesOnAnEdge_areNonManifold() {
        Findings findings = MeshCheck.check(triangles(0, 1, 2, 1, 0, 4, 0, 1, 3));
        assertThat(only(findings, "non-manifold-edges").count()).isEqualTo(1);
        assertThat(only(findings, "non-manifold-edges").places()).containsExactly(new Place.Point(0.5f, 0, 0));
        assertThat(findings.ofKind("inconsistent-winding")).isEmpty();
    }

    @Test
    void oneTurnedTriangle_isInconsistentOnItsThreeEdges() {
        Findings findings = MeshCheck.check(flipped(TestShapes.cube(), 4));
        assertThat(only(findings, "inconsistent-winding").count()).isEqualTo(3);
        assertThat(findings.ofKind("non-manifold-edges")).isEmpty();
        assertThat(findings.ofKind("inside-out")).isEmpty();
    }

    @Test
    void closedMeshTurnedOver_isInsideOut_alsoFarAwayAndSplit() {
        Mesh cube = TestShapes.cube();
        Mesh inverted = flipped(cube, all(cube));
        assertThat(only(MeshCheck.check(inverted), "inside-out").severity()).isEqualTo(Severity.WARNING);
        assertThat(kinds(TestShapes.exploded(inverted))).contains("inside-out");
        Mesh far = together(cube, inverted, 1, 5000);
        assertThat(only(MeshCheck.check(far), "inside-out").places()).containsExactly(new Place.Element("triangle", 12));
    }

    @Test
    void openMesh_isNeverInsideOut() {
        Mesh sheet = TestShapes.sheet(4, 0.2);
        assertThat(kinds(flipped(sheet, all(sheet)))).doesNotContain("inside-out");
    }

    @Test
    void cavity_isNotInsideOut() {
        Mesh cube = TestShapes.cube();
        assertThat(kinds(together(cube, flipped(cube, all(cube)), 0.5f, 0))).doesNotContain("inside-out");
    }

    @Test
    void sheetClosedByItsOwnBack_hasNoVolumeToBeInsideOut() {
        assertThat(kinds(triangles(0, 1, 2, 0, 2, 1))).doesNotContain("inside-out", "boundary-edges");
    }

    @Test
    void unusedAndDuplicateVertices_areNotes() {
        float[] p = {0, 0, 0, 1, 0, 0, 0, 1, 0, 7, 7, 7, 1, 0, 0};
        Findings findings = MeshCheck.check(Mesh.builder(p, new int[] {0, 1, 2, 0, 2, 4}).build());
        assertThat(only(findings, "unused-vertices").places()).containsExactly(new Place.Element("vertex", 3));
        assertThat(only(findings, "duplicate-positions").places()).containsExactly(new Place.Element("vertex", 4));
    }

    @Test
    void normals_withoutDirectionOrAgainstTheWinding_areReported() {
        float[] n = {0, 0, 1, 0, 0, -1, 0, 0, 0, Float.NaN, 0, 0};
        Mesh mesh = triangles(0, 1, 2, 2, 1, 3).toBuilder().normals(new Attribute("n", 3, n, new int[] {0, 0, 0, 1, 1, 0})).build();
        Findings findings = MeshCheck.check(mesh);
        assertThat(only(findings, "unusable-normals").places()).containsExactly(new Place.Element("normal", 2),
                new Place.Element("normal", 3));
        assertThat(only(findings, "normals-against-winding").places()).containsExactly(new Place.Element("triangle", 1));
    }

    /** Six squares; of the cube's twelve edges those are joined in the UVs whose bit is set: a strip of four and its two lids. */
    private static Mesh cubeWithUvs(boolean cutOff, boolean net) {
        Mesh cube = TestShapes.cube(); // faces −x +x −y +y −z +z
        float[] uv = new float[72];
        int[] own = new int[36];
        for (int c = 0; c < 36; c++) {
            int v = cube.positionIndices()[c];
            float x = v & 1, y = v >> 1 & 1, z = v >> 2;
            own[c] = c;
            // A cross: −z in the middle, the sides folded out around it, +z beside +x.
            float[] place = switch (net ? c / 6 : -1) {
                case 0 -> new float[] {-z, y};
                case 1 -> new float[] {1 + z, y};
                case 2 -> new float[] {x, -z};
                case 3 -> new float[] {x, 1 + z};
                case 4 -> new float[] {x, y};
                case 5 -> new float[] {3 - x, y};
                default -> new float[] {cutOff ? v + 10 * (c / 6) : v, 0};
            };
            System.arraycopy(place, 0, uv, 2 * c, 2);
        }
        return cube.toBuilder().uvSet(new Attribute("uv", 2, uv, own)).build();
    }

    // A cube has twelve edges, each 2 long here; unfolding it cuts seven of them, as any spanning tree of its six faces keeps five.
    @Test
    void hardEdges_withoutSeam_areCountedAndMeasured() {
        Finding all = only(MeshCheck.check(Normals.hardEdges(cubeWithUvs(false, false), 30)), "hard-edges-without-seam");
        assertThat(all.severity()).isEqualTo(Severity.WARNING);
        assertThat(all.count()).isEqualTo(12);
        assertThat(all.places()).hasSize(12);
        assertThat(all.message()).contains("length of 24.00");
        assertThat(all.remedy()).contains("hardAtUvBorders()").contains("seamsAtHardEdges()");
        Finding net = only(MeshCheck.check(Normals.hardEdges(cubeWithUvs(false, true), 30)), "hard-edges-without-seam");
        assertThat(net.count()).isEqualTo(5);
        assertThat(net.message()).contains("length of 10.00");
        assertThat(kinds(Normals.hardEdges(cubeWithUvs(true, false), 30))).doesNotContain("hard-edges-without-seam");
    }

    @Test
    void hardEdges_cured_areNoFinding() {
        for (boolean net : new boolean[] {false, true}) {
            assertThat(kinds(Normals.hardAtUvBorders(cubeWithUvs(false, net)))).doesNotContain("hard-edges-without-seam");
        }
        assertThat(kinds(Normals.smooth(cubeWithUvs(false, true)))).doesNotContain("hard-edges-without-seam");
    }

    // Half a step of 1/127 in each component turns a unit vector by 0.39° at most: copies of one normal may differ by twice that.
    @Test
    void normalsThatDifferByTheRoundingOfBytes_areNoHardEdge() {
        float[] p = {0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0};
        for (double degrees : new double[] {0.78, 1.1, 179}) {
            double turn = Math.toRadians(degrees);
            float[] n = {0, 0, 2, (float) StrictMath.sin(turn), 0, (float) StrictMath.cos(turn)};
            Mesh mesh = Mesh.builder(p, new int[] {0, 1, 2, 2, 1, 3}).normals(new Attribute("n", 3, n, new int[] {0, 0, 0, 1, 1, 1}))
                    .uvSet(new Attribute("uv", 2, new float[] {0, 0, 1, 0, 0, 1, 1, 1}, new int[] {0, 1, 2, 2, 1, 3})).build();
            assertThat(MeshCheck.check(mesh).ofKind("hard-edges-without-seam")).hasSize(degrees < 1 ? 0 : 1);
        }
    }

    @Test
    void uvs_areLookedAtTriangleByTriangle() {
        float[] uv = {0, 0, 1, 0, 0, 1, 2, 0, 0.5f, 0, Float.NaN, 0};
        int[] uvOf = {0, 1, 2, 1, 0, 2, 0, 3, 2, 0, 4, 1, 0, 1, 5};
        Mesh mesh = triangles(0, 1, 2, 2, 1, 3, 0, 2, 4, 0, 4, 1, 1, 4, 3).toBuilder().uvSet(new Attribute("uv", 2, uv, uvOf)).build();
        Findings findings = MeshCheck.check(mesh);
        assertThat(only(findings, "uvs-mirrored").places()).containsExactly(new Place.Element("triangle", 1));
        assertThat(only(findings, "uvs-outside").places()).containsExactly(new Place.Element("triangle", 2));
        assertThat(only(findings, "uvs-zero-area").places()).containsExactly(new Place.Element("triangle", 3));
        assertThat(only(findings, "uvs-not-finite").places()).containsExactly(new Place.Element("triangle", 4));
        assertThat(only(findings, "uvs-outside").remedy()).contains("UDIM").contains("copies");
        assertThat(findings.ofKind("no-uvs")).isEmpty();
    }

    @Test
    void everyFinding_saysWhatToDoAndKeepsFewPlaces() {
        Findings findings = MeshCheck.check(TestShapes.exploded(TestShapes.sphere(20, 10)));
        assertThat(findings).isNotEmpty().allSatisfy(finding -> {
            assertThat(finding.remedy()).isNotBlank();
            assertThat(finding.places()).hasSizeLessThanOrEqualTo(Finding.MAX_PLACES);
        });
        assertThat(only(findings, "duplicate-positions").count()).isGreaterThan(Finding.MAX_PLACES);
    }

    // Gauss–Bonnet: the angle deficits of a closed surface sum to 2π times its Euler characteristic, whatever its shape. Angles are good to 2e-13.
    @Test
    void angleDeficits_ofClosedMeshes_sumToFourPi() {
        for (Mesh mesh : List.of(TestShapes.cube(), TestShapes.icosahedron(), TestShapes.sphere(17, 9))) {
            int[] corners = Adjacency.of(mesh).cornerVertices();
            Facet facet = new Facet();
            double sum = 2 * Math.PI * Arrays.stream(corners).distinct().count();
            for (int c = 0; c < corners.length; c += 3) {
                assertThat(facet.set(mesh.positions(), corners[c], corners[c + 1], corners[c + 2])).isTrue();
                sum -= facet.angle0 + facet.angle1 + facet.angle2;
            }
            assertThat(sum).isCloseTo(4 * Math.PI, org.assertj.core.api.Assertions.within(1e-9));
        }
    }

    @Test
    void problems_ofAnEmptyMesh_areAllNamed() {
        assertThat(MeshCheck.problems(triangles(), true)).containsExactly(new MeshProblem.NoTriangles("m"), new MeshProblem.NoUvs("m"));
        assertThat(MeshCheck.problems(triangles(0, 1, 2), false)).isEmpty();
    }

    @Test
    void problems_countWhatIsNotFinite() {
        float[] p = {0, Float.NaN, 0, Float.NaN, 0, Float.NaN, 0, 1, 0};
        float[] uv = {0, 0, 1, 0, 0, Float.POSITIVE_INFINITY};
        float[] n = {0, 0, Float.NaN};
        int[] t = {0, 1, 2};
        Mesh mesh = Mesh.builder(p, t).name("m").uvSet(new Attribute("uv", 2, uv, t)).normals(new Attribute("n", 3, n, new int[3])).build();
        assertThat(MeshCheck.problems(mesh, true)).containsExactly(new MeshProblem.NotFinite("m", "positions", 2, 0),
                new MeshProblem.NotFinite("m", "normals", 1, 0), new MeshProblem.NotFinite("m", "UVs", 1, 2));
        assertThat(MeshCheck.problems(mesh, false)).hasSize(2);
    }
}
