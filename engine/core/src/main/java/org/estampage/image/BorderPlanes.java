package org.estampage.image;

import java.util.Arrays;
import org.estampage.image.Encoding.Kind;

/**
 * Least-squares planes around the border texels of charts, kept in a small cache, and what they say about texels beyond the border.
 *
 * <p>A slope is continued as far as the values speak for it. Its part 1 − k²·e²/b² is kept, b the slope's length and e its standard error from
 * the values' scatter about the plane, and it is continued for b²/(k·e²) texels: a clean slope runs on whole, one that could be noise is dropped
 * and the nearest value remains.
 *
 * @threads confined; several may work on one image, since a plane reads only what padding never changes: fully covered texels, and of others the
 *          values that are kept
 * @source W. James, C. Stein, Estimation with Quadratic Loss, 1961, for the form of the kept part (from memory); its constant is ours
 */
final class BorderPlanes {
    /** Half the side of the window that a plane is fitted over. */
    private static final int REACH = 2;
    private static final int SIDE = 2 * REACH + 1;

    /**
     * How many standard errors long a slope must be before any of it is continued into the gutter. Simulated with the 15 texels of a straight
     * border: pure noise passes 3 in one fit of 160 (2: one of 19); of a noiseless wave's slope it leaves 97 % at 48 texels a wave and 85 % at 15.
     * A slope that just passes is continued for 3 texels, as far as the window reaches, and farther with the square.
     */
    private static final double LEAST_ERRORS = 3;
    private static final double LEAST_ERRORS2 = LEAST_ERRORS * LEAST_ERRORS;

    /**
     * How many standard errors long a slope must be before a partly covered texel takes the plane's value for its own. A step through the 15 texels of
     * a straight border passes for a slope of 3 errors where it crosses the border and of 5 where it runs along it; a noiseless wave of 15 texels has
     * 7.7 where it is steepest. Beside a step the mean of the texel's own samples is nearer to the truth than any plane.
     */
    private static final double LEAST_ERRORS_AT_BORDER = 7;

    /**
     * How far beyond the range of the fitted texels a value may go, in extents of that range. Where the plane stands on two rows of a border, as
     * under partly covered texels, that is 16 texels along its slope, and 32 where it stands on three: the half gutter of the fourth mip level.
     */
    private static final int FARTHEST_IN_SPREADS = 16;

    /**
     * How many texels a slope is continued at the most, however clean it is. A gutter of 3 · 2ᴸ texels, half of it on each side, serves mip level L:
     * 64 reaches beyond the fifth. Farther off nobody looks, and a bent surface has long left its tangent plane.
     */
    private static final int FARTHEST_TEXELS = 64;

    /** Slots of the cache: more than the border texels that a band of rows refers to in a usual atlas; a power of two. */
    private static final int SLOTS = 1 << 12;

    /** Numbers of a channel in a slot: value, slope along x, slope along y, how many texels far it is continued, lower bound, upper bound. */
    private static final int STRIDE = 6;

    private final FloatImage image;
    private final Mask covered;
    private final Mask full;
    private final int width;
    private final int height;
    private final int channels;
    private final boolean sloped;
    private final boolean normals;
    private final float[] formatLow;
    private final float[] formatHigh;

    private final int[] placeOf = new int[SLOTS];
    private final boolean[] isPlane = new boolean[SLOTS];
    /** Whether the texel's own value stands in every channel. */
    private final boolean[] isKept = new boolean[SLOTS];
    private final float[] slots;
    private final float[] window;
    // Of the fit at hand, one number a channel (slopes: two).
    private final double[] means;
    private final float[] lows;
    private final float[] highs;
    private final double[] slopes;
    private final double[] length2;
    private final double[] error2;

    BorderPlanes(FloatImage image, Mask covered, Mask full) {
        this.image = image;
        this.covered = covered;
        this.full = full;
        width = image.width();
        height = image.height();
        channels = image.channels();
        normals = image.encoding().kind() == Kind.NORMAL;
        sloped = normals || image.encoding().kind() == Kind.DATA;
        formatLow = new float[channels];
        formatHigh = new float[channels];
        for (int c = 0; c < channels; c++) {
            Range range = image.encoding().ranges().get(c);
            boolean flat = range.atZero() == range.atOne();
            formatLow[c] = flat ? Float.NEGATIVE_INFINITY : Math.min(range.atZero(), range.atOne());
            formatHigh[c] = flat ? Float.POSITIVE_INFINITY : Math.max(range.atZero(), range.atOne());
        }
        Arrays.fill(placeOf, -1);
        slots = new float[SLOTS * channels * STRIDE];
        window = new float[SIDE * SIDE * channels];
        means = new double[channels];
        lows = new float[channels];
        highs = new float[channels];
        slopes = new double[2 * channels];
        length2 = new double[channels];
        error2 = new double[channels];
    }

