package org.estampage.lowpoly;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.Arrays;
import java.util.HashMap;
import java.util.Map;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Axis;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.mesh.Polygons;
import org.estampage.raster.TexelSamples;
import org.estampage.raster.UvRaster;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;

class LatheTest {
    /** A foot, a belly, a neck and a lip, 2 high. */
    private static double vase(double h) {
        return 0.5 + 0.25 * StrictMath.sin(3 * h) + 0.1 * h;
    }

    private static Mesh vase() {
        return Revolved.about(Axis.Y, 2, 256, 401, LatheTest::vase);
    }

    // ----------------------------------------------------------------------------------------------------------- topology

    @Test
    void build_of96SidesAnd12Rings_has2304Triangles() {
        Mesh low = Lathe.around(vase()).sides(96).rings(12).capped().build();
        // The worked example of the console vocabulary: 11 · 192 + 2 · 96.
        assertThat(low.triangleCount()).isEqualTo(2304);
        assertThat(low.vertexCount()).isEqualTo(12 * 96 + 2);
        assertThat(low.name()).isEqualTo("post-low");
        assertThat(low.parts()).hasSize(1);
        assertThat(Lathe.around(vase()).build().triangleCount()).isEqualTo(2304);
        assertThat(Lathe.around(vase()).open().sides(5).rings(3).build().triangleCount()).isEqualTo(20);
    }

    @ParameterizedTest
    @CsvSource({"3,2", "7,5", "96,12", "33,40"})
    void capped_isAClosedOrientedManifoldOfGenusZero(int sides, int rings) {
        Mesh low = Lathe.around(vase()).sides(sides).rings(rings).build();
        Map<Long, Integer> edges = new HashMap<>();
        int[] corners = low.positionIndices();
        for (int c = 0; c < corners.length; c++) {
            long from = corners[c];
            long to = corners[c % 3 == 2 ? c - 2 : c + 1];
            assertThat(edges.put(from << 32 | to, c)).as("an edge is walked once in each direction").isNull();
        }
        for (long edge : edges.keySet()) {
            assertThat(edges).containsKey(edge << 32 | edge >>> 32);
        }
        // Euler: V − E + F = 2.
        assertThat(low.vertexCount() - edges.size() / 2 + low.triangleCount()).isEqualTo(2);
        assertThat(volume(low)).isPositive();
    }

    @Test
    void open_hasTwoBoundaries() {
        Mesh low = Lathe.around(vase()).sides(8).rings(4).open().build();
        assertThat(low.vertexCount()).isEqualTo(32);
        // V − E + F of a tube is 0: E = (3F + boundary)/2 with 2 · 8 boundary edges.
        assertThat(low.vertexCount() - (3 * low.triangleCount() + 16) / 2 + low.triangleCount()).isZero();
    }

    @Test
    void polygons_areTheSideQuadsAndCapTriangles() {
        Mesh low = Lathe.around(vase()).sides(9).rings(4).build();
        Polygons polygons = low.polygons().orElseThrow();
        assertThat(polygons.count()).isEqualTo(27 + 18);
        int[] corners = low.positionIndices();
        // The first side facet: two corners on ring 0, then the two above them.
        assertThat(Arrays.stream(new int[] {0, 1, 2, 3}).map(k -> corners[polygons.corner(0, k)]).toArray()).containsExactly(0, 1, 10, 9);
        assertThat(polygons.cornerCount(26)).isEqualTo(4);
        assertThat(polygons.cornerCount(27)).isEqualTo(3);
    }

    // -------------------------------------------------------------------------------------------------------------- shape

    @ParameterizedTest
    @CsvSource({"8,0.0761204675", "16,0.0192147196", "32,0.0048152733"})
    void cylinder_facetsLieInsideTheCircleByTheirSagitta(int sides, double gap) {
        // Gap of a regular n-gon inscribed in the unit circle at mid-facet: 1 − cos(π/n); the values are this project's table of checks.
        Mesh low = Lathe.around(Revolved.about(Axis.Y, 3, 2048, 5, h -> 1)).sides(sides).rings(4).build();
        float[] p = low.positions();
        for (int j = 0; j < sides; j++) {
            int k = (j + 1) % sides;
            double x = 0.5 * ((double) p[3 * j] + p[3 * k]);
            double z = 0.5 * ((double) p[3 * j + 2] + p[3 * k + 2]);
            // The high poly is a 2048-gon itself: its sectors' farthest points are its corners, at 1 but for floats.
            assertThat(1 - Math.hypot(x, z)).isCloseTo(gap, within(1e-6));
        }
    }

