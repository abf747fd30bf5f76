package org.estampage.console;

import java.io.IOException;
import org.jspecify.annotations.Nullable;

/**
 * Where the prompt's input comes from.
 *
 * @threads confined
 */
interface Lines extends AutoCloseable {
    /**
     * Returns what comes next, of one line or several; empty if what was typed is to be dropped, null at the end.
     *
     * @param begun whether it continues a snippet that is not whole yet
     */
    @Nullable
    String next(boolean begun) throws IOException;

    /** Sets what is done, on any thread, when Ctrl-C is pressed while nothing is read. */
    default void whenInterrupted(Runnable stop) {
        // signals come as such
    }

    /** Returns whether Ctrl-C was pressed since the last lines were accepted. */
    default boolean interrupted() {
        return false;
    }

    @Override
    void close() throws IOException;
}
