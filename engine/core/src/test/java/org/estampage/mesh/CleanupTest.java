package org.estampage.mesh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.Arrays;
import java.util.List;
import java.util.Objects;
import java.util.concurrent.CancellationException;
import java.util.stream.IntStream;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.finding.Severity;
import org.estampage.task.Task;
import org.estampage.testresources.DirtyShapes;
import org.estampage.testresources.Shape;
import org.estampage.testresources.Shapes;
import org.junit.jupiter.api.Test;

class CleanupTest {
    private static final Shape CUBE = Shapes.cube(2);

    static Mesh mesh(Shape shape) {
        return Mesh.builder(shape.positions(), shape.triangles()).name("shape").build();
    }

    private static Mesh cleaned(Shape shape) {
        return Cleanup.of(mesh(shape)).build();
    }

    /** The edges of a mesh by its own vertices: no two vertices at one place are one. */
    static Adjacency own(Mesh mesh) {
        return Adjacency.of(mesh, Welding.unwelded(mesh));
    }

    static long borders(Mesh mesh) {
        return Arrays.stream(own(mesh).opposite()).filter(o -> o == Adjacency.BOUNDARY).count();
    }

    /** Asserts what a clean-up found: kinds and counts in turn. */
    private static void assertFound(Mesh mesh, Object... kindsAndCounts) {
        assertThat(mesh.findings().stream().flatMap(f -> List.<Object>of(f.kind(), (int) f.count()).stream()))
                .containsExactly(kindsAndCounts);
    }

    private static void assertSameShape(Mesh mesh, Shape expected) {
        assertThat(mesh.positions()).containsExactly(expected.positions());
        assertThat(mesh.positionIndices()).containsExactly(expected.triangles());
    }

    private static int[] range(int from, int to) {
        return IntStream.range(from, to).toArray();
    }

    @Test
    void cleanMesh_isReturnedAsItIs() {
        Mesh cube = mesh(CUBE);
        assertThat(Cleanup.of(cube).build()).isSameAs(cube);
        assertThat(Cleanup.of(cube).cards().build()).isSameAs(cube);
    }

    @Test
    void meshWithoutTriangles_isReturnedAsItIs() {
        Mesh empty = Mesh.builder(new float[3], new int[0]).build();
        assertThat(Cleanup.of(empty).build()).isSameAs(empty);
    }

    @Test
    void unweldedScan_cleanedUp_hasNoBorder() {
        Shape torus = Shapes.torus(3, 1, 12, 8);
        Mesh clean = cleaned(DirtyShapes.unwelded(torus));
        assertThat(clean.vertexCount()).isEqualTo(torus.vertexCount()).isEqualTo(96);
        assertThat(borders(clean)).isZero();
        assertFound(clean, "vertices-welded", 3 * 192 - 96);
        assertThat(clean.findings().get(0).places()).hasSize(Finding.MAX_PLACES);
    }

    @Test
    void zerosOfBothSigns_areOnePlace_andTheLowestVertexGivesTheCoordinates() {
        Mesh clean = Cleanup.of(Mesh.builder(new float[] {-0f, 0, 0, 1, 0, 0, 0, 1, 0, 0f, 0, 0, 1, -0f, -0f, 0, -1, 0},
                new int[] {0, 1, 2, 4, 3, 5}).build()).build();
        assertThat(clean.positions()).containsExactly(-0f, 0, 0, 1, 0, 0, 0, 1, 0, 0, -1, 0);
        assertThat(clean.positionIndices()).containsExactly(0, 1, 2, 1, 0, 3);
        assertFound(clean, "vertices-welded", 2);
    }

    @Test
    void trianglesOnOnePlaceTwice_go() {
        Shape dirty = DirtyShapes.withTriangles(CUBE, 0, 0, 1, 3, 5, 3, 7, 7, 7);
        Mesh clean = cleaned(dirty);
        assertSameShape(clean, CUBE);
        assertFound(clean, "repeated-vertex-dropped", 3);
        assertThat(clean.findings().get(0).places().get(2)).isEqualTo(new Place.Point(1, 1, 1));
    }

