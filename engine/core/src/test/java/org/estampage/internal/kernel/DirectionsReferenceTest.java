package org.estampage.internal.kernel;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.Random;
import org.junit.jupiter.api.Test;

/** Directions against published points, the laws of (0, 2)-sequences, and exact moments. */
class DirectionsReferenceTest {
    private static final double UNIT = 0x1p-32;

    @Test
    void sobolPoints_areThePublishedOnes() {
        // The start of the two-dimensional Sobol sequence, as in Bratley, Fox, Algorithm 659, 1988 (from memory).
        double[][] start = {{0, 0}, {0.5, 0.5}, {0.75, 0.25}, {0.25, 0.75}, {0.375, 0.375}, {0.875, 0.875}, {0.625, 0.125}, {0.125, 0.625}};
        // Tables count by Gray code; point i of ours is the table's point whose Gray code is i. The first two agree, within a block the order differs.
        for (int i = 0; i < start.length; i++) {
            int number = i ^ i >>> 1;
            assertThat(Integer.toUnsignedLong(Directions.sobolX(number)) * UNIT).isEqualTo(start[i][0]);
            assertThat(Integer.toUnsignedLong(Directions.sobolY(number)) * UNIT).isEqualTo(start[i][1]);
        }
    }

    @Test
    void sobolPointsBeyondTheTable_continueTheSequence() {
        // Points 1024 … 2047 are points 0 … 1023 with the same bit pattern added in each dimension.
        int x = Directions.sobolX(1024);
        int y = Directions.sobolY(1024);
        for (int i = 0; i < 1024; i++) {
            assertThat(Directions.sobolX(1024 + i)).isEqualTo(Directions.sobolX(i) ^ x);
            assertThat(Directions.sobolY(1024 + i)).isEqualTo(Directions.sobolY(i) ^ y);
        }
    }

    @Test
    void discrepancyOfSixtyFourPoints_isThePublishedOne() {
        // Warnock's formula for the L2 star discrepancy; 0.0128698496 was computed with an independent implementation.
        int n = 64;
        double[] x = new double[n];
        double[] y = new double[n];
        for (int i = 0; i < n; i++) {
            x[i] = Integer.toUnsignedLong(Directions.sobolX(i)) * UNIT;
            y[i] = Integer.toUnsignedLong(Directions.sobolY(i)) * UNIT;
        }
        double single = 0;
        double pairs = 0;
        for (int i = 0; i < n; i++) {
            single += (1 - x[i] * x[i]) * (1 - y[i] * y[i]);
            for (int j = 0; j < n; j++) {
                pairs += (1 - Math.max(x[i], x[j])) * (1 - Math.max(y[i], y[j]));
            }
        }
        double d2 = 1.0 / 9 - single / (2 * n) + pairs / ((double) n * n);
        assertThat(Math.sqrt(d2)).isCloseTo(0.0128698496, within(1e-10)); // as many digits as are given
    }

    @Test
    void everyElementaryInterval_holdsOnePoint_alsoAfterScrambling() {
        // Definition of a (0, 6, 2)-net (Niederreiter 1987); Owen's scrambling keeps it (Owen 1995). Also for later blocks of 64.
        Random random = new Random(3);
        for (int round = 0; round < 400; round++) {
            int seed = random.nextInt();
            int first = 64 * random.nextInt(32);
            for (int k = 0; k <= 6; k++) {
                long seen = 0;
                for (int i = first; i < first + 64; i++) {
                    int x = (int) (Directions.u(i, seed) * (1 << k));
                    int y = (int) (Directions.v(i, seed) * (1 << (6 - k)));
                    seen |= 1L << (x << (6 - k) | y);
                }
                assertThat(seen).as("seed %d, block %d, %d by %d", seed, first, 1 << k, 1 << (6 - k)).isEqualTo(-1L);
            }
        }
    }

    @Test
    void coordinates_areBelowOneAndUseTheirWholeRange() {
        Random random = new Random(4);
        float least = 1;
        float most = 0;
        for (int i = 0; i < 200_000; i++) {
            float u = Directions.u(i & 1023, random.nextInt());
            least = Math.min(least, u);
            most = Math.max(most, u);
        }
        assertThat(least).isNotNegative().isLessThan(1e-4f); // 200,000 draws: the least exceeds 1e-4 with probability e^-20
        assertThat(most).isLessThan(1f).isGreaterThan(1 - 1e-4f);
    }

