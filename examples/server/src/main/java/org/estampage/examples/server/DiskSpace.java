package org.estampage.examples.server;

import java.time.Duration;
import java.util.concurrent.atomic.AtomicLong;

/**
 * The bytes that the files of all jobs may take together.
 *
 * @threads safe for concurrent calls
 */
final class DiskSpace {
    /** When a client should ask again; jobs that end and go make room. */
    private static final Duration RETRY = Duration.ofMinutes(1);

    private final long bytes;
    private final AtomicLong taken = new AtomicLong();

    DiskSpace(long bytes) {
        this.bytes = bytes;
    }

    /**
     * Takes so many bytes.
     *
     * @throws ProblemException if there are fewer; none is taken then
     */
    void take(long count) throws ProblemException {
        if (taken.addAndGet(count) > bytes) {
            taken.addAndGet(-count);
            throw new ProblemException(Problem.later(ProblemKind.SHORT_OF_ROOM, "the files of all jobs may take " + bytes
                    + " bytes on this server, and there is no room for these: remove jobs that are not needed any more, or come again",
                    RETRY));
        }
    }

    /** Gives bytes back. */
    void giveBack(long count) {
        taken.addAndGet(-count);
    }

    /** Returns how many are taken. */
    long taken() {
        return taken.get();
    }
}