    @Test
    void trianglesThatRepeatAPlaceOnlyOnceWelded_go() {
        Shape dirty = DirtyShapes.unwelded(DirtyShapes.withTriangles(CUBE, 0, 0, 1));
        Mesh clean = cleaned(dirty);
        assertThat(clean.triangleCount()).isEqualTo(12);
        assertFound(clean, "repeated-vertex-dropped", 1, "vertices-welded", 36 - 8, "unused-vertices-dropped", 3);
    }

    @Test
    void copies_go_andTheFirstStays() {
        Mesh clean = cleaned(DirtyShapes.withCopies(CUBE, 3, 5, 3));
        assertSameShape(clean, CUBE);
        assertFound(clean, "duplicate-triangles-dropped", 3);
        assertThat(clean.findings().get(0).places()).hasSize(2); // one a group
    }

    @Test
    void copyOfAWholeMesh_isNoSecondSurface() {
        Mesh clean = cleaned(DirtyShapes.unwelded(DirtyShapes.withCopies(CUBE, range(0, 12))));
        assertThat(clean.triangleCount()).isEqualTo(12);
        assertThat(borders(clean)).isZero();
    }

    @Test
    void oppositePairs_go_withAWarning() {
        Mesh clean = cleaned(DirtyShapes.withOppositePairs(CUBE, 0, 3, 5, 1, 2, 4));
        assertSameShape(clean, CUBE);
        assertFound(clean, "opposite-triangles-dropped", 4);
        assertThat(clean.findings().get(0).severity()).isEqualTo(Severity.WARNING);
    }

    @Test
    void ofThreeAgainstOne_oneStays() {
        int a = CUBE.triangles()[0], b = CUBE.triangles()[1], c = CUBE.triangles()[2];
        Mesh clean = cleaned(DirtyShapes.withTriangles(CUBE, c, a, b, a, c, b, b, c, a));
        assertSameShape(clean, CUBE);
        assertFound(clean, "opposite-triangles-dropped", 2, "duplicate-triangles-dropped", 1);
    }

    @Test
    void ofTwoAgainstOne_theSideWithMoreStays_whicheverComesFirst() {
        float[] p = {0, 0, 0, 1, 0, 0, 0, 1, 0};
        Mesh clean = Cleanup.of(Mesh.builder(p, new int[] {0, 1, 2, 2, 1, 0, 1, 0, 2}).build()).build();
        assertThat(clean.positionIndices()).containsExactly(2, 1, 0);
    }

    @Test
    void boxesSideBySide_loseTheWallBetweenThem() {
        float[] moved = CUBE.positions().clone();
        for (int v = 0; v < 8; v++) {
            moved[3 * v] += 2;
        }
        Mesh clean = cleaned(Shapes.together(CUBE, new Shape(moved, CUBE.triangles())));
        assertThat(clean.triangleCount()).isEqualTo(20);
        assertThat(clean.vertexCount()).isEqualTo(12);
        assertThat(borders(clean)).isZero();
        assertFound(clean, "opposite-triangles-dropped", 4, "vertices-welded", 4);
    }

    @Test
    void fins_comeOff_andTheSurfaceBelowStaysWhole() {
        Mesh clean = cleaned(DirtyShapes.withFins(CUBE, 0.5, 0, 13));
        assertThat(clean.triangleCount()).isEqualTo(14);
        assertFound(clean, "non-manifold-edges-split", 2, "vertices-split", sharedEnds(0, 13));
        assertThat(clean.vertexCount()).isEqualTo(8 + 2 * 3);
        Adjacency own = own(clean);
        for (int e = 0; e < 36; e++) {
            assertThat(own.opposite(e)).isBetween(0, 35);
        }
        assertThat(borders(clean)).isEqualTo(6);
    }

    private static int sharedEnds(int... edges) {
        return (int) Arrays.stream(edges).flatMap(e -> IntStream.of(CUBE.triangles()[e], CUBE.triangles()[Adjacency.next(e)])).distinct()
                .count();
    }

