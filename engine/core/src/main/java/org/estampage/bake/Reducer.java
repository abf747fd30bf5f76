package org.estampage.bake;

/** Makes one value of a texel's samples. */
final class Reducer {
    private Reducer() {
    }

    /**
     * Reduces samples {@code from … to − 1}, at least one.
     *
     * @param values   the samples, channels interleaved
     * @param rays     rays a sample got, as its weight; null where all weigh the same
     * @param perTexel all samples of a texel, in a chart or not
     * @param dest     the texel's channels at {@code at}
     */
    static void reduce(Reduction rule, float[] values, int channels, int from, int to, int @org.jspecify.annotations.Nullable [] rays,
            int perTexel, float[] dest, int at) {
        switch (rule) {
            case MEAN -> mean(values, channels, from, to, rays, dest, at);
            case NORMALISED_MEAN -> {
                mean(values, channels, from, to, rays, dest, at);
                normalise(values, channels, from, dest, at);
            }
            case FRACTION -> {
                for (int c = 0; c < channels; c++) {
                    double sum = 0;
                    for (int s = from; s < to; s++) {
                        sum += values[s * channels + c];
                    }
                    dest[at + c] = (float) (sum / perTexel);
                }
            }
            case MAJORITY -> majority(values, channels, from, to, dest, at);
        }
    }

    private static void mean(float[] values, int channels, int from, int to, int @org.jspecify.annotations.Nullable [] rays, float[] dest,
            int at) {
        for (int c = 0; c < channels; c++) {
            double sum = 0;
            double weights = 0;
            for (int s = from; s < to; s++) {
                int weight = rays == null ? 1 : rays[s];
                sum += (double) weight * values[s * channels + c];
                weights += weight;
            }
            dest[at + c] = (float) (sum / weights);
        }
    }

    /** Brings a mean to unit length; where samples cancel out, the first one is taken for it. */
    static void normalise(float[] values, int channels, int first, float[] dest, int at) {
        double square = square(dest, at, channels);
        if (!(square > 1e-12)) { // Opposite samples cancel out; then the first stands for all.
            System.arraycopy(values, first * channels, dest, at, channels);
            square = square(dest, at, channels);
        }
        double scale = square > 0 ? 1 / Math.sqrt(square) : 1;
        for (int c = 0; c < channels; c++) {
            dest[at + c] = (float) (dest[at + c] * scale);
        }
    }

    private static double square(float[] v, int at, int channels) {
        double square = 0;
        for (int c = 0; c < channels; c++) {
            square += (double) v[at + c] * v[at + c];
        }
        return square;
    }

    private static void majority(float[] values, int channels, int from, int to, float[] dest, int at) {
        int best = from;
        int bestCount = 0;
        for (int s = from; s < to; s++) {
            int count = 0;
            for (int o = from; o < to; o++) {
                if (compare(values, channels, s, o) == 0) {
                    count++;
                }
            }
            if (count > bestCount || (count == bestCount && compare(values, channels, s, best) < 0)) {
                best = s;
                bestCount = count;
            }
        }
        System.arraycopy(values, best * channels, dest, at, channels);
    }

    private static int compare(float[] values, int channels, int a, int b) {
        for (int c = 0; c < channels; c++) {
            int order = Float.compare(values[a * channels + c], values[b * channels + c]);
            if (order != 0) {
                return order;
            }
        }
        return 0;
    }
}
