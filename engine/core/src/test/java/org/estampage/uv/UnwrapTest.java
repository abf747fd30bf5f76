package org.estampage.uv;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ForkJoinPool;
import org.estampage.finding.Severity;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Material;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.mesh.Part;
import org.estampage.task.Task;
import org.estampage.testresources.FetchedMeshes;
import org.estampage.testresources.OffReader;
import org.estampage.testresources.Shape;
import org.estampage.testresources.Shapes;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class UnwrapTest {
    /** Triangles of UVs as floats lie in each other by some units of rounding of 1, 6e-8, times what an obtuse corner magnifies. */
    private static final double ROUNDING = 2e-6;
    /** An isometry as floats: a coordinate's rounding of 6e-8 on edges of 0.02 and more is 3e-6 in length, and the energy grows by its square. */
    private static final double ISOMETRY = 1 + 1e-6;

    /** A tube about Y without caps: vertices 0 … sides − 1 below, the others above. */
    private static Mesh tube(int sides) {
        Shape prism = Shapes.prism(sides, 1, 3);
        return Mesh.builder(Arrays.copyOf(prism.positions(), 6 * sides), Arrays.copyOf(prism.triangles(), 6 * sides)).build();
    }

    private static void assertSound(Mesh mesh) {
        UvOracle uv = new UvOracle(mesh);
        assertThat(uv.flips()).as("flips").isZero();
        assertThat(uv.overlaps(ROUNDING)).as("overlaps").isZero();
        for (float value : mesh.uvSets().get(0).values()) {
            assertThat(value).isBetween(0f, 1f);
        }
    }

    // ------------------------------------------------------------------------------------------------------------- seams

    @Test
    void seamsByAngle_ofCube_giveSixSquaresOfOneScale() {
        Mesh cube = Unwrap.of(UvOracle.mesh(Shapes.cube(2))).packedInRows().seamsByAngle(50).build();
        UvOracle uv = new UvOracle(cube);
        assertThat(uv.chartCount()).isEqualTo(6);
        assertSound(cube);
        double scale = uv.scale(0, 1);
        for (int c = 0; c < 36; c++) {
            // Rounding of 6e-8 in UVs over edges of 0.2 and more.
            assertThat(uv.scale(c, c % 3 == 2 ? c - 2 : c + 1)).isCloseTo(scale, within(1e-6 * scale));
        }
    }

    @Test
    void seamsByAngle_beginAboveTheAngle() {
        Mesh cube = UvOracle.mesh(Shapes.cube(2));
        assertThat(new UvOracle(Unwrap.of(cube).packedInRows().seamsByAngle(89).build()).seams()).hasSize(12);
        // At 90° a cube has no seams of its own; what appears is what a disk needs: at least a tree over its 8 corners.
        assertThat(new UvOracle(Unwrap.of(cube).packedInRows().seamsByAngle(90).largestDistortion(10).build()).seams().size())
                .isLessThan(12);
    }

    @Test
    void seamPath_alongTube_givesOneRectangle() {
        Mesh tube = Unwrap.of(tube(48)).packedInRows().seamPath(5, 48 + 5).build();
        UvOracle uv = new UvOracle(tube);
        assertThat(uv.chartCount()).isEqualTo(1);
        assertThat(uv.seams()).containsExactly(UvOracle.edge(5, 53));
        assertThat(uv.distortion().values()).allSatisfy(d -> assertThat(d).isLessThan(ISOMETRY));
        assertSound(tube);
    }

    @Test
    void seamPath_takesTheShorterWay() {
        // On a plane of 8 × 8 squares all edges are flat: the way along a side is straight.
        Mesh plane = UvOracle.mesh(Shapes.plane(8, 8, 8, 8));
        Mesh flat = Unwrap.of(plane).packedInRows().seamPath(9 + 1, 9 + 7).build();
        Set<String> expected = new TreeSet<>();
        for (int i = 1; i < 7; i++) {
            expected.add(UvOracle.edge(9 + i, 9 + i + 1));
        }
        assertThat(new UvOracle(flat).seams()).containsAll(expected);
    }

    @Test
    void seams_ofUser_areKeptExactly() {
        // The edges of a cube's cross: five of seven that a net keeps whole are not among them.
        Mesh cube = UvOracle.mesh(Shapes.cube(1));
        int[] edges = {0, 4, 4, 5, 5, 1, 2, 6, 6, 7, 7, 3, 2, 0};
        Mesh flat = Unwrap.of(cube).packedInRows().seams(edges).build();
        Set<String> expected = new TreeSet<>();
        for (int i = 0; i < edges.length; i += 2) {
            expected.add(UvOracle.edge(edges[i], edges[i + 1]));
        }
        UvOracle uv = new UvOracle(flat);
        assertThat(uv.seams()).isEqualTo(expected);
        assertThat(uv.chartCount()).isEqualTo(1);
        assertThat(uv.distortion().values()).allSatisfy(d -> assertThat(d).isLessThan(ISOMETRY));
        assertSound(flat);
    }

    @Test
    void seams_ofUser_stayWithAutomaticOnes() {
        Mesh sphere = UvOracle.mesh(Shapes.icosphere(1, 3));
        Mesh byUser = Unwrap.of(sphere).packedInRows().seamPath(0, 1, 2, 3).build();
        Mesh both = Unwrap.of(sphere).packedInRows().seamPath(0, 1, 2, 3).automatic().build();
        // The same path laid by a call that lets nothing else be cut.
        Set<String> path = new UvOracle(Unwrap.of(sphere).packedInRows().seamPath(0, 1, 2, 3).largestDistortion(10).build()).seams();
        assertThat(path).isNotEmpty();
        assertThat(new UvOracle(byUser).seams()).containsAll(path);
        assertThat(new UvOracle(both).seams()).containsAll(path);
        assertSound(both);
    }

    @Test
    void seamsByPart_runBetweenParts() {
        Shape plane = Shapes.plane(4, 4, 4, 4);
        int[] part = new int[32];
        Arrays.fill(part, 16, 32, 1);
        Mesh mesh = Mesh.builder(plane.positions(), plane.triangles()).parts(List.of(new Part("deck"), new Part("hatch")), part).build();
        assertThat(new UvOracle(Unwrap.of(mesh).packedInRows().build()).chartCount()).isEqualTo(1);
        assertThat(new UvOracle(Unwrap.of(mesh).packedInRows().seamsByPart().build()).chartCount()).isEqualTo(2);
        assertThat(new UvOracle(Unwrap.of(mesh).packedInRows().seamsByPart().build()).seams()).hasSize(4);
    }

    @Test
    void seamsByMaterial_runBetweenMaterials_andNeedNone() {
        Shape plane = Shapes.plane(4, 4, 4, 4);
        int[] material = new int[32];
        Arrays.fill(material, 16, 32, 1);
        Mesh bare = Mesh.builder(plane.positions(), plane.triangles()).build();
        Mesh mesh = bare.toBuilder().materials(List.of(Material.named("iron"), Material.named("rust")), material).build();
        assertThat(new UvOracle(Unwrap.of(mesh).packedInRows().build()).chartCount()).isEqualTo(1);
        UvOracle uv = new UvOracle(Unwrap.of(mesh).packedInRows().seamsByMaterial().build());
        assertThat(uv.chartCount()).isEqualTo(2);
        assertThat(uv.seams()).hasSize(4);
        assertThat(new UvOracle(Unwrap.of(bare).packedInRows().seamsByMaterial().build()).chartCount()).isEqualTo(1);
    }

    @Test
    void seamsAtHardEdges_followTheNormals() {
        Mesh hard = Normals.hardEdges(UvOracle.mesh(Shapes.prism(24, 1, 2)), 40);
        UvOracle uv = new UvOracle(Unwrap.of(hard).packedInRows().seamsAtHardEdges().build());
        // Both rims, and one edge that opens the side.
        assertThat(uv.chartCount()).isEqualTo(3);
        assertThat(uv.seams()).hasSize(2 * 24 + 1);
    }

    @Test
    void keepSeams_ofItsOwnCharts_givesTheSameSeams() {
        Mesh once = Unwrap.of(UvOracle.mesh(Shapes.torus(2, 0.7, 24, 12))).packedInRows().build();
        Mesh again = Unwrap.of(once).packedInRows().keepSeams().build();
        assertThat(new UvOracle(again).seams()).isEqualTo(new UvOracle(once).seams());
    }

    // ------------------------------------------------------------------------------------------------------------ charts

    @Test
    void build_ofElephant_meetsTheTargets() throws IOException {
        Optional<Path> file = FetchedMeshes.elephant();
        org.junit.jupiter.api.Assumptions.assumeTrue(file.isPresent());
        Mesh flat = Unwrap.of(UvOracle.mesh(OffReader.read(file.get()))).build();
        UvOracle uv = new UvOracle(flat);
        assertThat(uv.chartCount()).isLessThanOrEqualTo(64);
        assertThat(uv.distortion().values()).allSatisfy(d -> assertThat(d).isLessThan(1.12));
        assertThat(uv.meanDistortion()).isLessThan(1.05);
        assertSound(flat);
        double fill = 0;
        for (int t = 0; t < flat.triangleCount(); t++) {
            fill += uv.signed(t) / 2;
        }
        assertThat(fill).isGreaterThan(0.58); // with the usual gutter, 16 texels of 2048
    }

    @ParameterizedTest
    @ValueSource(doubles = {1.01, 1.05, 1.3})
    void largestDistortion_bounds(double bound) {
        Mesh flat = Unwrap.of(UvOracle.mesh(Shapes.icosphere(1, 3))).packedInRows().largestDistortion(bound).build();
        assertThat(new UvOracle(flat).distortion().values()).allSatisfy(d -> assertThat(d).isLessThan(bound));
        assertSound(flat);
    }

    @Test
    void compactness_trades_chartsAgainstShape() {
        Mesh torus = UvOracle.mesh(Shapes.torus(2, 0.7, 32, 16));
        int few = new UvOracle(Unwrap.of(torus).packedInRows().compactness(0).build()).chartCount();
        int many = new UvOracle(Unwrap.of(torus).packedInRows().compactness(0.8).build()).chartCount();
        assertThat(few).isLessThan(many);
    }

    @Test
    void findings_sayWhatWasDone() {
        Mesh cube = Unwrap.of(UvOracle.mesh(Shapes.cube(2))).packedInRows().seamsByAngle(50).build();
        assertThat(cube.findings().ofKind("uv-charts")).hasSize(1);
        assertThat(cube.findings().ofKind("uv-charts").get(0).count()).isEqualTo(6);
        assertThat(cube.findings().has(Severity.WARNING)).isFalse();
    }

    // ------------------------------------------------------------------------------------------------------------ copies

    private static Mesh moved(Shape shape, double[][] matrices, boolean flip) {
        int n = shape.positions().length / 3;
        float[] p = new float[3 * n * matrices.length];
        int[] t = new int[shape.triangles().length * matrices.length];
        for (int m = 0; m < matrices.length; m++) {
            double[] a = matrices[m];
            for (int v = 0; v < n; v++) {
                for (int r = 0; r < 3; r++) {
                    double sum = a[4 * r + 3];
                    for (int c = 0; c < 3; c++) {
                        sum += a[4 * r + c] * shape.positions()[3 * v + c];
                    }
                    p[3 * (m * n + v) + r] = (float) sum;
                }
            }
            for (int i = 0; i < shape.triangles().length; i++) {
                int from = flip && m == 1 ? 3 * (i / 3) + (3 - i % 3) % 3 : i;
                t[m * shape.triangles().length + i] = m * n + shape.triangles()[from];
            }
        }
        return Mesh.builder(p, t).build();
    }

    private static final double[] AS_IS = {1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0};
    private static final double[] TURNED = {0.6, 0, 0.8, 5, 0, 1, 0, 1, -0.8, 0, 0.6, 2};
    private static final double[] MIRRORED = {-1, 0, 0, 9, 0, 1, 0, 0, 0, 0, 1, 0};

    /** A shape without symmetry. */
    private static Shape lump() {
        Shape ball = Shapes.icosphere(1, 2);
        float[] p = ball.positions().clone();
        for (int i = 0; i < p.length; i += 3) {
            p[i] += 0.3f * p[i + 1] * p[i + 2];
            p[i + 1] *= 1.4f;
            p[i + 2] += 0.2f * p[i] * p[i];
        }
        return new Shape(p, ball.triangles());
    }

    @Test
    void stacked_copies_shareTheirOriginalsPlace() {
        Mesh two = moved(lump(), new double[][] {AS_IS, TURNED}, false);
        Mesh flat = Unwrap.of(two).packedInRows().stacked().copiesInPlace().build();
        int[] index = flat.uvSets().get(0).indices();
        int half = index.length / 2;
        assertThat(Arrays.copyOfRange(index, half, 2 * half)).isEqualTo(Arrays.copyOf(index, half));
        assertThat(new UvOracle(flat).flips()).isZero();
    }

    @Test
    void stacked_copies_lieOneUnitBelow() {
        Mesh flat = Unwrap.of(moved(lump(), new double[][] {AS_IS, TURNED}, false)).packedInRows().stacked().build();
        UvOracle uv = new UvOracle(flat);
        int half = 3 * flat.triangleCount() / 2;
        for (int c = 0; c < half; c++) {
            assertThat(uv.u(half + c)).isEqualTo(uv.u(c));
            // Subtracting 1 rounds to 6e-8.
            assertThat(uv.v(half + c)).isCloseTo(uv.v(c) - 1, within(1.2e-7));
        }
        assertThat(uv.overlaps(ROUNDING)).isZero();
    }

    @Test
    void mirrored_copies_areStackedOnlyOnRequest() {
        Mesh two = moved(lump(), new double[][] {AS_IS, MIRRORED}, true);
        Mesh apart = Unwrap.of(two).packedInRows().stacked().copiesInPlace().build();
        assertSound(apart);
        Mesh flat = Unwrap.of(two).packedInRows().mirrored().copiesInPlace().build();
        UvOracle uv = new UvOracle(flat);
        int half = flat.triangleCount() / 2;
        for (int t = 0; t < half; t++) {
            // The original as seen from outside, the copy mirrored.
            assertThat(uv.signed(t)).isPositive();
            assertThat(uv.signed(half + t)).isCloseTo(-uv.signed(t), within(1e-12));
        }
    }

    @Test
    void stacked_leavesDifferentShapesApart() {
        Shape other = lump();
        other.positions()[0] += 0.05f;
        Mesh two = UvOracle.mesh(Shapes.together(lump(), other));
        assertSound(Unwrap.of(two).packedInRows().mirrored().copiesInPlace().build());
    }

    // ----------------------------------------------------------------------------------------------------------- density

    @Test
    void density_ofPart_isAMultipleOfTheOthers() {
        Shape two = Shapes.together(Shapes.cube(1), Shapes.cube(1));
        int[] part = new int[24];
        Arrays.fill(part, 12, 24, 1);
        Mesh mesh = Mesh.builder(two.positions(), two.triangles()).parts(List.of(new Part("post"), new Part("plate")), part).build();
        UvOracle uv = new UvOracle(Unwrap.of(mesh).packedInRows().density("plate", 3).seamsByAngle(50).build());
        assertThat(uv.scale(36, 37) / uv.scale(0, 1)).isCloseTo(3, within(1e-4)); // rounding of UVs on edges of 0.02
        assertThatThrownBy(() -> Unwrap.of(mesh).packedInRows().density("door", 2).build()).hasMessageContaining("door");
    }

    @Test
    void densityByColour_runsFromBlackToWhite() {
        Shape two = Shapes.together(Shapes.cube(1), Shapes.cube(1));
        int[] colour = new int[72];
        Arrays.fill(colour, 36, 72, 1);
        Mesh mesh = Mesh.builder(two.positions(), two.triangles())
                .colourSet(new Attribute("colour", 3, new float[] {0, 0, 0, 1, 1, 1}, colour)).build();
        UvOracle uv = new UvOracle(Unwrap.of(mesh).packedInRows().densityByColour(1, 2).seamsByAngle(50).build());
        assertThat(uv.scale(36, 37) / uv.scale(0, 1)).isCloseTo(2, within(1e-4)); // rounding of UVs on edges of 0.02
    }

    // ----------------------------------------------------------------------------------------------------------- packing

    @Test
    void gutterAndBorder_areKept() {
        Mesh cube = UvOracle.mesh(Shapes.cube(1));
        // A float's rounding of 6e-8 is 1e-4 texels of 1024.
        double[] usual = UvOracle.gaps(1024, 1024, Unwrap.of(cube).seamsByAngle(50).size(1024).build());
        assertThat(usual[0]).isGreaterThan(8 - 1e-3);
        assertThat(usual[1]).isGreaterThan(4 - 1e-3);
        double[] wide = UvOracle.gaps(512, 1024,
                Unwrap.of(cube).seamsByAngle(50).size(512, 1024).gutterTexels(20).borderTexels(3).build());
        assertThat(wide[0]).isGreaterThan(20 - 1e-3);
        assertThat(wide[1]).isGreaterThan(3 - 1e-3);
    }

    @Test
    void size_thatIsNotSquare_keepsTexelsSquare() {
        UvOracle uv = new UvOracle(Unwrap.of(UvOracle.mesh(Shapes.cube(1))).packedInRows().seamsByAngle(50).size(512, 1024).build());
        for (int c = 0; c < 36; c++) {
            int d = c % 3 == 2 ? c - 2 : c + 1;
            double texels = Math.hypot((uv.u(c) - uv.u(d)) * 512, (uv.v(c) - uv.v(d)) * 1024);
            int e = c % 3 == 0 ? c + 2 : c - 1;
            double other = Math.hypot((uv.u(c) - uv.u(e)) * 512, (uv.v(c) - uv.v(e)) * 1024);
            double ratio = Math.sqrt(squared(uv, c, d) / squared(uv, c, e));
            assertThat(texels / other).isCloseTo(ratio, within(1e-5 * ratio)); // rounding of UVs on edges of 0.1
        }
    }

    private static double squared(UvOracle uv, int c, int d) {
        double sum = 0;
        for (int k = 0; k < 3; k++) {
            sum += (uv.x(c, k) - uv.x(d, k)) * (uv.x(c, k) - uv.x(d, k));
        }
        return sum;
    }

    @Test
    void texelsPerUnit_findsTheSize() {
        Mesh cube = UvOracle.mesh(Shapes.cube(2));
        // Six squares of 200 texels: 240,000 texels don't fit on 256², and three by two with gutters of 4 fit on 1024².
        Mesh flat = Unwrap.of(cube).seamsByAngle(50).texelsPerUnit(100).build();
        String said = flat.findings().ofKind("uv-charts").get(0).message();
        assertThat(said).contains("100.000 texels a unit").contains("1024 × 1024");
        assertThat(new UvOracle(flat).scale(0, 1) * 1024).isCloseTo(100, within(1e-3)); // rounding of UVs on edges of 0.2
        assertThatThrownBy(() -> Unwrap.of(cube).seamsByAngle(50).size(256).texelsPerUnit(100).build())
                .hasMessageContaining("texelsPerUnit = 100.0");
    }

    @Test
    void tiles_areAllUsed_andNoChartCrossesTwo() {
        Mesh flat = Unwrap.of(UvOracle.mesh(Shapes.cube(2))).seamsByAngle(50).tiles(12).size(256).texelsPerUnit(110).build();
        UvOracle uv = new UvOracle(flat);
        Set<String> tiles = new TreeSet<>();
        for (int t = 0; t < 12; t++) {
            double u = Math.floor(uv.u(3 * t));
            double v = Math.floor(uv.v(3 * t));
            for (int c = 3 * t; c < 3 * t + 3; c++) {
                assertThat(Math.floor(uv.u(c))).isEqualTo(u);
                assertThat(Math.floor(uv.v(c))).isEqualTo(v);
            }
            tiles.add(u + " " + v);
        }
        // One square of 220 texels a tile of 256.
        assertThat(tiles).containsExactly("0.0 0.0", "1.0 0.0", "2.0 0.0", "3.0 0.0", "4.0 0.0", "5.0 0.0");
        assertThat(uv.overlaps(ROUNDING * 10)).isZero();
    }

    // ------------------------------------------------------------------------------------------------------ what must not be

    @Test
    void build_leavesEverythingElseAlone() {
        Shape s = Shapes.prism(12, 1, 2);
        Mesh before = Normals.hardEdges(UvOracle.mesh(s), 40).toBuilder().uvSet(new Attribute("old", 2, new float[2], new int[144]))
                .uvSet(new Attribute("light", 2, new float[2], new int[144])).build();
        Mesh after = Unwrap.of(before).packedInRows().build();
        assertThat(after.positions()).isSameAs(before.positions());
        assertThat(after.positionIndices()).isSameAs(before.positionIndices());
        assertThat(after.normals()).isEqualTo(before.normals());
        assertThat(after.uvSets()).extracting(Attribute::name).containsExactly("uv", "light");
    }

    @Test
    void build_isTheSame_onAnyNumberOfThreads() throws Exception {
        Mesh mesh = UvOracle.mesh(Shapes.torus(2, 0.7, 20, 10));
        List<float[]> results = new ArrayList<>();
        for (int threads : new int[] {1, 3, 1}) {
            try (ForkJoinPool pool = new ForkJoinPool(threads)) {
                results.add(pool.submit(() -> Unwrap.of(mesh).build().uvSets().get(0).values()).get());
            }
        }
        assertThat(results.get(1)).isEqualTo(results.get(0));
        assertThat(results.get(2)).isEqualTo(results.get(0));
    }

    @Test
    void build_ofScaledMesh_isTheSame() {
        Mesh mesh = UvOracle.mesh(lump());
        float[] uv = Unwrap.of(mesh).packedInRows().build().uvSets().get(0).values();
        // Powers of two scale without rounding.
        assertThat(Unwrap.of(mesh.unit(1024)).packedInRows().build().uvSets().get(0).values()).isEqualTo(uv);
        assertThat(Unwrap.of(mesh.unit(1.0 / 1024)).packedInRows().build().uvSets().get(0).values()).isEqualTo(uv);
    }

    @Test
    void build_ofTurnedMesh_hasTheSameCharts() {
        Mesh mesh = UvOracle.mesh(lump());
        Mesh here = Unwrap.of(mesh).packedInRows().build();
        Mesh there = Unwrap.of(mesh.up(org.estampage.mesh.Axis.Z)).packedInRows().build();
        assertThat(there.uvSets().get(0).indices()).isEqualTo(here.uvSets().get(0).indices());
    }

    @Test
    void build_whenCancelled_stops() {
        Task task = Task.silent();
        task.cancellation().cancel();
        assertThatThrownBy(() -> Unwrap.of(UvOracle.mesh(Shapes.torus(2, 0.7, 32, 16))).packedInRows().task(task).build())
                .isInstanceOf(CancellationException.class);
    }

    @Test
    void build_ofNothing_givesAnEmptySet() {
        Mesh flat = Unwrap.of(Mesh.builder(new float[0], new int[0]).build()).packedInRows().build();
        assertThat(flat.uvSets()).hasSize(1);
        assertThat(flat.uvSets().get(0).count()).isZero();
    }

    @Test
    void build_ofOneTriangle_isAnIsometry() {
        Mesh flat = Unwrap.of(Mesh.builder(new float[] {0, 0, 0, 3, 0, 1, 1, 2, 0}, new int[] {0, 1, 2}).build()).packedInRows().build();
        UvOracle uv = new UvOracle(flat);
        assertThat(uv.signed(0)).isPositive();
        assertThat(uv.distortion().get(0)).isLessThan(ISOMETRY);
    }

    @Test
    void build_refusesPositionsThatAreNotFinite() {
        Mesh bad = Mesh.builder(new float[] {0, 0, 0, 1, 0, Float.NaN, 0, 1, 0}, new int[] {0, 1, 2}).build();
        assertThatThrownBy(() -> Unwrap.of(bad).packedInRows().build()).isInstanceOf(InvalidMeshException.class);
    }

    @Test
    void options_areCheckedAtTheDoor() {
        Unwrap unwrap = Unwrap.of(UvOracle.mesh(Shapes.cube(1))).packedInRows();
        assertThatThrownBy(() -> unwrap.seamsByAngle(181)).hasMessageContaining("degrees = 181.0").hasMessageContaining("0.0 … 180.0");
        assertThatThrownBy(() -> unwrap.seams(1, 2, 3)).hasMessageContaining("3 numbers");
        assertThatThrownBy(() -> unwrap.seamPath(1)).hasMessageContaining("at least 2");
        assertThatThrownBy(() -> unwrap.largestDistortion(Double.NaN)).hasMessageContaining("NaN");
        assertThatThrownBy(() -> unwrap.compactness(1.5)).hasMessageContaining("1.5");
        assertThatThrownBy(() -> unwrap.size(0)).hasMessageContaining("width = 0");
        assertThatThrownBy(() -> unwrap.gutterTexels(-1)).hasMessageContaining("-1");
        assertThatThrownBy(() -> unwrap.density("x", 0)).hasMessageContaining("weight = 0.0");
        assertThatThrownBy(() -> Unwrap.of(UvOracle.mesh(Shapes.cube(1))).packedInRows().seams(0, 7).build())
                .hasMessageContaining("no edge joins");
        assertThatThrownBy(() -> Unwrap.of(UvOracle.mesh(Shapes.cube(1))).packedInRows().seams(0, 8).build())
                .hasMessageContaining("vertex = 8");
        assertThatThrownBy(() -> Unwrap.of(UvOracle.mesh(Shapes.together(Shapes.cube(1), Shapes.cube(3)))).seamPath(0, 9).build())
                .hasMessageContaining("no path connects");
        assertThatThrownBy(() -> Unwrap.of(UvOracle.mesh(Shapes.cube(1))).packedInRows().keepSeams().build())
                .hasMessageContaining("no UV set");
    }
}