    /**
     * Evaluates the plane around a covered texel at a texel near it.
     *
     * @param place the covered texel, y · width + x
     * @param dest  the channels go to {@code destAt} and on
     */
    void evaluate(int place, int x, int y, float[] dest, int destAt) {
        int slot = slotOf(place);
        int at = slot * channels * STRIDE;
        if (!isPlane[slot]) {
            for (int c = 0; c < channels; c++) {
                dest[destAt + c] = slots[at + c * STRIDE];
            }
            return;
        }
        int dx = x - place % width;
        int dy = y - place / width;
        float distance = (float) Math.sqrt((double) dx * dx + (double) dy * dy);
        float square = 0;
        for (int c = 0; c < channels; c++, at += STRIDE) {
            float reach = slots[at + 3];
            float kept = reach < distance ? reach / distance : 1;
            float v = slots[at] + kept * (slots[at + 1] * dx + slots[at + 2] * dy);
            v = Math.min(slots[at + 5], Math.max(slots[at + 4], v));
            dest[destAt + c] = v;
            square += v * v;
        }
        if (normals) {
            normalise(dest, destAt, square, slot * channels * STRIDE);
        }
    }

    private void normalise(float[] dest, int destAt, float square, int at) {
        // Opposite normals within one window can cancel; a vector shorter than this has no direction worth keeping.
        if (square > 1e-12f) {
            float scale = (float) (1 / Math.sqrt(square));
            for (int c = 0; c < channels; c++) {
                dest[destAt + c] *= scale;
            }
        } else {
            for (int c = 0; c < channels; c++) {
                dest[destAt + c] = slots[at + c * STRIDE];
            }
        }
    }

    /** Returns whether a covered texel that is not full takes the value of a plane around it. */
    boolean isReplaced(int place) {
        int slot = slotOf(place);
        return isPlane[slot] && !isKept[slot];
    }

    private int slotOf(int place) {
        // Neighbours in a row take neighbouring slots; rows are spread by an odd factor (2³² divided by the golden ratio).
        int slot = place % width + place / width * 0x9E3779B1 & SLOTS - 1;
        if (placeOf[slot] != place) {
            fit(place, slot);
            placeOf[slot] = place;
        }
        return slot;
    }

    private void fit(int place, int slot) {
        int x = place % width;
        int y = place / width;
        int left = Math.max(0, x - REACH);
        int top = Math.max(0, y - REACH);
        int w = Math.min(width - 1, x + REACH) - left + 1;
        int h = Math.min(height - 1, y + REACH) - top + 1;
        image.read(left, top, w, h, window);
        int at = slot * channels * STRIDE;
        int centre = ((y - top) * w + x - left) * channels;
        for (int c = 0; c < channels; c++) {
            slots[at + c * STRIDE] = window[centre + c];
        }
        isPlane[slot] = sloped && fitPlane(fullTexelsConnectedTo(x, y), left - x, top - y, w, slot, full.get(x, y));
    }

    /** Returns the texels of the 5 × 5 window that are full and joined to its centre by covered ones, side to side; bit 5·(dy + 2) + dx + 2. */
    private int fullTexelsConnectedTo(int x, int y) {
        int coveredBits = 0;
        int fullBits = 0;
        for (int dy = -REACH, bit = 0; dy <= REACH; dy++) {
            for (int dx = -REACH; dx <= REACH; dx++, bit++) {
                int i = x + dx;
                int j = y + dy;
                if (i >= 0 && j >= 0 && i < width && j < height && covered.get(i, j)) {
                    coveredBits |= 1 << bit;
                    if (full.get(i, j)) {
                        fullBits |= 1 << bit;
                    }
                }
            }
        }
        final int notLeft = 0b11110_11110_11110_11110_11110;
        final int notRight = 0b01111_01111_01111_01111_01111;
        int joined = 1 << (REACH * SIDE + REACH);
        for (int before = 0; before != joined;) {
            before = joined;
            joined |= (joined << SIDE | joined >>> SIDE | (joined << 1 & notLeft) | (joined >>> 1 & notRight)) & coveredBits;
        }
        return joined & fullBits;
    }