    @Test
    void wallOnAFloor_cutsItAlongTheLine() {
        // A floor of 2 × 2 cells, and a wall of two cells along its middle line from edge to edge.
        float[] p = new float[3 * 12];
        for (int v = 0; v < 9; v++) {
            int row = v / 3;
            p[3 * v] = v % 3;
            p[3 * v + 2] = row;
        }
        for (int v = 9; v < 12; v++) {
            p[3 * v] = v - 9;
            p[3 * v + 1] = 1;
            p[3 * v + 2] = 1;
        }
        int[] t = {0, 3, 4, 0, 4, 1, 1, 4, 5, 1, 5, 2, 3, 6, 7, 3, 7, 4, 4, 7, 8, 4, 8, 5, 3, 4, 10, 3, 10, 9, 4, 5, 11, 4, 11, 10};
        Mesh clean = Cleanup.of(Mesh.builder(p, t).build()).build();
        assertFound(clean, "non-manifold-edges-split", 2, "vertices-split", 3);
        assertThat(clean.vertexCount()).isEqualTo(12 + 2 * 3);
        assertThat(borders(clean)).isEqualTo(6 + 6 + 6);
    }

    @Test
    void turnedTriangle_isCutOut() {
        int[] t = CUBE.triangles().clone();
        t[0] = CUBE.triangles()[1];
        t[1] = CUBE.triangles()[0];
        Mesh clean = cleaned(new Shape(CUBE.positions(), t));
        assertThat(clean.vertexCount()).isEqualTo(8 + 3);
        assertThat(borders(clean)).isEqualTo(6);
        assertFound(clean, "inconsistent-winding-split", 3, "vertices-split", 3);
    }

    @Test
    void conesTipOnTip_getATipEach() {
        Mesh clean = cleaned(DirtyShapes.tipOnTip());
        assertThat(clean.vertexCount()).isEqualTo(10);
        assertThat(borders(clean)).isZero();
        assertFound(clean, "vertices-split", 1);
        assertThat(clean.findings().get(0).places()).containsExactly(new Place.Point(0, 0, 0));
    }

    @Test
    void triangleWithoutArea_staysAndIsToldOnce() {
        Mesh clean = cleaned(DirtyShapes.withFlatTriangle(CUBE, 4));
        assertThat(clean.triangleCount()).isEqualTo(14);
        assertThat(borders(clean)).isZero();
        assertFound(clean, "zero-area-kept", 1);
        assertThat(Cleanup.of(clean).build()).isSameAs(clean);
    }

    @Test
    void unusedVertices_go() {
        Mesh clean = cleaned(DirtyShapes.withUnused(CUBE, 5));
        assertSameShape(clean, CUBE);
        assertFound(clean, "unused-vertices-dropped", 5);
    }

    @Test
    void allAtOnce_isCountedKindByKind() {
        Shape ball = Shapes.icosphere(1, 2); // 320 triangles, 162 vertices
        Shape dirty = DirtyShapes.withFins(ball, 0.2, 30, 700);
        dirty = DirtyShapes.withCopies(dirty, 7, 8, 9);
        dirty = DirtyShapes.withOppositePairs(dirty, 0, 50, 100, 1, 51, 101);
        dirty = DirtyShapes.unwelded(DirtyShapes.withTriangles(dirty, 4, 4, 5));
        dirty = DirtyShapes.withUnused(Shapes.together(dirty, DirtyShapes.withFlatTriangle(DirtyShapes.tipOnTip(), 12)), 11);
        Mesh clean = cleaned(dirty);
        assertThat(clean.triangleCount()).isEqualTo(320 + 2 + 14);
        assertThat(clean.vertexCount()).isEqualTo(162 + 2 * 3 + 11);
        assertThat(borders(clean)).isEqualTo(6);
        assertFound(clean, "repeated-vertex-dropped", 1, "opposite-triangles-dropped", 4, "duplicate-triangles-dropped", 3,
                "vertices-welded",
                3 * 322 - 162 - 2 * 3, "non-manifold-edges-split", 2, "vertices-split", 1, "unused-vertices-dropped", 11 + 3 * (1 + 4 + 3),
                "zero-area-kept", 1);
        assertThat(Cleanup.of(clean).build()).isSameAs(clean);
    }

    @Test
    void cards_becomeASheetOfEachSide() {
        Shape sheet = Shapes.plane(2, 2, 3, 4);
        Mesh clean = Cleanup.of(mesh(DirtyShapes.unwelded(DirtyShapes.twoSided(sheet)))).cards().build();
        assertThat(clean.triangleCount()).isEqualTo(2 * 24);
        assertThat(clean.vertexCount()).isEqualTo(2 * 20);
        assertThat(borders(clean)).isEqualTo(2 * 14);
        assertFound(clean, "vertices-welded", 3 * 48 - 40);
        assertThat(Cleanup.of(clean).cards().build()).isSameAs(clean);
    }

