package org.estampage.raster;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import com.sun.management.ThreadMXBean;
import java.lang.management.ManagementFactory;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Random;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import org.assertj.core.data.Offset;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.finding.Place;
import org.estampage.finding.Severity;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

class UvRasterTest {
    private static TexelSamples whole(Mesh mesh, int width, int height, int n) {
        TexelSamples samples = new TexelSamples();
        UvRaster.of(mesh, width, height, n).rasterise(0, 0, width, height, samples);
        return samples;
    }

    @Test
    void rasterise_triangleOverTheUpperLeftHalf_startsAtRowZero() {
        // Lower left, upper right, upper left: v is up, row 0 on top.
        TexelSamples samples = whole(UvMeshes.soup(0, 0, 1, 1, 0, 1), 4, 4, 1);
        int[] counts = new int[4];
        for (int y = 0; y < 4; y++) {
            counts[y] = samples.start[4 * y + 4] - samples.start[4 * y];
        }
        // The diagonal's samples lie on its right edge and belong to nobody here; those texels are touched.
        assertThat(counts).containsExactly(4, 3, 2, 1);
        assertThat(Arrays.copyOf(samples.kind, 4)).containsExactly(2, 2, 2, 3);
        assertThat(samples.kind[12]).isEqualTo(TexelSamples.NEAREST);
        assertThat(samples.kind[15]).isEqualTo(TexelSamples.EMPTY);
    }

    @Test
    void rasterise_sampleAtTexelCentre_hasItsBarycentrics() {
        TexelSamples samples = whole(UvMeshes.soup(0, 0, 1, 0, 0, 1), 2, 4, 1);
        // Texel (0, 3) is the lowest on the left: centre (¼, 1 − 3.5/4) = (¼, ⅛), and the weights of corners 1 and 2 are u and v.
        int at = samples.start[6];
        assertThat(samples.triangle[at]).isZero();
        assertThat(samples.b1[at]).isEqualTo(0.25f);
        assertThat(samples.b2[at]).isEqualTo(0.125f);
    }

    @Test
    void rasterise_sharedEdgeThroughSamples_givesEachToOneTriangle() {
        Mesh square = UvMeshes.of(new float[] {0, 0, 1, 0, 1, 1, 0, 1}, 0, 1, 2, 0, 2, 3);
        TexelSamples samples = whole(square, 64, 64, 1);
        assertThat(samples.size()).isEqualTo(64 * 64);
        for (int i = 0; i < 64; i++) {
            // The edge is the left edge of the lower right triangle.
            assertThat(samples.triangle[samples.start[(63 - i) * 64 + i]]).isZero();
        }
        assertThat(UvRaster.of(square, 64, 64, 1).findings()).isEmpty();
    }

    @Test
    void rasterise_sliverBetweenSamples_givesTouchedTexelsTheirNearestPoint() {
        // In 8 × 8 texels: from (0.5, 1.25) to (7.5, 1.25), 0.05 high, below the sample row at 1.5 (v up): misses all samples.
        TexelSamples samples = whole(UvMeshes.soup(0.5f / 8, 1.25f / 8, 7.5f / 8, 1.25f / 8, 0.5f / 8, 1.3f / 8), 8, 8, 1);
        assertThat(samples.size()).isEqualTo(8);
        for (int x = 0; x < 8; x++) {
            int texel = 6 * 8 + x;
            assertThat(samples.kind[texel]).isEqualTo(TexelSamples.NEAREST);
            int at = samples.start[texel];
            assertThat(samples.sample[at]).isEqualTo((short) -1);
            double u = 0.5 + 7 * samples.b1[at];
            double v = 1.25 + 0.05 * samples.b2[at];
            // The long upper side falls by 0.05/7 a texel: the foot of the perpendicular from (x + ½, 1.5) on it, kept between its ends.
            double slope = -0.05 / 7;
            double t = Math.min(7, Math.max(0, (x + slope * (1.5 - 1.3)) / (1 + slope * slope)));
            // The UVs of the corners are rounded to float, 2⁻²⁴ of 8 texels; so are the weights.
            assertThat(u).isCloseTo(0.5 + t, Offset.offset(2e-6));
            assertThat(v).isCloseTo(1.3 + slope * t, Offset.offset(2e-6));
        }
    }