    @Test
    void cylinder_ringsAreEvenlySpaced() {
        Mesh low = Lathe.around(Revolved.about(Axis.Y, 1, 64, 2, h -> 1)).sides(12).rings(9).build();
        for (int i = 0; i < 9; i++) {
            // Where all fits are equal, evenness decides; 1024 levels divide by 8.
            assertThat(low.positions()[3 * 12 * i + 1]).isCloseTo(i / 8f, within(1e-6f));
        }
    }

    @Test
    void cone_isFollowedExactly() {
        Mesh low = Lathe.around(Revolved.about(Axis.Y, 2, 512, 3, h -> 1 - 0.4 * h)).sides(16).rings(5).build();
        float[] p = low.positions();
        for (int v = 0; v < 16 * 5; v++) {
            double r = Math.hypot(p[3 * v], p[3 * v + 2]);
            // A sector's farthest point at a height is a corner's edge or, on facets between, less by at most 1 − cos(π/512) = 1.9e−5.
            assertThat(r).isCloseTo(1 - 0.4 * p[3 * v + 1], within(2e-5));
        }
    }

    @Test
    void vase_getsCloserWithMoreRings() {
        double before = Double.POSITIVE_INFINITY;
        for (int rings : new int[] {4, 8, 16, 32}) {
            Mesh low = Lathe.around(vase()).sides(16).rings(rings).build();
            double worst = worstRadius(low, 16, rings, LatheTest::vase);
            // Linear interpolation: the error falls with the square of the spacing, so by about 4 each time.
            assertThat(worst).isLessThan(before / 2.5);
            before = worst;
        }
        // Spacing 2/31, |r″| ≤ 9 · 0.25: evenly spaced chords alone would be r″·s²/8 = 1.2e−3 off.
        assertThat(before).isLessThan(1.2e-3);
    }

    private static double worstRadius(Mesh low, int sides, int rings, java.util.function.DoubleUnaryOperator truth) {
        double worst = 0;
        float[] p = low.positions();
        for (int i = 0; i + 1 < rings; i++) {
            int a = 3 * i * sides;
            int b = 3 * (i + 1) * sides;
            double ra = Math.hypot(p[a], p[a + 2]);
            double rb = Math.hypot(p[b], p[b + 2]);
            for (int k = 0; k <= 50; k++) {
                double s = k / 50.0;
                double h = p[a + 1] + s * (p[b + 1] - p[a + 1]);
                worst = Math.max(worst, Math.abs(ra + s * (rb - ra) - truth.applyAsDouble(h)));
            }
        }
        return worst;
    }

    @Test
    void ringsStandWhereTheProfileBends() {
        // Two straight pieces that meet at h = 1.25 of 2: three rings follow them exactly, to a level of 2/1024 and its share of slope.
        Mesh low = Lathe.around(Revolved.about(Axis.Y, 2, 256, 9, h -> h < 1.25 ? 0.5 + 0.4 * h : 1 - 0.8 * (h - 1.25))).sides(8).rings(3)
                .build();
        assertThat(low.positions()[3 * 8 + 1]).isCloseTo(1.25f, within(0.002f));
    }

    @Test
    void spike_doesNotMoveTheProfile() {
        Revolved.Radius spiked = (h, angle) -> Math.abs(h - 1) < 0.011 && angle < 0.05 ? 3 : 1;
        Mesh low = Lathe.around(Revolved.of(spiked, 2, 256, 201, Axis.Y, 0, 0, 0)).sides(16).rings(12).build();
        float[] p = low.positions();
        for (int v = 0; v < 16 * 12; v++) {
            // 256 sides: facets lie up to 1 − cos(π/256) = 7.5e−5 inside; the spike moves the fitted centre's median not at all.
            assertThat(Math.hypot(p[3 * v], p[3 * v + 2])).isCloseTo(1, within(1e-3));
        }
    }

