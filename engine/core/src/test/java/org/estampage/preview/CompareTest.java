package org.estampage.preview;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.Arrays;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ForkJoinPool;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.bake.FrameRule;
import org.estampage.bvh.Bvh;
import org.estampage.cage.Cage;
import org.estampage.cage.CageFit;
import org.estampage.image.FloatImage;
import org.estampage.lowpoly.Lathe;
import org.estampage.maps.NormalMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.task.Cancellation;
import org.estampage.task.Task;
import org.estampage.testresources.Bollard;
import org.junit.jupiter.api.Test;

class CompareTest {
    private static BakeResult bake(Cage cage, Mesh high, int size) {
        return Baker.create().bake(BakeJob.of(cage, high).size(size).samples(2).maps(NormalMap.create()).build(), Task.silent());
    }

    private static FloatImage greenTurned(FloatImage normals) {
        int w = normals.width(), h = normals.height();
        FloatImage turned = FloatImage.create(w, h, normals.encoding());
        float[] all = normals.read(0, 0, w, h, new float[3 * w * h]);
        for (int i = 1; i < all.length; i += 3) {
            all[i] = -all[i];
        }
        turned.write(0, 0, w, h, all);
        return turned;
    }

    @Test
    void bollard_inItsMap_isCloseToItsHighPoly_whichItIsNotBare_orWithTheOtherGreen() {
        var shape = Bollard.generate(40_000);
        Mesh high = Normals.smooth(Mesh.builder(shape.positions(), shape.triangles()).name("bollard").build());
        Mesh low = Lathe.around(high).sides(48).rings(12).capped().size(384).build();
        BakeResult result = bake(CageFit.around(low, high).build(), high, 384);
        Compare compare = Compare.of(low, result, high).views(6).size(160).tracer(Bvh.build(high, Task.silent()));
        Comparison dressed = compare.run(Task.silent());
        Comparison bare = compare.dressed(Dressing.bare()).run(Task.silent());
        Comparison turned = compare.dressed(Dressing.bare().normal(greenTurned(result.map("normal")))).run(Task.silent());
        String all = dressed + "\n" + bare + "\n" + turned;
        // The delivery's goal at 2048² is 3°, see engine/docs/DECISIONS.md for what is measured; this has three sixteenths of the texels a side.
        assertThat(dressed.median()).as(all).isLessThan(3);
        assertThat(bare.median()).as(all).isGreaterThan(2 * dressed.median());
        assertThat(bare.error()).as(all).isGreaterThan(1.5 * dressed.error());
        assertThat(turned.median()).as(all).isGreaterThan(4 * dressed.median());
        assertThat(turned.error()).as(all).isGreaterThan(2 * dressed.error());
        // Outlines are no matter of maps.
        assertThat(dressed.outlineDifference()).isEqualTo(bare.outlineDifference()).isBetween(0.001, 0.05);
        assertThat(dressed.missed()).isZero();
    }

    @Test
    void sameMesh_inAFlatMap_isTheSame() {
        Mesh mesh = Cards.grid(12, true, (x, y) -> 0.3 * (1 - x * x) - 0.2 * y * y * x);
        BakeResult result = bake(Cage.offset(mesh, 0.05), mesh, 64);
        Comparison same = Compare.of(mesh, result, mesh).dressed(Dressing.bare().normal(Cards.normals(4, 0, 0, 1))).views(12).size(96)
                .run(Task.silent());
        // Unit normals as floats: 6e-8 in radians a part.
        assertThat(same.largest()).isLessThan(1e-4);
        assertThat(same.error()).isLessThan(1e-4);
        assertThat(same.outlineDifference() + same.apart() + same.missed()).isZero();
        assertThat(same.within(0.01)).isEqualTo(1);
        assertThat(same.pixelCount()).isGreaterThan(5_000);
        assertThat(same.findings()).isEmpty();
    }

    @Test
    void anotherFrameRule_whereNormalsSplay_onMirroredUvs_isNoticed() {
        // A flat card whose corner normals splay by up to 50°: in the middle of a face interpolated ones are much shorter than 1.
        Mesh flat = Cards.grid(2, true, (x, y) -> 0);
        float[] splayed = new float[flat.positions().length];
        for (int i = 0; i < splayed.length; i += 3) {
            double x = 0.9 * flat.positions()[i], y = 0.9 * flat.positions()[i + 1], length = Math.sqrt(x * x + y * y + 1);
            splayed[i] = (float) (x / length);
            splayed[i + 1] = (float) (y / length);
            splayed[i + 2] = (float) (1 / length);
        }
        Mesh low = flat.toBuilder().normals(new Attribute("normals", 3, splayed, flat.positionIndices())).build();
        Mesh high = Cards.grid(40, false, (x, y) -> 0);
        for (FrameRule baked : FrameRule.values()) {
            BakeResult result = Baker.create().bake(
                    BakeJob.of(Cage.offset(low, 0.1), high).size(256).samples(1).frame(baked).maps(NormalMap.create()).build(),
                    Task.silent());
            Compare compare = Compare.of(low, result, high).views(6).size(100);
            for (FrameRule shaded : FrameRule.values()) {
                double median = compare.dressed(Dressing.of(result).frame(shaded)).run(Task.silent()).median();
                if (shaded == baked) {
                    // Between texels values are mixed in a straight line; a texel is a 128th of a face.
                    assertThat(median).as("%s", baked).isLessThan(0.05);
                } else {
                    assertThat(median).as("%s shaded as %s", baked, shaded).isGreaterThan(0.5);
                }
            }
        }
    }