    @Test
    void rasterise_chartThatEndsAtATexelsSide_doesNotTouchTheTexelBeyond() {
        TexelSamples samples = whole(UvMeshes.of(new float[] {.25f, .25f, .75f, .25f, .75f, .75f, .25f, .75f}, 0, 1, 2, 0, 2, 3), 8, 8, 2);
        for (int y = 0; y < 8; y++) {
            for (int x = 0; x < 8; x++) {
                boolean inside = x >= 2 && x < 6 && y >= 2 && y < 6;
                assertThat(samples.kind[y * 8 + x]).isEqualTo(inside ? TexelSamples.FULL : TexelSamples.EMPTY);
            }
        }
    }

    @Test
    void rasterise_nearestPointOnASharedEdge_takesTheLowerTriangle() {
        // Two slivers that share the upper side of the first, in texel rows of 4: the texel's centre sees the second one's upper side …
        float[] uv = {0.1f, 0.05f, 0.9f, 0.05f, 0.5f, 0.1f, 0.5f, 0.0f};
        Mesh both = UvMeshes.of(uv, 0, 1, 2, 1, 0, 3);
        Mesh swapped = UvMeshes.of(uv, 1, 0, 3, 0, 1, 2);
        TexelSamples a = whole(both, 1, 1, 1);
        TexelSamples b = whole(swapped, 1, 1, 1);
        assertThat(a.triangle[0]).isZero();
        assertThat(b.triangle[0]).isEqualTo(1);
        // … and where the nearest point is a corner of both, the lower one wins in either order.
        float[] fan = {0.2f, 0.3f, 0.1f, 0.3f, 0.1f, 0.2f, 0.2f, 0.2f};
        assertThat(whole(UvMeshes.of(fan, 0, 1, 2, 0, 2, 3), 1, 1, 1).triangle[0]).isZero();
        assertThat(whole(UvMeshes.of(fan, 0, 2, 3, 0, 1, 2), 1, 1, 1).triangle[0]).isZero();
    }

    @Test
    void rasterise_lowestTriangleKeepsAnOverlap() {
        Mesh mesh = UvMeshes.soup(0, 0, 1, 0, 0, 1, 0, 0, 2, 0, 0, 2);
        TexelSamples samples = whole(mesh, 16, 16, 2);
        assertThat(samples.size()).isEqualTo(32 * 32);
        for (int y = 0; y < 16; y++) {
            for (int x = 0; x < 16; x++) {
                for (int at = samples.start[y * 16 + x]; at < samples.start[y * 16 + x + 1]; at++) {
                    int s = samples.sample[at];
                    int column = 2 * x + s % 2;
                    int row = 2 * y + s / 2;
                    // In the first triangle: u + v < 1, that is column < row.
                    assertThat(samples.triangle[at]).isEqualTo(column < row ? 0 : 1);
                }
            }
        }
    }

    @Test
    void rasterise_manyBlockSizesAndReuse_giveTheSameSamples() {
        Mesh mesh = UvMeshes.halfMirrored(UvMeshes.grid(23, 0.24, 9));
        UvRaster raster = UvRaster.of(mesh, 90, 71, 2);
        TexelSamples all = new TexelSamples();
        raster.rasterise(0, 0, 90, 71, all);
        TexelSamples part = new TexelSamples();
        for (int[] size : new int[][] {{1, 1}, {7, 5}, {32, 32}, {33, 64}, {90, 1}, {13, 71}}) {
            for (int y = 0; y < 71; y += size[1]) {
                for (int x = 0; x < 90; x += size[0]) {
                    raster.rasterise(x, y, Math.min(size[0], 90 - x), Math.min(size[1], 71 - y), part);
                    for (int j = 0; j < part.height; j++) {
                        for (int i = 0; i < part.width; i++) {
                            same(all, (y + j) * 90 + x + i, part, j * part.width + i);
                        }
                    }
                }
            }
        }
    }

