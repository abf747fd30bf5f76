package org.estampage.uv;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ForkJoinPool;
import org.estampage.finding.Finding;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Axis;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.task.Task;
import org.estampage.testresources.Shape;
import org.estampage.testresources.Shapes;
import org.junit.jupiter.api.Test;

/** Packing charts that meshes have, of one mesh and of several. */
class AtlasTest {
    /** Coordinates below 1 as floats are rounded by 3e-8, before and after; edges are 0.01 and longer. */
    private static final double SAME_SHAPE = 1e-4;

    private static Mesh cube(double edge) {
        return Unwrap.of(UvOracle.mesh(Shapes.cube(edge))).packedInRows().seamsByAngle(50).build();
    }

    private static Mesh ring() {
        return Unwrap.of(UvOracle.mesh(Shapes.torus(2, 0.7, 16, 8))).packedInRows().build();
    }

    /** A mesh of squares in the plane of x and y, three numbers each: left, bottom, edge; UVs are given likewise, and negative edges mirror along u. */
    private static Mesh squares(double[][] places, double[][] uvs) {
        float[] xyz = new float[12 * places.length];
        float[] uv = new float[8 * places.length];
        int[] corners = new int[6 * places.length];
        for (int s = 0; s < places.length; s++) {
            for (int k = 0; k < 4; k++) {
                int right = k == 1 || k == 2 ? 1 : 0;
                int up = k / 2;
                xyz[12 * s + 3 * k] = (float) (places[s][0] + right * places[s][2]);
                xyz[12 * s + 3 * k + 1] = (float) (places[s][1] + up * places[s][2]);
                uv[8 * s + 2 * k] = (float) (uvs[s][0] + right * uvs[s][2]);
                uv[8 * s + 2 * k + 1] = (float) (uvs[s][1] + up * Math.abs(uvs[s][2]));
            }
            int[] two = {0, 1, 2, 0, 2, 3};
            for (int i = 0; i < 6; i++) {
                corners[6 * s + i] = 4 * s + two[i];
            }
        }
        return Mesh.builder(xyz, corners).uvSet(new Attribute("uv", 2, uv, corners.clone())).build();
    }

    /**
     * What each chart of the old mesh was multiplied by, as a complex number, by its first triangle. Fails where a chart was mirrored, bent or torn.
     */
    private static Map<Integer, double[]> similarities(Mesh before, Mesh after) {
        UvOracle old = new UvOracle(before);
        UvOracle now = new UvOracle(after);
        int[] chart = old.charts();
        Map<Integer, double[]> factors = new TreeMap<>();
        for (int t = 0; t < chart.length; t++) {
            int from = 3 * chart[t];
            for (int c = 3 * t; c < 3 * t + 3; c++) {
                double[] factor = factors.get(chart[t]);
                double du = old.u(c) - old.u(from);
                double dv = old.v(c) - old.v(from);
                double eu = now.u(c) - now.u(from);
                double ev = now.v(c) - now.v(from);
                double square = du * du + dv * dv;
                if (factor == null && square > 1e-4) {
                    factors.put(chart[t], new double[] {(eu * du + ev * dv) / square, (ev * du - eu * dv) / square});
                } else if (factor != null) {
                    double size = Math.hypot(factor[0], factor[1]);
                    assertThat(eu).isCloseTo(factor[0] * du - factor[1] * dv, within(SAME_SHAPE * size));
                    assertThat(ev).isCloseTo(factor[1] * du + factor[0] * dv, within(SAME_SHAPE * size));
                }
            }
        }
        return factors;
    }

    /** UV area over area of each chart, by its first triangle. */
    private static Map<Integer, Double> densities(Mesh mesh) {
        UvOracle uv = new UvOracle(mesh);
        int[] chart = uv.charts();
        Map<Integer, double[]> sums = new TreeMap<>();
        for (int t = 0; t < chart.length; t++) {
            double[] sum = sums.computeIfAbsent(chart[t], c -> new double[2]);
            sum[0] += uv.signed(t) / 2;
            sum[1] += uv.area(t);
        }
        Map<Integer, Double> result = new TreeMap<>();
        sums.forEach((c, sum) -> result.put(c, sum[0] / sum[1]));
        return result;
    }

