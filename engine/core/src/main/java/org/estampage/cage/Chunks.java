package org.estampage.cage;

import java.util.stream.IntStream;
import org.estampage.task.Task;

/** Cuts work into pieces of a fixed size and does them on the caller's fork-join pool or the common one. */
final class Chunks {
    /** Entries a piece: large beside a batch, small beside a million. */
    private static final int SIZE = 8192;

    /** The work on the entries {@code start … end − 1}. */
    interface Work {
        void run(int start, int end);
    }

    private Chunks() {
    }

    /** Returns into how many pieces entries are cut. */
    static int count(int entries) {
        return (entries + SIZE - 1) / SIZE;
    }

    /** Returns the number of the piece that starts at an entry. */
    static int number(int start) {
        return start / SIZE;
    }

    static void run(int count, Task.Stage stage, Work work) {
        int chunks = count(count);
        IntStream.range(0, chunks).parallel().forEach(c -> {
            int start = c * SIZE;
            int end = Math.min(count, start + SIZE);
            work.run(start, end);
            stage.advance(end - start);
        });
    }
}
