package org.estampage.internal.kernel;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import org.junit.jupiter.api.Test;

/** The triangle test alone. */
class WatertightRayTest {
    @Test
    void distance_isRightAtEveryScaleOfTheMeshAndOfTheDirection() {
        // Worked by hand: the plane z = 8 is met at x = 0.25, y = 0.5 along (1, 2, 64) from (0.125, 0.25, 0), after 1/8. Far enough not to be a needle. Powers of two keep every number exact, so
        // the answer is exact wherever products of two lengths, and that with t, stay in the range of floats: 2^±60 leaves room for that.
        float[] triangle = {0, 0, 8, 1, 0, 8, 0, 1, 8};
        int looked = 0;
        for (int size = -60; size <= 60; size += 3) {
            float[] v = new float[9];
            for (int i = 0; i < 9; i++) {
                v[i] = Math.scalb(triangle[i], size);
            }
            for (int length = -99; length <= 93; length += 3) {
                if (Math.abs(size - length) > 120) {
                    continue; // t itself is no float, or not a normal one
                }
                WatertightRay ray = new WatertightRay();
                assertThat(ray.set(Math.scalb(0.125f, size), Math.scalb(0.25f, size), 0, Math.scalb(1f, length), Math.scalb(2f, length),
                        Math.scalb(64f, length), 0, Float.POSITIVE_INFINITY, 0)).isTrue();
                assertThat(ray.hit(v, 0, 3, 6, ray.tMax)).as("mesh 2^%d, direction 2^%d", size, length).isTrue();
                // Where numbers leave the range the distance is only known to lie within the padded box: 2⁻¹⁹ and its rounding.
                assertThat(ray.t / Math.scalb(0.125, size - length)).as("mesh 2^%d, direction 2^%d", size, length).isCloseTo(1,
                        within(0x1p-18));
                assertThat(ray.b1).isEqualTo(0.25f);
                assertThat(ray.b2).isEqualTo(0.5f);
                looked++;
            }
        }
        assertThat(looked).isGreaterThan(2000);
    }
}