    private static Finding only(Mesh mesh, String kind) {
        List<Finding> found = mesh.findings().ofKind(kind);
        assertThat(found).hasSize(1);
        return found.get(0);
    }

    // ------------------------------------------------------------------------------------------------------------- shape

    @Test
    void charts_keepTheirShapes_andGetOneDensity() {
        List<Mesh> props = List.of(ring(), cube(1), cube(3));
        List<Mesh> packed = Atlas.of(ring(), cube(1), cube(3)).packedInRows().build();
        double density = densities(packed.get(0)).values().iterator().next();
        for (int p = 0; p < 3; p++) {
            assertThat(similarities(props.get(p), packed.get(p))).hasSize(new UvOracle(props.get(p)).chartCount());
            assertThat(new UvOracle(packed.get(p)).seams()).isEqualTo(new UvOracle(props.get(p)).seams());
            assertThat(densities(packed.get(p)).values()).allSatisfy(d -> assertThat(d).isCloseTo(density, within(1e-4 * density)));
        }
    }

    @Test
    void gutterAndBorder_areKept_betweenAllChartsOfAllProps() {
        List<Mesh> packed = Atlas.of(ring(), cube(1.5), cube(1)).size(512, 256).gutterTexels(6).borderTexels(5).build();
        double[] gaps = UvOracle.gaps(512, 256, packed.get(0), packed.get(1), packed.get(2));
        assertThat(gaps[0]).isGreaterThan(6 - 1e-3); // a float's rounding of 6e-8 is 3e-5 texels of 512
        assertThat(gaps[1]).isGreaterThan(5 - 1e-3);
        assertThat(packed).allSatisfy(mesh -> {
            assertThat(new UvOracle(mesh).flips()).isZero();
            assertThat(new UvOracle(mesh).overlaps(2e-6)).isZero(); // as in UnwrapTest
        });
    }

    @Test
    void density_isAMultipleOfTheOthers() {
        List<Mesh> packed = Atlas.of(cube(1), cube(1), ring()).packedInRows().density(1, 3).build();
        double one = new UvOracle(packed.get(0)).scale(0, 1);
        assertThat(new UvOracle(packed.get(1)).scale(0, 1) / one).isCloseTo(3, within(1e-3)); // rounding of UVs on edges of 0.02
        assertThat(densities(packed.get(2)).values()).allSatisfy(d -> assertThat(d).isCloseTo(one * one, within(1e-2 * d)));
        assertThat(only(packed.get(1), "uv-packed").message()).startsWith("6 charts packed beside");
    }

    @Test
    void keepDensities_keepsChartsAsLargeAsTheyAreBesideEachOther() {
        Mesh uneven = squares(new double[][] {{0, 0, 1}, {2, 0, 1}}, new double[][] {{0, 0, 0.5}, {0.6, 0, 0.25}});
        UvOracle even = new UvOracle(Repack.of(uneven).packedInRows().build());
        assertThat(even.scale(0, 1)).isCloseTo(even.scale(6, 7), within(1e-6));
        List<Mesh> kept = Atlas.of(uneven, cube(1)).packedInRows().keepDensities().build();
        UvOracle uv = new UvOracle(kept.get(0));
        assertThat(uv.scale(0, 1)).isCloseTo(2 * uv.scale(6, 7), within(1e-6));
        // Meshes are matched by their mean: 2 square units cover what 2 of the cube's 6 faces do.
        double mean = (uv.signed(0) + uv.signed(1) + uv.signed(2) + uv.signed(3)) / 2 / 2;
        assertThat(mean).isCloseTo(Math.pow(new UvOracle(kept.get(1)).scale(0, 1), 2), within(1e-5 * mean));
    }

