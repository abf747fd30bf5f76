package org.estampage.internal.kernel;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Arrays;
import java.util.Locale;
import java.util.Random;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;

/** The vector twin against {@link Directions}, which is the specification: bit by bit. */
@Tag("vector")
class VectorDirectionsTest {
    private static final float[][] SPECIAL = {{0, 0, 1}, {0, 0, -1}, {1, 0, 0}, {0, -1, 0}, {0, 0, -0.99999994f}, {-0f, 0f, -1},
            {1e-20f, 0, -1}, {0.6f, 0.8f, -0f}, {0, 0, 0}};

    @Test
    void directions_haveTheSameBits_atAllLengths() {
        int lanes = VectorDirections.LANES;
        for (int count : new int[] {0, 1, lanes - 1, lanes, lanes + 1, 2 * lanes + 3, 333, 1024}) {
            for (int uniform = 0; uniform < 2; uniform++) {
                check(count, uniform == 1, 17 * count + uniform);
            }
        }
    }

    @Test
    void directions_haveTheSameBits_forManySeedsAndNormals() {
        for (int round = 0; round < 400; round++) {
            check(1000, (round & 1) == 1, round);
        }
    }

    @Test
    void centreOfTheDisk_isTheNormal() {
        // Points whose two coordinates are exactly ½, found by running the hash backwards: radius 0, where the quotient of coordinates is 0 / 0.
        int[] number = new int[VectorDirections.LANES];
        int[] seed = new int[VectorDirections.LANES];
        float[] none = new float[VectorDirections.LANES];
        float[] x = none.clone(), y = none.clone(), z = none.clone(), up = none.clone();
        Arrays.fill(number, 1525900306);
        Arrays.fill(seed, 8574);
        Arrays.fill(up, 1);
        assertThat(Directions.u(number[0], seed[0])).isEqualTo(0.5f).isEqualTo(Directions.v(number[0], seed[0]));
        VectorDirections.about(x.length, number, seed, false, none, none, up, x, y, z, new float[3]);
        assertThat(x).containsOnly(0);
        assertThat(y).containsOnly(0);
        assertThat(z).containsOnly(1);
    }

    private static void check(int count, boolean uniform, int randomSeed) {
        Random random = new Random(randomSeed);
        int room = count + 2;
        int[] number = new int[room];
        int[] seed = new int[room];
        float[] nx = new float[room], ny = new float[room], nz = new float[room];
        for (int i = 0; i < room; i++) {
            number[i] = switch (random.nextInt(8)) {
                case 0 -> random.nextInt(); // beyond any sensible sequence, the sign bit included
                case 1 -> 1024 + random.nextInt(65536);
                default -> random.nextInt(1024);
            };
            seed[i] = random.nextInt(4) == 0 ? i : random.nextInt();
            double x = random.nextGaussian(), y = random.nextGaussian(), z = random.nextGaussian(), l = Math.sqrt(x * x + y * y + z * z);
            boolean special = random.nextInt(8) == 0;
            float[] s = SPECIAL[random.nextInt(SPECIAL.length)];
            nx[i] = special ? s[0] : (float) (x / l);
            ny[i] = special ? s[1] : (float) (y / l);
            nz[i] = special ? s[2] : (float) (z / l);
        }
        float[] dx = new float[room], dy = new float[room], dz = new float[room];
        Arrays.fill(dx, 7);
        VectorDirections.about(count, number, seed, uniform, nx, ny, nz, dx, dy, dz, new float[3]);
        float[] d = new float[3];
        for (int i = 0; i < count; i++) {
            Directions.about(number[i], seed[i], uniform, nx[i], ny[i], nz[i], d, 0);
            if (bits(dx[i]) != bits(d[0]) || bits(dy[i]) != bits(d[1]) || bits(dz[i]) != bits(d[2])) {
                throw new AssertionError(String.format(Locale.ROOT,
                        "point %d of %d about (%s, %s, %s), uniform %s: (%s, %s, %s), specified (%s, %s, %s)", number[i],
                        seed[i], nx[i], ny[i], nz[i], uniform, dx[i], dy[i], dz[i], d[0], d[1], d[2]));
            }
        }
        assertThat(dx[count]).isEqualTo(7); // nothing is written beyond
    }

    private static int bits(float f) {
        return Float.floatToIntBits(f); // NaNs alike, zeros with their signs
    }
}
