package org.estampage.cage;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.Random;
import org.junit.jupiter.api.Test;

class NormalConesTest {
    private static double worst(double[] vectors, double x, double y, double z) {
        double worst = Double.POSITIVE_INFINITY;
        for (int i = 0; i < vectors.length; i += 3) {
            worst = Math.min(worst, vectors[i] * x + vectors[i + 1] * y + vectors[i + 2] * z);
        }
        return worst;
    }

    private static double[] centre(double[] vectors) {
        int[] members = new int[vectors.length / 3];
        for (int i = 0; i < members.length; i++) {
            members[i] = i;
        }
        double[] c = new double[4];
        c[3] = new NormalCones().centre(vectors, members, 0, members.length, c, 0);
        return c;
    }

    private static double[] random(Random random, int count, double spread) {
        double[] v = new double[3 * count];
        for (int i = 0; i < count; i++) {
            double x = spread * random.nextGaussian(), y = spread * random.nextGaussian(), z = 1;
            double length = Math.sqrt(x * x + y * y + z * z);
            v[3 * i] = x / length;
            v[3 * i + 1] = y / length;
            v[3 * i + 2] = z / length;
        }
        return v;
    }

    @Test
    void oneVector_isItsOwnCentre() {
        assertThat(centre(new double[] {0, 0.6, 0.8})).containsExactly(0, 0.6, 0.8, 1);
    }

    @Test
    void perpendicularVectors_haveTheDiagonal() {
        double d = 1 / Math.sqrt(3);
        double[] c = centre(new double[] {1, 0, 0, 0, 1, 0, 0, 0, 1, 1, 0, 0});
        for (int k = 0; k < 4; k++) {
            assertThat(c[k]).isCloseTo(d, within(1e-15)); // a few roundings
        }
    }

    @Test
    void vectorsInTheMiddle_changeNothing() {
        // two vectors 80° apart fix the cap; what lies between does not matter, however often
        double[] v = new double[3 * 42];
        for (int i = 0; i < 42; i++) {
            double angle = Math.toRadians(i < 40 ? -10 + i * 0.5 : i == 40 ? -40 : 40);
            v[3 * i] = Math.sin(angle);
            v[3 * i + 2] = Math.cos(angle);
        }
        double[] c = centre(v);
        assertThat(c[0]).isCloseTo(0, within(1e-15));
        assertThat(c[2]).isCloseTo(1, within(1e-15));
        assertThat(c[3]).isCloseTo(Math.cos(Math.toRadians(40)), within(1e-15));
    }

    @Test
    void noDirectionNearOrFar_isBetter() {
        Random random = new Random(3);
        for (int round = 0; round < 200; round++) {
            double[] v = random(random, 1 + random.nextInt(12), 0.2 + random.nextDouble());
            double[] c = centre(v);
            assertThat(c[3]).isPositive().isEqualTo(worst(v, c[0], c[1], c[2]));
            for (int trial = 0; trial < 300; trial++) {
                double step = Math.pow(10, -6 * random.nextDouble());
                double x = c[0] + step * random.nextGaussian(), y = c[1] + step * random.nextGaussian(),
                        z = c[2] + step * random.nextGaussian();
                double length = Math.sqrt(x * x + y * y + z * z);
                assertThat(worst(v, x / length, y / length, z / length)).isLessThanOrEqualTo(c[3] + 1e-12); // rounding
            }
        }
    }

    @Test
    void vectorsOnBothSides_haveNoDirection() {
        assertThat(centre(new double[] {0, 0, 1, 0, 0, -1})[3]).isLessThanOrEqualTo(0);
        double[] tetrahedron = {1, 1, 1, 1, -1, -1, -1, 1, -1, -1, -1, 1};
        for (int i = 0; i < 12; i++) {
            tetrahedron[i] /= Math.sqrt(3);
        }
        double[] c = centre(tetrahedron);
        assertThat(c[3]).isLessThanOrEqualTo(0);
        assertThat(c[0] * c[0] + c[1] * c[1] + c[2] * c[2]).isCloseTo(1, within(1e-12)); // still a unit vector
    }
}
