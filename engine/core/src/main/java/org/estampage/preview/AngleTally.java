package org.estampage.preview;

import java.util.List;

/**
 * Counts of pixels by their angle.
 *
 * @threads confined
 */
final class AngleTally {
    private static final int PER_DEGREE = 100;
    private static final int BINS = 180 * PER_DEGREE + 1;

    private final long[] bins = new long[BINS];
    private long matched;
    private double sum;
    private double largest;
    private long onlyLow;
    private long onlyHigh;
    private long apart;
    private long missed;

    /**
     * All that a tally holds.
     *
     * @param counts the bins, then five counts
     */
    record Parts(List<long[]> counts, double sum, double largest) {
    }

    Parts parts() {
        return new Parts(List.of(bins.clone(), new long[] {matched, onlyLow, onlyHigh, apart, missed}), sum, largest);
    }

    /**
     * Returns the tally of such parts.
     *
     * @throws IllegalArgumentException if they are of none
     */
    static AngleTally of(Parts parts) {
        if (parts.counts.size() != 2 || parts.counts.get(0).length != BINS || parts.counts.get(1).length != 5) {
            throw new IllegalArgumentException("these are not the counts of a tally");
        }
        AngleTally tally = new AngleTally();
        System.arraycopy(parts.counts.get(0), 0, tally.bins, 0, BINS);
        long[] counts = parts.counts.get(1);
        tally.matched = counts[0];
        tally.onlyLow = counts[1];
        tally.onlyHigh = counts[2];
        tally.apart = counts[3];
        tally.missed = counts[4];
        tally.sum = parts.sum;
        tally.largest = parts.largest;
        return tally;
    }

    /** Counts a pixel by its angle or mark. */
    void add(float angle, boolean isMissed) {
        if (angle >= 0) {
            matched++;
            sum += angle;
            largest = Math.max(largest, angle);
            bins[bin(angle)]++;
        }
        onlyLow += angle == Comparison.ONLY_LOW ? 1 : 0;
        onlyHigh += angle == Comparison.ONLY_HIGH ? 1 : 0;
        apart += angle == Comparison.APART ? 1 : 0;
        missed += isMissed ? 1 : 0;
    }

    /** Returns the bin whose upper end is the first at or above an angle. */
    private static int bin(double angle) {
        return (int) Math.min(BINS - 1, Math.ceil(angle * PER_DEGREE));
    }

    long matched() {
        return matched;
    }

    long outline() {
        return onlyLow + onlyHigh;
    }

    long apart() {
        return apart;
    }

    long missed() {
        return missed;
    }

    /** Returns how many pixels the low poly covers. */
    long low() {
        return matched + apart + onlyLow;
    }

    long all() {
        return matched + apart + outline();
    }

    double largest() {
        return largest;
    }

    double share(long count) {
        return all() == 0 ? 0 : (double) count / all();
    }

    double error() {
        return all() == 0 ? 0 : (sum + (all() - matched) * Compare.UNMATCHED_DEGREES) / all();
    }

    double within(double degrees) {
        long count = 0;
        for (int b = 0; b < BINS && b <= degrees * PER_DEGREE; b++) {
            count += bins[b];
        }
        return share(count);
    }

    double percentile(double percent) {
        if (matched == 0) {
            return Double.NaN;
        }
        long wanted = Math.max(1, (long) Math.ceil(percent / 100 * matched)), count = 0;
        int b = -1;
        while (count < wanted) {
            count += bins[++b];
        }
        return Math.min(largest, (double) b / PER_DEGREE);
    }
}
