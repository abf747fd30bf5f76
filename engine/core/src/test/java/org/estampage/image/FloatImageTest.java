package org.estampage.image;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.Random;
import org.estampage.task.MemoryBudget;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class FloatImageTest {
    @ParameterizedTest
    @ValueSource(longs = {0, Long.MAX_VALUE})
    void regions_acrossTileBorders_comeBackAsWritten(long budget) {
        FloatImage image = FloatImage.create(300, 141, Encoding.normal(), MemoryBudget.ofBytes(budget));
        float[][][] expected = new float[141][300][3];
        Random random = new Random(7);
        for (int round = 0; round < 40; round++) {
            int w = 1 + random.nextInt(200), h = 1 + random.nextInt(100);
            int x = random.nextInt(300 - w + 1), y = random.nextInt(141 - h + 1);
            float[] block = new float[w * h * 3];
            for (int i = 0; i < block.length; i++) {
                block[i] = random.nextFloat();
                expected[y + i / (3 * w)][x + i / 3 % w][i % 3] = block[i];
            }
            image.write(x, y, w, h, block);
        }
        float[] all = image.read(0, 0, 300, 141, new float[300 * 141 * 3]);
        for (int i = 0; i < all.length; i++) {
            int x = i / 3 % 300, y = i / 900, c = i % 3;
            assertThat(all[i]).isEqualTo(expected[y][x][c]);
            assertThat(image.get(x, y, c)).isEqualTo(all[i]);
        }
    }

    @Test
    void region_outside_isRefused() {
        FloatImage image = FloatImage.create(4, 4, Encoding.normal());
        assertThatThrownBy(() -> image.read(2, 0, 3, 1, new float[9])).isInstanceOf(IndexOutOfBoundsException.class);
        assertThatThrownBy(() -> image.write(0, 0, 2, 2, new float[11])).isInstanceOf(IllegalArgumentException.class);
    }

    @Test
    void quantise_flatNormal_isTheCustomaryTriple() {
        // Common practice, no source: a flat tangent-space normal is 128, 128, 255 in 8 bits.
        Encoding normal = Encoding.normal();
        assertThat(new int[] {normal.quantise(0, 0, 8), normal.quantise(1, 0, 8), normal.quantise(2, 1, 8)}).containsExactly(128, 128, 255);
    }

    @Test
    void quantise_sineWaveNormal_hasTheComputedCodes() {
        // z = A sin(2πkx) with Ak = 0.1: n(0) = (−2π·0.1, 0, 1)/√(1 + (2π·0.1)²), computed by hand.
        Encoding normal = Encoding.normal();
        float[] n = {-0.5320180445f, 0, 0.8467330160f};
        assertThat(new int[] {normal.quantise(0, n[0], 8), normal.quantise(1, n[1], 8), normal.quantise(2, n[2], 8)}).containsExactly(60,
                128,
                235);
        assertThat(new int[] {normal.quantise(0, n[0], 16), normal.quantise(1, n[1], 16), normal.quantise(2, n[2], 16)})
                .containsExactly(15335, 32768, 60513);
    }

    @Test
    void srgb_hasThePublishedValues() {
        // IEC 61966-2-1:1999, evaluated from its formula.
        assertThat(Srgb.encode(0.001f)).isCloseTo(0.01292f, org.assertj.core.data.Offset.offset(1e-6f));
        assertThat(Srgb.encode(0.18f)).isCloseTo(0.4613561295f, org.assertj.core.data.Offset.offset(1e-6f));
        assertThat(Srgb.encode(0.5f)).isCloseTo(0.7353569831f, org.assertj.core.data.Offset.offset(1e-6f));
        assertThat(Srgb.decode(0.5f)).isCloseTo(0.2140411405f, org.assertj.core.data.Offset.offset(1e-6f));
        assertThat(Srgb.decode(200 / 255f)).isCloseTo(0.5775804404f, org.assertj.core.data.Offset.offset(1e-6f));
        assertThat(Encoding.colour(3).quantise(0, 0.18f, 8)).isEqualTo(118);
        assertThat(Encoding.colour(3).quantise(0, 0.5f, 8)).isEqualTo(188);
    }

    @Test
    void memoryOfImagesThatNobodyHoldsAnyMore_isGivenBack() throws InterruptedException {
        MemoryBudget budget = MemoryBudget.ofBytes(1 << 20);
        for (int i = 0; i < 50; i++) { // each takes 192 KiB, so that six would not fit
            FloatImage image = FloatImage.create(128, 128, Encoding.normal(), budget).withEncoding(Encoding.normalGreenDown());
            assertThat(image.get(3, 4, 1)).isZero();
        }
        for (int wait = 0; wait < 100 && budget.reserved() > 0; wait++) {
            System.gc();
            Thread.sleep(20);
        }
        assertThat(budget.reserved()).isZero();
    }
}
