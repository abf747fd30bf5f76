package org.estampage.examples.server;

import java.io.IOException;
import java.nio.file.FileVisitResult;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.SimpleFileVisitor;
import java.nio.file.attribute.BasicFileAttributes;
import java.util.Optional;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;

/**
 * A folder of one job, which goes when it is closed and nobody uses it any more: an upload, a bake or a download under way ends first. With it goes the
 * space that it has taken.
 *
 * @threads safe for concurrent calls
 */
final class JobFolder {
    /** The right to use the folder for a while. */
    final class Use implements AutoCloseable {
        private boolean ended;

        private Use() {
        }

        /** Returns the folder. */
        Path path() {
            return path;
        }

        /**
         * Takes space for so many bytes of files.
         *
         * @throws ProblemException if there is none
         */
        void take(long bytes) throws ProblemException {
            synchronized (JobFolder.this) {
                space.take(bytes);
                taken += bytes;
            }
        }

        /** Gives the space of files back that were deleted, or became no larger than this. */
        void giveBack(long bytes) {
            synchronized (JobFolder.this) {
                space.giveBack(bytes);
                taken -= bytes;
            }
        }

        @Override
        public void close() {
            synchronized (JobFolder.this) {
                if (!ended) {
                    ended = true;
                    uses--;
                    deleteIfUnused();
                }
            }
        }
    }

    private final Path path;
    private final DiskSpace space;
    private long taken;
    private int uses;
    private boolean closed;

    private JobFolder(Path path, DiskSpace space) {
        this.path = path;
        this.space = space;
    }

    /** Makes a new folder, which only this account can read where the file system knows accounts. */
    static JobFolder in(Path parent, DiskSpace space) throws IOException {
        return new JobFolder(Files.createTempDirectory(parent, "job-"), space);
    }

    /** Returns the right to use the folder; empty once it is closed. */
    synchronized Optional<Use> use() {
        if (closed) {
            return Optional.empty();
        }
        uses++;
        return Optional.of(new Use());
    }

    /** Lets the folder go as soon as nobody uses it. */
    synchronized void close() {
        closed = true;
        deleteIfUnused();
    }

    private void deleteIfUnused() {
        if (closed && uses == 0) {
            try {
                deleteTree(path);
                space.giveBack(taken);
                taken = 0;
            } catch (IOException e) {
                System.getLogger(JobFolder.class.getName()).log(System.Logger.Level.WARNING, "a job's folder could not be deleted", e);
            }
        }
    }

    /** Returns the bytes of all files in a folder. */
    static long size(Path folder) throws IOException {
        try (Stream<Path> files = Files.walk(folder)) {
            long bytes = 0;
            for (Path file : (Iterable<Path>) files::iterator) {
                bytes += Files.isRegularFile(file) ? Files.size(file) : 0;
            }
            return bytes;
        }
    }

    /** Deletes a folder with all that is in it; it need not be there. */
    static void deleteTree(Path folder) throws IOException {
        Files.walkFileTree(folder, new SimpleFileVisitor<>() {
            @Override
            public FileVisitResult visitFile(Path file, BasicFileAttributes attributes) throws IOException {
                Files.deleteIfExists(file);
                return FileVisitResult.CONTINUE;
            }

            @Override
            public FileVisitResult visitFileFailed(Path file, IOException e) throws IOException {
                if (e instanceof NoSuchFileException) {
                    return FileVisitResult.CONTINUE;
                }
                throw e;
            }

            @Override
            public FileVisitResult postVisitDirectory(Path dir, @Nullable IOException e) throws IOException {
                if (e != null) {
                    throw e;
                }
                Files.deleteIfExists(dir);
                return FileVisitResult.CONTINUE;
            }
        });
    }
}