    @Test
    void cards_withoutBeingToldSo_vanish() {
        Mesh clean = cleaned(DirtyShapes.twoSided(Shapes.plane(2, 2, 3, 4)));
        assertThat(clean.triangleCount()).isZero();
        assertFound(clean, "opposite-triangles-dropped", 48, "unused-vertices-dropped", 20);
    }

    @Test
    void cardOnASurface_leavesItWhole() {
        Shape finned = DirtyShapes.withFins(CUBE, 0.5, 0);
        int[] t = finned.triangles();
        Shape dirty = DirtyShapes.withTriangles(finned, t[37], t[36], t[38]); // the fin's other side
        Mesh clean = Cleanup.of(mesh(dirty)).cards().build();
        assertThat(clean.triangleCount()).isEqualTo(14);
        assertThat(clean.vertexCount()).isEqualTo(8 + 3 + 3);
        assertThat(borders(clean)).isEqualTo(6);
        Adjacency own = own(clean);
        for (int e = 0; e < 36; e++) {
            assertThat(own.opposite(e)).isBetween(0, 35);
        }
    }

    @Test
    void surfaceThatEndsInACard_goesOnOnOneSide() {
        // Two triangles of a square, the second with a back.
        Mesh clean = Cleanup
                .of(Mesh.builder(new float[] {0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0}, new int[] {0, 1, 2, 0, 2, 3, 0, 3, 2}).build())
                .cards().build();
        assertThat(clean.vertexCount()).isEqualTo(4 + 3);
        assertThat(borders(clean)).isEqualTo(4 + 3);
    }

    @Test
    void cardsInThreeCopies_keepOneOfEachSide() {
        Shape card = DirtyShapes.twoSided(Shapes.plane(1, 1, 1, 1));
        Mesh clean = Cleanup.of(mesh(DirtyShapes.withCopies(card, 0, 1, 2, 0))).cards().build();
        assertThat(clean.triangleCount()).isEqualTo(4);
        assertThat(clean.findings().ofKind("duplicate-triangles-dropped").get(0).count()).isEqualTo(4);
    }

    @Test
    void notFinitePositions_areRefused() {
        Mesh broken = Mesh.builder(new float[] {0, 0, 0, 1, Float.NaN, 0, 0, 1, 0}, new int[] {0, 1, 2}).build();
        assertThatThrownBy(() -> Cleanup.of(broken).build()).isInstanceOf(InvalidMeshException.class)
                .hasMessageContaining("the first is number 1");
    }

    @Test
    void cancelledTask_stops() {
        Task task = Task.silent();
        task.cancellation().cancel();
        assertThatThrownBy(() -> Cleanup.of(mesh(CUBE)).task(task).build()).isInstanceOf(CancellationException.class);
    }

    @Test
    void everythingATriangleCarries_goesWithIt() {
        int[] corners = DirtyShapes.withCopies(CUBE, 0).triangles().clone();
        corners[3] = corners[4]; // triangle 1 stands on one vertex twice
        int[] own = range(0, corners.length);
        int[] t = range(0, corners.length / 3);
        Mesh mesh = Mesh.builder(CUBE.positions(), corners).normals(tagged("normals", 3, own)).tangents(tagged("tangents", 4, own))
                .uvSet(tagged("uv", 2, own)).uvSet(tagged("uv2", 2, own)).colourSet(tagged("colour", 4, own))
                .extra(tagged("weights", 5, own))
                .smoothingGroups(t).parts(IntStream.of(t).mapToObj(i -> new Part("p" + i)).toList(), t)
                .materials(IntStream.of(t).mapToObj(i -> Material.named("m" + i)).toList(), t)
                .groups(new Labels(IntStream.of(t).mapToObj(i -> "g" + i).toList(), t)).build();
        Mesh clean = Cleanup.of(mesh).build();
        int[] kept = {0, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11};
        assertThat(clean.triangleCount()).isEqualTo(kept.length);
        int[] groups = Objects.requireNonNull(clean.smoothingGroups());
        for (int i = 0; i < kept.length; i++) {
            assertThat(clean.partLabels().of(i)).isEqualTo(kept[i]);
            assertThat(clean.materialLabels().orElseThrow().of(i)).isEqualTo(kept[i]);
            assertThat(clean.groupLabels().orElseThrow().of(i)).isEqualTo(kept[i]);
            assertThat(groups[i]).isEqualTo(kept[i]);
            for (Attribute a : List.of(clean.normals().orElseThrow(), clean.tangents().orElseThrow(), clean.uvSets().get(0),
                    clean.uvSets().get(1), clean.colourSets().get(0), clean.extras().get(0))) {
                for (int k = 0; k < 3; k++) {
                    assertThat(a.values()[a.components() * a.indices()[3 * i + k]]).isEqualTo(3 * kept[i] + k);
                }
            }
        }
        assertThat(clean.parts()).hasSize(13);
        assertThat(clean.materials()).hasSize(13);
    }

