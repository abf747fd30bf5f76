package org.estampage.image;

import java.util.Arrays;
import java.util.stream.IntStream;

/**
 * Finds the nearest set texel of a mask, band of rows by band of rows, so that nobody has to hold the answer for the whole image.
 *
 * <p>Squared distances are integers and compared as such. Of equally near texels the one in the column further left wins, and within a column the
 * upper one.
 *
 * @threads safe for concurrent calls as long as nobody changes the mask
 * @source A. Meijster, J. Roerdink, W. Hesselink, A General Algorithm for Computing Distance Transforms in Linear Time, 2000 (columns first, then
 *         the lower envelope along rows, in integers); P. Felzenszwalb, D. Huttenlocher, Distance Transforms of Sampled Functions, 2012. We keep
 *         the place of the nearest texel, not only its distance, and cut the column pass into bands.
 */
final class NearestSearch {
    /** Rows of a band: few enough that a band of a wide image stays in the second-level cache, enough that the tables between bands are small. */
    static final int BAND = 64;

    private final Mask mask;
    private final int width;
    private final int height;
    private final int bandCount;
    /** Band by band, column by column: the last set row above the band and the first set row below it, −1 for none. */
    private final int[] above;
    private final int[] below;

    private NearestSearch(Mask mask) {
        this.mask = mask;
        width = mask.width();
        height = mask.height();
        bandCount = (height + BAND - 1) / BAND;
        above = new int[bandCount * width];
        below = new int[bandCount * width];
    }

    /** Prepares the search: one look at every texel. */
    static NearestSearch in(Mask mask) {
        NearestSearch search = new NearestSearch(mask);
        // First note each band's own first and last set row a column …
        IntStream.range(0, search.bandCount).parallel().forEach(search::noteOwnRows);
        // … then hand them on from band to band.
        search.handOn();
        return search;
    }

    int bandCount() {
        return bandCount;
    }

    /** Returns the first row of a band; for {@code band == bandCount()} the image's height. */
    int firstRow(int band) {
        return Math.min(height, band * BAND);
    }

    private void noteOwnRows(int band) {
        int base = band * width;
        Arrays.fill(above, base, base + width, -1);
        Arrays.fill(below, base, base + width, -1);
        boolean[] set = new boolean[width];
        for (int y = firstRow(band), end = firstRow(band + 1); y < end; y++) {
            mask.readRow(y, set);
            for (int x = 0; x < width; x++) {
                if (set[x]) {
                    above[base + x] = y;
                    if (below[base + x] < 0) {
                        below[base + x] = y;
                    }
                }
            }
        }
    }

    private void handOn() {
        int[] last = new int[width];
        Arrays.fill(last, -1);
        for (int at = 0; at < above.length; at += width) {
            for (int x = 0; x < width; x++) {
                int own = above[at + x];
                above[at + x] = last[x];
                last[x] = own >= 0 ? own : last[x];
            }
        }
        Arrays.fill(last, -1);
        for (int at = below.length - width; at >= 0; at -= width) {
            for (int x = 0; x < width; x++) {
                int own = below[at + x];
                below[at + x] = last[x];
                last[x] = own >= 0 ? own : last[x];
            }
        }
    }

    /**
     * Finds the nearest set texel of every texel of a band.
     *
     * @param dest row by row from the band's first, the place {@code y · width + x} of the nearest set texel, −1 where the mask is empty; at least
     *             {@code BAND · width} long
     */
    void find(int band, int[] dest) {
        nearestInColumns(band, dest);
        int[] start = new int[width];
        int[] column = new int[width];
        long[] height2 = new long[width];
        int[] rowOf = new int[width];
        for (int y = firstRow(band), end = firstRow(band + 1), at = 0; y < end; y++, at += width) {
            nearestInRow(y, dest, at, rowOf, height2, column, start);
        }
    }

    /** Puts the nearest set row of the same column into {@code dest}. */
    private void nearestInColumns(int band, int[] dest) {
        int first = firstRow(band);
        int rows = firstRow(band + 1) - first;
        int[] seen = Arrays.copyOfRange(above, band * width, (band + 1) * width);
        boolean[] set = new boolean[width];
        for (int row = 0; row < rows; row++) {
            mask.readRow(first + row, set);
            int y = first + row;
            for (int x = 0, at = row * width; x < width; x++, at++) {
                seen[x] = set[x] ? y : seen[x];
                dest[at] = seen[x];
            }
        }
        System.arraycopy(below, band * width, seen, 0, width);
        for (int row = rows - 1; row >= 0; row--) {
            int y = first + row;
            for (int x = 0, at = row * width; x < width; x++, at++) {
                int up = dest[at];
                int down = up == y ? y : seen[x];
                seen[x] = down;
                // Equally far: the upper one stays.
                dest[at] = up < 0 || (down >= 0 && down - y < y - up) ? down : up;
            }
        }
    }

    /**
     * Turns one row of nearest rows into nearest places: column i offers the parabola (x − i)² + height2[i], and the lowest one at x wins.
     *
     * @param column  scratch: the columns of the lower envelope from left to right
     * @param start   scratch: the first x at which each of them is lowest
     */
    private void nearestInRow(int y, int[] dest, int at, int[] rowOf, long[] height2, int[] column, int[] start) {
        System.arraycopy(dest, at, rowOf, 0, width);
        int top = -1;
        for (int x = 0; x < width; x++) {
            if (rowOf[x] < 0) {
                continue;
            }
            long dy = (long) rowOf[x] - y;
            long g = dy * dy;
            height2[x] = g;
            // Parabolas that the new one beats where they begin are lowest nowhere.
            while (top >= 0 && square(start[top] - column[top]) + height2[column[top]] > square(start[top] - x) + g) {
                top--;
            }
            if (top < 0) {
                top = 0;
                column[0] = x;
                start[0] = 0;
            } else {
                int i = column[top];
                // The new one is strictly lower beyond this place; at it the older, further left, stays. Never negative: the older one is
                // not higher at its own start, which is at least 0.
                long lastOfOlder = (square(x) - square(i) + g - height2[i]) / (2L * (x - i));
                if (lastOfOlder < width - 1) {
                    top++;
                    column[top] = x;
                    start[top] = (int) lastOfOlder + 1;
                }
            }
        }
        if (top < 0) {
            return; // the mask is empty: all −1 already
        }
        for (int x = width - 1; x >= 0; x--) {
            int i = column[top];
            dest[at + x] = rowOf[i] * width + i;
            if (x == start[top]) {
                top--;
            }
        }
    }

    private static long square(long v) {
        return v * v;
    }
}
