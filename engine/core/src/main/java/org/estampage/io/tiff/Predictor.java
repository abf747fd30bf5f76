package org.estampage.io.tiff;

import java.util.Arrays;

/**
 * Turns rows into differences that deflate well, and back. Samples stand most significant byte first.
 *
 * @threads stateless
 * @source TIFF Revision 6.0, section 14 (differences of samples); TIFF Technical Note 3, 2005 (floats: the bytes of a row sorted by significance,
 *         then differences of bytes)
 */
final class Predictor {
    private Predictor() {
    }

    /** Makes differences of one row from {@code at} on, in place. */
    static void differ(int predictor, byte[] row, int at, int length, int channels, int sampleBytes) {
        if (predictor == Tags.FLOAT_DIFFERENCES) {
            bySignificance(row, at, length, sampleBytes);
            differBytes(row, at, length, channels);
        } else if (predictor == Tags.DIFFERENCES && sampleBytes == 1) {
            differBytes(row, at, length, channels);
        } else if (predictor == Tags.DIFFERENCES) {
            int step = channels * sampleBytes;
            for (int i = at + length - sampleBytes; i >= at + step; i -= sampleBytes) {
                put(row, i, sampleBytes, get(row, i, sampleBytes) - get(row, i - step, sampleBytes));
            }
        }
    }

    /** Undoes {@link #differ}. */
    static void add(int predictor, byte[] row, int at, int length, int channels, int sampleBytes) {
        if (predictor == Tags.FLOAT_DIFFERENCES) {
            addBytes(row, at, length, channels);
            bySample(row, at, length, sampleBytes);
        } else if (predictor == Tags.DIFFERENCES && sampleBytes == 1) {
            addBytes(row, at, length, channels);
        } else if (predictor == Tags.DIFFERENCES) {
            int step = channels * sampleBytes;
            for (int i = at + step; i + sampleBytes <= at + length; i += sampleBytes) {
                put(row, i, sampleBytes, get(row, i, sampleBytes) + get(row, i - step, sampleBytes));
            }
        }
    }

    private static void differBytes(byte[] row, int at, int length, int step) {
        for (int i = at + length - 1; i >= at + step; i--) {
            row[i] = (byte) (row[i] - row[i - step]);
        }
    }

    private static void addBytes(byte[] row, int at, int length, int step) {
        for (int i = at + step; i < at + length; i++) {
            row[i] = (byte) (row[i] + row[i - step]);
        }
    }

    private static void bySignificance(byte[] row, int at, int length, int sampleBytes) {
        byte[] samples = Arrays.copyOfRange(row, at, at + length);
        int count = length / sampleBytes;
        for (int b = 0; b < sampleBytes; b++) {
            for (int i = 0; i < count; i++) {
                row[at + b * count + i] = samples[i * sampleBytes + b];
            }
        }
    }

    private static void bySample(byte[] row, int at, int length, int sampleBytes) {
        byte[] planes = Arrays.copyOfRange(row, at, at + length);
        int count = length / sampleBytes;
        for (int b = 0; b < sampleBytes; b++) {
            for (int i = 0; i < count; i++) {
                row[at + i * sampleBytes + b] = planes[b * count + i];
            }
        }
    }

    private static int get(byte[] row, int at, int sampleBytes) {
        int value = 0;
        for (int b = 0; b < sampleBytes; b++) {
            value = value << 8 | (row[at + b] & 0xff);
        }
        return value;
    }

    private static void put(byte[] row, int at, int sampleBytes, int value) {
        for (int b = 0; b < sampleBytes; b++) {
            row[at + b] = (byte) (value >> (8 * (sampleBytes - 1 - b)));
        }
    }
}
