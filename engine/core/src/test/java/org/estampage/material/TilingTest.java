package org.estampage.material;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.SplittableRandom;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class TilingTest {
    /** Texels hit within 10⁻¹² of their centres, and a bilinear mix that rounds twice. */
    private static final float ROUNDING = 2e-7f;

    private static FloatImage noise(int width, int height) {
        SplittableRandom random = new SplittableRandom(3);
        return Images.data(width, height, (x, y) -> new float[] {(float) random.nextDouble()});
    }

    @Test
    void tiles_areTexelForTexel() {
        FloatImage image = noise(12, 7);
        FloatImage tiles = Tiling.of(image, 3, 2).build();
        assertThat(tiles.width()).isEqualTo(36);
        assertThat(tiles.height()).isEqualTo(14);
        for (int y = 0; y < 14; y++) {
            for (int x = 0; x < 36; x++) {
                assertThat(tiles.get(x, y, 0)).isCloseTo(image.get(x % 12, y % 7, 0), within(ROUNDING));
            }
        }
    }

    /** Turned counter-clockwise by 90°, what was on the right is on top: texel (x, y) comes from (n − 1 − y, x) of n × n. */
    @ParameterizedTest
    @CsvSource({"90", "-270", "450"})
    void rotate_turnsCounterClockwise(double degrees) {
        FloatImage image = noise(9, 9);
        FloatImage turned = Tiling.of(image, 1, 1).rotate(degrees).build();
        for (int y = 0; y < 9; y++) {
            for (int x = 0; x < 9; x++) {
                assertThat(turned.get(x, y, 0)).isCloseTo(image.get(8 - y, x, 0), within(ROUNDING));
            }
        }
    }

    @Test
    void rotate_turnsNormalsToo() {
        // A bump stays a bump: turned by any angle, the normals of a round hill are those of the same hill.
        FloatImage hill = Images.ofHeight(64, 64, (u, v) -> 0.2 * Math.exp(-40 * ((u - 0.5) * (u - 0.5) + (v - 0.5) * (v - 0.5))));
        for (double degrees : new double[] {30, 90, 200}) {
            FloatImage turned = Tiling.of(hill, 1, 1).rotate(degrees).build();
            for (int y = 20; y < 44; y++) {
                for (int x = 20; x < 44; x++) {
                    for (int c = 0; c < 3; c++) {
                        // Bilinear mixing of a hill 20 texels wide: slopes change by up to 0.1 a texel, their second difference by 0.01.
                        assertThat(turned.get(x, y, c)).isCloseTo(hill.get(x, y, c), within(0.01f));
                    }
                }
            }
        }
    }

    @Test
    void rotate_keepsShapesOfTilesThatAreNotSquare() {
        // Tiles of 8 × 32 texels, half of each black: turned by 90° they are 32 × 8, so down the image colour changes every 4 texels.
        FloatImage image = Images.data(8, 8, (x, y) -> new float[] {x < 4 ? 0 : 1});
        FloatImage turned = Tiling.of(image, 4, 1).rotate(90).size(32, 32).build();
        int changes = 0;
        for (int y = 1; y < 32; y++) {
            changes += (turned.get(5, y, 0) > 0.5) != (turned.get(5, y - 1, 0) > 0.5) ? 1 : 0;
        }
        assertThat(changes).isEqualTo(7);
    }

    @Test
    void offset_shiftsRightAndUp() {
        FloatImage image = noise(8, 8);
        FloatImage shifted = Tiling.of(image, 1, 1).offset(0.25, 0.5).build();
        for (int y = 0; y < 8; y++) {
            for (int x = 0; x < 8; x++) {
                assertThat(shifted.get(x, y, 0)).isCloseTo(image.get((x + 6) % 8, (y + 4) % 8, 0), within(ROUNDING));
            }
        }
    }

    @Test
    void manySmallTiles_areMeans() {
        FloatImage chequers = Images.data(16, 16, (x, y) -> new float[] {(x + y) % 2});
        FloatImage tiny = Tiling.of(chequers, 16, 16).size(32, 32).build();
        for (float v : Images.all(tiny)) {
            assertThat(v).isCloseTo(0.5f, within(1e-6f));
        }
    }

    /** Waves in many directions that repeat over the image, 0.5 ± 0.2 about. */
    private static FloatImage waves() {
        return Images.data(32, 32, (x, y) -> {
            double sum = 0.5;
            for (int i = 0; i < 24; i++) {
                int kx = Math.floorMod(HashNoise.hash(i, 0, 0, 1), 9) - 4, ky = Math.floorMod(HashNoise.hash(i, 1, 0, 1), 4) + 1;
                sum += 0.05 * Math.sin(2 * Math.PI * (kx * x + ky * y) / 32 + i);
            }
            return new float[] {(float) sum};
        });
    }

    @Test
    void variation_breaksTheRepetition_keepsMeanAndSpread_andRepeatsItself() {
        FloatImage image = waves();
        FloatImage plain = Tiling.of(image, 8, 8).build(), varied = Tiling.of(image, 8, 8).vary(1, 53, 7).build();
        assertThat(repetition(plain, 32)).isGreaterThan(0.999);
        // Where two neighbours look alike, which half of them do, the first look still repeats; the turned one doesn't.
        assertThat(repetition(varied, 32)).isLessThan(0.6);
        double[] before = moments(plain), after = moments(Tiling.of(image, 8, 8).vary(1, 90, 7).build());
        assertThat(after[0]).isCloseTo(before[0], within(0.01));
        // Two looks of one image are independent in the mean over many images only; of one they are nearly.
        assertThat(after[1]).isCloseTo(before[1], within(0.03));
        // The result repeats without a seam: beyond its border is its other side, so differences there are as anywhere.
        FloatImage smooth = Images.data(32, 32,
                (x, y) -> new float[] {(float) (0.5 + 0.4 * Math.sin(x * Math.PI / 16) * Math.cos(y * Math.PI / 16))});
        FloatImage wide = Tiling.of(smooth, 8, 8).vary(2, 180, 7).build();
        for (int i = 0; i < 256; i++) {
            // Slopes: 0.4·π/16 = 0.08 a texel, times up to 2 in passages.
            assertThat(wide.get(255, i, 0)).isCloseTo(wide.get(0, i, 0), within(0.2f));
            assertThat(wide.get(i, 255, 0)).isCloseTo(wide.get(i, 0, 0), within(0.2f));
        }
        assertThat(Images.all(Tiling.of(image, 8, 8).vary(1, 53, 7).build())).isEqualTo(Images.all(varied));
        assertThat(Images.all(Tiling.of(image, 8, 8).vary(1, 90, 8).build())).isNotEqualTo(Images.all(varied));
    }

    @Test
    void variation_ofNormals_turnsThem() {
        FloatImage slope = Images.of(16, 16, Encoding.normal(), (x, y) -> new float[] {0.6f, 0, 0.8f});
        FloatImage varied = Tiling.of(slope, 4, 4).vary(1, 90, 1).build();
        boolean sawPlain = false, sawTurned = false;
        for (int y = 0; y < 64; y++) {
            for (int x = 0; x < 64; x++) {
                float[] n = Images.texel(varied, x, y);
                assertThat(Math.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2])).isCloseTo(1, within(1e-6));
                sawPlain |= n[0] > 0.599f;
                sawTurned |= n[1] > 0.599f;
            }
        }
        assertThat(sawPlain && sawTurned).isTrue();
    }

    private static double repetition(FloatImage image, int period) {
        double[] m = moments(image);
        double sum = 0;
        int n = 0;
        for (int y = 0; y < image.height(); y++) {
            for (int x = 0; x + period < image.width(); x++) {
                sum += (image.get(x, y, 0) - m[0]) * (image.get(x + period, y, 0) - m[0]);
                n++;
            }
        }
        return sum / n / (m[1] * m[1]);
    }

    private static double[] moments(FloatImage image) {
        double sum = 0, squares = 0;
        float[] all = Images.all(image);
        for (float v : all) {
            sum += v;
            squares += (double) v * v;
        }
        double mean = sum / all.length;
        return new double[] {mean, Math.sqrt(squares / all.length - mean * mean)};
    }

    @Test
    void wrongArguments_areRefused() {
        FloatImage image = noise(4, 4);
        assertThatThrownBy(() -> Tiling.of(image, 0, 1)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("across = 0.0");
        assertThatThrownBy(() -> Tiling.of(image, 1, Double.POSITIVE_INFINITY)).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> Tiling.of(image, 1e6, 1e6).build()).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("2^31");
        assertThatThrownBy(() -> Tiling.of(image, 1, 1).rotate(Double.NaN)).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> Tiling.of(image, 1, 1).vary(-1, 0, 0)).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> Tiling.of(image, 1, 1).greenDown().build()).isInstanceOf(IllegalArgumentException.class);
        FloatImage ids = FloatImage.create(2, 2, Encoding.id(1));
        assertThatThrownBy(() -> Tiling.of(ids, 2, 2).task(Task.silent()).build()).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("identifiers");
        assertThat(Tiling.of(FloatImage.create(3, 3, Encoding.data(Range.UNIT, 4)), 0.1, 0.1).build().width()).isEqualTo(1);
    }
}
