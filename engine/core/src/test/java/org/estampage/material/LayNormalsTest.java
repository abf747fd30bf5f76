package org.estampage.material;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.SplittableRandom;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ForkJoinPool;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

class LayNormalsTest {
    /** Brought to unit length three times in floats, each time within half a unit of rounding a step: four units, as the Javadoc promises. */
    private static final float ROUNDING = 0x1p-22f;

    private static FloatImage random(int width, int height, long seed) {
        SplittableRandom random = new SplittableRandom(seed);
        return Images.of(width, height, Encoding.normal(), (x, y) -> {
            double a = random.nextDouble(-1, 1), b = random.nextDouble(-1, 1), length = Math.sqrt(a * a + b * b + 1);
            return new float[] {(float) (a / length), (float) (b / length), (float) (1 / length)};
        });
    }

    private static FloatImage flat(int width, int height) {
        return Images.of(width, height, Encoding.normal(), (x, y) -> new float[] {0, 0, 1});
    }

    private static void assertClose(FloatImage image, FloatImage expected, float tolerance) {
        float[] a = Images.all(image), b = Images.all(expected);
        assertThat(a).hasSameSizeAs(b);
        for (int i = 0; i < a.length; i++) {
            assertThat(a[i]).as("value %s", i).isCloseTo(b[i], within(tolerance));
        }
    }

    @ParameterizedTest
    @EnumSource(names = {"REORIENTED", "SLOPES_ADDED", "XY_ADDED_Z_MULTIPLIED", "XYZ_EXCHANGED"})
    void flatBase_leavesTheDetail_andTheOtherWayRound(NormalMethod method) {
        FloatImage detail = random(37, 21, 1);
        assertClose(LayNormals.of(flat(37, 21), detail).method(method).build(), detail, ROUNDING);
        if (method != NormalMethod.XYZ_EXCHANGED) { // which is not so for exchanged axes: they are not at right angles
            assertClose(LayNormals.of(detail, flat(37, 21)).method(method).build(), detail, ROUNDING);
        }
    }

    @ParameterizedTest
    @EnumSource(names = {"XY_ADDED_Z_KEPT", "XYZ_ADDED", "STORED_MULTIPLIED"})
    void methodsThatPromiseNothing_changeTheDetailOnAFlatBase(NormalMethod method) {
        FloatImage laid = LayNormals.of(flat(1, 1), Images.normal(0.6, 0, 0.8)).method(method).build();
        assertThat(laid.get(0, 0, 0)).isBetween(0.1f, 0.55f);
    }

    @ParameterizedTest
    @EnumSource
    void anything_givesUnitLength(NormalMethod method) {
        FloatImage laid = LayNormals.of(random(40, 9, 2), random(40, 9, 3)).method(method).build();
        for (int y = 0; y < 9; y++) {
            for (int x = 0; x < 40; x++) {
                float[] n = Images.texel(laid, x, y);
                assertThat(Math.sqrt((double) n[0] * n[0] + (double) n[1] * n[1] + (double) n[2] * n[2])).isCloseTo(1,
                        within((double) ROUNDING));
            }
        }
    }

    @ParameterizedTest
    @EnumSource
    void oddNormals_countAsFlatOrStay(NormalMethod method) {
        FloatImage flat = flat(1, 1);
        for (float bad : new float[] {0, Float.NaN, Float.POSITIVE_INFINITY, 1e30f}) {
            FloatImage odd = Images.normal(bad, bad, bad);
            assertClose(LayNormals.of(odd, flat).method(method).build(), LayNormals.of(flat, flat).method(method).build(), 0);
            assertClose(LayNormals.of(flat, odd).method(method).build(), LayNormals.of(flat, flat).method(method).build(), 0);
        }
        float[] inwards = Images.all(LayNormals.of(Images.normal(0, 0, -1), Images.normal(0, 0.6, 0.8)).method(method).build());
        for (float c : inwards) {
            assertThat(c).isFinite();
        }
    }

    @Test
    void lengths_countForNothing() {
        FloatImage detail = Images.normal(0.3, -0.4, 0.5), longer = Images.normal(1.2, -1.6, 2);
        assertClose(LayNormals.of(longer, detail).build(), LayNormals.of(detail, longer).build(), ROUNDING);
    }

    @Test
    void strength_multipliesSlopes() {
        FloatImage base = Images.normal(0.6, 0, 0.8), flat = flat(1, 1);
        // Slope ¾ halved is 3/8: (3, 0, 8) over √73.
        assertClose(LayNormals.of(base, flat).baseStrength(0.5).build(), Images.normal(3 / Math.sqrt(73), 0, 8 / Math.sqrt(73)), ROUNDING);
        assertClose(LayNormals.of(flat, base).detailStrength(2).build(), Images.normal(3 / Math.sqrt(13), 0, 2 / Math.sqrt(13)), ROUNDING);
        assertClose(LayNormals.of(base, random(1, 1, 5)).detailStrength(0).build(), base, ROUNDING);
        FloatImage half = Images.data(1, 1, (x, y) -> new float[] {0.5f}), none = Images.data(1, 1, (x, y) -> new float[] {Float.NaN});
        assertClose(LayNormals.of(flat, base).where(half).build(), Images.normal(3 / Math.sqrt(73), 0, 8 / Math.sqrt(73)), ROUNDING);
        assertClose(LayNormals.of(flat, base).where(none).build(), flat, 0);
    }

