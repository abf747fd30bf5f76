package org.estampage.image;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.Random;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ForkJoinPool;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

class PaddingTest {
    private static final Range UNLIMITED = new Range(0, 0);

    private static Mask rectangle(int width, int height, int x0, int y0, int x1, int y1) {
        Mask mask = new Mask(width, height);
        for (int y = y0; y < y1; y++) {
            for (int x = x0; x < x1; x++) {
                mask.set(x, y);
            }
        }
        return mask;
    }

    private static Mask disk(int size, double radius) {
        Mask mask = new Mask(size, size);
        for (int y = 0; y < size; y++) {
            for (int x = 0; x < size; x++) {
                if (Math.hypot(x - size / 2 + 0.3, y - size / 2 - 0.2) < radius) {
                    mask.set(x, y);
                }
            }
        }
        return mask;
    }

    @Test
    void pad_aPlane_continuesItToTheEnd() {
        FloatImage image = FloatImage.create(50, 40, Encoding.data(UNLIMITED, 2));
        Mask covered = rectangle(50, 40, 16, 12, 34, 28);
        Mask full = rectangle(50, 40, 17, 13, 33, 27);
        for (int y = 0; y < 40; y++) {
            for (int x = 0; x < 50; x++) {
                // Partly covered texels hold nonsense: they are evaluated anew and never fitted.
                image.set(x, y, 0, full.get(x, y) ? 3 + 0.25f * x - 0.5f * y : 1e9f);
                image.set(x, y, 1, full.get(x, y) ? 7 : -1e9f);
            }
        }
        Padding.pad(image, covered, full, Padding.EVERYWHERE, Task.silent());
        for (int y = 0; y < 40; y++) {
            for (int x = 0; x < 50; x++) {
                // The values are multiples of ¼ below 64: the fit is exact but for a few roundings of 2⁻⁵² and the slope's to float.
                assertThat(image.get(x, y, 0)).isCloseTo(3 + 0.25f * x - 0.5f * y, within(1e-5f));
                assertThat(image.get(x, y, 1)).isEqualTo(7);
            }
        }
    }

    @Test
    void pad_coloursAndIdentifiers_takesTheNearestValue_andKeepsCoveredOnes() {
        Random random = new Random(5);
        for (Encoding encoding : new Encoding[] {Encoding.colour(4), Encoding.id(1)}) {
            FloatImage image = FloatImage.create(70, 150, encoding);
            Mask covered = new Mask(70, 150);
            FloatImage before = FloatImage.create(70, 150, encoding);
            for (int i = 0; i < 90; i++) {
                int x = random.nextInt(70), y = random.nextInt(150);
                covered.set(x, y);
                for (int c = 0; c < image.channels(); c++) {
                    image.set(x, y, c, random.nextInt(1000));
                    before.set(x, y, c, image.get(x, y, c));
                }
            }
            DistanceMap distances = DistanceMap.of(covered, Task.silent());
            Padding.pad(image, covered, new Mask(70, 150), Padding.EVERYWHERE, Task.silent());
            for (int y = 0; y < 150; y++) {
                for (int x = 0; x < 70; x++) {
                    int place = distances.nearest(x, y);
                    for (int c = 0; c < image.channels(); c++) {
                        assertThat(image.get(x, y, c)).isEqualTo(before.get(place % 70, place / 70, c));
                    }
                }
            }
        }
    }

    @Test
    void pad_besideAnEdge_keepsPartlyCoveredTexels() {
        // A stripe of 12 texels runs slanted across a chart's border; the texels there hold the means of what is covered of them.
        FloatImage image = FloatImage.create(60, 30, Encoding.data(Range.UNIT, 1));
        FloatImage before = FloatImage.create(60, 30, Encoding.data(Range.UNIT, 1));
        Mask covered = rectangle(60, 30, 0, 0, 60, 16);
        Mask full = rectangle(60, 30, 0, 0, 60, 15);
        for (int y = 0; y < 16; y++) {
            for (int x = 0; x < 60; x++) {
                float value = Math.abs(x - 24 - y / 3) < 6 ? 1 : 0;
                image.set(x, y, 0, value);
                before.set(x, y, 0, value);
            }
        }
        Padding.pad(image, covered, full, 4, Task.silent());
        for (int x = 0; x < 60; x++) {
            assertThat(image.get(x, 15, 0)).as("texel %d", x).isEqualTo(before.get(x, 15, 0));
        }
    }

