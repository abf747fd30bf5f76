package org.estampage.uv;

import java.util.Arrays;

/**
 * Where the outline of a {@link Chart} crosses horizontal lines: where one going right enters a triangle, and where it leaves one.
 *
 * <p>On each line there are as many places of either kind. With both in rising order what is covered at least n times begins at the (k + n)-th entry and
 * ends at the (k + 1)-th exit, for every k where the former comes first.
 *
 * @threads confined
 */
final class Crossings {
    private final Side entries;
    private final Side exits;

    Crossings(int lines) {
        entries = new Side(lines);
        exits = new Side(lines);
    }

    /**
     * Puts in one crossing.
     *
     * @param down whether the edge runs down there; inside is on its left
     */
    void add(int line, double x, boolean down) {
        (down ? entries : exits).add(line, x);
    }

    /** Brings all into order; nothing may be added afterwards. */
    void sort() {
        entries.sort();
        exits.sort();
    }

    /** Returns how many entries a line has; it has as many exits. */
    int count(int line) {
        return entries.ends[line + 1] - entries.ends[line];
    }

    double entry(int line, int k) {
        return entries.sorted[entries.ends[line] + k];
    }

    double exit(int line, int k) {
        return exits.sorted[exits.ends[line] + k];
    }

    private static final class Side {
        /** Where the crossings of each line begin among the sorted ones. */
        private final int[] ends;
        private int[] lines = new int[64];
        private double[] x = new double[64];
        private double[] sorted = {};
        private int size;

        Side(int count) {
            ends = new int[count + 1];
        }

        void add(int line, double at) {
            if (size == lines.length) {
                lines = Arrays.copyOf(lines, 2 * size);
                x = Arrays.copyOf(x, 2 * size);
            }
            lines[size] = line;
            x[size++] = at;
        }

        void sort() {
            for (int i = 0; i < size; i++) {
                ends[lines[i] + 1]++;
            }
            for (int line = 0; line + 1 < ends.length; line++) {
                ends[line + 1] += ends[line];
            }
            sorted = new double[size];
            int[] filled = ends.clone();
            for (int i = 0; i < size; i++) {
                sorted[filled[lines[i]]++] = x[i];
            }
            for (int line = 0; line + 1 < ends.length; line++) {
                Arrays.sort(sorted, ends[line], ends[line + 1]);
            }
        }
    }
}
