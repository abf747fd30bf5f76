package org.estampage.material;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.List;
import java.util.SplittableRandom;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class RoughnessMipsTest {
    private static FloatImage even(int width, int height, double roughness) {
        return Images.data(width, height, (x, y) -> new float[] {(float) roughness});
    }

    @Test
    void evenNormals_keepTheRoughness_whateverTheirLength() {
        FloatImage normals = Images.of(8, 8, Encoding.normal(), (x, y) -> new float[] {0.3f, 0, 0.4f});
        List<FloatImage> levels = RoughnessMips.of(normals, even(8, 8, 0.4)).build();
        assertThat(levels).hasSize(4);
        for (FloatImage level : levels) {
            for (float r : Images.all(level)) {
                // A length may round to 1 − 2⁻²³: 2 · 2⁻²³ on 0.4⁴, a quarter of its share.
                assertThat(r).isCloseTo(0.4f, within(2e-6f));
            }
        }
    }

    /** Four normals that lean by one angle to four sides: the mean's length is the cosine. */
    @Test
    void cone_givesItsClosedForm() {
        double lean = Math.toRadians(12), alpha = 0.3 * 0.3;
        FloatImage normals = Images.of(2, 2, Encoding.normal(), (x, y) -> {
            double a = (2 * y + x) * Math.PI / 2;
            return new float[] {(float) (Math.cos(a) * Math.sin(lean)), (float) (Math.sin(a) * Math.sin(lean)), (float) Math.cos(lean)};
        });
        float r = RoughnessMips.of(normals, even(2, 2, 0.3)).build().get(1).get(0, 0, 0);
        double toksvig = alpha * alpha + 2 * (1 - Math.cos(lean)) / Math.cos(lean);
        assertThat((double) r).isCloseTo(Math.pow(toksvig, 0.25), within(1e-6));
        // The slopes' own second moment, tan²/2 along each axis, as LEAN mapping sums it up: α² + tan². They differ by a factor of (1 + cos)/(2 cos).
        assertThat(Math.pow(r, 4)).isCloseTo(alpha * alpha + Math.pow(Math.tan(lean), 2), within(0.02 * toksvig));
    }

    /**
     * Directions of a von Mises–Fisher distribution, whose mean has the length coth κ − 1/κ (Mardia, Jupp, Directional Statistics, 2000; from memory), drawn by inverting its
     * distribution on a grid.
     */
    @ParameterizedTest
    @ValueSource(doubles = {20, 100, 1000})
    void knownSpread_givesItsClosedForm(double kappa) {
        int side = 128;
        FloatImage normals = Images.of(side, side, Encoding.normal(), (x, y) -> {
            double s = (x + 0.5) / side, angle = 2 * Math.PI * (y + 0.5) / side;
            double z = 1 + Math.log(s + (1 - s) * Math.exp(-2 * kappa)) / kappa, r = Math.sqrt(Math.max(0, 1 - z * z));
            return new float[] {(float) (r * Math.cos(angle)), (float) (r * Math.sin(angle)), (float) z};
        });
        FloatImage last = RoughnessMips.of(normals, even(side, side, 0.2)).build().getLast();
        double length = 1 / Math.tanh(kappa) - 1 / kappa, expected = 0.2 * 0.2 * 0.2 * 0.2 + 2 * (1 - length) / length;
        // A midpoint rule of 128 points of a logarithm is off by ln 2/(2 · 128) of 1/κ at the most.
        assertThat(Math.pow(last.get(0, 0, 0), 4)).isCloseTo(expected, within(0.003 * expected));
    }

    @Test
    void gaussSlopes_addTheirVariance() {
        SplittableRandom random = new SplittableRandom(5);
        double deviation = 0.1;
        FloatImage normals = Images.of(256, 256, Encoding.normal(), (x, y) -> {
            double p = deviation * random.nextGaussian(), q = deviation * random.nextGaussian(), l = Math.sqrt(1 + p * p + q * q);
            return new float[] {(float) (p / l), (float) (q / l), (float) (1 / l)};
        });
        FloatImage last = RoughnessMips.of(normals, even(256, 256, 0.3)).build().getLast();
        double expected = Math.pow(0.3, 4) + 2 * deviation * deviation; // LEAN mapping: exact for slopes
        // The length tells the variance to first order: second order is 1.5 % at this spread, chance 1/√65536.
        assertThat(Math.pow(last.get(0, 0, 0), 4)).isCloseTo(expected, within(0.03 * expected));
    }

    @Test
    void extremes_stayBetweenZeroAndOne() {
        FloatImage opposite = Images.of(2, 1, Encoding.normal(), (x, y) -> new float[] {x == 0 ? 1 : -1, 0, 0});
        assertThat(RoughnessMips.of(opposite, even(2, 1, 0.1)).build().get(1).get(0, 0, 0)).isEqualTo(1);
        FloatImage flat = Images.of(2, 1, Encoding.normal(), (x, y) -> new float[] {0, 0, 1});
        assertThat(RoughnessMips.of(flat, Images.data(2, 1, (x, y) -> new float[] {x == 0 ? Float.NaN : -3})).build().get(1).get(0, 0, 0))
                .isZero();
        assertThatThrownBy(() -> RoughnessMips.of(flat, even(1, 1, 0.5))).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("1 × 1");
        assertThatThrownBy(() -> RoughnessMips.of(flat, flat)).isInstanceOf(IllegalArgumentException.class);
    }
}