    @Test
    void handle_doesNotMoveTheLine() {
        // A bump of half the radius over an eighth of the way round and a fifth of the height, so that the bounds' middle is 0.25 off.
        Revolved.Radius bumped = (h, angle) -> h > 0.8 && h < 1.2 && angle > 1 && angle < 1.8 ? 1.5 : 1;
        Mesh low = Lathe.around(Revolved.of(bumped, 2, 256, 201, Axis.Y, 10, -20, 5)).sides(16).rings(2).build();
        float[] p = low.positions();
        int centre = 3 * 16 * 2;
        // About Y the first axis is Z, the second X. Floats near 20 are 2e−6 apart.
        assertThat(p[centre + 2]).isCloseTo(10, within(1e-3f));
        assertThat(p[centre]).isCloseTo(-20, within(1e-3f));
    }

    @Test
    void point_atAnEnd_getsASmallRing() {
        Mesh low = Lathe.around(Revolved.about(Axis.Y, 1, 128, 65, h -> 1 - h)).sides(12).rings(4).build();
        float[] p = low.positions();
        double top = Math.hypot(p[3 * 36], p[3 * 36 + 2]);
        assertThat(top).isBetween(0.00999, 0.02);
        assertThat(p[3 * 36 + 1]).isEqualTo(1);
    }

    @ParameterizedTest
    @EnumSource(Axis.class)
    void axis_turnsTheSameShapeAndStaysInBounds(Axis axis) {
        Mesh high = Revolved.of((h, angle) -> vase(h), 2, 128, 101, axis, 3, -4, 5);
        Mesh low = Lathe.around(high).axis(axis).sides(24).rings(8).build();
        assertThat(volume(low)).isPositive();
        Bounds inner = low.bounds();
        Bounds outer = high.bounds();
        assertThat(inner.min(axis)).isEqualTo(outer.min(axis));
        assertThat(inner.max(axis)).isEqualTo(outer.max(axis));
        // The polyline may lie outside the profile by its fit's error, below 0.01 here.
        for (Axis other : Axis.values()) {
            assertThat(inner.min(other)).isGreaterThan(outer.min(other) - 0.01f);
            assertThat(inner.max(other)).isLessThan(outer.max(other) + 0.01f);
        }
        Mesh about = Lathe.around(Revolved.of((h, angle) -> vase(h), 2, 128, 101, Axis.Y, 3, -4, 5)).sides(24).rings(8).build();
        // The same shape, only that its coordinates change places.
        int shift = (axis.component() + 2) % 3; // Y → 0
        for (int v = 0; v < low.vertexCount(); v++) {
            for (int k = 0; k < 3; k++) {
                assertThat(low.positions()[3 * v + (k + shift) % 3]).isEqualTo(about.positions()[3 * v + k]);
            }
        }
    }

    @ParameterizedTest
    @CsvSource({"1024,0,0", "1000,2e-4,1e-3", "0.001,2e-4,1e-3"})
    void scale_changesNothingElse(double factor, double shape, double layout) {
        // A power of two changes no digit. Otherwise the input is rounded anew, which may move a corner of the 256 sides into the next sector, and
        // then a radius by their sagitta 7.5e−5, an end ring's by up to twice that; and a box of the layout by a texel or two of 2048.
        Mesh low = Lathe.around(vase()).sides(24).rings(8).build();
        Mesh scaled = Lathe.around(vase().unit(factor)).sides(24).rings(8).build();
        for (int i = 0; i < low.positions().length; i++) {
            assertThat(scaled.positions()[i]).isCloseTo((float) (low.positions()[i] * factor), within((float) (shape * factor)));
        }
        float[] uv = low.uvSets().get(0).values();
        for (int i = 0; i < uv.length; i++) {
            assertThat(scaled.uvSets().get(0).values()[i]).isCloseTo(uv[i], within((float) layout));
        }
    }

    @Test
    void seamAt_turnsTheFirstVertex() {
        Mesh low = Lathe.around(Revolved.about(Axis.Y, 1, 1024, 3, h -> 1)).seamAt(Math.PI / 2).sides(8).rings(2).build();
        // About Y angles run from +Z to +X.
        assertThat(low.positions()[0]).isCloseTo(1, within(1e-5f));
        assertThat(low.positions()[2]).isCloseTo(0, within(1e-5f));
    }

