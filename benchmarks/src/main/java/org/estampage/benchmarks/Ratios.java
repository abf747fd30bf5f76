package org.estampage.benchmarks;

import java.util.Arrays;
import java.util.Locale;

/**
 * Ratios of rounds.
 *
 * @param least    the least
 * @param median   the one in the middle, or the mean of the two
 * @param greatest the greatest
 */
record Ratios(double least, double median, double greatest) {
    static Ratios of(double[] values) {
        return new Ratios(Arrays.stream(values).min().orElseThrow(), median(values), Arrays.stream(values).max().orElseThrow());
    }

    static double median(double[] values) {
        double[] sorted = values.clone();
        Arrays.sort(sorted);
        return (sorted[(sorted.length - 1) / 2] + sorted[sorted.length / 2]) / 2;
    }

    @Override
    public String toString() {
        return String.format(Locale.ROOT, "%.2f (%.2f … %.2f)", median, least, greatest);
    }
}
