package org.estampage.image;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** Lookups against values made by hand. */
class RepeatedImageTest {
    /** Returns 4 × 2 texels: 0 10 20 30 on top, 100 110 120 130 below. */
    private static RepeatedImage image() {
        FloatImage image = FloatImage.create(4, 2, Encoding.data(Range.UNIT, 1));
        image.write(0, 0, 4, 2, new float[] {0, 10, 20, 30, 100, 110, 120, 130});
        return RepeatedImage.of(image, Task.silent());
    }

    private static float at(double u, double v, double level) {
        float[] dest = new float[2];
        image().lookUp(u, v, level, dest, 1);
        return dest[1];
    }

    @Test
    void centres_giveTheTexels_vUp() {
        // Row 0 is on top: its centres have v = 1 − ½/2.
        assertThat(at(0.125, 0.75, 0)).isZero();
        assertThat(at(0.875, 0.75, 0)).isEqualTo(30);
        assertThat(at(0.125, 0.25, 0)).isEqualTo(100);
        assertThat(at(0.625, 0.25, 0)).isEqualTo(120);
    }

    @Test
    void between_isBilinear() {
        assertThat(at(0.25, 0.75, 0)).isEqualTo(5);
        assertThat(at(0.25, 0.5, 0)).isEqualTo(55);
        // A quarter of the way to the right, three quarters down.
        assertThat((double) at(0.125 + 0.25 / 4, 0.75 - 0.75 / 2, 0)).isCloseTo(2.5 + 75, within(1e-5));
    }

    @Test
    void edges_meetTheOppositeOnes() {
        // At u = 0 half of the first and half of the last column; at v = 1 (and 0) half of each row.
        assertThat(at(0, 0.75, 0)).isEqualTo(15);
        assertThat(at(1, 0.75, 0)).isEqualTo(15);
        assertThat(at(0.125, 1, 0)).isEqualTo(50);
        assertThat(at(0.125, 0, 0)).isEqualTo(50);
        assertThat(at(0, 0, 0)).isEqualTo(65);
        assertThat(at(-2.875, 5.25, 0)).isEqualTo(100);
    }

    @Test
    void levels_areMeans_andBlend() {
        // Level 1 is 2 × 1: (0 + 10 + 100 + 110)/4 and (20 + 30 + 120 + 130)/4; level 2 is their mean.
        assertThat(at(0.25, 0.3, 1)).isEqualTo(55);
        assertThat(at(0.75, 0.9, 1)).isEqualTo(75);
        assertThat(at(0.3, 0.1, 2)).isEqualTo(65);
        assertThat(at(0.3, 0.1, 99)).isEqualTo(65);
        assertThat(at(0.3, 0.1, Double.POSITIVE_INFINITY)).isEqualTo(65);
        assertThat(at(0.25, 0.75, 0.5)).isEqualTo((5 + 55) / 2f);
        assertThat(at(0.25, 0.75, -3)).isEqualTo(5);
        assertThat(at(0.25, 0.75, Double.NaN)).isEqualTo(5);
    }

    @Test
    void numbersThatAreNone_countAsZero() {
        assertThat(at(Double.NaN, Double.POSITIVE_INFINITY, 0)).isEqualTo(at(0, 0, 0));
    }

    @Test
    void identifiers_areRefused() {
        assertThatThrownBy(() -> RepeatedImage.of(FloatImage.create(2, 2, Encoding.id(1)), Task.silent()))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("identifiers");
    }
}
