package org.estampage.task;

import java.io.IOException;
import java.io.OutputStream;
import java.util.function.Supplier;

/**
 * What remembers the values of long operations, so that the same work is not done twice.
 *
 * <p>An operation hands over itself, with all its options and inputs in its fields, and the work. Whoever implements this decides by what is in those fields
 * whether the value is known. A value that comes back from memory is equal in every bit to the one that the work would give.
 *
 * @threads implementations are safe for concurrent calls
 */
public interface Recall {
    /**
     * Returns what the work returns, now or when it was done before.
     *
     * @param type      the class of the value
     * @param operation an object of the engine's own; every field counts that is neither its surroundings (a {@link Task} and the like) nor lent for speed
     * @param task      whose memory a value from before may take
     * @param work      gives the value
     */
    <T> T of(Class<T> type, Object operation, Task task, Supplier<? extends T> work);

    /**
     * Writes what the work writes, now or when it was done before.
     *
     * @param operation as above
     * @param out       where to; it is not closed
     * @param work      writes to the stream that it is given
     * @throws IOException if writing fails
     */
    void write(Object operation, OutputStream out, Writing work) throws IOException;

    /** Work that writes. */
    @FunctionalInterface
    interface Writing {
        /**
         * Writes everything.
         *
         * @throws IOException if writing fails
         */
        void to(OutputStream out) throws IOException;
    }

    /** Returns one that remembers nothing. */
    static Recall none() {
        return Forgetful.ONLY;
    }
}