    @Test
    void cardsInOnePlane_differInTheirOutline_byTheirAreas_fromEverySide() {
        Mesh low = Cards.card();
        float[] wide = low.positions().clone();
        for (int i = 0; i < wide.length; i++) {
            wide[i] *= 1.25f;
        }
        Mesh high = low.toBuilder().positions(wide).build();
        Comparison comparison = Compare.of(low, bake(Cage.offset(low, 0.05), high, 32), high).views(9).size(400).run(Task.silent());
        double outside = 1 - 1 / 1.5625;
        // Each edge of 200 pixels is off by at most half a pixel.
        assertThat(comparison.outlineDifference()).isCloseTo(outside, within(0.005));
        assertThat(comparison.error()).isCloseTo(90 * outside, within(0.5));
        assertThat(comparison.median()).isLessThan(1e-3);
        assertThat(comparison.findings().ofKind("outline-differs")).hasSize(1);
    }

    @Test
    void surfacesOneBehindTheOther_areApart_unlessTheLimitIsWider() {
        Mesh low = Cards.card(), high = Cards.grid(2, false, (x, y) -> 0.3);
        BakeResult result = bake(Cage.offset(low, 0.5), high, 32);
        Compare compare = Compare.of(low, result, high).views(4).size(100);
        Comparison far = compare.run(Task.silent());
        assertThat(far.apart()).isGreaterThan(0.5);
        assertThat(far.largest()).isNaN();
        assertThat(far.error()).isEqualTo(90);
        Comparison near = compare.apartAbove(1).run(Task.silent());
        assertThat(near.apart()).isZero();
        assertThat(near.median()).isLessThan(1e-3);
    }

    @Test
    void bumpInOneCorner_isTheWorstSpot_andTheReddestTexels() {
        Cards.Height bump = (x, y) -> {
            double square = (x - 0.5) * (x - 0.5) + (y + 0.5) * (y + 0.5);
            return square < 0.04 ? 0.1 * (1 - square / 0.04) : 0;
        };
        Mesh low = Cards.grid(8, false, (x, y) -> 0), high = Cards.grid(160, false, bump);
        BakeResult result = bake(Cage.offset(low, 0.2), high, 64);
        Comparison comparison = Compare.of(low, result, high).dressed(Dressing.bare()).views(8).size(200).texels(64).apartAbove(0.5)
                .run(Task.silent());
        Comparison.Spot spot = comparison.spots().get(0);
        assertThat(Math.hypot(spot.x() - 0.5, spot.y() + 0.5)).as("%s", spot).isLessThan(0.25);
        // u = 0.5 + 0.48 x, rows from the top.
        assertThat(spot.texelX()).isCloseTo((int) (64 * (0.5 + 0.48 * spot.x())), within(1));
        assertThat(spot.texelY()).isCloseTo((int) (64 * (0.5 - 0.48 * spot.y())), within(1));
        assertThat(comparison.findings().ofKind("normals-far-off")).hasSize(1);
        FloatImage errors = comparison.texelErrors();
        assertThat(errors.get(64 * 3 / 4, 64 * 3 / 4 + 4, 0)).isGreaterThan(5);
        assertThat(errors.get(16, 16, 0)).isBetween(0f, 0.01f);
        assertThat(errors.get(0, 0, 0)).isEqualTo(Comparison.NOTHING);
    }

    @Test
    void surfaceThatMetNothing_isCounted() {
        Mesh low = Cards.card();
        float[] shifted = low.positions().clone();
        for (int i = 0; i < shifted.length; i += 3) {
            shifted[i] += 1; // half of the low poly is not under it
        }
        Mesh high = low.toBuilder().positions(shifted).build();
        Comparison comparison = Compare.of(low, bake(Cage.offset(low, 0.1), high, 64), high).views(6).size(150).run(Task.silent());
        // One texel in 31 hits with a part of its samples.
        assertThat(comparison.missed()).isCloseTo(0.5, within(0.02));
        assertThat(comparison.findings().ofKind("missed-surface-seen")).hasSize(1);
    }

    @Test
    void severalHighPolys_countAsOne() {
        Mesh low = Cards.grid(4, false, (x, y) -> 0);
        Mesh left = Cards.grid(4, false, (x, y) -> 0).toBuilder().positions(moved(low, -1)).build(),
                right = low.toBuilder().positions(moved(low, 1)).build();
        BakeResult result = Baker.create()
                .bake(BakeJob.of(Cage.offset(low, 0.1), left, right).size(32).maps(NormalMap.create()).build(), Task.silent());
        Comparison comparison = Compare.of(low, result, left, right).views(5).size(120).run(Task.silent());
        assertThat(comparison.outlineDifference()).isCloseTo(0.5, within(0.01));
        assertThat(comparison.largest()).isLessThan(0.1);
    }