    @Test
    void diskMapping_isTheConcentricOneWithTrigonometry() {
        // Shirley, Chiu 1997 with sine and cosine. The polynomials' worst error is 9e-8 (measured in double precision); coordinates, products
        // and sums in float add three roundings of 6e-8.
        float[] d = new float[3];
        double worst = 0;
        for (int seed = 0; seed < 200; seed++) {
            for (int i = 0; i < 256; i++) {
                Directions.about(i, seed, false, 0, 0, 1, d, 0);
                double a = 2.0 * Directions.u(i, seed) - 1;
                double b = 2.0 * Directions.v(i, seed) - 1;
                double r = Math.abs(b) > Math.abs(a) ? b : a;
                double angle = r == 0 ? 0 : Math.abs(b) > Math.abs(a) ? Math.PI / 2 - Math.PI / 4 * (a / b) : Math.PI / 4 * (b / a);
                worst = Math.max(worst, Math.abs(d[0] - r * Math.cos(angle)));
                worst = Math.max(worst, Math.abs(d[1] - r * Math.sin(angle)));
                double square = Math.sqrt(1 - r * r);
                // z = √(1 − r²) magnifies r's rounding by 1/z near the rim: compare z² there.
                assertThat((double) d[2] * d[2]).isCloseTo(square * square, within(3e-7));
            }
        }
        assertThat(worst).isLessThan(2.7e-7);
    }

    @Test
    void directions_haveUnitLengthAndLieAboveTheSurface_aboutAnyNormal() {
        Random random = new Random(5);
        float[] d = new float[5];
        float[][] special = {{0, 0, 1}, {0, 0, -1}, {1, 0, 0}, {0, -1, 0}, {0, 0, -0.99999994f}, {-0f, 0f, -1}, {1e-20f, 0, -1}};
        for (int i = 0; i < 100_000; i++) {
            float[] n = i < 7000 ? special[i % 7] : unit(random);
            Directions.about(i & 1023, i, (i & 1) == 0, n[0], n[1], n[2], d, 1);
            double length = Math.sqrt((double) d[1] * d[1] + (double) d[2] * d[2] + (double) d[3] * d[3]);
            double up = (double) d[1] * n[0] + (double) d[2] * n[1] + (double) d[3] * n[2];
            assertThat(d[0]).isZero();
            assertThat(d[4]).isZero();
            // 3e-7 is the promise; 2.75e-7 is the worst of four million. By as much it may dip below the plane.
            if (!(Math.abs(length - 1) < 3e-7 && up > -3e-7)) {
                throw new AssertionError("length %s, up %s about (%s, %s, %s)".formatted(length, up, n[0], n[1], n[2]));
            }
        }
    }

    @Test
    void basis_isRightHandedAndOrthonormal() {
        // Duff et al. 2017: images of fixed local directions keep their angles with the normal and with each other.
        Random random = new Random(6);
        float[] a = new float[3];
        float[] b = new float[3];
        float[] flat = new float[3];
        float[] flatB = new float[3];
        for (int i = 0; i < 20_000; i++) {
            float[] n = unit(random);
            Directions.about(3, i, false, n[0], n[1], n[2], a, 0);
            Directions.about(5, i, false, n[0], n[1], n[2], b, 0);
            Directions.about(3, i, false, 0, 0, 1, flat, 0);
            Directions.about(5, i, false, 0, 0, 1, flatB, 0);
            assertThat(dot(a, b)).isCloseTo(dot(flat, flatB), within(1e-6));
            assertThat(dot(a, n)).isCloseTo(flat[2], within(1e-6));
            double handed = n[0] * ((double) a[1] * b[2] - (double) a[2] * b[1]) + n[1] * ((double) a[2] * b[0] - (double) a[0] * b[2])
                    + n[2] * ((double) a[0] * b[1] - (double) a[1] * b[0]);
            assertThat(handed).isCloseTo((double) flat[0] * flatB[1] - (double) flat[1] * flatB[0], within(1e-6));
        }
    }

