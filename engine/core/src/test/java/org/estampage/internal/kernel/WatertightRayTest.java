package org.estampage.internal.kernel;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** The triangle test alone. */
class WatertightRayTest {
    /**
     * Rays and triangles, origin, direction, corners, whose hits rounding takes farthest out of the triangle's own box. No triangle is a needle by
     * {@link WatertightRay#NEEDLE}, but each nearly is, stands in a plane x = const, and is met at a slope of almost 1, where errors of the weights and of t
     * go into x in full; the numbers lie just above powers of two, where an ulp is largest beside M. Found by climbing from 1,500 random starts of that
     * shape: half of them ended above 7·e·M, three above 14.
     */
    private static final float[][] ROUNDED_OUT = {
            {-4.904866E-4f, -1.4905937E-5f, -1.1623089E-4f, 0.9658186f, 0.7368452f, 1.0027441f, 1.0209495f, 0.73560655f, 1.2448227f,
                    1.0209495f, 0.8263492f, 0.85489917f, 1.0209495f, 0.7422722f, 1.2362301f},
            {1.4719366E-4f, 3.3712972E-6f, 0.022554208f, 0.9841169f, -0.8352828f, 1.0000496f, 0.9855876f, -0.8348057f, 1.2083744f,
                    0.9855876f, -0.84072423f, 0.8090217f, 0.9855876f, -0.8354432f, 0.80899626f},
            {-4.0286782E-4f, 1.96E-43f, 1.2784576E-6f, 0.9566385f, -0.7602974f, 1.0000006f, 1.0000733f, -0.79378504f, 1.0525949f,
                    1.0000733f, -0.7964995f, 1.0390319f, 1.0000733f, -0.7937921f, 1.0525341f}};

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

    @Test
    void hitThatRoundingTakesOutOfTheTrianglesBox_staysWithinThePaddedOne() {
        double farthest = 0;
        for (float[] c : ROUNDED_OUT) {
            float[] v = Arrays.copyOfRange(c, 6, 15);
            WatertightRay ray = new WatertightRay();
            assertThat(ray.set(c[0], c[1], c[2], c[3], c[4], c[5], 0, Float.POSITIVE_INFINITY, 0)).isTrue();
            assertThat(ray.hit(v, 0, 3, 6, ray.tMax)).isTrue();
            float reach = 0;
            double outside = 0;
            for (int i = 0; i < 9; i++) {
                reach = Math.max(reach, Math.abs(v[i] - c[i % 3]));
            }
            for (int axis = 0; axis < 3; axis++) {
                float low = Math.min(Math.min(v[axis], v[3 + axis]), v[6 + axis]);
                float high = Math.max(Math.max(v[axis], v[3 + axis]), v[6 + axis]);
                // A product of two floats is exact in double precision; the sum is off by 2⁻⁵³.
                double place = c[axis] + (double) ray.t * c[3 + axis];
                outside = Math.max(outside, Math.max(low - place, place - high));
                // As any box test does it: entered before, left after.
                float pad = Math.copySign(WatertightRay.pad(reach, c[axis]), c[3 + axis]);
                float near = c[3 + axis] < 0 ? high : low;
                float far = c[3 + axis] < 0 ? low : high;
                float inverse = 1 / c[3 + axis];
                assertThat((near - (c[axis] + pad)) * inverse).as("entered, axis %d", axis).isLessThan(ray.t);
                assertThat((far - (c[axis] - pad)) * inverse).as("left, axis %d", axis).isGreaterThan(ray.t);
            }
            // Beyond the 9·e·M of rounding alone: the pad needs what it has for weights.
            assertThat(outside / (0x1p-24 * reach)).isGreaterThan(12);
            farthest = Math.max(farthest, outside / (0x1p-24 * reach));
        }
        // A quarter of the pad would not do.
        assertThat(farthest).isBetween(16.0, 52.0);
    }

    @Test
    void pad_isNoLessThanWhatItsDerivationSumsUp() {
        // In units of e, as derived at NEEDLE: three weights, 9·s³/|det| with s³/|det| < z/NEEDLE; sheared vertices 6; t 9; the slab 3. No drawn ray comes
        // near that sum, so that a pad of half the size would pass all other tests.
        double most = 9 / WatertightRay.NEEDLE + 6 + 9 + 3 * (1 + WatertightRay.PAD);
        assertThat(WatertightRay.PAD / 0x1p-24).isGreaterThanOrEqualTo(most);
    }
}
