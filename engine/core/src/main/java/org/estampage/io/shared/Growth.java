package org.estampage.io.shared;

/** How arrays grow: by half, up to the longest array that every JVM makes. */
final class Growth {
    /** Arrays a few elements longer fail on some JVMs. */
    static final int LONGEST = Integer.MAX_VALUE - 8;

    private Growth() {
    }

    /** Returns a capacity for {@code size + more} elements. */
    static int next(int size, int more) {
        long needed = (long) size + more;
        if (needed > LONGEST) {
            throw new OutOfMemoryError(needed + " values are more than an array holds");
        }
        return (int) Math.min(LONGEST, Math.max(needed, Math.max(16, size + (long) (size >> 1))));
    }
}