    @Test
    void greenDown_isTurnedOver_andTheResultHasTheBasesEncoding() {
        FloatImage up = Images.normal(0, 0.6, 0.8), down = Images.normal(0, -0.6, 0.8), flat = flat(1, 1);
        assertClose(LayNormals.of(flat, down).detailGreenDown().build(), up, ROUNDING);
        assertClose(LayNormals.of(down, flat).baseGreenDown().build(), up, ROUNDING);
        FloatImage stored = LayNormals.of(up.withEncoding(Encoding.normalGreenDown()), flat).build();
        assertThat(stored.encoding()).isEqualTo(Encoding.normalGreenDown());
        assertThat(stored.get(0, 0, 1)).isCloseTo(0.6f, within(ROUNDING)); // raw values have green up whatever the file has
    }

    @Test
    void detailOfAnotherSize_isResampled() {
        FloatImage base = flat(8, 8), detail = Images.of(2, 2, Encoding.normal(), (x, y) -> new float[] {0.6f, 0, 0.8f});
        assertClose(LayNormals.of(base, detail).build(), Images.of(8, 8, Encoding.normal(), (x, y) -> new float[] {0.6f, 0, 0.8f}),
                ROUNDING);
        FloatImage both = LayNormals.of(base, detail).size(3, 5).build();
        assertThat(both.width()).isEqualTo(3);
        assertThat(both.height()).isEqualTo(5);
        // A tiling is made at the base's size at once: 4 × 4 tiles of 2 × 2 texels are 8 × 8 texels, texel for texel.
        FloatImage noise = random(2, 2, 9);
        FloatImage laid = LayNormals.of(base, Tiling.of(noise, 4, 4)).build();
        for (int y = 0; y < 8; y++) {
            for (int x = 0; x < 8; x++) {
                assertThat(laid.get(x, y, 0)).isCloseTo(noise.get(x % 2, y % 2, 0), within(2 * ROUNDING));
            }
        }
    }

    @Test
    void findings_nameTheSide() {
        FloatImage base = Images.ofHeight(128, 128, (u, v) -> 0.02 * Math.sin(40 * u) * Math.sin(40 * v));
        FloatImage detail = Images.of(128, 128, Encoding.normal(), (x, y) -> {
            float[] n = Images.texel(base, x, y);
            return new float[] {1.1f * n[0], -1.1f * n[1], 1.1f * n[2]};
        });
        assertThat(LayNormals.of(base, detail).findings()).extracting(f -> f.kind()).containsExactly("normals-not-unit",
                "normals-green-down");
        assertThat(LayNormals.of(base, detail).findings().toString()).contains("detail: green").contains("detailGreenDown()");
        assertThat(LayNormals.of(base, detail).detailGreenDown().findings()).extracting(f -> f.kind()).containsExactly("normals-not-unit");
    }

    @Test
    void wrongArguments_areRefused() {
        FloatImage normals = flat(2, 2), data = FloatImage.create(2, 2, Encoding.data(Range.UNIT, 3));
        assertThatThrownBy(() -> LayNormals.of(data, normals)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("base");
        assertThatThrownBy(() -> LayNormals.of(normals, data)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("detail");
        LayNormals lay = LayNormals.of(normals, normals);
        assertThatThrownBy(() -> lay.detailStrength(-0.1)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("-0.1");
        assertThatThrownBy(() -> lay.baseStrength(Double.NaN)).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> lay.where(data)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("3 channels");
        assertThatThrownBy(() -> lay.size(0, 2)).isInstanceOf(IllegalArgumentException.class);
        lay.where(FloatImage.create(3, 2, Encoding.data(Range.UNIT, 1)));
        assertThatThrownBy(lay::build).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("3 × 2");
    }

    @Test
    void cancelled_stops() {
        Cancellation cancellation = new Cancellation();
        cancellation.cancel();
        Task task = new Task(Progress.none(), cancellation, MemoryBudget.ofHeap());
        LayNormals lay = LayNormals.of(flat(2, 2), flat(2, 2)).task(task);
        assertThatThrownBy(lay::build).isInstanceOf(CancellationException.class);
    }

    @Test
    void threads_changeNothing() throws Exception {
        FloatImage base = random(200, 150, 6), detail = random(64, 64, 7);
        float[] one = in(1, base, detail), four = in(4, base, detail);
        assertThat(one).isEqualTo(four);
    }

    private static float[] in(int threads, FloatImage base, FloatImage detail) throws Exception {
        try (ForkJoinPool pool = new ForkJoinPool(threads)) {
            return pool.submit(() -> Images.all(LayNormals.of(base, Tiling.of(detail, 3, 2).rotate(30).vary(1, 90, 4)).build())).get();
        }
    }
}