    private static void same(TexelSamples a, int texelA, TexelSamples b, int texelB) {
        int count = a.start[texelA + 1] - a.start[texelA];
        assertThat(b.start[texelB + 1] - b.start[texelB]).isEqualTo(count);
        assertThat(b.kind[texelB]).isEqualTo(a.kind[texelA]);
        for (int i = 0; i < count; i++) {
            int p = a.start[texelA] + i;
            int q = b.start[texelB] + i;
            assertThat(b.triangle[q]).isEqualTo(a.triangle[p]);
            assertThat(b.sample[q]).isEqualTo(a.sample[p]);
            assertThat(Float.floatToRawIntBits(b.b1[q])).isEqualTo(Float.floatToRawIntBits(a.b1[p]));
            assertThat(Float.floatToRawIntBits(b.b2[q])).isEqualTo(Float.floatToRawIntBits(a.b2[p]));
        }
    }

    @Test
    void rasterise_fromSeveralThreadsAtOnce_givesEachItsSamples() throws Exception {
        UvRaster raster = UvRaster.of(UvMeshes.grid(17, 0.24, 12), 96, 96, 2);
        TexelSamples all = new TexelSamples();
        raster.rasterise(0, 0, 96, 96, all);
        try (ExecutorService pool = Executors.newFixedThreadPool(4)) {
            List<Future<?>> done = new ArrayList<>();
            for (int k = 0; k < 36; k++) {
                int x = 16 * (k % 6);
                int y = 16 * (k / 6);
                done.add(pool.submit(() -> {
                    TexelSamples part = new TexelSamples();
                    raster.rasterise(x, y, 16, 16, part);
                    for (int i = 0; i < 256; i++) {
                        same(all, (y + i / 16) * 96 + x + i % 16, part, i);
                    }
                }));
            }
            for (Future<?> one : done) {
                one.get();
            }
        }
    }

    @Test
    void rasterise_intoGrownRoom_allocatesNothing() {
        UvRaster raster = UvRaster.of(UvMeshes.grid(40, 0.2, 13), 256, 256, 2);
        TexelSamples part = new TexelSamples();
        ThreadMXBean threads = (ThreadMXBean) ManagementFactory.getThreadMXBean();
        raster.rasterise(0, 0, 64, 64, part);
        raster.rasterise(64, 0, 64, 64, part);
        long before = threads.getCurrentThreadAllocatedBytes();
        for (int k = 0; k < 16; k++) {
            raster.rasterise(64 * (k % 4), 64 * (k / 4), 64, 64, part);
        }
        // 65,536 texels: even one byte a texel would be more than this; the first calls of the bean and of new code allocate a little.
        assertThat(threads.getCurrentThreadAllocatedBytes() - before).isLessThan(65_536);
    }

    @Test
    void rasterise_emptyBlock_hasNoTexels() {
        TexelSamples samples = new TexelSamples();
        UvRaster.of(UvMeshes.grid(2, 0, 1), 8, 8, 1).rasterise(3, 3, 0, 4, samples);
        assertThat(samples.texelCount()).isZero();
        assertThat(samples.size()).isZero();
    }

    @Test
    void findings_ofACleanSquare_areNone() {
        assertThat(UvRaster.of(UvMeshes.grid(9, 0.24, 2), 40, 40, 2).findings()).isEmpty();
    }

    @Test
    void findings_overlap_countsSamplesOnceForAnyNumberOfThreads() {
        // Three times the same left half, once with the other diagonal: every sample of it lies in three triangles, and counts once.
        float[] half = {0, 0, .5f, 0, .5f, 1, 0, 1};
        Mesh mesh = UvMeshes.of(half, 0, 1, 2, 0, 2, 3, 0, 1, 3, 1, 2, 3, 2, 1, 0, 3, 2, 0);
        UvRaster raster = UvRaster.of(mesh, 100, 80, 2);
        Findings one = raster.findings();
        Finding overlap = one.ofKind("overlapping-uvs").get(0);
        assertThat(overlap.count()).isEqualTo(100 * 160);
        assertThat(overlap.severity()).isEqualTo(Severity.WARNING);
        // Tile by tile, then triangle by triangle: triangle 2, the first to come second, has the corner on the left of the top row with triangle 1.
        assertThat(overlap.places()).startsWith(new Place.Texel(0, 0), new Place.Element("triangle", 1), new Place.Element("triangle", 2));
        assertThat(one.ofKind("uvs-mirrored").get(0).count()).isEqualTo(2);
        assertThat(raster.findings(Task.silent(), 3)).isEqualTo(one);
    }

