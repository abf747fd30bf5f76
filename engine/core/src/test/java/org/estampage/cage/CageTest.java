package org.estampage.cage;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.List;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshProblem;
import org.estampage.mesh.Polygons;
import org.junit.jupiter.api.Test;

class CageTest {
    /** Corner i of the cube [−1, 1]³ has the signs of the bits of i. */
    private static final int[][] CUBE_FACES = {{0, 4, 6, 2}, {1, 3, 7, 5}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 2, 3, 1}, {4, 5, 7, 6}};

    private static float[] cubeCorners(float half) {
        float[] p = new float[24];
        for (int i = 0; i < 8; i++) {
            p[3 * i] = (i & 1) != 0 ? half : -half;
            p[3 * i + 1] = (i & 2) != 0 ? half : -half;
            p[3 * i + 2] = (i & 4) != 0 ? half : -half;
        }
        return p;
    }

    private static Mesh cube(float half, boolean otherDiagonal) {
        int[] triangles = new int[36];
        int[] starts = new int[7];
        int[] corners = new int[24];
        for (int f = 0; f < 6; f++) {
            int[] q = CUBE_FACES[f];
            int[] cut = otherDiagonal ? new int[] {1, 2, 3, 1, 3, 0} : new int[] {0, 1, 2, 0, 2, 3};
            for (int k = 0; k < 6; k++) {
                triangles[6 * f + k] = q[cut[k]];
            }
            for (int k = 0; k < 4; k++) {
                for (int c = 5; c >= 0; c--) {
                    if (cut[c] == k) {
                        corners[4 * f + k] = 6 * f + c;
                    }
                }
            }
            starts[f + 1] = 4 * f + 4;
        }
        return Mesh.builder(cubeCorners(half), triangles).polygons(new Polygons(starts, corners)).name("cube").build();
    }

    /** The same cube with four vertices of its own for every face, as files with hard edges have it. */
    private static Mesh hardCube(float half) {
        float[] corners = cubeCorners(half);
        float[] p = new float[72];
        int[] triangles = new int[36];
        for (int f = 0; f < 6; f++) {
            for (int k = 0; k < 4; k++) {
                System.arraycopy(corners, 3 * CUBE_FACES[f][k], p, 3 * (4 * f + k), 3);
            }
            int[] cut = {0, 1, 2, 0, 2, 3};
            for (int k = 0; k < 6; k++) {
                triangles[6 * f + k] = 4 * f + cut[k];
            }
        }
        return Mesh.builder(p, triangles).name("hard cube").build();
    }

    private static List<MeshProblem> problemsOf(Runnable work) {
        try {
            work.run();
        } catch (InvalidMeshException e) {
            return e.problems();
        }
        return List.of();
    }

    @Test
    void offset_ofACube_movesCornersAlongTheirDiagonals() {
        Cage cage = Cage.offset(cube(1, false), 0.3);
        float step = (float) (0.3 / Math.sqrt(3)); // symmetry: the smallest cap of three perpendicular normals is centred on the diagonal
        for (int i = 0; i < 24; i++) {
            // float rounding of a value near 1.2
            assertThat(cage.positions()[i]).isCloseTo(Math.copySign(1 + step, cubeCorners(1)[i]), within(2e-7f));
        }
        assertThat(cage.reaches()).containsOnly(0.3f);
        assertThat(cage.largestOffset()).isCloseTo(0.3f, within(1e-6f)); // difference of two floats near 1.2
        assertThat(cage.findings()).isEmpty();
    }

    @Test
    void offset_ofHardEdges_doesNotTearTheCage() {
        Mesh low = hardCube(1);
        float[] p = low.positions();
        float[] c = Cage.offset(low, 0.3).positions();
        int shared = 0;
        for (int v = 0; v < 24; v++) {
            for (int w = 0; w < v; w++) {
                if (p[3 * v] == p[3 * w] && p[3 * v + 1] == p[3 * w + 1] && p[3 * v + 2] == p[3 * w + 2]) {
                    shared++;
                    assertThat(new float[] {c[3 * v], c[3 * v + 1], c[3 * v + 2]})
                            .containsExactly(c[3 * w], c[3 * w + 1], c[3 * w + 2]);
                }
            }
        }
        assertThat(shared).isEqualTo(24); // 8 corners, 3 pairs each
    }

    @Test
    void offset_ofZero_liesOnTheSurfaceAndSaysThatItHasNoReach() {
        Mesh low = cube(1, false);
        Cage cage = Cage.offset(low, 0);
        assertThat(cage.positions()).containsExactly(low.positions());
        assertThat(cage.findings()).extracting(Finding::kind).containsExactly("no-reach");
        assertThat(cage.withReach(0.5).findings()).isEmpty();
        assertThat(cage.withReach(0.5).reaches()).containsOnly(0.5f);
        assertThat(cage.directions()[0]).isCloseTo((float) (-1 / Math.sqrt(3)), within(1e-7f)); // float rounding
    }

    @Test
    void offset_largerThanANotch_reportsInvertedPrisms() {
        // a valley of two walls, 60° each, one unit deep: at 3 units the two walls' prisms have crossed
        float s = (float) Math.sqrt(3);
        float[] p = {-s, 1, 0, 0, 0, 0, s, 1, 0, -s, 1, -1, 0, 0, -1, s, 1, -1};
        int[] t = {0, 1, 4, 0, 4, 3, 1, 2, 5, 1, 5, 4};
        Mesh low = Mesh.builder(p, t).build();
        assertThat(Cage.offset(low, 0.1).findings()).isEmpty();
        assertThat(Cage.offset(low, 4).findings()).extracting(Finding::kind).contains("inverted-cage-prisms");
    }

    @Test
    void offset_leavesUnusedVerticesWhereTheyAre() {
        float[] p = {0, 0, 0, 1, 0, 0, 0, 1, 0, 7, 8, 9};
        Cage cage = Cage.offset(Mesh.builder(p, new int[] {0, 1, 2}).build(), 0.5);
        assertThat(cage.positions()).containsExactly(0, 0, 0.5f, 1, 0, 0.5f, 0, 1, 0.5f, 7, 8, 9);
        assertThat(cage.reaches()).containsExactly(0.5f, 0.5f, 0.5f, 0);
    }

    @Test
    void offset_refusesWhatIsNoDistance() {
        Mesh low = cube(1, false);
        for (double bad : new double[] {-1, Double.NaN, Double.POSITIVE_INFINITY}) {
            assertThatThrownBy(() -> Cage.offset(low, bad)).isInstanceOf(IllegalArgumentException.class)
                    .hasMessageContaining("distance = " + bad);
        }
    }

    @Test
    void offset_refusesEmptyAndNotFiniteMeshes() {
        assertThat(problemsOf(() -> Cage.offset(Mesh.builder(new float[0], new int[0]), 1))).hasSize(1)
                .first().isInstanceOf(MeshProblem.NoTriangles.class);
        float[] p = {0, 0, 0, 1, Float.NaN, 0, 0, 1, 0};
        assertThat(problemsOf(() -> Cage.offset(Mesh.builder(p, new int[] {0, 1, 2}), 1))).singleElement()
                .isInstanceOfSatisfying(MeshProblem.NotFinite.class, n -> assertThat(n.first()).isEqualTo(1));
    }

    @Test
    void vertexOfOppositeFaces_isReportedAsWithoutDirection() {
        // a card of two coincident opposite triangles
        Mesh low = Mesh.builder(new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0}, new int[] {0, 1, 2, 0, 2, 1}).build();
        Findings findings = Cage.offset(low, 0.1).findings().ofKind("no-cage-direction");
        assertThat(findings).singleElement().satisfies(f -> assertThat(f.count()).isEqualTo(3));
    }

    @Test
    void imported_takesTheGivenPositionsAndTheirLengthsAsReach() {
        Cage cage = Cage.imported(cube(1, false), cube(2, false));
        assertThat(cage.positions()).containsExactly(cubeCorners(2));
        assertThat(cage.reaches()).containsOnly((float) Math.sqrt(3));
        assertThat(cage.findings()).isEmpty();
        assertThat(cage.mesh().positions()).containsExactly(cubeCorners(2));
        assertThat(cage.mesh().positionIndices()).isEqualTo(cube(1, false).positionIndices());
        assertThat(cage.mesh().polygons()).isPresent();
    }

    @Test
    void imported_acceptsPolygonsCutAlongAnotherDiagonal() {
        assertThat(Cage.imported(cube(1, false), cube(2, true)).findings()).isEmpty();
    }

    @Test
    void imported_insideTheLowPoly_isReported() {
        Findings findings = Cage.imported(cube(1, false), cube(0.5f, false)).findings();
        assertThat(findings.ofKind("cage-inside")).singleElement().satisfies(f -> {
            assertThat(f.count()).isEqualTo(8);
            assertThat(f.message()).contains("0.866"); // √3 / 2
        });
    }

    @Test
    void imported_ofSplitVertices_takesTheMeanAndSaysSo() {
        float[] roof = hardCube(2).positions().clone();
        for (int k = 0; k < 3; k++) {
            roof[k] *= 1.5f; // one of the three vertices at a corner stands apart
        }
        Cage cage = Cage.imported(hardCube(1), Mesh.builder(roof, hardCube(1).positionIndices()));
        assertThat(cage.findings().ofKind("torn-cage")).singleElement().satisfies(f -> assertThat(f.count()).isEqualTo(1));
        // (3 + 2 + 2) / 3; float rounding
        assertThat(cage.positions()[0]).isCloseTo(-7f / 3, within(3e-7f));
    }

    @Test
    void imported_ofAnotherTopology_listsEveryMismatch() {
        Mesh other = Mesh.builder(new float[9], new int[] {0, 1, 2}).build();
        assertThat(problemsOf(() -> Cage.imported(cube(1, false), other))).containsExactly(new MeshProblem.CageMismatch("vertices", 3, 8),
                new MeshProblem.CageMismatch("triangles", 1, 12));
        assertThatThrownBy(() -> Cage.imported(cube(1, false), other)).isInstanceOf(InvalidMeshException.class)
                .hasMessageContaining("the cage has 3 vertices, the low poly 8").hasMessageContaining("in its order");
    }

    @Test
    void imported_inAnotherOrder_isRefused() {
        int[] turned = cube(1, false).positionIndices().clone();
        turned[0] = 1;
        assertThat(problemsOf(() -> Cage.imported(cube(1, false), Mesh.builder(cubeCorners(2), turned))))
                .containsExactly(new MeshProblem.CageMismatch("triangles as the low poly has them", 11, 12));
    }

    @Test
    void cage_printsItself() {
        assertThat(Cage.offset(cube(1, false), 0.25)).hasToString("cage around cube: 8 vertices, 0.2500 out on average, 0.2500 at most, "
                + "up to 0.2500 inwards");
    }
}
