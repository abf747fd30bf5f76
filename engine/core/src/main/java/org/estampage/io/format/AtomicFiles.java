package org.estampage.io.format;

import java.io.IOException;
import java.nio.file.FileSystemException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import org.estampage.task.Task;

/**
 * Writes several files, all or none: each into a temporary file of its folder first, and only when all are complete do they take their names.
 *
 * <p>Until {@link #finish}, older files of those names stay as they were. Where taking the names fails half-way (another program holds a file,
 * say), those that were taken go back to the older files, as far as the file system allows: it must know a second name for a file (a hard link).
 * A process that is killed in the middle of {@link #finish} leaves some names new and some old, each file whole. Folders that were made stay.
 *
 * {@snippet :
 * try (AtomicFiles files = AtomicFiles.begin(task)) {
 *     files.write(first, out -> out.write(bytes));
 *     files.write(second, out -> out.write(others));
 *     files.finish();
 * }
 * }
 *
 * @threads confined to one thread at a time
 */
public final class AtomicFiles implements AutoCloseable {
    private final Task task;
    private final List<PendingFile> pending = new ArrayList<>();
    private final Set<Path> places = new HashSet<>();

    private AtomicFiles(Task task) {
        this.task = task;
    }

    /** Returns a group without files. */
    public static AtomicFiles begin(Task task) {
        return new AtomicFiles(task);
    }

    /**
     * Writes a file, which does not take its name yet; missing folders are made.
     *
     * @throws IOException                                if the body or the disk fails, {@code target} is a folder, or this group has it already
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public void write(Path target, AtomicFile.Body body) throws IOException {
        PendingFile file = PendingFile.written(target, task, body);
        pending.add(file);
        if (!places.add(file.place())) {
            throw new FileSystemException(target.toString(), null, "is written twice");
        }
    }

    /**
     * Lets all files take their names; older ones are replaced.
     *
     * @throws IOException                                if the file system refuses one; then the others are given back, see above
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public void finish() throws IOException {
        task.check();
        try {
            for (PendingFile file : pending) {
                file.keepFormer();
                file.take();
            }
        } catch (Throwable e) { // Errors too: nothing may stay behind
            for (PendingFile file : pending) {
                file.giveBack(e);
            }
            pending.clear();
            throw e;
        }
        for (PendingFile file : pending) {
            file.forgetFormer();
        }
        pending.clear();
    }

    /** Removes what was written, unless {@link #finish} was called. */
    @Override
    public void close() throws IOException {
        IOException problem = new IOException("temporary files could not be removed");
        for (PendingFile file : pending) {
            file.discard(problem);
        }
        pending.clear();
        if (problem.getSuppressed().length > 0) {
            throw problem;
        }
    }
}
