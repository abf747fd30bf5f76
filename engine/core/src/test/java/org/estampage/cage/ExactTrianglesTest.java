package org.estampage.cage;

import static org.assertj.core.api.Assertions.assertThat;

import java.math.BigInteger;
import java.util.Random;
import org.junit.jupiter.api.Test;

class ExactTrianglesTest {
    private static boolean meet(float... xyz) {
        return ExactTriangles.meet(xyz, 0, 3, 6, xyz, 9, 12, 15);
    }

    @Test
    void trianglesThatOnlyTouch_meet() {
        float[] floor = {0, 0, 0, 4, 0, 0, 0, 4, 0};
        assertThat(meet(with(floor, 1, 1, 0, 1, 1, 3, 2, 1, 3))).as("a corner on the face").isTrue();
        assertThat(meet(with(floor, 0, 0, 0, 0, 0, 3, -2, 0, 3))).as("a corner on a corner").isTrue();
        assertThat(meet(with(floor, 2, -1, 1, 2, 1, -1, 2, -1, -1))).as("an edge through an edge").isTrue();
        assertThat(meet(with(floor, 1, 1, Float.MIN_VALUE, 1, 1, 3, 2, 1, 3))).as("the least float above the face").isFalse();
    }

    @Test
    void trianglesInOnePlane_meetWhereTheyOverlap() {
        float[] floor = {0, 0, 0, 4, 0, 0, 0, 4, 0};
        assertThat(meet(with(floor, 0.5f, 0.5f, 0, 1, 0.5f, 0, 0.5f, 1, 0))).as("one inside the other").isTrue();
        assertThat(meet(with(floor, -1, -1, 0, 9, -1, 0, -1, 9, 0))).as("the other way round").isTrue();
        assertThat(meet(with(floor, -1, 1, 0, 5, 1, 0, 5, 1.5f, 0))).as("edges cross, no corner inside").isTrue();
        assertThat(meet(with(floor, 3, 3, 0, 4, 3, 0, 3, 4, 0))).as("side by side").isFalse();
        assertThat(meet(with(floor, 4, 0, 0, 6, 0, 0, 5, 1, 0))).as("a common corner").isTrue();
    }

    @Test
    void triangleWithoutArea_meetsNothing() {
        assertThat(meet(0, 0, 0, 4, 0, 0, 0, 4, 0, 1, 1, -1, 1, 1, 1, 1, 1, 3)).isFalse();
    }

    /** Whole numbers below 2²⁰ are floats without rounding, and their determinants fit in big integers: an oracle in another arithmetic. */
    @Test
    void orientation_ofWholeNumbers_isTheSignOfTheWholeDeterminant() {
        Random random = new Random(3);
        int zeros = 0;
        for (int trial = 0; trial < 20_000; trial++) {
            int span = trial % 2 == 0 ? 2 : 1 << 19; // small ones often lie in one plane
            float[] p = new float[12];
            for (int i = 0; i < 12; i++) {
                p[i] = random.nextInt(2 * span + 1) - span;
            }
            if (trial % 4 == 1) { // d between a and b, moved by at most one unit: nearly in the plane
                for (int k = 0; k < 3; k++) {
                    p[9 + k] = (float) Math.rint(0.5 * ((double) p[k] + p[3 + k])) + random.nextInt(2);
                }
            }
            int sign = whole(p);
            assertThat(ExactTriangles.orientation(p, 0, 3, 6, p, 9)).isEqualTo(sign);
            zeros += sign == 0 ? 1 : 0;
        }
        assertThat(zeros).isPositive(); // the hard case occurred
    }

    private static int whole(float[] p) {
        BigInteger[] m = new BigInteger[9];
        for (int i = 0; i < 9; i++) {
            m[i] = BigInteger.valueOf((long) p[i] - (long) p[9 + i % 3]);
        }
        BigInteger det = BigInteger.ZERO;
        for (int k = 0; k < 3; k++) { // along the first row
            int i = (k + 1) % 3, j = (k + 2) % 3;
            det = det.add(m[k].multiply(m[3 + i].multiply(m[6 + j]).subtract(m[3 + j].multiply(m[6 + i]))));
        }
        return det.signum();
    }

    private static float[] with(float[] first, float... second) {
        float[] all = new float[18];
        System.arraycopy(first, 0, all, 0, 9);
        System.arraycopy(second, 0, all, 9, 9);
        return all;
    }
}