    @Test
    void pad_upToADistance_leavesFartherTexels() {
        FloatImage image = FloatImage.create(20, 20, Encoding.data(Range.UNIT, 1));
        image.fill(0.25f);
        image.set(10, 10, 0, 0.75f);
        Padding.pad(image, rectangle(20, 20, 10, 10, 11, 11), 5, Task.silent());
        for (int y = 0; y < 20; y++) {
            for (int x = 0; x < 20; x++) {
                boolean near = (x - 10) * (x - 10) + (y - 10) * (y - 10) <= 25; // 3² + 4² = 5² is just near enough
                assertThat(image.get(x, y, 0)).isEqualTo(near ? 0.75f : 0.25f);
            }
        }
    }

    @Test
    void pad_chartsOneTexelApart_doNotMix() {
        // Two constant charts; a plane fitted over both would slope, and the gutter would show values of neither.
        FloatImage image = FloatImage.create(41, 30, Encoding.data(UNLIMITED, 1));
        Mask covered = new Mask(41, 30);
        for (int y = 0; y < 30; y++) {
            for (int x = 5; x < 36; x++) {
                if (x != 20) {
                    covered.set(x, y);
                    image.set(x, y, 0, x < 20 ? 1 : 5);
                }
            }
        }
        Padding.pad(image, covered, Padding.EVERYWHERE, Task.silent());
        for (int y = 0; y < 30; y++) {
            for (int x = 0; x < 41; x++) {
                assertThat(image.get(x, y, 0)).isEqualTo(x <= 20 ? 1 : 5); // column 20 is equally near to both: the left one
            }
        }
    }

    @Test
    void pad_withoutThreeTexelsSpanningAPlane_takesTheNearestValue() {
        FloatImage image = FloatImage.create(30, 30, Encoding.data(UNLIMITED, 1));
        Mask covered = rectangle(30, 30, 5, 14, 25, 15);
        for (int x = 5; x < 25; x++) {
            image.set(x, 14, 0, x * x);
        }
        Padding.pad(image, covered, Padding.EVERYWHERE, Task.silent());
        for (int y = 0; y < 30; y++) {
            for (int x = 0; x < 30; x++) {
                int nearest = Math.clamp(x, 5, 24);
                assertThat(image.get(x, y, 0)).isEqualTo(nearest * nearest);
            }
        }
    }

    @Test
    void pad_beyondANonFiniteValue_takesTheNearestOne() {
        FloatImage image = FloatImage.create(24, 12, Encoding.data(UNLIMITED, 1));
        Mask covered = rectangle(24, 12, 0, 0, 12, 12);
        for (int y = 0; y < 12; y++) {
            for (int x = 0; x < 12; x++) {
                image.set(x, y, 0, x == 10 && y == 6 ? Float.POSITIVE_INFINITY : x);
            }
        }
        Padding.pad(image, covered, Padding.EVERYWHERE, Task.silent());
        assertThat(image.get(20, 6, 0)).isEqualTo(11); // its window holds the infinity
        assertThat(image.get(20, 1, 0)).isEqualTo(20); // five rows off: the slope goes on
    }

    @Test
    void pad_aStepOrARamp_neverLeavesTheFormatsRange() {
        FloatImage image = FloatImage.create(90, 20, Encoding.data(Range.UNIT, 1));
        Mask covered = rectangle(90, 20, 0, 0, 30, 20);
        for (int y = 0; y < 20; y++) {
            for (int x = 0; x < 30; x++) {
                image.set(x, y, 0, x / 32f);
            }
        }
        Padding.pad(image, covered, Padding.EVERYWHERE, Task.silent());
        assertThat(image.get(31, 10, 0)).isCloseTo(31 / 32f, within(1e-6f)); // float rounding of the slope
        assertThat(image.get(40, 10, 0)).isEqualTo(1);
        assertThat(image.get(89, 10, 0)).isEqualTo(1);
    }

