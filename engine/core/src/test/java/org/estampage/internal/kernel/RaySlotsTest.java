package org.estampage.internal.kernel;

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
        RaySlots slots = new RaySlots();
        int runs = slots.spread(samples, rays, seed);
        for (int r = 0; r < runs; r++) {
            assertThat(slots.sample(r)).isBetween(0, samples - 1);
            for (int i = slots.first(r); i < slots.first(r) + slots.count(r); i++) {
                given[i]++;
            }
        }
        assertThat(given).containsOnly(1);
    }

    @Property
    void wholeRounds_ofPowerOfTwoSamples_areSharedEqually(@ForAll @IntRange(min = 0, max = 4) int bits,
            @ForAll @IntRange(min = 1, max = 8) int rounds,
            @ForAll int seed) {
        int samples = 1 << bits;
        int[] got = shares(samples, 16 * rounds, seed);
        assertThat(got).containsOnly(16 * rounds / samples);
    }

    @Property
    void unevenSamples_shareARoundWithinOneRay(@ForAll @IntRange(min = 1, max = 16) int samples, @ForAll int seed) {
        int[] got = shares(samples, 16, seed);
        for (int n : got) {
            assertThat(n).isBetween(16 / samples, 16 / samples + 1);
        }
    }

    @Property(tries = 20)
    void aSample_holdsAllSlotsInTurn(@ForAll int seed) {
        // With fixed slots a sample would see one slice of the hemisphere only.
        boolean[] held = new boolean[4];
        RaySlots slots = new RaySlots();
        int runs = slots.spread(4, 16 * 64, seed);
        for (int r = 0; r < runs; r++) {
            if (slots.sample(r) == 0) {
                held[slots.first(r) % 16 / 4] = true;
            }
        }
        assertThat(held).containsOnly(true);
    }

    private static int[] shares(int samples, int rays, int seed) {
        RaySlots slots = new RaySlots();
        int[] got = new int[samples];
        for (int r = slots.spread(samples, rays, seed) - 1; r >= 0; r--) {
            got[slots.sample(r)] += slots.count(r);
        }
        return got;
    }
}
