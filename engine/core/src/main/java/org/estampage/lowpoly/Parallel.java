package org.estampage.lowpoly;

import java.util.stream.IntStream;

/** Work that is cut by a fixed rule, so that results don't depend on the number of threads. */
final class Parallel {
    private static final int CHUNK = 1 << 14;

    private Parallel() {
    }

    /** Work on a range of things. */
    interface Range {
        void run(int begin, int end);
    }

    /** Works on things in chunks, on the caller's fork-join pool or the common one. */
    static void each(int count, Range work) {
        if (count <= CHUNK) {
            work.run(0, count);
            return;
        }
        int chunks = (count + CHUNK - 1) / CHUNK;
        IntStream.range(0, chunks).parallel().forEach(i -> work.run(i * CHUNK, Math.min(count, (i + 1) * CHUNK)));
    }
}