    @Test
    void laidOutFor_anImageThatIsNotSquare_takesTheStretchOut() {
        Mesh wide = Unwrap.of(UvOracle.mesh(Shapes.cube(1))).packedInRows().seamsByAngle(50).size(1024, 512).build();
        UvOracle uv = new UvOracle(Repack.of(wide).laidOutFor(1024, 512).size(256).packedInRows().build());
        for (int c = 0; c < 36; c++) {
            assertThat(uv.scale(c, c % 3 == 2 ? c - 2 : c + 1)).isCloseTo(uv.scale(0, 1), within(1e-5 * uv.scale(0, 1)));
        }
    }

    @Test
    void splitVertices_andUvsWithIndicesOfTheirOwn_tearNoChart() {
        Mesh ring = ring();
        int corners = 3 * ring.triangleCount();
        float[] xyz = new float[3 * corners];
        float[] uv = new float[2 * corners];
        for (int c = 0; c < corners; c++) {
            System.arraycopy(ring.positions(), 3 * ring.positionIndices()[c], xyz, 3 * c, 3);
            System.arraycopy(ring.uvSets().get(0).values(), 2 * ring.uvSets().get(0).indices()[c], uv, 2 * c, 2);
        }
        int[] own = new int[corners];
        Arrays.setAll(own, c -> c);
        Mesh soup = Mesh.builder(xyz, own).uvSet(new Attribute("uv", 2, uv, own)).build();
        Mesh there = Repack.of(soup).packedInRows().build();
        Mesh here = Repack.of(ring).packedInRows().build();
        for (int c = 0; c < corners; c++) {
            assertThat(new UvOracle(there).u(c)).isEqualTo(new UvOracle(here).u(c));
        }
    }

    // ------------------------------------------------------------------------------------------------------------ stacks

    private static Mesh copies(boolean inPlace) {
        Shape shape = Shapes.together(Shapes.prism(7, 1, 2), Shapes.prism(7, 1, 2), Shapes.cube(1));
        for (int v = 16; v < 2 * 16 + 8; v++) {
            shape.positions()[3 * v] += v < 32 ? 4 : 8;
        }
        Unwrap unwrap = Unwrap.of(UvOracle.mesh(shape)).packedInRows().stacked();
        return (inPlace ? unwrap.copiesInPlace() : unwrap).build();
    }

    @Test
    void copiesInPlace_shareTheirEntries() {
        Mesh before = copies(true);
        Mesh packed = Repack.of(before).packedInRows().build();
        int half = Shapes.prism(7, 1, 2).triangles().length;
        int[] index = packed.uvSets().get(0).indices();
        assertThat(Arrays.copyOfRange(index, half, 2 * half)).isEqualTo(Arrays.copyOf(index, half));
        similarities(before, packed);
        assertThat(only(packed, "uv-packed").message()).contains("of them on the place of others");
        assertThat(packed.findings().ofKind("uv-folded-charts")).isEmpty();
    }

    @Test
    void copiesBelow_stayBelowAllTiles() {
        int half = Shapes.prism(7, 1, 2).triangles().length;
        for (int rows = 1; rows < 3; rows++) {
            UvOracle uv = new UvOracle(Repack.of(copies(false)).packedInRows().tiles(10 * rows).size(256).build());
            for (int c = 0; c < half; c++) {
                assertThat(uv.u(half + c)).isCloseTo(uv.u(c), within(2e-7)); // copies were moved by 1 as floats, which rounds to 6e-8
                assertThat(uv.v(half + c)).isCloseTo(uv.v(c) - rows, within(2e-7));
            }
        }
    }

    @Test
    void mirroredCopies_stayOnTheirOriginals() {
        Mesh mesh = squares(new double[][] {{0, 0, 1}, {3, 0, 1}}, new double[][] {{0.2, 0.1, 0.3}, {0.5, 0.1, -0.3}});
        Mesh packed = Repack.of(mesh).packedInRows().build();
        UvOracle uv = new UvOracle(packed);
        assertThat(uv.signed(2)).isCloseTo(-uv.signed(0), within(1e-6));
        // a square lies on the other one: its lower left corner at the other's lower right one
        assertThat(uv.u(6)).isCloseTo(uv.u(1), within(1e-6));
        assertThat(uv.v(6)).isCloseTo(uv.v(1), within(1e-6));
        assertThat(uv.signed(0)).isGreaterThan(0.9); // alone it fills the tile
    }

