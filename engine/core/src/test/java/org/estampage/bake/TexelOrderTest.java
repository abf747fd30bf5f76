package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

class TexelOrderTest {
    @Test
    void places_interleaveTheBitsOfColumnAndRow() {
        // The definition: bit k of the column becomes bit 2k of the place, bit k of the row bit 2k + 1 (Morton 1966).
        TexelOrder order = new TexelOrder();
        order.begin(32, 32);
        for (int place = 0; place < 1024; place++) {
            int x = 0;
            int y = 0;
            for (int bit = 0; bit < 5; bit++) {
                x |= ((place >> (2 * bit)) & 1) << bit;
                y |= ((place >> (2 * bit + 1)) & 1) << bit;
            }
            assertThat(order.texel(place)).isEqualTo(32 * y + x);
        }
    }

    @Test
    void blocksOfAnySize_keepTheOrderOfTheSquareTheyAreCutFrom() {
        TexelOrder whole = new TexelOrder();
        whole.begin(32, 32);
        TexelOrder order = new TexelOrder(); // used again and again, as workers do
        for (int[] size : new int[][] {{32, 32}, {1, 1}, {32, 7}, {5, 32}, {17, 31}, {1, 32}, {32, 1}, {2, 2}}) {
            order.begin(size[0], size[1]);
            int[] expected = new int[size[0] * size[1]];
            int n = 0;
            for (int place = 0; place < 1024; place++) {
                int x = whole.texel(place) % 32, y = whole.texel(place) / 32;
                if (x < size[0] && y < size[1]) {
                    expected[n++] = y * size[0] + x;
                }
            }
            assertThat(order.size()).isEqualTo(n);
            int[] found = new int[n];
            Arrays.setAll(found, order::texel);
            assertThat(found).isEqualTo(expected);
        }
    }
}
