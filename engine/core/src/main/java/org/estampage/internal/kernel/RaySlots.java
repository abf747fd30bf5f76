package org.estampage.internal.kernel;

import java.util.Arrays;

/**
 * Spreads the rays of one texel over its samples: in rounds of 16, or of as many as there are samples if that is more; in each round the samples
 * take neighbouring slots in an order that is shuffled anew. (Every sample taking each n-th ray would see one slice of the hemisphere only.)
 *
 * @threads confined; allocates only to make room
 */
public final class RaySlots {
    private int[] place = new int[16];
    private int[] holder = new int[16];

    private int[] sampleOfRun = new int[64];
    private int[] firstOfRun = new int[64];
    private int[] countOfRun = new int[64];

    /** Makes an object with room for common numbers. */
    public RaySlots() {
    }

    /** Returns the length of a round for so many samples. A texel that is handed more rays gets the same ones first, round by round. */
    public static int round(int samples) {
        return Math.max(16, Integer.highestOneBit(Math.max(1, samples - 1)) * 2);
    }

    /**
     * Hands out all {@code rays} of a texel, in rounds; {@link #sample}, {@link #first} and {@link #count} then say who got what.
     *
     * @param samples at least 1
     * @return how many runs of neighbouring slots there are
     */
    public int spread(int samples, int rays, int seed) {
        int round = round(samples);
        int runs = 0;
        for (int r = 0; r * round < rays; r++) {
            shuffle(samples, Directions.mix(seed ^ Directions.mix(r + 77)));
            makeRoom(runs + samples);
            int first = r * round;
            for (int s = 0; s < samples; s++) {
                int from = first + (place[s] * round + samples - 1) / samples;
                int to = Math.min(rays, first + ((place[s] + 1) * round + samples - 1) / samples);
                if (from < to) {
                    sampleOfRun[runs] = s;
                    firstOfRun[runs] = from;
                    countOfRun[runs++] = to - from;
                }
            }
        }
        return runs;
    }

    /** Returns the sample that takes a run. */
    public int sample(int run) {
        return sampleOfRun[run];
    }

    /** Returns the first slot of a run. */
    public int first(int run) {
        return firstOfRun[run];
    }

    /** Returns how many slots a run has. */
    public int count(int run) {
        return countOfRun[run];
    }

    private void makeRoom(int runs) {
        if (runs > sampleOfRun.length) {
            int larger = Math.max(runs, 2 * sampleOfRun.length);
            sampleOfRun = Arrays.copyOf(sampleOfRun, larger);
            firstOfRun = Arrays.copyOf(firstOfRun, larger);
            countOfRun = Arrays.copyOf(countOfRun, larger);
        }
    }

    /** Puts a permutation of 0 … samples − 1 into {@link #place}: a nested scramble of the next power of two, the places beyond left out. */
    private void shuffle(int samples, int seed) {
        int bits = 32 - Integer.numberOfLeadingZeros(samples - 1);
        int size = 1 << bits;
        if (place.length < size) {
            place = new int[size];
            holder = new int[size];
        }
        for (int k = 0; k < size; k++) {
            holder[bits == 0 ? 0 : Directions.owen(k << (32 - bits), seed) >>> (32 - bits)] = k;
        }
        int next = 0;
        for (int q = 0; q < size; q++) {
            if (holder[q] < samples) {
                place[holder[q]] = next++;
            }
        }
    }
}
