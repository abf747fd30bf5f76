package org.estampage.io.format;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.AtomicMoveNotSupportedException;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.FileSystemException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.StandardOpenOption;
import java.util.Objects;
import java.util.concurrent.atomic.AtomicLong;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Writes a file whole or not at all: into a temporary file of the same folder, which then takes the target's name in one step.
 *
 * <p>Until that step an older file of that name stays readable as it was. When the body fails or the task is cancelled, the temporary file is
 * removed and the older file stays.
 *
 * @threads safe for concurrent calls; of several writers of one target the last one wins
 */
public final class AtomicFile {
    private static final AtomicLong NUMBER = new AtomicLong();
    private static final int NAME_ATTEMPTS = 1000;

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
        Objects.requireNonNull(target, "target");
        Objects.requireNonNull(task, "task");
        Objects.requireNonNull(body, "body");
        task.check();
        Path place = Files.isSymbolicLink(target) && Files.exists(target) ? target.toRealPath() : target.toAbsolutePath();
        if (Files.isDirectory(place) || place.getFileName() == null) {
            throw new FileSystemException(target.toString(), null, "is a folder, a file name is needed");
        }
        Path folder = Objects.requireNonNull(place.getParent(), "folder");
        if (!Files.isDirectory(folder)) { // createDirectories refuses a link to a folder
            Files.createDirectories(folder);
        }
        @Nullable
        Path[] temporary = new @Nullable Path[1];
        try {
            try (OutputStream raw = open(folder, place.getFileName().toString(), temporary)) {
                Watched out = new Watched(raw, task);
                body.write(out);
                out.flush();
            }
            task.check();
            move(Objects.requireNonNull(temporary[0]), place);
        } catch (Throwable e) { // Errors too: nothing may stay behind
            discard(temporary[0], e);
            throw e;
        }
    }

    /** Not {@code Files.createTempFile}: that makes the file private to its owner, and the mode would stay with the finished file. */
    private static OutputStream open(Path folder, String name, @Nullable Path[] destPath) throws IOException {
        String prefix = "." + (name.length() > 100 ? name.substring(0, 100) : name) + "." + ProcessHandle.current().pid() + "-";
        for (int attempt = 0; attempt < NAME_ATTEMPTS; attempt++) {
            Path path = folder.resolve(prefix + NUMBER.incrementAndGet() + ".part");
            try {
                OutputStream out = Files.newOutputStream(path, StandardOpenOption.CREATE_NEW, StandardOpenOption.WRITE);
                destPath[0] = path;
                return out;
            } catch (FileAlreadyExistsException taken) { // left by a process that was killed, or by another machine with our number
            }
        }
        throw new FileSystemException(folder.toString(), null, "no free name for a temporary file");
    }

    private static void move(Path from, Path to) throws IOException {
        try {
            Files.move(from, to, StandardCopyOption.ATOMIC_MOVE, StandardCopyOption.REPLACE_EXISTING);
        } catch (AtomicMoveNotSupportedException e) { // some network drives; still complete before it takes the name
            Files.move(from, to, StandardCopyOption.REPLACE_EXISTING);
        }
    }

    private static void discard(@Nullable Path temporary, Throwable reason) {
        if (temporary != null) {
            try {
                Files.deleteIfExists(temporary);
            } catch (IOException e) {
                reason.addSuppressed(e);
            }
        }
    }

    /** A buffer that looks at the task whenever it goes to the disk; closing it only flushes, so that the file stays ours to close. */
    private static final class Watched extends OutputStream {
        private final OutputStream to;
        private final Task task;
        private final byte[] buffer = new byte[1 << 16];
        private int size;

        Watched(OutputStream to, Task task) {
            this.to = to;
            this.task = task;
        }

        @Override
        public void write(int b) throws IOException {
            if (size == buffer.length) {
                empty();
            }
            buffer[size++] = (byte) b;
        }

        @Override
        public void write(byte[] b, int from, int length) throws IOException {
            Objects.checkFromIndexSize(from, length, b.length);
            if (length > buffer.length - size) {
                empty();
                if (length >= buffer.length) {
                    task.check();
                    to.write(b, from, length);
                    return;
                }
            }
            System.arraycopy(b, from, buffer, size, length);
            size += length;
        }

        private void empty() throws IOException {
            task.check();
            to.write(buffer, 0, size);
            size = 0;
        }

        @Override
        public void flush() throws IOException {
            empty();
            to.flush();
        }

        @Override
        public void close() throws IOException {
            flush();
        }
    }
}
