package org.estampage.cage;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.Random;
import org.junit.jupiter.api.Test;

class PrismsTest {
    @Test
    void leastOnUnitInterval_isThatOfManySamples() {
        Random random = new Random(1);
        for (int round = 0; round < 2000; round++) {
            double a = random.nextGaussian(), b = random.nextGaussian(), c = random.nextGaussian();
            double least = Double.POSITIVE_INFINITY;
            for (int i = 0; i <= 1000; i++) {
                double t = i / 1000.0;
                least = Math.min(least, a + b * t + c * t * t);
            }
            // a sample lies within 1/2000 of the lowest point, where the parabola is flat: c/2000² ≤ 2e-6
            assertThat(Prisms.leastOnUnitInterval(a, b, c)).isCloseTo(least, within(2e-6)).isLessThanOrEqualTo(least);
        }
    }

    @Test
    void straightPrism_hasTheCosineOfItsDirection() {
        double[] p = {0, 0, 0, 1, 0, 0, 0, 1, 0};
        double s = Math.sqrt(0.5);
        double[] d = {s, 0, s, s, 0, s, s, 0, s};
        double[] moves = {3 * s, 0, 3 * s, 3 * s, 0, 3 * s, 3 * s, 0, 3 * s};
        assertThat(Prisms.least(p, moves, d, 0, 1, 2)).isCloseTo(s, within(1e-15));
    }

    @Test
    void cone_foldsAtItsTip() {
        // all corners move towards a point one above the centre: at height t the area is (1 − t)² of the triangle's
        double[] p = {1, 0, 0, -0.5, Math.sqrt(0.75), 0, -0.5, -Math.sqrt(0.75), 0};
        double[] d = new double[9];
        double[] moves = new double[9];
        for (double far : new double[] {0.5, 0.9, 1.1}) {
            for (int k = 0; k < 3; k++) {
                double s = Math.sqrt(0.5);
                d[3 * k] = -s * p[3 * k];
                d[3 * k + 1] = -s * p[3 * k + 1];
                d[3 * k + 2] = s;
                for (int x = 0; x < 3; x++) {
                    moves[3 * k + x] = far / s * d[3 * k + x];
                }
            }
            double expected = far < 1 ? (1 - far) * (1 - far) * Math.sqrt(0.5) : 0;
            assertThat(Prisms.least(p, moves, d, 0, 1, 2)).isCloseTo(expected, within(1e-15)); // rounding
        }
    }

    @Test
    void positiveLeast_meansThatNoCellOfThePrismIsTurnedOver() {
        Random random = new Random(2);
        int folded = 0, sound = 0;
        for (int round = 0; round < 500; round++) {
            double[] p = new double[9], d = new double[9], moves = new double[9];
            for (int k = 0; k < 9; k++) {
                p[k] = random.nextGaussian();
                moves[k] = 0.7 * random.nextGaussian();
            }
            double[] n = new double[3];
            Shell.unitNormal(p, 0, 1, 2, n, 0);
            for (int k = 0; k < 3; k++) {
                double length = 0;
                for (int x = 0; x < 3; x++) {
                    moves[3 * k + x] += n[x];
                    length += moves[3 * k + x] * moves[3 * k + x];
                }
                for (int x = 0; x < 3; x++) {
                    d[3 * k + x] = moves[3 * k + x] / Math.sqrt(length);
                }
            }
            double least = smallestJacobian(p, moves);
            double ours = Prisms.least(p, moves, d, 0, 1, 2);
            if (ours > 0) {
                sound++;
                assertThat(least).isPositive();
            } else if (least < 0) {
                folded++;
            }
        }
        assertThat(folded).isGreaterThan(50);
        assertThat(sound).isGreaterThan(50);
    }

    /** By central differences of the map from barycentrics and height to space. */
    private static double smallestJacobian(double[] p, double[] moves) {
        double least = Double.POSITIVE_INFINITY;
        double e = 1e-5;
        for (int i = 0; i <= 6; i++) {
            for (int j = 0; i + j <= 6; j++) {
                for (int h = 0; h <= 40; h++) {
                    double b = i / 6.0, c = j / 6.0, t = h / 40.0;
                    double[] u = difference(p, moves, b + e, c, t, b - e, c, t);
                    double[] v = difference(p, moves, b, c + e, t, b, c - e, t);
                    double[] w = difference(p, moves, b, c, t + e, b, c, t - e);
                    double det = w[0] * (u[1] * v[2] - u[2] * v[1]) + w[1] * (u[2] * v[0] - u[0] * v[2])
                            + w[2] * (u[0] * v[1] - u[1] * v[0]);
                    least = Math.min(least, det);
                }
            }
        }
        return least;
    }

    private static double[] difference(double[] p, double[] moves, double b, double c, double t, double b2, double c2, double t2) {
        double[] out = new double[3];
        for (int x = 0; x < 3; x++) {
            out[x] = at(p, moves, b, c, t, x) - at(p, moves, b2, c2, t2, x);
        }
        return out;
    }

    private static double at(double[] p, double[] moves, double b, double c, double t, int x) {
        return (1 - b - c) * (p[x] + t * moves[x]) + b * (p[3 + x] + t * moves[3 + x]) + c * (p[6 + x] + t * moves[6 + x]);
    }
}