    /**
     * Fits the planes of all channels.
     *
     * @param points    the texels that count
     * @param firstDx   offset of the window's first column from the centre, {@code firstDy} of its first row, {@code w} its width
     * @param keepValue whether the centre's own value stays in any case; else the plane's value there replaces it where its slope is clean
     * @return whether the texels span a plane and all values are finite
     */
    private boolean fitPlane(int points, int firstDx, int firstDy, int w, int placeSlot, boolean keepValue) {
        // Moments of the places: small integers, so exact.
        int n = 0, sx = 0, sy = 0, sxx = 0, sxy = 0, syy = 0;
        for (int rest = points; rest != 0; rest &= rest - 1) {
            int dx = dxOf(rest);
            int dy = dyOf(rest);
            n++;
            sx += dx;
            sy += dy;
            sxx += dx * dx;
            sxy += dx * dy;
            syy += dy * dy;
        }
        // n times the centred second moments; their determinant is 0 exactly where all texels stand on one line.
        int a = n * sxx - sx * sx;
        int b = n * sxy - sx * sy;
        int d = n * syy - sy * sy;
        long determinant = (long) a * d - (long) b * b;
        if (determinant == 0) {
            return false;
        }
        double allLength2 = 0;
        double allError2 = 0;
        for (int c = 0; c < channels; c++) {
            // Slopes from the mixed moments of place and value.
            double sv = 0;
            float low = Float.POSITIVE_INFINITY, high = Float.NEGATIVE_INFINITY;
            for (int rest = points; rest != 0; rest &= rest - 1) {
                float v = valueAt(rest, firstDx, firstDy, w, c);
                sv += v;
                low = Math.min(low, v);
                high = Math.max(high, v);
            }
            double mean = sv / n;
            double sxv = 0, syv = 0;
            for (int rest = points; rest != 0; rest &= rest - 1) {
                double v = valueAt(rest, firstDx, firstDy, w, c) - mean;
                sxv += dxOf(rest) * v;
                syv += dyOf(rest) * v;
            }
            double slopeX = n * (d * sxv - b * syv) / determinant;
            double slopeY = n * (a * syv - b * sxv) / determinant;
            // How far the values are off the plane says how far the slope itself may be off.
            double offset = mean - (slopeX * sx + slopeY * sy) / n;
            double residual2 = 0;
            for (int rest = points; rest != 0; rest &= rest - 1) {
                double off = valueAt(rest, firstDx, firstDy, w, c) - (offset + slopeX * dxOf(rest) + slopeY * dyOf(rest));
                residual2 += off * off;
            }
            means[c] = mean;
            lows[c] = low;
            highs[c] = high;
            slopes[2 * c] = slopeX;
            slopes[2 * c + 1] = slopeY;
            length2[c] = slopeX * slopeX + slopeY * slopeY;
            error2[c] = n > 3 ? residual2 / (n - 3) * n * (a + d) / determinant : 0;
            allLength2 += length2[c];
            allError2 += error2[c];
        }
        if (!Double.isFinite(allLength2 + allError2)) {
            return false;
        }
        isKept[placeSlot] = true;
        for (int c = 0; c < channels; c++) {
            // The channels of a normal turn together, so that turning the model turns its gutter.
            double l2 = normals ? allLength2 : length2[c];
            double e2 = normals ? allError2 : error2[c];
            int slot = (placeSlot * channels + c) * STRIDE;
            float spread = highs[c] - lows[c];
            double errors2 = squaredStandardErrors(l2, e2, n - 3);
            if (!keepValue && (e2 == 0 || errors2 >= LEAST_ERRORS_AT_BORDER * LEAST_ERRORS_AT_BORDER)) {
                isKept[placeSlot] = false;
                float value = (float) (means[c] - (slopes[2 * c] * sx + slopes[2 * c + 1] * sy) / n);
                // Nor does it leave the format's range where no fitted texel does: what lies in 0 … 1 by its nature stays there.
                float least = Math.max(lows[c] - spread, Math.min(formatLow[c], lows[c]));
                float most = Math.min(highs[c] + spread, Math.max(formatHigh[c], highs[c]));
                slots[slot] = Math.min(most, Math.max(least, value));
            }
            double part = errors2 > LEAST_ERRORS2 ? 1 - LEAST_ERRORS2 / errors2 : 0;
            slots[slot + 1] = (float) (slopes[2 * c] * part);
            slots[slot + 2] = (float) (slopes[2 * c + 1] * part);
            slots[slot + 3] = (float) Math.min(FARTHEST_TEXELS, errors2 / LEAST_ERRORS);
            float run = (n > 3 ? FARTHEST_IN_SPREADS : 1) * spread;
            float own = slots[slot];
            slots[slot + 4] = Math.max(lows[c] - run, Math.min(formatLow[c], Math.min(lows[c], own)));
            slots[slot + 5] = Math.min(highs[c] + run, Math.max(formatHigh[c], Math.max(highs[c], own)));
        }
        return true;
    }

    /**
     * Returns how many standard errors long a slope is, squared; infinite where the values say nothing about the error.
     *
     * @param freedom texels that were fitted beyond the three that any plane passes through
     */
    private static double squaredStandardErrors(double length2, double error2, int freedom) {
        if (freedom == 0 || error2 == 0) {
            return length2 > 0 ? Double.POSITIVE_INFINITY : 0;
        }
        // A standard error from few texels is itself uncertain. This widens it as the 99.4 % quantile of Student's t does, within a third:
        // eleven times for one texel of freedom, twice for three, 1.07 for twelve.
        double widened = 1 + 10.0 / (freedom * freedom);
        return length2 / (error2 * widened * widened);
    }

    private float valueAt(int points, int firstDx, int firstDy, int w, int c) {
        return window[((dyOf(points) - firstDy) * w + dxOf(points) - firstDx) * channels + c];
    }

    /** Offset along x of the first texel of a set. */
    private static int dxOf(int points) {
        return Integer.numberOfTrailingZeros(points) % SIDE - REACH;
    }

    private static int dyOf(int points) {
        return Integer.numberOfTrailingZeros(points) / SIDE - REACH;
    }
}
