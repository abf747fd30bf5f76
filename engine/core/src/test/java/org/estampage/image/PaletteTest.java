package org.estampage.image;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.HashSet;
import java.util.Set;
import org.junit.jupiter.api.Test;

class PaletteTest {
    private static double[] lab(int rgb) {
        double[] lab = new double[3];
        OkLab.of(Srgb.decode((rgb >> 16) / 255f), Srgb.decode(((rgb >> 8) & 255) / 255f), Srgb.decode((rgb & 255) / 255f), lab, 0);
        return lab;
    }

    @Test
    void okLab_hasThePublishedValuesOfWhiteBlackAndPrimaries() {
        // W3C, CSS Color Module Level 4, sample values of oklab() for the sRGB primaries (from memory), rounded there to four or five digits.
        double[][] published = {{0xffffff, 1, 0, 0}, {0x000000, 0, 0, 0}, {0xff0000, 0.62796, 0.22486, 0.12585},
                {0x00ff00, 0.86644, -0.23389, 0.17950}, {0x0000ff, 0.45201, -0.03246, -0.31153}};
        for (double[] row : published) {
            double[] lab = lab((int) row[0]);
            for (int k = 0; k < 3; k++) {
                assertThat(lab[k]).as("%06x, %d", (int) row[0], k).isCloseTo(row[k + 1], within(2e-5));
            }
        }
    }

    @Test
    void okLab_comesBackThroughItsInverse() {
        // Ottosson's inverse matrices, from memory; printed to ten digits, so that the way back is good to about 1e-6.
        for (int rgb : new int[] {0xff0000, 0x00ff00, 0x0000ff, 0xffffff, 0x336699}) {
            double[] v = lab(rgb);
            double l = Math.pow(v[0] + 0.3963377774 * v[1] + 0.2158037573 * v[2], 3);
            double m = Math.pow(v[0] - 0.1055613458 * v[1] - 0.0638541728 * v[2], 3);
            double s = Math.pow(v[0] - 0.0894841775 * v[1] - 1.2914855480 * v[2], 3);
            assertThat(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s).isCloseTo(Srgb.decode((rgb >> 16) / 255f), within(1e-5));
            assertThat(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s).isCloseTo(Srgb.decode(((rgb >> 8) & 255) / 255f),
                    within(1e-5));
            assertThat(-0.0041960863 * l - 0.7034186147 * m + 1.7076147010 * s).isCloseTo(Srgb.decode((rgb & 255) / 255f), within(1e-5));
        }
    }

    @Test
    void colours_areDifferent_neverDark_andFarApartAsPromised() {
        Palette palette = Palette.even();
        Set<Integer> seen = new HashSet<>();
        for (int i = 0; i < palette.size(); i++) {
            assertThat(seen.add(palette.rgb(i))).isTrue();
            assertThat(lab(palette.rgb(i))[0]).isGreaterThanOrEqualTo(0.4);
        }
        assertThat(palette.size()).isGreaterThan(3000);
        assertThat(nearest(8)).isGreaterThan(0.25);
        assertThat(nearest(64)).isGreaterThan(0.09);
        assertThat(nearest(512)).isGreaterThan(0.035);
    }

    /** Returns the least distance among the first colours, black and white. */
    private static double nearest(int count) {
        double[][] labs = new double[count + 2][];
        labs[0] = lab(0);
        labs[1] = lab(0xffffff);
        for (int i = 0; i < count; i++) {
            labs[i + 2] = lab(Palette.even().rgb(i));
        }
        double least = Double.POSITIVE_INFINITY;
        for (int i = 0; i < labs.length; i++) {
            for (int j = 0; j < i; j++) {
                double square = 0;
                for (int k = 0; k < 3; k++) {
                    square += (labs[i][k] - labs[j][k]) * (labs[i][k] - labs[j][k]);
                }
                least = Math.min(least, Math.sqrt(square));
            }
        }
        return least;
    }

    @Test
    void order_isTheGreedyOne() {
        // The oracle: each colour is at least as far from those before it as the next one is; and none is farther from the first ten than the eleventh.
        double last = Double.POSITIVE_INFINITY;
        for (int n = 1; n < 40; n++) {
            double distance = distance(n, n);
            assertThat(distance).isLessThanOrEqualTo(last + 1e-12);
            last = distance;
        }
        double eleventh = distance(10, 10);
        for (int i = 11; i < Palette.even().size(); i++) {
            assertThat(distance(i, 10)).isLessThanOrEqualTo(eleventh);
        }
    }

    private static double distance(int number, int ofFirst) {
        double[] lab = lab(Palette.even().rgb(number));
        double least = Double.POSITIVE_INFINITY;
        for (int i = -2; i < ofFirst; i++) {
            double[] other = lab(i == -2 ? 0 : i == -1 ? 0xffffff : Palette.even().rgb(i));
            least = Math.min(least, Math.hypot(Math.hypot(lab[0] - other[0], lab[1] - other[1]), lab[2] - other[2]));
        }
        return least;
    }

    @Test
    void numbersBeyondTheEnd_areRefused() {
        assertThatThrownBy(() -> Palette.even().rgb(Palette.even().size())).isInstanceOf(IndexOutOfBoundsException.class);
        assertThatThrownBy(() -> Palette.even().rgb(-1)).isInstanceOf(IndexOutOfBoundsException.class);
    }

    @Test
    void identifiers_comeBackExactly_from8And16Bits_andHaveNoOtherRange() {
        Encoding id = Encoding.id(3);
        for (int k = 0; k <= 255; k++) {
            float raw = k / 255f;
            assertThat(id.quantise(0, raw, 8)).isEqualTo(k);
            assertThat(id.quantise(0, raw, 16)).isEqualTo(257 * k);
            // what a reader makes of them: the code over the largest one
            assertThat(id.raw(0, k / 255f)).isEqualTo(raw);
            assertThat(id.raw(0, 257 * k / 65535f)).isEqualTo(raw);
            assertThat(Encoding.idNumbers(1).quantise(0, k, 8)).isEqualTo(k);
            assertThat(Encoding.idNumbers(1).quantise(0, k, 16)).isEqualTo(257 * k);
            assertThat(Encoding.idNumbers(1).raw(0, k / 255f)).isEqualTo(k);
            assertThat(Encoding.idNumbers(1).raw(0, 257 * k / 65535f)).isEqualTo(k);
        }
        assertThatThrownBy(() -> new Encoding(Encoding.Kind.ID, java.util.List.of(new Range(0, 7))))
                .isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("identifiers").hasMessageContaining("7.0");
    }
}
