package org.estampage.io.format;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Path;
import org.estampage.task.Task;

/**
 * Writes a file whole or not at all: into a temporary file of the same folder, which then takes the target's name in one step.
 *
 * <p>Until that step an older file of that name stays readable as it was. When the body fails or the task is cancelled, the temporary file is
 * removed and the older file stays.
 *
 * @threads safe for concurrent calls; of several writers of one target the last one wins
 */
public final class AtomicFile {
    private AtomicFile() {
    }

    /** Writes a file's content. */
    @FunctionalInterface
    public interface Body {
        /**
         * Writes everything to {@code out}, which is buffered and need not be closed; a cancelled task stops it at one of its writes.
         *
         * @throws IOException if writing fails
         */
        void write(OutputStream out) throws IOException;
    }

    /**
     * Writes {@code target}; missing folders are made, an older file is replaced. A symbolic link is followed: what it points to is replaced.
     *
     * @throws IOException                                if the body or the disk fails, or {@code target} is a folder
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public static void write(Path target, Task task, Body body) throws IOException {
        PendingFile pending = PendingFile.written(target, task, body);
        try {
            task.check();
            pending.take();
        } catch (Throwable e) { // Errors too: nothing may stay behind
            pending.discard(e);
            throw e;
        }
    }
}
