package org.estampage.task;

import java.util.stream.IntStream;

/**
 * Cuts work into pieces of a fixed size and does them on the caller's fork-join pool or the common one: the pieces don't depend on the number of threads.
 *
 * @threads stateless
 */
public final class Chunks {
    /** Entries a piece: large beside a batch, small beside a million. */
    private static final int SIZE = 8192;

    /** Work on some entries. */
    public interface Work {
        /** Works on the entries {@code start … end − 1}; several threads call it at once. */
        void run(int start, int end);
    }

    private Chunks() {
    }

    /** Returns into how many pieces entries are cut. */
    public static int count(int entries) {
        return (entries + SIZE - 1) / SIZE;
    }

    /** Returns the number of the piece that starts at an entry. */
    public static int number(int start) {
        return start / SIZE;
    }

    /** Works on so many entries. */
    public static void run(int count, Work work) {
        IntStream.range(0, count(count)).parallel().forEach(c -> work.run(c * SIZE, Math.min(count, (c + 1) * SIZE)));
    }

    /** Works on so many entries, and reports each piece. */
    public static void run(int count, Task.Stage stage, Work work) {
        run(count, (start, end) -> {
            work.run(start, end);
            stage.advance(end - start);
        });
    }
}