    @Test
    void chartsAUnitApart_areCopies_outsideOfTiles_orWhereTheImageRepeats() {
        double[][] places = {{0, 0, 1}, {3, 0, 1}};
        Mesh tiled = squares(places, new double[][] {{0.2, 0.1, 0.3}, {1.2, 0.1, 0.3}});
        Mesh below = squares(places, new double[][] {{0.2, 0.1, 0.3}, {0.2, -0.9, 0.3}});
        assertThat(only(Repack.of(tiled).packedInRows().build(), "uv-packed").message()).doesNotContain("place of others");
        assertThat(only(Repack.of(tiled).packedInRows().repeating().build(), "uv-packed").message())
                .contains("1 of them on the place of others");
        assertThat(only(Repack.of(below).packedInRows().build(), "uv-packed").message()).contains("1 of them on the place of others");
    }

    @Test
    void chartsThatMerelyOverlap_arePulledApart() {
        Mesh mesh = squares(new double[][] {{0, 0, 1}, {3, 0, 1}, {6, 0, 1}},
                new double[][] {{0.2, 0.1, 0.3}, {0.25, 0.1, 0.3}, {0.2, 0.1, 0.299}});
        Mesh packed = Repack.of(mesh).size(64).gutterTexels(2).build();
        assertThat(UvOracle.gaps(64, 64, packed)[0]).isGreaterThan(2 - 1e-4); // a float's rounding
        assertThat(new UvOracle(packed).overlaps(1e-6)).isZero();
    }

    @Test
    void identicalProps_arePutApart() {
        List<Mesh> packed = Atlas.of(cube(1), cube(1)).size(128).gutterTexels(3).build();
        assertThat(UvOracle.gaps(128, 128, packed.get(0), packed.get(1))[0]).isGreaterThan(3 - 1e-4); // a float's rounding
    }

    // ------------------------------------------------------------------------------------------------- what is not as it should be

    @Test
    void foldedCharts_keepTheirShape_andAreNamed() {
        // Two triangles on one another: a square on the mesh, folded along its diagonal in UV space.
        float[] xyz = {0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0};
        int[] corners = {0, 1, 2, 0, 2, 3};
        Mesh folded = Mesh.builder(xyz, corners)
                .uvSet(new Attribute("uv", 2, new float[] {0, 0, 0.5f, 0, 0.5f, 0.5f, 0.5f, 0}, corners)).build();
        List<Mesh> packed = Atlas.of(folded, cube(0.3)).size(64).gutterTexels(2).build();
        similarities(folded, packed.get(0));
        Finding finding = only(packed.get(0), "uv-folded-charts");
        assertThat(finding.count()).isEqualTo(1);
        assertThat(finding.places()).hasSize(1);
        assertThat(UvOracle.gaps(64, 64, packed.get(0), packed.get(1))[0]).isGreaterThan(2 - 1e-4); // a float's rounding
    }

    @Test
    void chartsThatOverlapThemselves_withoutAFlip_areNamed() {
        // A strip of a screw that goes round one and a half times: it covers the first half turn twice.
        int steps = 30;
        float[] xyz = new float[6 * (steps + 1)];
        float[] uv = new float[4 * (steps + 1)];
        int[] corners = new int[6 * steps];
        for (int i = 0; i <= steps; i++) {
            double a = 3 * Math.PI * i / steps;
            for (int k = 0; k < 2; k++) {
                double r = 0.25 + 0.2 * k;
                uv[4 * i + 2 * k] = (float) (0.5 + r * Math.cos(a));
                uv[4 * i + 2 * k + 1] = (float) (0.5 + r * Math.sin(a));
                xyz[6 * i + 3 * k] = uv[4 * i + 2 * k];
                xyz[6 * i + 3 * k + 1] = uv[4 * i + 2 * k + 1];
                xyz[6 * i + 3 * k + 2] = (float) a;
            }
            if (i < steps) {
                int[] two = {2 * i, 2 * i + 1, 2 * i + 3, 2 * i, 2 * i + 3, 2 * i + 2};
                System.arraycopy(two, 0, corners, 6 * i, 6);
            }
        }
        Mesh screw = Mesh.builder(xyz, corners).uvSet(new Attribute("uv", 2, uv, corners)).build();
        assertThat(only(Repack.of(screw).packedInRows().build(), "uv-folded-charts").count()).isEqualTo(1);
        assertThat(Repack.of(ring()).packedInRows().build().findings().ofKind("uv-folded-charts")).isEmpty();
    }