    static double volume(Mesh mesh) {
        float[] p = mesh.positions();
        int[] c = mesh.positionIndices();
        double volume = 0;
        for (int t = 0; t < c.length; t += 3) {
            int i = 3 * c[t], j = 3 * c[t + 1], k = 3 * c[t + 2];
            volume += p[i] * ((double) p[j + 1] * p[k + 2] - (double) p[j + 2] * p[k + 1])
                    + p[i + 1] * ((double) p[j + 2] * p[k] - (double) p[j] * p[k + 2])
                    + p[i + 2] * ((double) p[j] * p[k + 1] - (double) p[j + 1] * p[k]);
        }
        return volume / 6;
    }

    // ------------------------------------------------------------------------------------------------------------ normals

    @Test
    void normals_areTheAngleWeightedOnesWithHardCaps() {
        Mesh low = Lathe.around(vase()).sides(24).rings(9).build();
        Mesh side = Lathe.around(vase()).sides(24).rings(9).open().build();
        float[] mine = low.normals().orElseThrow().values();
        float[] theirs = Normals.smooth(side).normals().orElseThrow().values();
        for (int i = 0; i < theirs.length; i++) {
            // Positions are floats, 6e−8 of facets of about 0.1: 1e−6.
            assertThat(mine[i]).isCloseTo(theirs[i], within(3e-6f));
        }
        int[] index = low.normals().orElseThrow().indices();
        for (int c = 3 * 24 * 2 * 8; c < index.length; c++) {
            float y = mine[3 * index[c] + 1];
            assertThat(y).isEqualTo(c < index.length - 72 ? -1 : 1);
        }
    }

    // ---------------------------------------------------------------------------------------------------------------- UVs

    @ParameterizedTest
    @CsvSource({"1,1,2048,16", "0.2,3,1024,8", "2,0.1,512,5", "1,1,1000,7", "1,0.02,256,0", "0.5,2,777,33"})
    void uvs_areInsidePositiveApartAndEven(double radius, double height, int size, int gutter) {
        Mesh high = Revolved.about(Axis.Y, height, 96, 33, h -> radius * (1 - 0.3 * h / height));
        Mesh low = Lathe.around(high).sides(20).rings(3).size(size).gutterTexels(gutter).build();
        Attribute set = low.uvSets().get(0);
        float[] uv = set.values();
        for (float value : uv) {
            assertThat(value).isBetween((float) (gutter / 2.0 / size), (float) (1 - gutter / 2.0 / size));
        }
        UvRaster raster = UvRaster.of(low, size, size, 1);
        assertThat(raster.findings()).as("neither mirrored nor flat nor outside nor overlapping").isEmpty();
        int[][] box = boxes(low, size);
        TexelSamples samples = new TexelSamples();
        raster.rasterise(0, 0, size, size, samples);
        // Between texels that different charts touch there are at least as many free ones as asked, by rows, columns or both.
        int[][] touched = new int[3][];
        for (int chart = 0; chart < 3; chart++) {
            touched[chart] = new int[] {size, size, -1, -1};
        }
        for (int texel = 0; texel < size * size; texel++) {
            for (int at = samples.start[texel]; at < samples.start[texel + 1]; at++) {
                int[] b = touched[chart(samples.triangle[at], 20, 3)];
                b[0] = Math.min(b[0], texel % size);
                b[1] = Math.min(b[1], texel / size);
                b[2] = Math.max(b[2], texel % size);
                b[3] = Math.max(b[3], texel / size);
            }
        }
        for (int a = 0; a < 3; a++) {
            for (int b = 0; b < a; b++) {
                int across = Math.max(touched[a][0], touched[b][0]) - Math.min(touched[a][2], touched[b][2]) - 1;
                int down = Math.max(touched[a][1], touched[b][1]) - Math.min(touched[a][3], touched[b][3]) - 1;
                assertThat(Math.max(across, down)).isGreaterThanOrEqualTo(gutter);
            }
        }
        assertThat(box[0][0]).isGreaterThanOrEqualTo((gutter + 1) / 2);
        // Texels an area: the side as a whole like the caps, but for the texel that it is stretched by.
        double[] density = new double[3];
        double[] area = new double[3];
        for (int t = 0; t < low.triangleCount(); t++) {
            int chart = chart(t, 20, 3);
            density[chart] += uvArea(set, t);
            area[chart] += area(low, t);
        }
        double side = density[0] / area[0];
        double caps = density[1] / area[1];
        assertThat(density[2] / area[2]).isCloseTo(caps, within(1e-4 * caps));
        // The side loses up to two texels of its shorter dimension; its facets are cos(π/20)-ish flatter than the circles it is measured by.
        double shorter = Math.min(box[0][2] - box[0][0], box[0][3] - box[0][1]);
        assertThat(side / caps).isBetween(1 - 2.5 / shorter, 1 + 0.02);
    }

