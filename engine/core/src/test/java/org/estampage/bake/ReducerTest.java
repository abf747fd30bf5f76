package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;

import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;

class ReducerTest {
    private static float[] reduce(Reduction rule, float[] values, int channels, int @Nullable [] rays, int ofChart) {
        float[] dest = new float[channels];
        Reducer.reduce(rule, values, channels, 0, values.length / channels, rays, ofChart, dest, 0);
        return dest;
    }

    @Test
    void mean_weighsByRays() {
        assertThat(reduce(Reduction.MEAN, new float[] {0, 1}, 1, new int[] {1, 3}, 2)).containsExactly(0.75f);
        assertThat(reduce(Reduction.MEAN, new float[] {0, 1}, 1, null, 2)).containsExactly(0.5f);
        assertThat(reduce(Reduction.MEAN, new float[] {0, 1}, 1, new int[] {0, 5}, 2)).containsExactly(1f);
    }

    @Test
    void normalisedMean_hasUnitLength_alsoOfOppositeSamples() {
        assertThat(reduce(Reduction.NORMALISED_MEAN, new float[] {0.6f, 0, 0.8f, -0.6f, 0, 0.8f}, 3, null, 2)).containsExactly(0, 0, 1);
        assertThat(reduce(Reduction.NORMALISED_MEAN, new float[] {1, 0, 0, -1, 0, 0}, 3, null, 2)).containsExactly(1, 0, 0);
        assertThat(reduce(Reduction.NORMALISED_MEAN, new float[] {0.25f, 0, 0, -0.25f, 0, 0}, 3, null, 2)).containsExactly(1, 0, 0);
    }

    @Test
    void majority_ofEquals_takesTheSmaller() {
        assertThat(reduce(Reduction.MAJORITY, new float[] {7, 3, 7, 3}, 1, null, 4)).containsExactly(3);
        assertThat(reduce(Reduction.MAJORITY, new float[] {7, 3, 7}, 1, null, 3)).containsExactly(7);
    }

    @Test
    void fraction_countsMissesAsZero() {
        assertThat(reduce(Reduction.FRACTION, new float[] {1}, 1, null, 4)).containsExactly(0.25f);
    }
}