    /** The left half of the square mirrored, the whole square unmirrored, the left half again; two triangles each. */
    private static Mesh stack() {
        float[] square = {0, 0, 1, 0, 1, 1, 0, 1, .5f, 0, .5f, 1};
        int[] indices = {0, 5, 4, 0, 3, 5, 0, 1, 2, 0, 2, 3, 0, 4, 5, 0, 5, 3};
        return UvMeshes.of(square, indices).toBuilder()
                .parts(List.of(new Part("back"), new Part("all"), new Part("front")), new int[] {0, 0, 1, 1, 2, 2}).build();
    }

    private static List<Integer> holders(UvRaster raster) {
        TexelSamples samples = new TexelSamples();
        raster.rasterise(0, 0, raster.width(), raster.height(), samples);
        return Arrays.stream(samples.triangle, 0, samples.size()).distinct().sorted().boxed().toList();
    }

    @Test
    void stackedCharts_showTheUnmirroredSide_thenTheLowestTriangle() {
        UvRaster raster = UvRaster.of(stack(), 64, 64, 2);
        assertThat(holders(raster)).containsExactly(2, 3);
        Finding overlap = raster.findings().ofKind("overlapping-uvs").get(0);
        assertThat(overlap.count()).isEqualTo(64 * 128);
        assertThat(overlap.message()).contains("the lowest triangle for 8192 was taken");
        Mesh two = UvMeshes.soup(0, 0, 0, 1, 1, 0, 0, 0, 1, 0, 0, 1);
        assertThat(holders(UvRaster.of(two, 16, 16, 2))).as("the higher one is unmirrored").containsExactly(1);
        Finding stacked = UvRaster.of(two, 16, 16, 2).findings().ofKind("stacked-uvs").get(0);
        assertThat(stacked.message()).as("exact copies are no accident").contains("unmirrored side for 496");
    }

    @Test
    void stackedCharts_thatWereDeclared_areANote() {
        Findings findings = UvRaster.of(stack(), 64, 64, 2, UvDeclaration.NONE.withStacked()).findings();
        assertThat(findings.ofKind("overlapping-uvs")).isEmpty();
        assertThat(findings.ofKind("stacked-uvs").get(0).count()).isEqualTo(64 * 128);
        assertThat(findings.ofKind("stacked-uvs").get(0).severity()).isEqualTo(Severity.NOTE);
    }

    @Test
    void stackedCharts_fromAPart_showThatPart_evenIfMirroredOrLater() {
        UvRaster front = UvRaster.of(stack(), 64, 64, 2, UvDeclaration.NONE.withStackedFrom("front"));
        assertThat(holders(front)).containsExactly(2, 3, 4, 5);
        assertThat(front.findings().ofKind("stacked-uvs").get(0).message()).contains("the declared part for 8192");
        UvRaster back = UvRaster.of(stack(), 64, 64, 2, UvDeclaration.NONE.withStackedFrom("back"));
        assertThat(holders(back)).containsExactly(0, 1, 2, 3);
        // It is the whole square's, and the overlap of the others is none of its business where it has no triangle: there is none.
        assertThat(back.findings().ofKind("overlapping-uvs")).isEmpty();
        assertThatThrownBy(() -> UvRaster.of(stack(), 8, 8, 1, UvDeclaration.NONE.withStackedFrom("lid")))
                .hasMessageContaining("stackedFrom = \"lid\"").hasMessageContaining("front");
    }

