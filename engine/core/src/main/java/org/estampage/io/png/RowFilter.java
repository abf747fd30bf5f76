package org.estampage.io.png;

/**
 * Turns rows of samples into rows that deflate well: each row's first byte names the filter, the rest are differences from neighbouring bytes.
 *
 * <p>Of the five filters it takes the one with the smallest sum of magnitudes of the differences read as signed bytes, the first of equals. In
 * long rows it looks at every fourth stretch only.
 *
 * @threads stateless
 * @source W3C Portable Network Graphics (Third Edition), section 9 (filters) and section 12.7 (the choice, there over the whole row)
 */
final class RowFilter {
    private static final int NONE = 0;
    private static final int SUB = 1;
    private static final int UP = 2;
    private static final int AVERAGE = 3;
    private static final int PAETH = 4;

    /** Bytes of a stretch that is looked at: a multiple of every pixel's size (1, 2, 3, 4, 6, 8), so that all channels count alike. */
    private static final int STRETCH = 192;

    /** Rows up to this length are looked at whole. */
    private static final int SHORT_ROW = 16 * STRETCH;

    private RowFilter() {
    }

    /**
     * Filters one row.
     *
     * @param row        the row's bytes
     * @param above      the row above; zeros for an image's first row
     * @param pixelBytes bytes of a pixel
     * @param dest       one byte for the filter and the row's bytes go to {@code destAt} and on
     */
    static void filter(byte[] row, byte[] above, int pixelBytes, byte[] dest, int destAt) {
        int best = NONE;
        long least = Long.MAX_VALUE;
        for (int filter = NONE; filter <= PAETH; filter++) {
            long sum = magnitudes(filter, row, above, pixelBytes);
            if (sum < least) {
                least = sum;
                best = filter;
            }
        }
        dest[destAt] = (byte) best;
        apply(best, row, above, pixelBytes, dest, destAt + 1);
    }

    private static long magnitudes(int filter, byte[] row, byte[] above, int pixelBytes) {
        int stride = row.length <= SHORT_ROW ? STRETCH : 4 * STRETCH;
        long sum = 0;
        for (int from = pixelBytes; from < row.length; from += stride) {
            int to = Math.min(row.length, from + STRETCH);
            sum += switch (filter) {
                case NONE -> magnitudesOfNone(row, from, to);
                case SUB -> magnitudesOfSub(row, pixelBytes, from, to);
                case UP -> magnitudesOfUp(row, above, from, to);
                case AVERAGE -> magnitudesOfAverage(row, above, pixelBytes, from, to);
                default -> magnitudesOfPaeth(row, above, pixelBytes, from, to);
            };
        }
        return sum;
    }

    private static int magnitudesOfNone(byte[] row, int from, int to) {
        int sum = 0;
        for (int i = from; i < to; i++) {
            sum += Math.abs(row[i]);
        }
        return sum;
    }

    private static int magnitudesOfSub(byte[] row, int pixelBytes, int from, int to) {
        int sum = 0;
        for (int i = from; i < to; i++) {
            sum += Math.abs((byte) (row[i] - row[i - pixelBytes]));
        }
        return sum;
    }

    private static int magnitudesOfUp(byte[] row, byte[] above, int from, int to) {
        int sum = 0;
        for (int i = from; i < to; i++) {
            sum += Math.abs((byte) (row[i] - above[i]));
        }
        return sum;
    }

    private static int magnitudesOfAverage(byte[] row, byte[] above, int pixelBytes, int from, int to) {
        int sum = 0;
        for (int i = from; i < to; i++) {
            sum += Math.abs((byte) (row[i] - mean(row[i - pixelBytes], above[i])));
        }
        return sum;
    }

    private static int magnitudesOfPaeth(byte[] row, byte[] above, int pixelBytes, int from, int to) {
        int sum = 0;
        for (int i = from; i < to; i++) {
            sum += Math.abs((byte) (row[i] - predict(row[i - pixelBytes] & 0xff, above[i] & 0xff, above[i - pixelBytes] & 0xff)));
        }
        return sum;
    }

    private static void apply(int filter, byte[] row, byte[] above, int pixelBytes, byte[] dest, int at) {
        // Left of the first pixel stand zeros: there Sub and None agree, Paeth and Up do, and Average halves what is above.
        int first = Math.min(pixelBytes, row.length);
        for (int i = 0; i < first; i++) {
            dest[at + i] = (byte) switch (filter) {
                case NONE, SUB -> row[i];
                case UP, PAETH -> row[i] - above[i];
                default -> row[i] - mean((byte) 0, above[i]);
            };
        }
        switch (filter) {
            case NONE -> System.arraycopy(row, first, dest, at + first, row.length - first);
            case SUB -> {
                for (int i = first; i < row.length; i++) {
                    dest[at + i] = (byte) (row[i] - row[i - pixelBytes]);
                }
            }
            case UP -> {
                for (int i = first; i < row.length; i++) {
                    dest[at + i] = (byte) (row[i] - above[i]);
                }
            }
            case AVERAGE -> {
                for (int i = first; i < row.length; i++) {
                    dest[at + i] = (byte) (row[i] - mean(row[i - pixelBytes], above[i]));
                }
            }
            default -> {
                for (int i = first; i < row.length; i++) {
                    dest[at + i] = (byte) (row[i] - predict(row[i - pixelBytes] & 0xff, above[i] & 0xff, above[i - pixelBytes] & 0xff));
                }
            }
        }
    }

    private static int mean(byte left, byte up) {
        return ((left & 0xff) + (up & 0xff)) >> 1;
    }

    /** Returns the one of {@code left}, {@code up} and {@code corner} that is nearest to left + up − corner, the first of equals. */
    static int predict(int left, int up, int corner) {
        // left + up − corner differs from left by up − corner, from up by left − corner.
        int fromLeft = Math.abs(up - corner);
        int fromUp = Math.abs(left - corner);
        int fromCorner = Math.abs(left + up - 2 * corner);
        int better = fromUp <= fromCorner ? up : corner;
        return fromLeft <= Math.min(fromUp, fromCorner) ? left : better;
    }
}
