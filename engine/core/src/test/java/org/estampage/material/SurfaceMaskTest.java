package org.estampage.material;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.List;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.junit.jupiter.api.Test;

class SurfaceMaskTest {
    private static FloatImage values(float... values) {
        return Images.data(values.length, 1, (x, y) -> new float[] {values[x]});
    }

    private static float[] built(SurfaceMask mask) {
        return Images.all(mask.build());
    }

    @Test
    void curvature_isAShareOfItsRange() {
        FloatImage curvature = values(-40, -10, 0, 10, 40).withEncoding(Encoding.data(Range.symmetric(20), 1));
        assertThat(built(SurfaceMask.convex(curvature))).containsExactly(0, 0, 0, 0.5f, 1);
        assertThat(built(SurfaceMask.concave(curvature))).containsExactly(1, 0.5f, 0, 0, 0);
        FloatImage flat = values(0).withEncoding(Encoding.data(new Range(0, 0), 1));
        assertThatThrownBy(() -> SurfaceMask.convex(flat)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("range");
    }

    @Test
    void steps_areWhatTheySay() {
        SurfaceMask mask = SurfaceMask.of(values(0, 0.25f, 0.5f, 1, Float.NaN));
        assertThat(built(mask)).containsExactly(0, 0.25f, 0.5f, 1, 0);
        assertThat(built(mask.invert())).containsExactly(1, 0.75f, 0.5f, 0, 0);
        assertThat(built(mask.levels(0.25, 0.75))).containsExactly(0, 0, 0.5f, 1, 0);
        assertThat(built(mask.levels(0.5, 0))).containsExactly(1, 0.5f, 0, 0, 0);
        assertThat(built(mask.contrast(2))).containsExactly(0, 0, 0.5f, 1, 0);
        assertThat(built(mask.eased())).containsExactly(0, 0.15625f, 0.5f, 1, 0);
        assertThat(built(mask.times(0.5))).containsExactly(0, 0.125f, 0.25f, 0.5f, 0);
        FloatImage other = values(1, 0.5f, 0.25f, 0.5f, 1);
        assertThat(built(mask.times(other))).containsExactly(0, 0.125f, 0.125f, 0.5f, 0);
        assertThat(built(mask.plus(other, -0.5))).containsExactly(0, 0, 0.375f, 0.75f, 0);
        assertThat(built(mask.or(SurfaceMask.of(other)))).startsWith(1, 0.5f, 0.5f, 1);
        assertThat(built(mask.and(other))).startsWith(0, 0.25f, 0.25f, 0.5f);
        assertThat(built(SurfaceMask.hidden(values(0.75f)))).containsExactly(0.25f);
        assertThat(built(mask)).as("steps leave the mask they are taken from").containsExactly(0, 0.25f, 0.5f, 1, 0);
    }

    @Test
    void worked_keepsWhatLiesBeyondOne() {
        SurfaceMask beyond = SurfaceMask.of(values(0.25f, 1)).times(4);
        assertThat(built(beyond.worked().times(0.25))).containsExactly(0.25f, 1);
        assertThat(built(beyond.worked())).isEqualTo(built(beyond));
    }

    @Test
    void placesAndSlopes_areProducts() {
        FloatImage vectors = Images.of(2, 1, Encoding.data(Range.SIGNED_UNIT, 3),
                (x, y) -> x == 0 ? new float[] {0, 3, 4} : new float[] {0, -1, 0});
        assertThat(built(SurfaceMask.along(vectors, 0, 0, 2).levels(0, 8))).containsExactly(0.5f, 0);
        assertThat(built(SurfaceMask.facing(vectors, 0, 5, 0))).containsExactly(0.6f, 0);
        assertThat(built(SurfaceMask.facing(vectors, 0, 5, 0).levels(-1, 1))[1]).isZero();
        assertThatThrownBy(() -> SurfaceMask.facing(vectors, 0, 0, 0)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("direction");
    }

    @Test
    void ids_areExact() {
        FloatImage ids = Images.of(3, 1, Encoding.id(3), (x, y) -> new float[] {x / 255f, 10 / 255f, 1});
        assertThat(built(SurfaceMask.ids(ids, List.of(new float[] {0, 10 / 255f, 1}, new float[] {2 / 255f, 10 / 255f, 1}))))
                .containsExactly(1, 0, 1);
        assertThatThrownBy(() -> SurfaceMask.ids(ids, List.of(new float[] {0}))).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("3 channels");
    }

    @Test
    void noise_isSmooth_even_andKnowsNoSeams() {
        FloatImage position = Images.of(256, 256, Encoding.data(Range.UNIT, 3), (x, y) -> new float[] {x / 16f - 7, y / 16f - 7, 0.3f});
        for (SurfaceMask mask : List.of(SurfaceMask.clouds(position, 1, 4, 3), SurfaceMask.spots(position, 1, 4, 3))) {
            float[] all = built(mask);
            double sum = 0, largest = 0;
            for (int i = 0; i < all.length; i++) {
                sum += all[i];
                largest = i % 256 == 0 ? largest : Math.max(largest, Math.abs(all[i] - all[i - 1]));
            }
            // 256 cells with a deviation of 0.2 or so each: 0.0125, three times that.
            assertThat(sum / all.length).isCloseTo(0.5, within(0.04));
            // A fade's steepest slope is 15/8; a value's range is 1, in 16 texels; four octaves of equal slope over 1.875 in all: 0.25.
            assertThat(largest).isBetween(0.01, 0.25);
            assertThat(built(mask)).isEqualTo(all);
        }
        // The same place on another chart has the same value, to the bit.
        FloatImage other = Images.of(1, 1, Encoding.data(Range.UNIT, 3), (x, y) -> Images.texel(position, 77, 12));
        assertThat(built(SurfaceMask.clouds(other, 1, 4, 3))[0]).isEqualTo(SurfaceMask.clouds(position, 1, 4, 3).build().get(77, 12, 0));
        assertThat(built(SurfaceMask.clouds(position, 1, 4, 4))).isNotEqualTo(built(SurfaceMask.clouds(position, 1, 4, 3)));
    }

    @Test
    void gradientNoise_isZeroOnTheLattice_valueNoiseIsNot() {
        for (int i = 0; i < 50; i++) {
            assertThat(HashNoise.gradient(i, 3 - i, 7, 5)).isZero();
            assertThat(HashNoise.value(i, 3 - i, 7, 5)).isEqualTo(HashNoise.hash(i, 3 - i, 7, 5) * 0x1p-31);
        }
    }

    @Test
    void blur_keepsWithinTheCoverage_andConstantsConstant() {
        FloatImage cover = Images.data(40, 30, (x, y) -> new float[] {x < 20 ? 1 : 0});
        SurfaceMask one = SurfaceMask.of(Images.data(40, 30, (x, y) -> new float[] {x < 20 ? 0.5f : 0.125f}));
        FloatImage blurred = one.blur(5, cover).build();
        for (int x = 0; x < 40; x++) {
            // What lies outside counts for nothing; a mean of equal values is that value within a few roundings.
            assertThat(blurred.get(x, 15, 0)).isCloseTo(x < 20 ? 0.5f : 0.125f, within(1e-6f));
        }
    }

    @Test
    void blur_hasTheSpreadItSays() {
        FloatImage cover = Images.data(129, 129, (x, y) -> new float[] {1});
        FloatImage blurred = SurfaceMask.of(Images.data(129, 129, (x, y) -> new float[] {x == 64 && y == 64 ? 1 : 0})).blur(6, cover)
                .build();
        double sum = 0, across = 0, down = 0;
        for (int y = 0; y < 129; y++) {
            for (int x = 0; x < 129; x++) {
                sum += blurred.get(x, y, 0);
                across += blurred.get(x, y, 0) * (x - 64.0) * (x - 64);
                down += blurred.get(x, y, 0) * (y - 64.0) * (y - 64);
            }
        }
        assertThat(sum).isCloseTo(1, within(1e-5));
        assertThat(across / sum).isCloseTo(42, within(1e-3)); // 6² + 6; sums of floats
        assertThat(down / sum).isCloseTo(42, within(1e-3));
    }

    @Test
    void wrongArguments_areRefused() {
        SurfaceMask mask = SurfaceMask.of(values(0, 1));
        assertThatThrownBy(() -> mask.levels(0.5, 0.5)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("0.5");
        assertThatThrownBy(() -> mask.times(values(1))).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("1 × 1");
        assertThatThrownBy(() -> mask.contrast(-1)).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> mask.blur(0, values(1, 1))).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("radius");
        assertThatThrownBy(() -> SurfaceMask.of(Images.normal(0, 0, 1))).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> SurfaceMask.clouds(values(1), 1, 1, 0)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("position");
    }
}
