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
import org.junit.jupiter.params.provider.ValueSource;

class NormalCheckTest {
    private static FloatImage green(FloatImage image, float sign) {
        return Images.of(image.width(), image.height(), Encoding.normal(), (x, y) -> {
            float[] n = Images.texel(image, x, y);
            return new float[] {n[0], sign * n[1], n[2]};
        });
    }

    /** Rounds to 8 bits and back, as a file does. */
    private static FloatImage stored(FloatImage image) {
        Encoding e = image.encoding();
        return Images.of(image.width(), image.height(), e, (x, y) -> {
            float[] n = Images.texel(image, x, y);
            for (int c = 0; c < 3; c++) {
                n[c] = e.raw(c, e.quantise(c, n[c], 8) / 255f);
            }
            return n;
        });
    }

    private static FloatImage bumps(double height) {
        return Images.ofHeight(192, 128, (u, v) -> {
            double sum = 0;
            for (int i = 0; i < 60; i++) {
                double a = u - HashNoise.unit(HashNoise.hash(i, 1, 0, 5)), b = v - HashNoise.unit(HashNoise.hash(i, 2, 0, 5));
                sum += Math.exp(-(a * a + b * b) * 900);
            }
            return height * sum;
        });
    }

    @Test
    void greenUp_andDown_areTold_alsoIn8Bits() {
        FloatImage up = bumps(0.02);
        NormalCheck check = NormalCheck.of(up, Task.silent());
        assertThat(check.green()).isEqualTo(NormalCheck.Green.UP);
        assertThat(check.greenEvidence()).isGreaterThan(0.9); // what is missing is the differences' own error
        assertThat(check.findings()).isEmpty();
        assertThat(NormalCheck.of(green(up, -1), Task.silent()).green()).isEqualTo(NormalCheck.Green.DOWN);
        assertThat(NormalCheck.of(stored(up), Task.silent()).green()).isEqualTo(NormalCheck.Green.UP);
        NormalCheck down = NormalCheck.of(stored(green(bumps(0.005), -1)), Task.silent());
        assertThat(down.green()).isEqualTo(NormalCheck.Green.DOWN);
        assertThat(down.findings().toString()).contains("green seems to point down").contains("greenDown()");
    }

    @Test
    void nonSquareTexels_changeTheEvidenceOnly() {
        // The same heights, squeezed 3 : 1 across as a chart may be: slopes along u are measured on the surface, not on the image.
        FloatImage image = Images.of(128, 128, Encoding.normal(), (x, y) -> {
            double p = 0.3 * Math.cos(x * 0.7) * Math.sin(y * 0.2), q = 0.1 * Math.sin(x * 0.7) * -Math.cos(y * 0.2),
                    l = Math.sqrt(p * p + q * q + 1);
            return new float[] {(float) (-p / l), (float) (-q / l), (float) (1 / l)};
        });
        assertThat(NormalCheck.of(image, Task.silent()).green()).isEqualTo(NormalCheck.Green.UP);
    }

    @Test
    void whatSaysNothing_isUnknown() {
        FloatImage flat = Images.of(128, 128, Encoding.normal(), (x, y) -> new float[] {0, 0, 1});
        FloatImage ridges = Images.ofHeight(128, 128, (u, v) -> 0.02 * Math.sin(40 * u));
        FloatImage small = bumpsOf(24);
        for (FloatImage image : new FloatImage[] {flat, stored(ridges), small}) {
            NormalCheck check = NormalCheck.of(image, Task.silent());
            assertThat(check.green()).isEqualTo(NormalCheck.Green.UNKNOWN);
            assertThat(check.findings()).extracting(f -> f.kind()).containsExactly("normals-green-unknown");
        }
    }

    private static FloatImage bumpsOf(int size) {
        return Images.ofHeight(size, size, (u, v) -> 0.02 * Math.sin(20 * u) * Math.sin(20 * v));
    }

    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10})
    void noise_isUnknown(long seed) {
        SplittableRandom random = new SplittableRandom(seed);
        FloatImage noise = Images.of(160, 160, Encoding.normal(), (x, y) -> new float[] {(float) random.nextDouble(-0.3, 0.3),
                (float) random.nextDouble(-0.3, 0.3), 0.95f});
        assertThat(NormalCheck.of(noise, Task.silent()).green()).isEqualTo(NormalCheck.Green.UNKNOWN);
    }

    @Test
    void seams_andStretchesOfNothing_dontHideTheSign() {
        FloatImage bumps = bumps(0.02);
        FloatImage charts = Images.of(192, 128, Encoding.normal(), (x, y) -> x / 40 % 2 == 0
                ? Images.texel(bumps, x, y)
                : y < 60 ? new float[] {0, 0, 1} : new float[] {0.7f * (y % 40 < 20 ? 1 : -1), 0, 0.714f});
        assertThat(NormalCheck.of(charts, Task.silent()).green()).isEqualTo(NormalCheck.Green.UP);
        assertThat(NormalCheck.of(green(charts, -1), Task.silent()).green()).isEqualTo(NormalCheck.Green.DOWN);
    }

    @Test
    void oddities_areCountedWithPlaces() {
        FloatImage image = Images.of(10, 10, Encoding.normal(), (x, y) -> y == 0
                ? new float[] {0, 0, 0.5f}
                : y == 1 && x < 5
                        ? new float[] {0, 0.6f, -0.8f}
                        : y == 2 && x == 7 ? new float[] {0, Float.NaN, 1} : new float[] {0, 0, 1});
        NormalCheck check = NormalCheck.of(image, Task.silent());
        assertThat(check.notUnitShare()).isCloseTo(0.1, within(1e-12));
        assertThat(check.inwardsShare()).isCloseTo(0.05, within(1e-12));
        assertThat(check.notFiniteShare()).isCloseTo(0.01, within(1e-12));
        assertThat(check.findings()).extracting(f -> f.kind()).containsExactly("normals-not-finite", "normals-not-unit", "normals-inwards",
                "normals-green-unknown");
        assertThat(check.findings().ofKind("normals-not-finite").get(0).places())
                .containsExactly(new org.estampage.finding.Place.Texel(7, 2));
        assertThat(check.findings().ofKind("normals-not-unit").get(0).count()).isEqualTo(10);
    }

    @Test
    void lengthsThat8BitsMove_areUnit() {
        assertThat(NormalCheck.of(stored(bumps(0.03)), Task.silent()).notUnitShare()).isZero();
    }

    @Test
    void somethingElse_isRefused() {
        assertThatThrownBy(() -> NormalCheck.of(FloatImage.create(2, 2, Encoding.data(Range.UNIT, 3)), Task.silent()))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("DATA of 3 channels");
    }
}