    @Test
    void moments_areThoseOfTheDistributions() {
        // Cosine: E z = 2/3, E z² = 1/2, E x² = 1/4, E x⁴ = 1/8, E x²y² = 1/24. Uniform: E z = 1/2, E z² = E x² = 1/3, E x²y² = 1/15. Integrals by hand.
        double[][] exact = {{2.0 / 3, 0.5, 0.25, 0.125, 1.0 / 24}, {0.5, 1.0 / 3, 1.0 / 3, 0.2, 1.0 / 15}};
        float[] d = new float[3];
        int seeds = 512;
        int points = 1024;
        for (int distribution = 0; distribution < 2; distribution++) {
            double[] sum = new double[7];
            for (int seed = 0; seed < seeds; seed++) {
                for (int i = 0; i < points; i++) {
                    Directions.about(i, seed, distribution == 1, 0, 0, 1, d, 0);
                    double x2 = (double) d[0] * d[0];
                    double y2 = (double) d[1] * d[1];
                    sum[0] += d[2];
                    sum[1] += (double) d[2] * d[2];
                    sum[2] += x2;
                    sum[3] += x2 * x2;
                    sum[4] += x2 * y2;
                    sum[5] += d[0];
                    sum[6] += d[1];
                }
            }
            double n = (double) seeds * points;
            for (int k = 0; k < 5; k++) {
                // Smooth integrands over scrambled nets: a net of 1024 errs by some 1e-4 at most, the mean of 512 by some 1e-5.
                assertThat(sum[k] / n).as("moment %d of distribution %d", k, distribution).isCloseTo(exact[distribution][k], within(2e-5));
            }
            assertThat(sum[5] / n).isCloseTo(0, within(2e-5));
            assertThat(sum[6] / n).isCloseTo(0, within(2e-5));
        }
    }

    @Test
    void seeds_ofNeighbouringTexels_areUncorrelated() {
        // Correlation of the first point of neighbours: 512² pairs have a standard error of 0.002.
        int size = 512;
        for (int[] offset : new int[][] {{1, 0}, {0, 1}, {1, 1}, {2, 0}, {0, 64}}) {
            double sum = 0;
            for (int y = 0; y < size; y++) {
                for (int x = 0; x < size; x++) {
                    double a = Directions.u(0, Directions.texelSeed(x, y)) - 0.5;
                    double b = Directions.u(0, Directions.texelSeed(x + offset[0], y + offset[1])) - 0.5;
                    sum += a * b;
                }
            }
            assertThat(sum / size / size * 12).isCloseTo(0, within(0.01)); // five standard errors
        }
    }

    @Test
    void bits_areTheSameEverywhere() {
        // Order-free sum over 65,536 directions: what a vector twin or a device must reproduce. Golden: recorded from this code.
        long hash = 0;
        float[] d = new float[3];
        for (int i = 0; i < 1 << 16; i++) {
            int seed = Directions.texelSeed(i & 255, i >>> 8);
            float z = (Directions.u(7, ~seed) - 0.5f) * 1.9f;
            float s = (float) Math.sqrt(1f - z * z);
            Directions.about(i & 255, seed, (i & 1) == 1, s * 0.6f, s * -0.8f, z, d, 0);
            for (int k = 0; k < 3; k++) {
                hash += Directions.mix(Float.floatToRawIntBits(d[k]) + 31 * k) & 0xffffffffL;
            }
        }
        assertThat(Long.toHexString(hash)).isEqualTo("17ffc80246c8a");
    }

    private static double dot(float[] a, float[] b) {
        return (double) a[0] * b[0] + (double) a[1] * b[1] + (double) a[2] * b[2];
    }

    private static float[] unit(Random random) {
        double x;
        double y;
        double z;
        double l;
        do {
            x = random.nextDouble() * 2 - 1;
            y = random.nextDouble() * 2 - 1;
            z = random.nextDouble() * 2 - 1;
            l = Math.sqrt(x * x + y * y + z * z);
        } while (l > 1 || l < 0.1);
        return new float[] {(float) (x / l), (float) (y / l), (float) (z / l)};
    }
}
