package org.estampage.uv;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.ForkJoinPool;
import org.estampage.mesh.Mesh;
import org.junit.jupiter.api.Test;

class StripTest {
    /** UVs below 1 are rounded by 6e-8, twice; a straight border of floats stays within this. */
    private static final double LINE = 2e-7;
    /** As in UnwrapTest. */
    private static final double ROUNDING = 2e-6;

    /** A place on a band: how far along, 0 … 1, and how far across, −½ … ½. */
    private interface Band {
        double[] at(double along, double across);
    }

    /** A band of columns × rows squares; vertex c · (rows + 1) + r. */
    private static Mesh band(int columns, int rows, Band band) {
        float[] p = new float[3 * (columns + 1) * (rows + 1)];
        int[] t = new int[6 * columns * rows];
        int at = 0;
        for (int c = 0; c <= columns; c++) {
            for (int r = 0; r <= rows; r++) {
                double[] x = band.at((double) c / columns, (double) r / rows - 0.5);
                int v = c * (rows + 1) + r;
                for (int k = 0; k < 3; k++) {
                    p[3 * v + k] = (float) x[k];
                }
                if (c < columns && r < rows) {
                    for (int w : new int[] {v, v + rows + 1, v + rows + 2, v, v + rows + 2, v + 1}) {
                        t[at++] = w;
                    }
                }
            }
        }
        return Mesh.builder(p, t).build();
    }

    /** A flat arc about the origin, running clockwise from the side so that it faces +Z. */
    private static Band arc(double radius, double width, double angle) {
        return (s, w) -> {
            double r = radius - width * w;
            return new double[] {r * Math.cos(angle * s), r * Math.sin(angle * s), 0};
        };
    }

    /** Width over height of the box around all UVs, the longer side first; −1 where a long border is not straight along an axis. */
    private static double aspect(Mesh mesh, int rows) {
        UvOracle uv = new UvOracle(mesh);
        int[] indices = mesh.positionIndices();
        double[] low = {1, 1};
        double[] high = {0, 0};
        double[][] border = {{1, 0, 1, 0}, {1, 0, 1, 0}};
        for (int c = 0; c < indices.length; c++) {
            double[] x = {uv.u(c), uv.v(c)};
            int row = indices[c] % (rows + 1);
            for (int k = 0; k < 2; k++) {
                low[k] = Math.min(low[k], x[k]);
                high[k] = Math.max(high[k], x[k]);
                if (row == 0 || row == rows) {
                    double[] b = border[row == 0 ? 0 : 1];
                    b[2 * k] = Math.min(b[2 * k], x[k]);
                    b[2 * k + 1] = Math.max(b[2 * k + 1], x[k]);
                }
            }
        }
        double a = high[0] - low[0];
        double b = high[1] - low[1];
        int across = a > b ? 1 : 0;
        for (double[] line : border) {
            if (line[2 * across + 1] - line[2 * across] > LINE) {
                return -1;
            }
        }
        return Math.max(a, b) / Math.min(a, b);
    }

    private static Mesh straight(Mesh mesh, double bound) {
        Mesh flat = Unwrap.of(mesh).packedInRows().seams(0, 1).largestDistortion(bound).straightBands().build();
        UvOracle uv = new UvOracle(flat);
        assertThat(uv.flips()).isZero();
        assertThat(uv.overlaps(ROUNDING)).isZero();
        assertThat(uv.distortion().values()).allSatisfy(d -> assertThat(d).isLessThanOrEqualTo(bound * (1 + 1e-6)));
        return flat;
    }

    private static long straightened(Mesh mesh) {
        return count(mesh, "uv-bands");
    }

    private static long count(Mesh mesh, String kind) {
        return mesh.findings().ofKind(kind).stream().mapToLong(f -> f.count()).sum();
    }

    @Test
    void arc_isARectangleOfItsLengthAndWidth() {
        // Three quarters of a turn at radius 4, 1 wide.
        double length = 4 * 1.5 * Math.PI;
        Mesh flat = straight(band(120, 6, arc(4, 1, 1.5 * Math.PI)), 1.12);
        assertThat(straightened(flat)).isEqualTo(1);
        // The best sides for an arc of half-width e = 1/8 of the radius differ from the middle's length by about e² / 3 · 2 = 1 %.
        assertThat(aspect(flat, 6)).isCloseTo(length, within(0.011 * length));
    }

    @Test
    void withoutTheOption_arcStaysAnArc() {
        Mesh flat = Unwrap.of(band(120, 6, arc(4, 1, 1.5 * Math.PI))).packedInRows().seams(0, 1).build();
        assertThat(aspect(flat, 6)).isEqualTo(-1);
        assertThat(flat.findings().ofKind("uv-bands")).isEmpty();
    }

    @Test
    void sBend_isStraightAndPlacesAcrossStayAcross() {
        // Two half turns of radius 3 one after the other: the outer side of one is the inner side of the other.
        Band s = (along, w) -> {
            boolean second = along > 0.5;
            double angle = 2 * Math.PI * (second ? along - 0.5 : along);
            double r = second ? 3 + w : 3 - w;
            return second
                    ? new double[] {-6 + r * Math.cos(angle), -r * Math.sin(angle), 0}
                    : new double[] {r * Math.cos(angle), r * Math.sin(angle), 0};
        };
        Mesh flat = straight(band(120, 6, s), 1.12);
        assertThat(straightened(flat)).isEqualTo(1);
        // 2 % as for an arc of this radius: (1/6)² · 2/3.
        assertThat(aspect(flat, 6)).isCloseTo(6 * Math.PI, within(0.02 * 6 * Math.PI));
    }

