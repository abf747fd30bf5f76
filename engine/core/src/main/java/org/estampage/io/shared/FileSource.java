package org.estampage.io.shared;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.SeekableByteChannel;
import java.nio.file.FileSystemException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import org.estampage.task.Task;

/**
 * A file's bytes from the first to the last, of any size, with progress and cancelling on the way and an account of the memory that its content
 * takes.
 *
 * @threads confined to one thread at a time
 */
public final class FileSource implements AutoCloseable {
    /** Small enough to stay in a core's cache between the kernel's copy and ours. */
    private static final int SLICE = 1 << 19;

    private final Path path;
    private final String name;
    private final Task task;
    private final SeekableByteChannel channel;
    private final long size;
    private final Task.Stage stage;
    private long position;
    private long reserved;

    private FileSource(Path path, Task task, SeekableByteChannel channel) throws IOException {
        this.path = path;
        this.name = name(path);
        this.task = task;
        this.channel = channel;
        this.size = channel.size();
        this.stage = task.stage("reading " + name, size);
    }

    /**
     * Opens a file.
     *
     * @throws NoSuchFileException if there is none; the message says so
     * @throws IOException         if it is a folder or can't be opened
     */
    public static FileSource open(Path path, Task task) throws IOException {
        checkReadable(path);
        SeekableByteChannel channel = Files.newByteChannel(path);
        try {
            return new FileSource(path, task, channel);
        } catch (Throwable e) { // a cancelled task too
            channel.close();
            throw e;
        }
    }

    /**
     * Returns when {@code path} is a file with a size.
     *
     * @throws NoSuchFileException if nothing is there; the message says so
     * @throws IOException         if something else is there
     */
    public static void checkReadable(Path path) throws IOException {
        if (!Files.exists(path)) {
            throw new NoSuchFileException(path.toString(), null, "does not exist");
        }
        if (!Files.isRegularFile(path)) {
            throw new FileSystemException(path.toString(), null, Files.isDirectory(path) ? "is a folder" : "is not a regular file");
        }
    }

    /** Returns the last element of a path as text. */
    public static String name(Path path) {
        Path last = path.getFileName();
        return last == null ? path.toString() : last.toString();
    }

    /** Returns a file's name without its ending. */
    public static String stem(Path path) {
        String name = name(path);
        int dot = name.lastIndexOf('.');
        return dot > 0 ? name.substring(0, dot) : name;
    }

    /** Returns the file's name. */
    public String name() {
        return name;
    }

    /** Returns the file's path. */
    public Path path() {
        return path;
    }

    /** Returns the task. */
    public Task task() {
        return task;
    }

    /** Returns the file's size when it was opened. */
    public long size() {
        return size;
    }

    /** Returns how many bytes were read. */
    public long position() {
        return position;
    }

    /** Goes to another byte. */
    public void seek(long offset) throws IOException {
        channel.position(offset);
        stage.advance(offset - position);
        position = offset;
    }

    /**
     * Reads bytes.
     *
     * @return how many were read; fewer than {@code length} only at the file's end
     */
    public int read(byte[] dest, int from, int length) throws IOException {
        int done = 0;
        while (done < length) {
            int n = channel.read(ByteBuffer.wrap(dest, from + done, Math.min(SLICE, length - done)));
            if (n < 0) {
                break;
            }
            done += n;
            position += n;
            stage.advance(n);
        }
        return done;
    }

    /**
     * Takes memory from the task's budget until this source is closed.
     *
     * @throws IOException if the budget has not so much left
     */
    public void reserve(long bytes) throws IOException {
        if (!task.memory().tryReserve(bytes)) {
            long left = task.memory().bytes() - task.memory().reserved();
            throw new IOException(name + " needs " + megabytes(reserved + bytes) + " of memory, " + megabytes(Math.max(0, left + reserved))
                    + " are left: let Java use more (-Xmx)");
        }
        reserved += bytes;
    }

    private static String megabytes(long bytes) {
        return (bytes + 999_999) / 1_000_000 + " MB";
    }

    @Override
    public void close() throws IOException {
        task.memory().release(reserved);
        reserved = 0;
        channel.close();
    }
}
