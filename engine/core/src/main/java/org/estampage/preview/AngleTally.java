package org.estampage.preview;

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
