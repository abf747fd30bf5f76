package org.estampage.uv;

import java.util.Arrays;

/**
 * A grid of cells where charts find free places. A row is a string of bits, a set bit is a taken cell.
 *
 * <p>Whether a run of cells is free at each place of a row is looked up for all places at once: for every power of two there is a copy of the grid where a
 * cell is taken when one of so many cells from it on is.
 *
 * @threads confined
 * @cost memory: cells / 8 bytes for each power of two up to the width
 */
final class Board {
    final int width;
    final int height;
    private final int words;
    private final int levels;
    /** Rows of all levels: row y of level k at (k · height + y) · words. */
    private final long[] taken;
    private final long[] bad;
    /** For each level the lowest row with a free run of that length; rows only fill. */
    private final int[] open;

    Board(int width, int height) {
        this.width = width;
        this.height = height;
        words = (width + 63) / 64;
        levels = 32 - Integer.numberOfLeadingZeros(width);
        taken = new long[levels * height * words];
        bad = new long[words];
        open = new int[levels];
        if (width % 64 != 0) {
            for (int row = 0; row < levels * height; row++) {
                taken[row * words + words - 1] = -1L << width;
            }
        }
    }

    /** Frees all cells. */
    void clear() {
        Arrays.fill(taken, 0);
        Arrays.fill(open, 0);
        if (width % 64 != 0) {
            for (int row = 0; row < levels * height; row++) {
                taken[row * words + words - 1] = -1L << width;
            }
        }
    }

    /**
     * Finds the lowest free place for a silhouette, the leftmost in its row.
     *
     * @param below rows from this one on are too high
     * @return y · width + x of its lower left cell, or −1
     */
    int find(Silhouette s, int below) {
        if (s.width > width || s.height > height) {
            return -1;
        }
        int last = Math.min(below - 1, height - s.height);
        int places = width - s.width + 1;
        int used = (places + 63) / 64;
        long tail = places % 64 == 0 ? 0 : -1L << places;
        for (int y = Math.max(0, open(31 - Integer.numberOfLeadingZeros(s.runs[2])) - s.runs[0]); y <= last; y++) {
            Arrays.fill(bad, 0, used, 0);
            bad[used - 1] = tail;
            boolean full = false;
            for (int run = 0; run < s.runs.length && !full; run += 3) {
                full = mark(y + s.runs[run], s.runs[run + 1], s.runs[run + 2], used);
            }
            if (!full) {
                for (int w = 0; w < used; w++) {
                    if (bad[w] != -1L) {
                        return y * width + 64 * w + Long.numberOfTrailingZeros(~bad[w]);
                    }
                }
            }
        }
        return -1;
    }

    private int open(int level) {
        int row = open[level];
        while (row < height && isTaken((level * height + row) * words)) {
            row++;
        }
        open[level] = row;
        return row;
    }

    private boolean isTaken(int at) {
        long all = -1;
        for (int w = 0; w < words; w++) {
            all &= taken[at + w];
        }
        return all == -1L;
    }

    /** Marks the places where a run of cells would meet a taken one; returns whether no place is left. */
    private boolean mark(int row, int start, int length, int used) {
        int level = 31 - Integer.numberOfLeadingZeros(length);
        int at = (level * height + row) * words;
        or(at, start, used);
        int rest = length - (1 << level);
        return rest == 0 ? isFull(used) : or(at, start + rest, used);
    }

    private boolean or(int at, int shift, int used) {
        int skip = shift >>> 6;
        int bits = shift & 63;
        long all = -1;
        for (int w = 0; w < used; w++) {
            int from = w + skip;
            long low = from < words ? taken[at + from] : -1L;
            long v = bits == 0 ? low : low >>> bits | (from + 1 < words ? taken[at + from + 1] : -1L) << (64 - bits);
            long b = bad[w] | v;
            bad[w] = b;
            all &= b;
        }
        return all == -1L;
    }

    private boolean isFull(int used) {
        long all = -1;
        for (int w = 0; w < used; w++) {
            all &= bad[w];
        }
        return all == -1L;
    }

    /** Takes the cells within the gutter about a silhouette whose lower left cell is at x, y. */
    void take(Silhouette s, int x, int y) {
        int[] around = s.around;
        for (int i = 0; i < around.length; i += 3) {
            int row = y + around[i];
            if (row < 0 || row >= height) {
                continue;
            }
            int from = Math.max(0, x + around[i + 1]);
            int to = Math.min(width, x + around[i + 1] + around[i + 2]);
            for (int w = from >>> 6; from < to; w++) {
                int end = Math.min(to, 64 * (w + 1));
                taken[row * words + w] |= -1L << from & -1L >>> (64 * (w + 1) - end);
                from = end;
            }
        }
        int low = Math.max(0, y + s.aroundLow);
        int high = Math.min(height - 1, y + s.aroundHigh);
        for (int level = 1; level < levels; level++) {
            int half = 1 << (level - 1);
            int skip = half >>> 6;
            int bits = half & 63;
            for (int row = low; row <= high; row++) {
                int at = ((level - 1) * height + row) * words;
                int to = (level * height + row) * words;
                for (int w = 0; w < words; w++) {
                    int from = w + skip;
                    long v = from < words ? taken[at + from] : -1L;
                    if (bits != 0) {
                        v = v >>> bits | (from + 1 < words ? taken[at + from + 1] : -1L) << (64 - bits);
                    }
                    taken[to + w] = taken[at + w] | v;
                }
            }
        }
    }
}