    @Test
    void pad_aRampThatEndsAtTheFormatsRange_keepsPartlyCoveredTexelsInside() {
        // The ramp is 0 at the last full texel; the plane says −1/32 in the partly covered one beside it, and so it would go on.
        FloatImage image = FloatImage.create(60, 20, Encoding.data(Range.UNIT, 1));
        Mask covered = rectangle(60, 20, 0, 0, 31, 20);
        Mask full = rectangle(60, 20, 0, 0, 30, 20);
        for (int y = 0; y < 20; y++) {
            for (int x = 0; x < 31; x++) {
                image.set(x, y, 0, x < 30 ? (29 - x) / 32f : 0.5f);
            }
        }
        Padding.pad(image, covered, full, Padding.EVERYWHERE, Task.silent());
        for (int y = 0; y < 20; y++) {
            for (int x = 30; x < 60; x++) {
                assertThat(image.get(x, y, 0)).as("texel %d, %d", x, y).isZero();
            }
        }
    }

    @Test
    void pad_withAFlatRange_stopsAfterSixteenExtents() {
        FloatImage image = FloatImage.create(200, 20, Encoding.data(UNLIMITED, 1));
        Mask covered = rectangle(200, 20, 0, 0, 30, 20);
        for (int y = 0; y < 20; y++) {
            for (int x = 0; x < 30; x++) {
                image.set(x, y, 0, x);
            }
        }
        Padding.pad(image, covered, Padding.EVERYWHERE, Task.silent());
        // The last window holds 27 … 29: an extent of 2, so 29 + 32 is the end.
        assertThat(image.get(60, 10, 0)).isCloseTo(60, within(1e-4f)); // 31 steps, each off by at most half an ulp of 1
        assertThat(image.get(100, 10, 0)).isEqualTo(61);
        assertThat(image.get(199, 10, 0)).isEqualTo(61);
    }

    @Test
    void pad_noise_doesNotBlowItUpWithTheDistance() {
        // A noisy map without any slope. A plain least-squares slope is wrong by about σ/3 a texel, so by 11 σ at 35 texels.
        double sigma = 0.03;
        Mask covered = disk(400, 150);
        Mask full = disk(400, 149);
        DistanceMap distances = DistanceMap.of(covered, Task.silent());
        for (int seed = 1; seed <= 4; seed++) {
            Random random = new Random(seed);
            FloatImage image = FloatImage.create(400, 400, Encoding.data(UNLIMITED, 1));
            for (int y = 0; y < 400; y++) {
                for (int x = 0; x < 400; x++) {
                    image.set(x, y, 0, (float) (0.5 + sigma * random.nextGaussian()));
                }
            }
            Padding.pad(image, covered, full, 40, Task.silent());
            int far = 0;
            int off = 0;
            for (int y = 0; y < 400; y++) {
                for (int x = 0; x < 400; x++) {
                    long d2 = distances.squaredDistance(x, y);
                    if (d2 >= 30 * 30 && d2 <= 40 * 40) {
                        far++;
                        off += Math.abs(image.get(x, y, 0) - 0.5) > 4 * sigma ? 1 : 0;
                    }
                }
            }
            // The threshold lets one noisy fit in 160 through; three times as many leaves room for the luck of about 900 border texels.
            assertThat(off).isLessThan(far / 50);
        }
    }