    @Test
    void chartsWithoutArea_getAPoint() {
        // Beside a square, a square whose UVs are one point and one whose UVs are a line.
        double[][] places = {{0, 0, 1}, {1, 0, 1}, {5, 0, 1}};
        Mesh mesh = squares(places, new double[][] {{0, 0, 0.5}, {0.7, 0.7, 0}, {0.7, 0.7, 0}});
        Mesh packed = Repack.of(mesh).packedInRows().build();
        UvOracle uv = new UvOracle(packed);
        assertThat(only(packed, "uv-empty-charts").count()).isEqualTo(2);
        for (int t = 2; t < 6; t++) {
            assertThat(uv.signed(t)).isZero();
        }
        assertThat(uv.signed(0)).isGreaterThan(0.9); // alone it fills the tile
        // The neighbour of the square has the UVs of a corner they share.
        assertThat(List.of(uv.u(1), uv.u(2))).contains(uv.u(6));
    }

    @Test
    void chartsThatHardlyCoverAnything_makeNoNeedles() {
        double[][] places = {{0, 0, 1}, {3, 0, 1}};
        Mesh mesh = squares(places, new double[][] {{0, 0, 0.5}, {0.6, 0, 0.3}});
        mesh.uvSets().get(0).values()[8 + 5] = 1e-6f; // a strip of 0.3 by a millionth
        mesh.uvSets().get(0).values()[8 + 7] = 1e-6f;
        Mesh packed = Repack.of(mesh).packedInRows().build();
        assertThat(only(packed, "uv-thin-charts").count()).isEqualTo(1);
        // Its edges are no longer than 10 times what they are on the mesh, beside the square's.
        UvOracle uv = new UvOracle(packed);
        assertThat(uv.scale(6, 7)).isLessThan(20 * uv.scale(0, 1));
        assertThat(uv.scale(0, 1)).isGreaterThan(0.04);
    }

    @Test
    void build_refusesWhatHasNoUvs_andNamesAll() {
        Mesh bare = UvOracle.mesh(Shapes.cube(1)).toBuilder().name("bare").build();
        Mesh broken = cube(1).toBuilder().name("broken").build();
        broken.uvSets().get(0).values()[3] = Float.NaN;
        assertThatThrownBy(() -> Atlas.of(bare, cube(1), broken).build()).isInstanceOf(InvalidMeshException.class)
                .hasMessageContaining("bare has no UVs").hasMessageContaining("broken");
        assertThatThrownBy(() -> Repack.of(bare).build()).isInstanceOf(InvalidMeshException.class);
    }

    @Test
    void emptyMeshes_comeBackAsTheyAre() {
        Mesh empty = Mesh.builder(new float[0], new int[0]).build();
        assertThat(Atlas.of(empty).build()).containsExactly(empty);
        List<Mesh> packed = Atlas.of(empty, cube(1)).packedInRows().build();
        assertThat(packed.get(0)).isSameAs(empty);
        assertThat(new UvOracle(packed.get(1)).chartCount()).isEqualTo(6);
    }

