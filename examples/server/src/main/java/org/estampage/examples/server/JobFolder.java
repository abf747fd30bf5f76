package org.estampage.examples.server;

import java.io.IOException;
import java.nio.file.FileVisitResult;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.SimpleFileVisitor;
import java.nio.file.attribute.BasicFileAttributes;
import java.util.Optional;
import org.jspecify.annotations.Nullable;

/**
 * A folder of one job, which goes when it is closed and nobody uses it any more: an upload, a bake or a download under way ends first.
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
    private int uses;
    private boolean closed;

    private JobFolder(Path path) {
        this.path = path;
    }

    /** Makes a new folder, which only this account can read where the file system knows accounts. */
    static JobFolder in(Path parent) throws IOException {
        return new JobFolder(Files.createTempDirectory(parent, "job-"));
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
            } catch (IOException e) {
                System.getLogger(JobFolder.class.getName()).log(System.Logger.Level.WARNING, "a job's folder could not be deleted", e);
            }
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
