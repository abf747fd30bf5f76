package org.estampage.image;

import java.util.Arrays;
import java.util.Objects;

/**
 * Colours that are easy to tell apart, in an order in which the first few are farthest apart. Colour number i never depends on how many are used.
 *
 * <p>They are taken one by one from a grid of sRGB colours, 16 a channel: always the one whose nearest neighbour among black, white and those that were
 * taken is farthest away, as the eye sees it (OKLab); of equals the one with the smallest red, then green, then blue. Black, which stands for nothing, and
 * what is nearly as dark is left out. So the first 8 are at least 0.25 apart, 64 at least 0.09, 512 at least 0.035; 0.02 is about what one just sees, so
 * the last thousands differ for programs only.
 *
 * @units stored sRGB values 0 … 255, as in a file
 * @threads immutable
 * @source our own; the greedy order is Gonzalez, Clustering to minimize the maximum intercluster distance, 1985 (from memory)
 */
public final class Palette {
    /** Steps between neighbours of the grid: 15 of them fill a channel. */
    private static final int STEP = 17;
    private static final int SIDE = 255 / STEP + 1;
    /** The lightness below which colours are left out: saturated blue, the darkest colour of the screen, has 0.45. */
    private static final double DARKEST = 0.4;

    private static final Palette EVEN = new Palette();

    private final int[] colours;

    private Palette() {
        // The grid's colours in OKLab; those that are too dark count as taken.
        int count = SIDE * SIDE * SIDE;
        double[] lab = new double[3 * count];
        double[] nearest = new double[count];
        int left = 0;
        for (int i = 0; i < count; i++) {
            int rgb = gridColour(i);
            OkLab.of(linear(rgb >> 16), linear(rgb >> 8), linear(rgb), lab, 3 * i);
            nearest[i] = lab[3 * i] < DARKEST ? -1 : Double.POSITIVE_INFINITY;
            left += nearest[i] < 0 ? 0 : 1;
        }
        shrink(lab, nearest, 0);
        shrink(lab, nearest, count - 1);
        // The farthest of what is left, until nothing is.
        int[] taken = new int[left];
        for (int n = 0; n < taken.length; n++) {
            int farthest = 0;
            for (int i = 1; i < count; i++) {
                farthest = nearest[i] > nearest[farthest] ? i : farthest;
            }
            if (nearest[farthest] <= 0) {
                colours = Arrays.copyOf(taken, n);
                return;
            }
            taken[n] = gridColour(farthest);
            shrink(lab, nearest, farthest);
        }
        colours = taken;
    }

    private static int gridColour(int i) {
        return ((STEP * (i / (SIDE * SIDE))) << 16) | ((STEP * (i / SIDE % SIDE)) << 8) | (STEP * (i % SIDE));
    }

    private static float linear(int code) {
        return Srgb.decode((code & 255) / 255f);
    }

    /** Lets the squared distances to the nearest colour that was taken know of another one. */
    private static void shrink(double[] lab, double[] nearest, int taken) {
        for (int i = 0; i < nearest.length; i++) {
            double l = lab[3 * i] - lab[3 * taken], a = lab[3 * i + 1] - lab[3 * taken + 1], b = lab[3 * i + 2] - lab[3 * taken + 2];
            nearest[i] = Math.min(nearest[i], l * l + a * a + b * b);
        }
    }

    /** Returns the palette. */
    public static Palette even() {
        return EVEN;
    }

    /** Returns how many different colours there are. */
    public int size() {
        return colours.length;
    }

    /**
     * Returns a colour.
     *
     * @return red · 65536 + green · 256 + blue
     * @throws IndexOutOfBoundsException if the number is not 0 … {@link #size} − 1
     */
    public int rgb(int number) {
        return colours[Objects.checkIndex(number, colours.length)];
    }
}