    @Test
    void options_areCheckedAtTheDoor() {
        assertThatThrownBy(Atlas::of).hasMessageContaining("0 are given");
        Atlas atlas = Atlas.of(cube(1), cube(2));
        assertThatThrownBy(() -> atlas.density(2, 1)).hasMessageContaining("mesh = 2 must be 0 … 1");
        assertThatThrownBy(() -> atlas.density(0, 0)).hasMessageContaining("weight = 0.0");
        assertThatThrownBy(() -> atlas.laidOutFor(0, 1)).hasMessageContaining("width = 0");
        assertThatThrownBy(() -> atlas.tiles(101)).hasMessageContaining("count = 101");
        assertThatThrownBy(() -> Atlas.of(cube(1)).size(64).gutterTexels(64).build()).hasMessageContaining("6 charts on 64 × 64 texels");
    }

    @Test
    void build_whenCancelled_stops() {
        Task task = Task.silent();
        task.cancellation().cancel();
        Mesh ring = ring();
        assertThatThrownBy(() -> Repack.of(ring).task(task).build()).isInstanceOf(CancellationException.class);
    }

    // -------------------------------------------------------------------------------------------------------------- room

    @Test
    void tiles_holdAllProps_atADensity() {
        List<Mesh> packed = Atlas.of(cube(2), cube(1)).tiles(12).size(256).texelsPerUnit(110).build();
        for (Mesh mesh : packed) {
            UvOracle uv = new UvOracle(mesh);
            assertThat(uv.scale(0, 1) * 256).isCloseTo(110, within(1e-3)); // rounding of UVs of up to 10 on edges of 0.4
            for (int c = 0; c < 36; c++) {
                assertThat(Math.floor(uv.u(c))).isEqualTo(Math.floor(uv.u(c - c % 3)));
                assertThat(Math.floor(uv.v(c))).isEqualTo(Math.floor(uv.v(c - c % 3)));
            }
        }
        // One square of 220 texels a tile of 256, and small ones of 110 at two by two a tile.
        assertThat(new UvOracle(packed.get(0)).u(35)).isLessThan(10);
        assertThatThrownBy(() -> Atlas.of(cube(2), cube(1)).size(256).texelsPerUnit(110).build())
                .hasMessageContaining("texelsPerUnit = 110.0");
    }

    @Test
    void build_leavesEverythingElseAlone() {
        Mesh before = Normals.hardEdges(cube(1), 40).toBuilder().name("post").uvSet(new Attribute("light", 2, new float[2], new int[36]))
                .build();
        Mesh after = Repack.of(before).packedInRows().build();
        assertThat(after.name()).isEqualTo("post");
        assertThat(after.positions()).isSameAs(before.positions());
        assertThat(after.positionIndices()).isSameAs(before.positionIndices());
        assertThat(after.normals()).isEqualTo(before.normals());
        assertThat(after.uvSets()).extracting(Attribute::name).containsExactly("uv", "light");
        assertThat(after.tangents()).isEmpty();
    }

    @Test
    void build_isTheSame_onAnyNumberOfThreads() throws Exception {
        Mesh ring = Unwrap.of(UvOracle.mesh(Shapes.torus(2, 0.7, 8, 6))).packedInRows().build();
        float[][] results = new float[2][];
        for (int i = 0; i < 2; i++) {
            try (ForkJoinPool pool = new ForkJoinPool(1 + 2 * i)) {
                results[i] = pool.submit(() -> Atlas.of(ring, cube(1)).size(64).build().get(0).uvSets().get(0).values()).get();
            }
        }
        assertThat(results[1]).isEqualTo(results[0]);
    }

    @Test
    void unitAndPlaceOfTheProps_changeNothing() {
        Mesh ring = ring();
        float[] here = Atlas.of(ring, cube(1)).packedInRows().build().get(0).uvSets().get(0).values();
        // Powers of two scale without rounding.
        assertThat(Atlas.of(ring.unit(1024), cube(1).unit(1024)).packedInRows().build().get(0).uvSets().get(0).values()).isEqualTo(here);
        float[] turned = Atlas.of(ring.up(Axis.Z), cube(1)).packedInRows().build().get(0).uvSets().get(0).values();
        for (int i = 0; i < here.length; i++) {
            assertThat(turned[i]).isCloseTo(here[i], within(1e-6f)); // sums in another order
        }
    }
}
