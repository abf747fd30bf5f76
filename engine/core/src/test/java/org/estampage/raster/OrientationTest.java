package org.estampage.raster;

import static org.assertj.core.api.Assertions.assertThat;

import java.math.BigDecimal;
import java.util.Random;
import org.junit.jupiter.api.Test;

class OrientationTest {
    private static BigDecimal exact(double ax, double ay, double bx, double by, double sx, double sy) {
        BigDecimal x = new BigDecimal(sx);
        BigDecimal y = new BigDecimal(sy);
        return new BigDecimal(ax).subtract(x).multiply(new BigDecimal(by).subtract(y))
                .subtract(new BigDecimal(ay).subtract(y).multiply(new BigDecimal(bx).subtract(x)));
    }

    /** Checks both methods; returns whether plain arithmetic gets the sign wrong. */
    private static boolean check(double ax, double ay, double bx, double by, double sx, double sy) {
        BigDecimal d = exact(ax, ay, bx, by, sx, sy);
        assertThat(Math.signum(Orientation.sign(ax, ay, bx, by, sx, sy))).isEqualTo(d.signum());
        double value = Orientation.value(ax, ay, bx, by, sx, sy);
        // The promise of value(): 4e−10 of itself.
        assertThat(new BigDecimal(value).subtract(d).abs()).isLessThanOrEqualTo(d.abs().multiply(new BigDecimal("4e-10")));
        // Swapping the line's ends, or turning the three points round, changes the sign or nothing.
        assertThat(Math.signum(Orientation.sign(bx, by, ax, ay, sx, sy))).isEqualTo(-d.signum());
        assertThat(Math.signum(Orientation.sign(bx, by, sx, sy, ax, ay))).isEqualTo(d.signum());
        return Math.signum((ax - sx) * (by - sy) - (ay - sy) * (bx - sx)) != d.signum();
    }

    @Test
    void sign_aroundALineOfFloatSteps_isExact() {
        // The figure by which plain arithmetic is known to fail: points a few roundings around (½, ½) against the line (12, 12), (24, 24).
        // Kettner, Mehlhorn, Pion, Schirra, Yap, Classroom Examples of Robustness Problems in Geometric Computations, 2004 (from memory).
        int wrong = 0;
        for (int i = 0; i < 64; i++) {
            for (int j = 0; j < 64; j++) {
                wrong += check(12, 12, 24, 24, 0.5 + i * 0x1p-53, 0.5 + j * 0x1p-53) ? 1 : 0;
            }
        }
        assertThat(wrong).as("plain arithmetic fails here, or this test shows nothing").isPositive();
    }

    @Test
    void sign_ofScaledFloatsAndOddSamples_isExact() {
        Random random = new Random(5);
        for (int i = 0; i < 20_000; i++) {
            double scale = 2.0 * 3 * (1 + random.nextInt(4096));
            double ax = random.nextFloat() * scale;
            double ay = random.nextFloat() * scale;
            int sx = 2 * random.nextInt((int) scale / 2) + 1;
            int sy = 2 * random.nextInt((int) scale / 2) + 1;
            // Beyond the sample on the line from a, rounded to a float times the scale again: as near to the line as UVs come.
            double t = 1 + random.nextInt(3);
            double bx = (float) ((sx + t * (sx - ax)) / scale) * scale;
            double by = (float) ((sy + t * (sy - ay)) / scale) * scale;
            check(ax, ay, bx, by, sx, sy);
        }
    }

    @Test
    void sign_withEndsNearlyAtZeroOrFarAway_isExact() {
        // Here the differences are not exact, and decimals decide.
        Random random = new Random(6);
        int wrong = 0;
        for (int i = 0; i < 5_000; i++) {
            double tiny = Math.scalb(1 + random.nextDouble(), -60 - random.nextInt(60)) * (random.nextBoolean() ? 1 : -1);
            int far = 2 * random.nextInt(1 << 20) + 1;
            wrong += check(tiny, 0, 2.0 * far, 2.0 * far, far, far) ? 1 : 0;
            wrong += check(0, tiny, far, 3.0 * far, 1, 3) ? 1 : 0;
        }
        assertThat(wrong).as("plain arithmetic fails here, or this test shows nothing").isPositive();
        check(-1e38, -1e38, 1e38, 1e38, 1, 1);
        check(-1e38, -1e38, 1e38, 1e38, 1, 3);
        check(1e-45, 0, 3e-45, 1e-45, 1, 1);
    }

    @Test
    void sign_ofEqualPoints_isZero() {
        assertThat(Orientation.sign(1, 2, 1, 2, 5, 7)).isZero();
        assertThat(Orientation.sign(1, 2, 5, 7, 1, 2)).isZero();
        assertThat(Orientation.sign(0, 0, 0, 0, 0, 0)).isZero();
    }
}