    private static int chart(int triangle, int sides, int rings) {
        return triangle < 2 * sides * (rings - 1) ? 0 : triangle < 2 * sides * (rings - 1) + sides ? 1 : 2;
    }

    private static int[][] boxes(Mesh low, int size) {
        Attribute set = low.uvSets().get(0);
        int[][] box = new int[3][];
        for (int t = 0; t < low.triangleCount(); t++) {
            int chart = chart(t, 20, 3);
            for (int k = 0; k < 3; k++) {
                int i = 2 * set.indices()[3 * t + k];
                int u = (int) Math.round(set.values()[i] * (double) size);
                int v = (int) Math.round(set.values()[i + 1] * (double) size);
                int[] b = box[chart] == null ? new int[] {u, v, u, v} : box[chart];
                box[chart] = new int[] {Math.min(b[0], u), Math.min(b[1], v), Math.max(b[2], u), Math.max(b[3], v)};
            }
        }
        return box;
    }

    private static double uvArea(Attribute set, int t) {
        float[] uv = set.values();
        int a = 2 * set.indices()[3 * t], b = 2 * set.indices()[3 * t + 1], c = 2 * set.indices()[3 * t + 2];
        return 0.5 * (((double) uv[b] - uv[a]) * ((double) uv[c + 1] - uv[a + 1])
                - ((double) uv[c] - uv[a]) * ((double) uv[b + 1] - uv[a + 1]));
    }

    private static double area(Mesh mesh, int t) {
        float[] p = mesh.positions();
        int i = 3 * mesh.positionIndices()[3 * t], j = 3 * mesh.positionIndices()[3 * t + 1], k = 3 * mesh.positionIndices()[3 * t + 2];
        double ax = p[j] - p[i], ay = p[j + 1] - p[i + 1], az = p[j + 2] - p[i + 2];
        double bx = p[k] - p[i], by = p[k + 1] - p[i + 1], bz = p[k + 2] - p[i + 2];
        return 0.5 * Math.hypot(Math.hypot(ay * bz - az * by, az * bx - ax * bz), ax * by - ay * bx);
    }

    @Test
    void uvs_shareThePositionsOfTheSeam() {
        Mesh low = Lathe.around(vase()).sides(6).rings(2).open().build();
        // Seven columns of UVs for six of positions.
        assertThat(low.uvSets().get(0).count()).isEqualTo(14);
        assertThat(low.vertexCount()).isEqualTo(12);
    }

    // ------------------------------------------------------------------------------------------------------------- refusal

    @Test
    void build_ofWhatCannotBeTurned_saysWhy() {
        Mesh flat = Mesh.builder(new float[] {0, 1, 0, 1, 1, 0, 0, 1, 1}, new int[] {0, 1, 2}).build();
        assertThatThrownBy(() -> Lathe.around(flat).build()).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("along Y");
        Mesh broken = Mesh.builder(new float[] {0, Float.NaN, 0, 1, 1, 0, 0, 1, 1}, new int[] {0, 1, 2}).build();
        assertThatThrownBy(() -> Lathe.around(broken).build()).isInstanceOf(InvalidMeshException.class);
        assertThatThrownBy(() -> Lathe.around(vase()).sides(2)).hasMessageContaining("sides = 2").hasMessageContaining("3 … 4096");
        assertThatThrownBy(() -> Lathe.around(vase()).rings(1)).hasMessageContaining("rings = 1");
        assertThatThrownBy(() -> Lathe.around(vase()).seamAt(Double.NaN)).hasMessageContaining("radians");
        assertThatThrownBy(() -> Lathe.around(vase()).size(64).gutterTexels(63).build()).hasMessageContaining("gutterTexels = 63");
    }
}
