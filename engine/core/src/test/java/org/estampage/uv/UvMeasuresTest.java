package org.estampage.uv;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.Arrays;
import java.util.List;
import java.util.concurrent.ForkJoinPool;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.finding.Place;
import org.estampage.finding.Severity;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.Shapes;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class UvMeasuresTest {
    /** Sums of a few dozen doubles. */
    private static final double TIGHT = 1e-12;

    /** Squares of side 1 in the plane z = 0, apart from each other, each with the rectangle that it has in UV space: left, bottom, right, top. */
    private static Mesh squares(double[]... uvs) {
        return squares(1, uvs);
    }

    private static Mesh squares(double side, double[]... uvs) {
        float[] xyz = new float[12 * uvs.length];
        float[] uv = new float[8 * uvs.length];
        int[] triangles = new int[6 * uvs.length];
        for (int s = 0; s < uvs.length; s++) {
            for (int k = 0; k < 4; k++) {
                boolean right = k == 1 || k == 2;
                boolean top = k >= 2;
                xyz[12 * s + 3 * k] = (float) (side * (3 * s + (right ? 1 : 0)));
                xyz[12 * s + 3 * k + 1] = (float) (side * (top ? 1 : 0));
                uv[8 * s + 2 * k] = (float) uvs[s][right ? 2 : 0];
                uv[8 * s + 2 * k + 1] = (float) uvs[s][top ? 3 : 1];
            }
            int[] two = {0, 1, 2, 0, 2, 3};
            for (int i = 0; i < 6; i++) {
                triangles[6 * s + i] = 4 * s + two[i];
            }
        }
        return Mesh.builder(xyz, triangles).uvSet(new Attribute("uv", 2, uv, triangles)).build();
    }

    private static UvMeasures measures(Mesh mesh) {
        return UvMeasures.of(mesh, 1024, 1024);
    }

    private static List<String> kinds(Mesh mesh, int width, int height) {
        return UvCheck.check(mesh, width, height, Task.silent()).stream().map(Finding::kind).toList();
    }

    // ------------------------------------------------------------------------------------------------------ closed forms

    @Test
    void rectangleOfHalfTheHeight_hasTheValuesOfTwoToOne() {
        UvMeasures uv = measures(squares(new double[] {0.25, 0.25, 0.75, 0.5}));
        // σ₁ = 512 and σ₂ = 256 texels a unit; ⟨σ²⟩⟨σ⁻²⟩ = (4 + 1)(1 + ¼), half of its root is 1.25
        assertThat(uv.distortion().energy()).isCloseTo(1.25, within(TIGHT));
        assertThat(uv.distortion().area()).isCloseTo(1, within(TIGHT));
        assertThat(uv.distortion().angle()).isCloseTo(2, within(TIGHT));
        assertThat(uv.distortion().mostAngle()).isCloseTo(2, within(TIGHT));
        // √(½ (1 + ¼) · 2)
        assertThat(uv.distortion().stretch()).isCloseTo(Math.sqrt(1.25), within(TIGHT));
        assertThat(uv.density().mean()).isCloseTo(Math.sqrt(512 * 256), within(1e-9));
        assertThat(uv.density().least()).isCloseTo(256, within(1e-9));
        assertThat(uv.density().most()).isCloseTo(512, within(1e-9));
        assertThat(uv.fill()).isCloseTo(0.125, within(TIGHT));
        UvChart chart = uv.charts().get(0);
        assertThat(chart.triangles()).isEqualTo(2);
        assertThat(chart.texelArea()).isCloseTo(512 * 256, within(1e-6));
        assertThat(chart.meshArea()).isCloseTo(1, within(TIGHT));
        assertThat(chart.borderLength()).isCloseTo(4, within(TIGHT));
        assertThat(chart.margin()).isCloseTo(256, within(1e-9));
        assertThat(chart.gap()).isInfinite();
        assertThat(uv.seamLength()).isZero();
    }

    @Test
    void imageThatIsNotSquare_countsTexelsNotUvs() {
        UvMeasures uv = UvMeasures.of(squares(new double[] {0, 0, 0.5, 1}), 1024, 512);
        assertThat(uv.distortion().energy()).isCloseTo(1, within(TIGHT));
        assertThat(uv.density().least()).isCloseTo(512, within(1e-9));
        assertThat(uv.fill()).isCloseTo(0.5, within(TIGHT));
        assertThat(uv.charts().get(0).texelArea()).isCloseTo(512 * 512, within(1e-6));
    }

    @Test
    void halvesOfDifferentArea_haveTheMeansOfBoth() {
        // one chart: a unit square and, joined to it, one that is twice as long in UV space
        float[] xyz = {0, 0, 0, 1, 0, 0, 2, 0, 0, 0, 1, 0, 1, 1, 0, 2, 1, 0};
        float[] at = {0, 0, 0.25f, 0, 0.75f, 0, 0, 0.25f, 0.25f, 0.25f, 0.75f, 0.25f};
        int[] triangles = {0, 1, 4, 0, 4, 3, 1, 2, 5, 1, 5, 4};
        UvMeasures uv = measures(Mesh.builder(xyz, triangles).uvSet(new Attribute("uv", 2, at, triangles)).build());
        assertThat(uv.charts()).hasSize(1);
        // the area ratios are 1 and 2 on half of the area each: √(1.5 · 0.75)
        assertThat(uv.distortion().area()).isCloseTo(Math.sqrt(1.125), within(TIGHT));
        assertThat(uv.distortion().angle()).isCloseTo(1.5, within(TIGHT));
        // σ² + σ⁻²: (2 + 5)/2 and (2 + 1.25)/2
        assertThat(uv.distortion().energy()).isCloseTo(Math.sqrt(3.5 * 1.625) / 2, within(TIGHT));
        assertThat(uv.distortion().stretch()).isCloseTo(Math.sqrt(0.5 * 1.625 * 1.5), within(TIGHT));
    }

    @Test
    void twoSquares_thatOverlapByAKnownArea_haveIt() {
        Mesh mesh = squares(new double[] {0.125, 0.125, 0.375, 0.375}, new double[] {0.25, 0.25, 0.5, 0.5});
        UvMeasures uv = measures(mesh);
        assertThat(uv.overlapBetween()).isCloseTo(128 * 128, within(1e-6));
        assertThat(uv.overlapInside()).isZero();
        assertThat(uv.charts()).allSatisfy(c -> assertThat(c.overlapOutside()).isCloseTo(128 * 128, within(1e-6)));
        assertThat(uv.fill()).isCloseTo(2 * 0.0625 - 0.015625, within(TIGHT));
        assertThat(uv.gap()).isZero();
        assertThat(uv.lastCleanMipLevel()).isEqualTo(-1);
        // of the four triangles two have the diagonal that crosses the common square's corners, so all share some
        assertThat(uv.overlappingTriangles()).isEqualTo(4);
        assertThat(kinds(mesh, 1024, 1024)).containsExactly("uv-layout", "overlapping-uvs");
    }

    @Test
    void chartInsideAnother_overlapsIt_thoughNoBordersCross() {
        UvMeasures uv = measures(squares(new double[] {0, 0, 1, 1}, new double[] {0.25, 0.25, 0.375, 0.375}));
        assertThat(uv.overlapBetween()).isCloseTo(128 * 128, within(1e-6));
        assertThat(uv.charts().get(1).gap()).isZero();
        assertThat(uv.fill()).isCloseTo(1, within(TIGHT));
    }

    @Test
    void foldedChart_countsWhatItCoversAgain_andTheSmallerSideAsFlipped() {
        // a strip of two squares, the second one folded back over half of the first
        float[] xyz = {0, 0, 0, 2, 0, 0, 3, 0, 0, 0, 1, 0, 2, 1, 0, 3, 1, 0};
        float[] at = {0, 0, 0.5f, 0, 0.25f, 0, 0, 0.25f, 0.5f, 0.25f, 0.25f, 0.25f};
        int[] triangles = {0, 1, 4, 0, 4, 3, 1, 2, 5, 1, 5, 4};
        Mesh mesh = Mesh.builder(xyz, triangles).uvSet(new Attribute("uv", 2, at, triangles)).build();
        UvMeasures uv = measures(mesh);
        assertThat(uv.flippedTriangles()).isEqualTo(2);
        assertThat(uv.charts().get(0).mirrored()).isFalse();
        assertThat(uv.overlapInside()).isCloseTo(256 * 256, within(1e-6));
        assertThat(uv.overlapBetween()).isZero();
        Findings findings = UvCheck.check(mesh, 1024, 1024, Task.silent());
        assertThat(findings.ofKind("flipped-uvs").get(0).places()).containsExactly(new Place.Element("triangle", 2),
                new Place.Element("triangle", 3));
        assertThat(findings.has(Severity.WARNING)).isTrue();
    }

    @Test
    void mirroredChart_isMirrored_notFlipped() {
        UvMeasures uv = measures(squares(new double[] {0.5, 0, 0, 0.5}));
        assertThat(uv.charts().get(0).mirrored()).isTrue();
        assertThat(uv.flippedTriangles()).isZero();
        assertThat(uv.distortion().energy()).isCloseTo(1, within(TIGHT));
    }

    @Test
    void stackedCharts_shareTexels_withoutOverlap() {
        double[] place = {0.25, 0.25, 0.5, 0.5};
        double[] below = {0.25, -0.75, 0.5, -0.5};
        Mesh mesh = squares(place, place, below, new double[] {0.75, 0.75, 1, 1});
        UvMeasures uv = measures(mesh);
        assertThat(uv.charts().stream().map(UvChart::stackedOn)).containsExactly(-1, 0, 0, -1);
        assertThat(uv.overlappingTriangles()).isZero();
        assertThat(uv.overlapBetween()).isZero();
        assertThat(uv.fill()).isCloseTo(0.125, within(TIGHT));
        assertThat(uv.tileCount()).isEqualTo(1);
        // the corners (0.5, 0.5) and (0.75, 0.75)
        assertThat(uv.gap()).isCloseTo(256 * Math.sqrt(2), within(1e-9));
        assertThat(kinds(mesh, 1024, 1024)).containsExactly("uv-layout", "stacked-charts");
    }

    @Test
    void chartsOnTiles_areApart_andFillIsTheMeanOfTheirTiles() {
        UvMeasures uv = measures(squares(new double[] {0, 0, 1, 1}, new double[] {1, 0, 1.5, 1}, new double[] {0, 2, 0.5, 3}));
        assertThat(uv.tileCount()).isEqualTo(3);
        assertThat(uv.fill()).isCloseTo(2 / 3.0, within(TIGHT));
        assertThat(uv.gap()).isInfinite();
        assertThat(uv.overlappingTriangles()).isZero();
        assertThat(uv.charts().get(2).row()).isEqualTo(2);
        assertThat(uv.charts().stream().anyMatch(UvChart::acrossTiles)).isFalse();
        assertThat(uv.textureBytes(4, 1, false)).isEqualTo((3L * 4) << 20);
    }

    @Test
    void chartAcrossABorder_isNamed_andCountsOnItsTileOnly() {
        Mesh mesh = squares(new double[] {0.75, 0.25, 1.125, 0.75});
        UvMeasures uv = measures(mesh);
        assertThat(uv.charts().get(0).margin()).isCloseTo(-128, within(1e-9));
        assertThat(uv.fill()).isCloseTo(0.125, within(TIGHT));
        assertThat(kinds(mesh, 1024, 1024)).contains("charts-across-tiles");
    }

    @Test
    void degenerateTriangles_areCounted_andTakeNoPart() {
        float[] xyz = {0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0, 2, 0, 0};
        float[] at = {0, 0, 0.5f, 0, 0.5f, 0.5f, 0, 0.5f, 0.25f, 0};
        int[] triangles = {0, 1, 2, 0, 2, 3, 0, 4, 1, 1, 4, 2};
        Mesh mesh = Mesh.builder(xyz, triangles).uvSet(new Attribute("uv", 2, at, triangles)).build();
        UvMeasures uv = measures(mesh);
        assertThat(uv.degenerateTriangles()).isEqualTo(1); // on the mesh and in UV space; the fourth one is flipped
        assertThat(uv.flippedTriangles()).isEqualTo(1);
        UvMeasures flat = measures(squares(new double[] {0.5, 0, 0.5, 1}));
        assertThat(flat.degenerateTriangles()).isEqualTo(2);
        assertThat(flat.distortion().energy()).isNaN();
        assertThat(flat.density().mean()).isZero();
        assertThat(flat.worstChartEnergy()).isEqualTo(1);
        assertThat(flat.gap()).isInfinite();
    }

    @Test
    void seams_areCountedOnce_bordersOfChartsTwice() {
        Mesh cube = Unwrap.of(UvOracle.mesh(Shapes.cube(2))).packedInRows().seamsByAngle(50).build();
        UvMeasures uv = UvMeasures.of(cube, 2048, 2048);
        double edge = Math.sqrt(uv.charts().get(0).meshArea());
        assertThat(uv.charts()).hasSize(6);
        // floats of positions: 1e-7 of an edge
        assertThat(uv.seamLength()).isCloseTo(12 * edge, within(1e-5 * edge));
        assertThat(uv.charts().stream().mapToDouble(UvChart::borderLength).sum()).isCloseTo(24 * edge, within(1e-5 * edge));
        // what was packed with a gutter of 16 has it, but for rounding of UVs: 2048 · 6e-8
        assertThat(uv.gap()).isGreaterThan(16 - 1e-3);
        assertThat(uv.lastCleanMipLevel()).isEqualTo(2);
        assertThat(kinds(cube, 2048, 2048)).containsExactly("uv-layout");
    }

    @Test
    void gap_isTheOneOfCornersAndEdges() {
        UvMeasures uv = measures(squares(new double[] {0, 0, 0.25, 0.25}, new double[] {0.28125, 0.125, 0.5, 0.5},
                new double[] {0.75, 0.75, 1, 1}));
        assertThat(uv.charts().stream().map(UvChart::gap)).containsExactly(32.0, 32.0, 256 * Math.sqrt(2));
        assertThat(uv.lastCleanMipLevel()).isEqualTo(3); // 3 · 8 ≤ 32 < 3 · 16
    }

    @Test
    void chartsTooNear_andOfOtherDensity_areWarnings() {
        Mesh near = squares(new double[] {0, 0, 0.25, 0.25}, new double[] {0.2509765625, 0, 0.5, 0.25});
        Findings findings = UvCheck.check(near, 2048, 2048, Task.silent());
        assertThat(findings.ofKind("narrow-gutter").get(0).count()).isEqualTo(2);
        assertThat(findings.ofKind("narrow-gutter").get(0).message()).contains("12.0 texels").contains("2.0 at the least");
        assertThat(kinds(near, 256, 256)).contains("narrow-gutter");
        assertThat(kinds(squares(new double[] {0, 0, 0.5, 0.5}, new double[] {0.75, 0.75, 0.875, 0.875}), 1024, 1024))
                .containsExactly("uv-layout", "uneven-texel-density");
    }

    @ParameterizedTest
    @CsvSource({"2048, 2048, 4, 1, true, 22369620", "2048, 2048, 4, 1, false, 16777216", "4, 2, 1, 2, true, 22", "1, 1, 3, 4, true, 12",
            "5, 3, 1, 1, true, 18", "65536, 65536, 4, 4, false, 68719476736"})
    void textureBytes_addUpTheLevels(int width, int height, int channels, int bytes, boolean mips, long expected) {
        assertThat(UvMeasures.textureBytes(width, height, channels, bytes, mips)).isEqualTo(expected);
    }

    @Test
    void furtherSets_canBeMeasured() {
        Mesh mesh = squares(new double[] {0, 0, 1, 1});
        Attribute other = squares(new double[] {0, 0, 0.5, 1}).uvSets().get(0);
        Mesh both = mesh.toBuilder().uvSet(other.named("second")).build();
        assertThat(UvMeasures.of(both, 1, 512, 512, Task.silent()).distortion().angle()).isCloseTo(2, within(TIGHT));
        assertThatThrownBy(() -> UvMeasures.of(both, 2, 512, 512, Task.silent())).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("set = 2").hasMessageContaining("0 … 1");
    }

    @Test
    void whatCannotBeMeasured_isRefused_andCheckIsSilent() {
        Mesh mesh = squares(new double[] {0, 0, 1, 1});
        Mesh bare = mesh.toBuilder().noUvSets().build();
        Mesh broken = squares(new double[] {0, 0, Double.NaN, 1});
        assertThatThrownBy(() -> measures(bare)).isInstanceOf(InvalidMeshException.class);
        assertThatThrownBy(() -> measures(broken)).isInstanceOf(InvalidMeshException.class);
        assertThat(kinds(bare, 64, 64)).isEmpty();
        assertThat(kinds(broken, 64, 64)).isEmpty();
        assertThatThrownBy(() -> UvMeasures.of(mesh, 0, 64)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("width = 0");
        assertThatThrownBy(() -> UvMeasures.textureBytes(1, 1, 5, 1, true)).hasMessageContaining("channels = 5");
        assertThatThrownBy(() -> UvMeasures.textureBytes(1, 1, 4, 3, true)).hasMessageContaining("bytesPerChannel = 3");
    }

    // -------------------------------------------------------------------------------------------------------------- laws

    @Test
    void scaleOfTheMesh_changesDensityAndLengthsOnly_wholeUnitsTheTileOnly() {
        double[] place = {0.25, 0.125, 0.5, 0.5};
        UvMeasures one = measures(squares(place));
        UvMeasures large = measures(squares(1024, place));
        assertThat(large.distortion()).isEqualTo(one.distortion()); // powers of two: the same bits
        assertThat(large.density().mean()).isEqualTo(one.density().mean() / 1024);
        assertThat(large.charts().get(0).borderLength()).isEqualTo(4096);
        UvMeasures moved = measures(squares(new double[] {3.25, 2.125, 3.5, 2.5}));
        assertThat(moved.distortion()).isEqualTo(one.distortion());
        assertThat(moved.fill()).isEqualTo(one.fill());
        UvChart chart = moved.charts().get(0);
        assertThat(List.of(chart.column(), chart.row())).containsExactly(3, 2);
        assertThat(chart.margin()).isEqualTo(one.charts().get(0).margin());
    }

    @Test
    void threads_changeNothing() throws Exception {
        Mesh mesh = Unwrap.of(UvOracle.mesh(Shapes.prism(24, 1, 3))).packedInRows().build();
        UvMeasures many = measures(mesh);
        try (ForkJoinPool single = new ForkJoinPool(1)) {
            UvMeasures one = single.submit(() -> measures(mesh)).get();
            assertThat(one.charts()).isEqualTo(many.charts());
            assertThat(one.toString()).isEqualTo(many.toString());
            assertThat(Arrays.equals(one.overlapping, many.overlapping)).isTrue();
        }
    }
}