    @Test
    void pad_normals_staysOfUnitLength_andTurnsWithThem() {
        FloatImage image = FloatImage.create(120, 100, Encoding.normal());
        FloatImage turned = FloatImage.create(120, 100, Encoding.normal());
        Mask covered = rectangle(120, 100, 30, 30, 90, 60);
        Mask full = rectangle(120, 100, 31, 31, 89, 59);
        Random random = new Random(3);
        for (int y = 30; y < 60; y++) {
            for (int x = 30; x < 90; x++) {
                double nx = 0.5 * Math.sin(x * 0.11) + 0.01 * random.nextGaussian(), ny = 0.4 * Math.cos(y * 0.13 + x * 0.02);
                float[] n = {(float) nx, (float) ny, (float) Math.sqrt(1 - nx * nx - ny * ny)};
                for (int c = 0; c < 3; c++) {
                    image.set(x, y, c, n[c]);
                    turned.set(x, y, (c + 1) % 3, n[c]);
                }
            }
        }
        Padding.pad(image, covered, full, Padding.EVERYWHERE, Task.silent());
        Padding.pad(turned, covered, full, Padding.EVERYWHERE, Task.silent());
        for (int y = 0; y < 100; y++) {
            for (int x = 0; x < 120; x++) {
                float[] n = image.read(x, y, 1, 1, new float[3]);
                // Three float divisions and the root: below 4 ulps of 1.
                assertThat(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]).isCloseTo(1, within(4e-7f));
                for (int c = 0; c < 3; c++) {
                    // A turn about (1, 1, 1) permutes the channels; only the order of three-term sums differs.
                    assertThat(turned.get(x, y, (c + 1) % 3)).isCloseTo(n[c], within(1e-6f));
                }
            }
        }
    }

    @Test
    void pad_valuesTimesAPowerOfTwo_scalesEveryBit() {
        FloatImage one = noisy(Long.MAX_VALUE, 1);
        FloatImage scaled = noisy(Long.MAX_VALUE, 1 / 1024f);
        Mask covered = disk(300, 97);
        Mask full = disk(300, 95);
        Padding.pad(one, covered, full, Padding.EVERYWHERE, Task.silent());
        Padding.pad(scaled, covered, full, Padding.EVERYWHERE, Task.silent());
        for (int y = 0; y < 300; y++) {
            for (int x = 0; x < 300; x++) {
                assertThat(scaled.get(x, y, 0) * 1024).isEqualTo(one.get(x, y, 0));
            }
        }
    }

    @Test
    void pad_withAnyThreads_onHeapOrSpilled_givesTheSameBits() throws Exception {
        FloatImage one = noisy(Long.MAX_VALUE, 1);
        FloatImage many = noisy(0, 1);
        Mask covered = disk(300, 97);
        Mask full = disk(300, 95);
        try (ForkJoinPool single = new ForkJoinPool(1); ForkJoinPool seven = new ForkJoinPool(7)) {
            single.submit(() -> Padding.pad(one, covered, full, Padding.EVERYWHERE, Task.silent())).get();
            seven.submit(() -> Padding.pad(many, covered, full, Padding.EVERYWHERE, Task.silent())).get();
        }
        assertThat(many.read(0, 0, 300, 300, new float[90000])).isEqualTo(one.read(0, 0, 300, 300, new float[90000]));
    }

    private static FloatImage noisy(long budget, float scale) {
        FloatImage image = FloatImage.create(300, 300, Encoding.data(UNLIMITED, 1), MemoryBudget.ofBytes(budget));
        Random random = new Random(8);
        for (int y = 0; y < 300; y++) {
            for (int x = 0; x < 300; x++) {
                image.set(x, y, 0, scale * (float) (Math.sin(x * 0.1) + Math.cos(y * 0.07) + 0.02 * random.nextGaussian()));
            }
        }
        return image;
    }

    @Test
    void pad_withNothingCovered_changesNothing_andWrongArgumentsAreRefused() {
        FloatImage image = FloatImage.create(8, 5, Encoding.normal());
        image.fill(1, 2, 3);
        Padding.pad(image, new Mask(8, 5), Padding.EVERYWHERE, Task.silent());
        assertThat(image.get(3, 3, 1)).isEqualTo(2);
        assertThatThrownBy(() -> Padding.pad(image, new Mask(5, 8), 4, Task.silent())).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("covered has 5 × 8")
                .hasMessageContaining("8 × 5");
        assertThatThrownBy(() -> Padding.pad(image, new Mask(8, 5), -1, Task.silent())).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("texels = -1");
        Task cancelled = Task.silent();
        cancelled.cancellation().cancel();
        assertThatThrownBy(() -> Padding.pad(image, new Mask(8, 5), 4, cancelled)).isInstanceOf(CancellationException.class);
    }
}
