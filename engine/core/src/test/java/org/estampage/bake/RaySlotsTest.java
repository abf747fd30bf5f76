package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;

class RaySlotsTest {
    @Property
    void everyRay_isGivenToExactlyOneSample(@ForAll @IntRange(min = 1, max = 70) int samples,
            @ForAll @IntRange(min = 1, max = 300) int rays,
            @ForAll int seed) {
        int[] given = new int[rays];
        new RaySlots().spread(samples, rays, seed, (sample, first, count) -> {
            assertThat(sample).isBetween(0, samples - 1);
            for (int i = first; i < first + count; i++) {
                given[i]++;
            }
        });
        assertThat(given).containsOnly(1);
    }

    @Property
    void wholeRounds_ofPowerOfTwoSamples_areSharedEqually(@ForAll @IntRange(min = 0, max = 4) int bits,
            @ForAll @IntRange(min = 1, max = 8) int rounds,
            @ForAll int seed) {
        int samples = 1 << bits;
        int[] got = new int[samples];
        new RaySlots().spread(samples, 16 * rounds, seed, (sample, first, count) -> got[sample] += count);
        assertThat(got).containsOnly(16 * rounds / samples);
    }

    @Property
    void unevenSamples_shareARoundWithinOneRay(@ForAll @IntRange(min = 1, max = 16) int samples, @ForAll int seed) {
        int[] got = new int[samples];
        new RaySlots().spread(samples, 16, seed, (sample, first, count) -> got[sample] += count);
        for (int n : got) {
            assertThat(n).isBetween(16 / samples, 16 / samples + 1);
        }
    }

    @Property(tries = 20)
    void aSample_holdsAllSlotsInTurn(@ForAll int seed) {
        // With fixed slots a sample would see one slice of the hemisphere only.
        boolean[] held = new boolean[4];
        new RaySlots().spread(4, 16 * 64, seed, (sample, first, count) -> {
            if (sample == 0) {
                held[first % 16 / 4] = true;
            }
        });
        assertThat(held).containsOnly(true);
    }
}