    @Test
    void stackedCharts_whereTheDeclaredPartIsNot_areStillAnOverlap() {
        // Two squares twice, side by side: the part covers the left ones only.
        float[] uv = {0, 0, .5f, 0, .5f, 1, 0, 1, 1, 0, 1, 1};
        Mesh mesh = UvMeshes.of(uv, 0, 1, 2, 0, 2, 3, 0, 1, 2, 0, 2, 3, 1, 4, 5, 1, 5, 2, 1, 4, 2, 4, 5, 2).toBuilder()
                .parts(List.of(new Part("a"), new Part("b")), new int[] {0, 0, 1, 1, 0, 0, 0, 0}).build();
        Findings findings = UvRaster.of(mesh, 32, 32, 1, UvDeclaration.NONE.withStackedFrom("b")).findings();
        assertThat(findings.ofKind("stacked-uvs").get(0).count()).isEqualTo(16 * 32);
        assertThat(findings.ofKind("overlapping-uvs").get(0).count()).isEqualTo(16 * 32);
    }

    @Test
    void tilesOf_areThoseThatTrianglesTouch() {
        Mesh mesh = UvMeshes.soup(0, 0, 1, 0, 1, 1, // up to the side of its tile
                2.5f, .5f, 3.5f, .5f, 2.5f, .75f, // across two
                4, 7, 5, 7, 4, 8, -3, 0, -2, 0, -2, 1, 10, 0, 11, 0, 11, 1);
        assertThat(UvRaster.tilesOf(mesh)).extracting(UvTile::number).containsExactly(1001, 1003, 1004, 1075);
    }

    @Test
    void copies_thatWereDeclared_areNoFinding_unlessTheyCrossAUnit() {
        Mesh mesh = UvMeshes.soup(0, 0, 1, 0, 0, 1, 3, -2, 4, -2, 3, -1, 1, 0, 2, 0, 1, 1, 1.5f, 0, 2.5f, 0, 1.5f, 1);
        assertThat(UvRaster.of(mesh, 32, 32, 1).findings().ofKind("uvs-outside").get(0).count()).isEqualTo(3);
        Findings declared = UvRaster.of(mesh, 32, 32, 1, UvDeclaration.NONE.withCopies()).findings();
        assertThat(declared.ofKind("uvs-outside").get(0).places()).containsExactly(new Place.Element("triangle", 3));
        assertThatThrownBy(() -> UvRaster.ofTile(mesh, UvTile.UNIT, 8, 8, 1, UvDeclaration.NONE.withCopies()))
                .isInstanceOf(IllegalArgumentException.class);
    }

    @Test
    void findings_outsideZeroAreaAndNotFinite_countTriangles() {
        Mesh mesh = UvMeshes.soup(0, 0, 1, 0, 0, 1, //
                1.25f, 0, 1.75f, 0, 1.25f, .5f, // a copy aside
                .5f, .5f, 1.5f, .5f, .5f, .625f, // partly outside
                .1f, .1f, .2f, .2f, .3f, .3f, // no area
                .1f, Float.NaN, .2f, .2f, .3f, .1f);
        UvRaster raster = UvRaster.of(mesh, 32, 32, 1);
        Findings findings = raster.findings();
        assertThat(findings.ofKind("uvs-outside").get(0).count()).isEqualTo(2);
        assertThat(findings.ofKind("uvs-outside").get(0).places()).containsExactly(new Place.Element("triangle", 1),
                new Place.Element("triangle", 2));
        assertThat(findings.ofKind("uvs-zero-area").get(0).count()).isEqualTo(1);
        assertThat(findings.ofKind("uvs-not-finite").get(0).places()).containsExactly(new Place.Element("triangle", 4));
        assertThat(findings.ofKind("uvs-not-finite").get(0).severity()).isEqualTo(Severity.ERROR);
        TexelSamples samples = new TexelSamples();
        raster.rasterise(0, 0, 32, 32, samples);
        for (int i = 0; i < samples.size(); i++) {
            assertThat(samples.triangle[i]).isIn(0, 2);
        }
    }