    @Test
    void helix_isARectangle() {
        // Two turns of a ribbon that lies flat on a cylinder of radius 1, rising 2 a turn, 0.5 wide along the axis: it unrolls to a parallelogram.
        Band helix = (s, w) -> new double[] {Math.cos(4 * Math.PI * s), -Math.sin(4 * Math.PI * s), 4 * s + 0.5 * w};
        Mesh flat = straight(band(160, 4, helix), 1.12);
        assertThat(straightened(flat)).isEqualTo(1);
        double length = Math.hypot(4 * Math.PI, 4);
        double width = 0.5 * 4 * Math.PI / length;
        // Squaring the slanted ends takes effect over about a width at each end of 27 widths.
        assertThat(aspect(flat, 4)).isCloseTo(length / width, within(0.02 * length / width));
    }

    @Test
    void halfCylinder_staysAnIsometry() {
        // A half pipe of radius 1, 20 long: 6.4 times as long as its half circle of 24 chords.
        Band pipe = (s, w) -> new double[] {20 * s, Math.sin(Math.PI * w), Math.cos(Math.PI * w)};
        Mesh flat = straight(band(40, 24, pipe), 1.12);
        assertThat(straightened(flat)).isEqualTo(1);
        double width = 24 * 2 * Math.sin(Math.PI / 48);
        // Rounding of 6e-8 over a width of 0.15 in UV.
        assertThat(aspect(flat, 24)).isCloseTo(20 / width, within(1e-5));
        assertThat(new UvOracle(flat).distortion().values()).allSatisfy(d -> assertThat(d).isLessThan(1 + 1e-4));
    }

    @Test
    void widePatch_isNoBand() {
        Mesh flat = straight(band(40, 20, arc(4, 3, 0.6 * Math.PI)), 1.12);
        assertThat(straightened(flat)).isZero();
        assertThat(count(flat, "uv-bands-left")).isZero();
        assertThat(aspect(flat, 20)).isEqualTo(-1);
    }

    @Test
    void bound_isObeyed_andTheChartStaysAsItWas() {
        // Half-width over radius 0.4: straightened it is distorted by about 0.4² / 3 / 2 … 0.4² / 3 · 2, so above 1.02.
        Mesh bent = band(120, 6, arc(2.5, 2, 1.7 * Math.PI));
        Mesh flat = straight(bent, 1.02);
        assertThat(straightened(flat)).isZero();
        assertThat(count(flat, "uv-bands-left")).isEqualTo(1);
        assertThat(flat.findings().ofKind("uv-bands-left").get(0).places()).hasSize(1);
        float[] plain = Unwrap.of(bent).packedInRows().seams(0, 1).largestDistortion(1.02).build().uvSets().get(0).values();
        assertThat(flat.uvSets().get(0).values()).isEqualTo(plain);
        assertThat(straightened(straight(bent, 1.3))).isEqualTo(1);
    }

    @Test
    void packedBySilhouette_bandsLieAlongAnAxis() {
        Mesh flat = Unwrap.of(band(60, 4, arc(4, 1, 1.5 * Math.PI))).seams(0, 1).straightBands().build();
        assertThat(aspect(flat, 4)).isPositive();
    }

    @Test
    void result_isTheSame_onAnyNumberOfThreads_andAtAnyScale() throws Exception {
        Mesh mesh = band(60, 4, arc(4, 1, 1.5 * Math.PI));
        List<float[]> results = new ArrayList<>();
        for (int threads : new int[] {1, 2}) {
            try (ForkJoinPool pool = new ForkJoinPool(threads)) {
                results.add(pool.submit(() -> straight(mesh, 1.12).uvSets().get(0).values()).get());
            }
        }
        assertThat(results.get(1)).isEqualTo(results.get(0));
        float[] larger = mesh.positions().clone();
        for (int i = 0; i < larger.length; i++) {
            larger[i] *= 1024; // without rounding
        }
        Mesh scaled = Mesh.builder(larger, mesh.positionIndices()).build();
        assertThat(straight(scaled, 1.12).uvSets().get(0).values()).isEqualTo(results.get(0));
    }

    @Test
    void turnedMesh_hasTheSameShape() {
        Mesh mesh = band(120, 6, arc(4, 1, 1.5 * Math.PI));
        float[] turned = mesh.positions().clone();
        for (int i = 0; i < turned.length; i += 3) {
            float x = turned[i];
            turned[i] = 0.6f * x - 0.8f * turned[i + 1] + 7;
            turned[i + 1] = 0.8f * x + 0.6f * turned[i + 1];
        }
        double aspect = aspect(straight(Mesh.builder(turned, mesh.positionIndices()).build(), 1.12), 6);
        // Rounding of positions at 11 by 5e-7 over edges of 0.17.
        assertThat(aspect).isCloseTo(aspect(straight(mesh, 1.12), 6), within(1e-4));
    }

    @Test
    void jaggedEnds_areFound() {
        // Every second row's last square is missing at both ends.
        Mesh whole = band(120, 6, arc(4, 1, 1.5 * Math.PI));
        int[] all = whole.positionIndices();
        int[] kept = new int[all.length];
        int count = 0;
        for (int t = 0; t < all.length / 3; t++) {
            int square = t / 2;
            int column = square / 6;
            boolean gap = (column == 0 || column == 119) && square % 6 % 2 == 1 && square % 6 != 5;
            if (!gap) {
                System.arraycopy(all, 3 * t, kept, count, 3);
                count += 3;
            }
        }
        Mesh jagged = Mesh.builder(whole.positions(), Arrays.copyOf(kept, count)).build();
        Mesh flat = straight(jagged, 1.2);
        assertThat(straightened(flat) + count(flat, "uv-bands-left")).isEqualTo(1);
    }
}
