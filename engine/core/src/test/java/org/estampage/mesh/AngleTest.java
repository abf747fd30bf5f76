package org.estampage.mesh;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Random;
import org.junit.jupiter.api.Test;

class AngleTest {
    /** Reference: the JDK's fdlibm arc tangent, good to two units in the last place. */
    @Test
    void anyRatio_agreesWithFdlibmWithinTheStatedError() {
        Random random = new Random(3);
        double worst = 0;
        for (int i = 0; i < 200_000; i++) {
            double scale = StrictMath.exp(200 * (random.nextDouble() - 0.5));
            double s = random.nextDouble() * scale, c = (2 * random.nextDouble() - 1) * (i % 3 == 0 ? scale * 1e-6 : scale);
            worst = Math.max(worst, Math.abs(Angle.of(s, c) - StrictMath.atan2(s, c)));
        }
        assertThat(worst).isLessThan(Angle.MAX_ERROR);
    }

    @Test
    void cardinalDirections_areExact() {
        assertThat(Angle.of(0, 1)).isZero();
        assertThat(Angle.of(1, 0)).isEqualTo(Math.PI / 2);
        assertThat(Angle.of(0, -1)).isEqualTo(Math.PI);
        assertThat(Angle.of(0, 0)).isZero();
        assertThat(Angle.of(2, 2)).isEqualTo(Math.PI / 4);
    }
}