    private static float[] moved(Mesh mesh, float x) {
        float[] p = mesh.positions().clone();
        for (int i = 0; i < p.length; i += 3) {
            p[i] += x;
        }
        return p;
    }

    @Test
    void comparison_isTheSame_forAnyNumberOfThreads() throws Exception {
        Mesh low = Cards.grid(6, true, (x, y) -> 0.3 * (1 - x * x)),
                high = Cards.grid(60, false, (x, y) -> 0.3 * (1 - x * x) + 0.03 * Math.cos(9 * x * y));
        Compare compare = Compare.of(low, bake(Cage.offset(low, 0.2), high, 64), high).views(5).size(70);
        Comparison one, three;
        try (ForkJoinPool single = new ForkJoinPool(1); ForkJoinPool several = new ForkJoinPool(3)) {
            one = single.submit(() -> compare.run(Task.silent())).get();
            three = several.submit(() -> compare.run(Task.silent())).get();
        }
        assertThat(one.summary()).isEqualTo(three.summary());
        assertThat(one.error()).isEqualTo(three.error());
        assertThat(one.spots()).isEqualTo(three.spots());
        assertThat(floats(one.picture())).isEqualTo(floats(three.picture()));
        assertThat(floats(one.texelPicture())).isEqualTo(floats(three.texelPicture()));
    }

    private static float[] floats(FloatImage image) {
        return image.read(0, 0, image.width(), image.height(), new float[image.width() * image.height() * image.channels()]);
    }

    @Test
    void percentiles_andSharesWithin_followTheDefinition() {
        AngleTally tally = new AngleTally();
        for (int i = 1; i <= 100; i++) {
            tally.add(i / 2f, false); // 0.5° … 50°
        }
        for (int i = 0; i < 20; i++) {
            tally.add(i % 2 == 0 ? Comparison.ONLY_LOW : Comparison.APART, false);
        }
        tally.add(Comparison.NOTHING, false);
        assertThat(tally.percentile(50)).isEqualTo(25);
        assertThat(tally.percentile(95)).isEqualTo(47.5);
        assertThat(tally.percentile(100)).isEqualTo(50);
        assertThat(tally.within(10)).isCloseTo(20 / 120.0, within(1e-12));
        assertThat(tally.error()).isCloseTo((2525 + 20 * 90) / 120.0, within(1e-9));
        assertThat(new AngleTally().percentile(50)).isNaN();
    }

    @Test
    void directions_areUnitVectors_spreadEvenly() {
        double[] mean = new double[3];
        double nearest = 2;
        Vector[] all = new Vector[48];
        Arrays.setAll(all, i -> Compare.direction(i, all.length));
        for (int i = 0; i < all.length; i++) {
            assertThat(all[i].dot(all[i])).isCloseTo(1, within(1e-12));
            mean[0] += all[i].x() / all.length;
            mean[1] += all[i].y() / all.length;
            mean[2] += all[i].z() / all.length;
            for (int j = 0; j < i; j++) {
                nearest = Math.min(nearest, Math.sqrt(all[i].plus(-1, all[j]).dot(all[i].plus(-1, all[j]))));
            }
        }
        assertThat(Math.hypot(mean[0], Math.hypot(mean[1], mean[2]))).isLessThan(0.02);
        // 48 caps of the sphere's area would have their middles √(16/48) apart in a square grid.
        assertThat(nearest).isGreaterThan(0.6 * Math.sqrt(4 * Math.PI / 48));
    }

    @Test
    void mistakes_andCancelling_areSaid() {
        Mesh low = Cards.card();
        BakeResult result = bake(Cage.offset(low, 0.1), low, 32);
        Compare compare = Compare.of(low, result, low);
        assertThatThrownBy(() -> Compare.of(low, result)).hasMessageContaining("at least one high poly");
        assertThatThrownBy(() -> compare.views(0)).hasMessage("views = 0 must be 1 … 512");
        assertThatThrownBy(() -> compare.size(8)).hasMessage("size = 8 must be 16 … 4096");
        assertThatThrownBy(() -> compare.apartAbove(-1)).hasMessageContaining("apartAbove = -1.0");
        assertThatThrownBy(() -> compare.tracer(Bvh.build(Cards.sphere(8), Task.silent())))
                .hasMessageContaining("must be of the only high poly");
        assertThatThrownBy(() -> compare.run(Task.silent()).percentile(101)).hasMessageContaining("percent = 101");
        Cancellation cancellation = new Cancellation();
        Task task = new Task((stage, done, total) -> {
            if (stage.equals("comparing") && done > 2) {
                cancellation.cancel();
            }
        }, cancellation, Task.silent().memory());
        assertThatThrownBy(() -> compare.run(task)).isInstanceOf(CancellationException.class);
    }
}