    /** An attribute whose every value is the number of its corner. */
    static Attribute tagged(String name, int components, int[] own) {
        float[] values = new float[components * own.length];
        for (int i = 0; i < values.length; i++) {
            int corner = i / components;
            values[i] = corner;
        }
        return new Attribute(name, components, values, own);
    }

    /** The cube's six quads as polygons: triangles 0 1 2, 0 2 3 of each. */
    private static Mesh quads(Shape shape, int quads) {
        int[] starts = new int[quads + 1];
        int[] corners = new int[4 * quads];
        for (int q = 0; q < quads; q++) {
            starts[q + 1] = 4 * (q + 1);
            for (int k = 0; k < 4; k++) {
                corners[4 * q + k] = 6 * q + (k < 3 ? k : 5);
            }
        }
        return mesh(shape).toBuilder().polygons(new Polygons(starts, corners)).build();
    }

    @Test
    void polygons_stayWhereTheirTrianglesDo() {
        Mesh clean = Cleanup.of(quads(DirtyShapes.unwelded(CUBE), 6)).build();
        Polygons polygons = clean.polygons().orElseThrow();
        assertThat(polygons.count()).isEqualTo(6);
        assertThat(IntStream.range(0, 4).map(k -> polygons.corner(5, k))).containsExactly(30, 31, 32, 35);
    }

    @Test
    void polygonThatLosesATriangle_becomesWhatIsLeft() {
        int[] t = CUBE.triangles().clone();
        t[7] = t[6]; // the second quad has one corner twice
        Mesh clean = Cleanup.of(quads(new Shape(CUBE.positions(), t), 6)).build();
        Polygons polygons = clean.polygons().orElseThrow();
        assertThat(polygons.count()).isEqualTo(6);
        assertThat(IntStream.range(0, 6).map(polygons::cornerCount)).containsExactly(4, 3, 4, 4, 4, 4);
        assertThat(IntStream.range(0, 3).map(k -> polygons.corner(1, k))).containsExactly(6, 7, 8);
        assertThat(polygons.corner(2, 3)).isEqualTo(9 + 5);
    }

    @Test
    void polygonSplitAlongItsDiagonal_becomesTriangles() {
        // A quad on its own, and a fin that stands on its diagonal.
        float[] p = {0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0, 0, 0, 1};
        Mesh mesh = Mesh.builder(p, new int[] {0, 1, 2, 0, 2, 3, 0, 2, 4})
                .polygons(new Polygons(new int[] {0, 4, 7}, new int[] {0, 1, 2, 5, 6, 7, 8}))
                .build();
        Mesh clean = Cleanup.of(mesh).build();
        assertThat(clean.vertexCount()).isEqualTo(9);
        Polygons polygons = clean.polygons().orElseThrow();
        assertThat(IntStream.range(0, polygons.count()).map(polygons::cornerCount)).containsExactly(3, 3, 3);
    }

    @Test
    void whatWasSaidBefore_comesFirst() {
        Finding told = Finding.note("told", 1, "m", "r", List.of());
        Mesh dirty = mesh(DirtyShapes.withUnused(CUBE, 1)).toBuilder().findings(List.of(told)).build();
        assertThat(Cleanup.of(dirty).build().findings().stream().map(Finding::kind)).containsExactly("told", "unused-vertices-dropped");
    }
}