    @Test
    void ofTile_cutsTheTileLikeTheUnitSquare() {
        // Corners in multiples of 1/64 stay exact when three and two units are added.
        float[] here = new float[120];
        Random random = new Random(11);
        for (int i = 0; i < here.length; i++) {
            here[i] = random.nextInt(65) / 64f;
        }
        float[] there = here.clone();
        for (int i = 0; i < there.length; i++) {
            there[i] += i % 2 == 0 ? 3 : 2;
        }
        TexelSamples a = whole(UvMeshes.soup(here), 40, 24, 2);
        TexelSamples b = new TexelSamples();
        UvRaster tile = UvRaster.ofTile(UvMeshes.soup(there), new UvTile(3, 2), 40, 24, 2, UvDeclaration.NONE);
        tile.rasterise(0, 0, 40, 24, b);
        assertThat(b.size()).isEqualTo(a.size());
        for (int texel = 0; texel < a.texelCount(); texel++) {
            same(a, texel, b, texel);
        }
        assertThat(tile.findings().ofKind("overlapping-uvs"))
                .hasSameSizeAs(UvRaster.of(UvMeshes.soup(here), 40, 24, 2).findings().ofKind("overlapping-uvs"));
        assertThat(tile.findings().ofKind("uvs-across-tiles")).isEmpty();
        TexelSamples none = new TexelSamples();
        UvRaster.of(UvMeshes.soup(there), 40, 24, 2).rasterise(0, 0, 40, 24, none);
        assertThat(none.size()).isZero();
    }

    @Test
    void ofTile_countsOnlyTrianglesAcrossItsBorder() {
        Mesh mesh = UvMeshes.soup(0, 0, 1, 0, 1, 1, // tile 1001, up to its side
                1, 0, 2, 0, 1, 1, // tile 1002
                1.5f, .5f, 2.5f, .5f, 1.5f, .75f, // across to 1003
                4, 4, 5, 4, 4, 5);
        Findings findings = UvRaster.ofTile(mesh, new UvTile(1, 0), 16, 16, 1, UvDeclaration.NONE).findings();
        assertThat(findings.ofKind("uvs-across-tiles").get(0).places()).containsExactly(new Place.Element("triangle", 2));
        assertThat(findings.ofKind("uvs-outside")).isEmpty();
        assertThatThrownBy(() -> new UvTile(10, 0)).hasMessageContaining("(10, 0)");
    }

    @Test
    void findings_ofACancelledTask_stop() {
        Task task = Task.silent();
        task.cancellation().cancel();
        UvRaster raster = UvRaster.of(UvMeshes.grid(2, 0, 1), 64, 64, 1);
        assertThatThrownBy(() -> raster.findings(task, 2)).isInstanceOf(CancellationException.class);
    }

    @Test
    void hugeUvs_areCutExactly() {
        // Far corners: the left edge runs through u = ½ exactly.
        TexelSamples samples = whole(UvMeshes.soup(.5f, -1e30f, 1e30f, 0, .5f, 1e30f), 8, 8, 2);
        assertThat(samples.size()).isEqualTo(8 * 4 * 4);
        for (int texel = 0; texel < 64; texel++) {
            assertThat(samples.kind[texel]).isEqualTo(texel % 8 >= 4 ? TexelSamples.FULL : TexelSamples.EMPTY);
        }
    }

    @Test
    void of_outsideItsRanges_saysWhich() {
        Mesh mesh = UvMeshes.grid(1, 0, 1);
        assertThatThrownBy(() -> UvRaster.of(mesh, 0, 8, 1)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("0 × 8");
        assertThatThrownBy(() -> UvRaster.of(mesh, 8, 8, 17)).hasMessageContaining("17").hasMessageContaining("1 … 16");
        assertThatThrownBy(() -> UvRaster.of(mesh.toBuilder().noUvSets().build(), 8, 8, 1)).hasMessageContaining("no UV set");
        assertThatThrownBy(() -> UvRaster.of(mesh, 8, 8, 1).rasterise(4, 0, 5, 1, new TexelSamples())).hasMessageContaining("8 × 8");
    }
}
