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
    /** Words of a row: two more than it needs stand behind it, all taken, so that loops need not ask where it ends. */
    private final int stride;
    /** Rows of all levels: row y of level k at (k · height + y) · stride. */
    private final long[] taken;
    private final long[] bad;
    /** For each level the lowest row with a free run of that length; rows only fill. */
    private final int[] open;

    Board(int width, int height) {
        this.width = width;
        this.height = height;
        words = (width + 63) / 64;
        levels = 32 - Integer.numberOfLeadingZeros(width);
        stride = words + 2;
        taken = new long[levels * height * stride];
        bad = new long[words];
        open = new int[levels];
        clear();
    }

    /** Frees all cells. */
    void clear() {
        Arrays.fill(taken, 0);
        Arrays.fill(open, 0);
        for (int row = 0; row < levels * height; row++) {
            int end = (row + 1) * stride;
            taken[end - 1] = -1L;
            taken[end - 2] = -1L;
            if (width % 64 != 0) {
                taken[end - 3] = -1L << width;
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
        while (row < height && isTaken((level * height + row) * stride)) {
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
        int at = (level * height + row) * stride;
        or(at, start, used);
        int rest = length - (1 << level);
        return rest == 0 ? isFull(used) : or(at, start + rest, used);
    }

    private boolean or(int at, int shift, int used) {
        long[] from = taken;
        long[] to = bad;
        int first = at + (shift >>> 6);
        int bits = shift & 63;
        long all = -1;
        if (bits == 0) {
            for (int w = 0; w < used; w++) {
                long b = to[w] | from[first + w];
                to[w] = b;
                all &= b;
            }
        } else {
            for (int w = 0; w < used; w++) {
                long b = to[w] | from[first + w] >>> bits | from[first + w + 1] << (64 - bits);
                to[w] = b;
                all &= b;
            }
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
        int[] around = s.around();
        for (int i = 0; i < around.length; i += 3) {
            int row = y + around[i];
            if (row < 0 || row >= height) {
                continue;
            }
            int from = Math.max(0, x + around[i + 1]);
            int to = Math.min(width, x + around[i + 1] + around[i + 2]);
            for (int w = from >>> 6; from < to; w++) {
                int end = Math.min(to, 64 * (w + 1));
                taken[row * stride + w] |= -1L << from & -1L >>> (64 * (w + 1) - end);
                from = end;
            }
        }
        int low = Math.max(0, y - s.reach());
        int high = Math.min(height - 1, y + s.height + s.reach() - 1);
        for (int level = 1; level < levels; level++) {
            int half = 1 << (level - 1);
            int bits = half & 63;
            for (int row = low; row <= high; row++) {
                int at = ((level - 1) * height + row) * stride;
                int to = (level * height + row) * stride;
                int end = at + words;
                for (int w = 0; w < words; w++) {
                    int from = Math.min(end, at + w + (half >>> 6));
                    long v = bits == 0 ? taken[from] : taken[from] >>> bits | taken[from + 1] << (64 - bits);
                    taken[to + w] = taken[at + w] | v;
                }
            }
        }
    }
}
