package org.estampage.io.format;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.AtomicMoveNotSupportedException;
import java.nio.file.FileAlreadyExistsException;
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
 * A file that is written whole under a temporary name of its target's folder and has not taken the target's name yet.
 *
 * @threads confined to one thread at a time
 */
final class PendingFile {
    private static final AtomicLong NUMBER = new AtomicLong();
    private static final int NAME_ATTEMPTS = 1000;

    private final Path temporary;
    private final Path place;
    /** What was there before, under another name; null when nothing was, or the file system knows no second names. */
    private @Nullable Path former;
    private boolean isNew;
    private boolean taken;

    private PendingFile(Path temporary, Path place) {
        this.temporary = temporary;
        this.place = place;
    }

    /**
     * Returns a file that is written; missing folders are made. When the body fails nothing stays behind.
     *
     * @throws IOException if the body or the disk fails, or {@code target} is a folder
     */
    static PendingFile written(Path target, Task task, AtomicFile.Body body) throws IOException {
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
            try {
                Files.createDirectories(folder);
            } catch (FileAlreadyExistsException e) {
                throw new FileSystemException(e.getFile(), null, "is a file, must be a folder for " + target.getFileName());
            }
        }
        @Nullable
        Path[] temporary = new @Nullable Path[1];
        try {
            try (OutputStream raw = open(folder, place.getFileName().toString(), temporary)) {
                Watched out = new Watched(raw, task);
                body.write(out);
                out.flush();
            }
            return new PendingFile(Objects.requireNonNull(temporary[0]), place);
        } catch (Throwable e) { // Errors too: nothing may stay behind
            remove(temporary[0], e);
            throw e;
        }
    }

    /** Returns the file whose name it is to take. */
    Path place() {
        return place;
    }

    /** Keeps what is at the target under a second name, where the file system has such, so that {@link #giveBack} can bring it back. */
    void keepFormer() {
        isNew = Files.notExists(place);
        if (!isNew) {
            Path second = temporary.resolveSibling(temporary.getFileName() + ".former");
            try {
                former = Files.createLink(second, place);
            } catch (IOException | UnsupportedOperationException e) { // no second names here: then it can't be brought back
                former = null;
            }
        }
    }

    /** Takes the target's name in one step. */
    void take() throws IOException {
        move(temporary, place);
        taken = true;
    }

    /** Lets go of what was there before. */
    void forgetFormer() throws IOException {
        if (former != null) {
            Files.deleteIfExists(former);
            former = null;
        }
    }

    /** Undoes all as far as it can: a taken name goes back to what had it before, or to none; the temporary file is removed. */
    void giveBack(Throwable reason) {
        try {
            if (taken && former != null) {
                move(former, place);
                former = null;
            } else if (taken && isNew) {
                Files.deleteIfExists(place);
            }
            forgetFormer();
        } catch (IOException e) {
            reason.addSuppressed(e);
        }
        discard(reason);
    }

    /** Removes the temporary file, if it has not taken the name. */
    void discard(Throwable reason) {
        remove(temporary, reason);
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

    private static void remove(@Nullable Path temporary, Throwable reason) {
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
