package org.estampage.examples.server;

import java.time.Duration;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.ScheduledFuture;
import java.util.concurrent.TimeUnit;

/**
 * Interrupts threads that wait for a client for too long. A thread that reads from or writes to a socket channel gets an exception then, and the connection is
 * closed.
 *
 * @threads safe for concurrent calls
 */
final class Deadlines implements AutoCloseable {
    private static final long TICK_MILLIS = 50;

    /** The deadline of one thread, the one that made it; it moves as the thread gets on. */
    final class Deadline implements AutoCloseable {
        private final Thread thread = Thread.currentThread();
        private boolean running;
        private boolean passed;
        private long at;

        private Deadline() {
        }

        /** Gives the thread so long from now on. */
        synchronized void in(Duration time) {
            at = System.nanoTime() + time.toNanos();
            running = true;
        }

        /** Gives the thread all the time there is, until the next {@link #in}. */
        synchronized void never() {
            running = false;
        }

        @SuppressWarnings("Interruption") // it is the wake-up of a thread that waits for a client, by the thread's own wish
        private synchronized void look() {
            if (running && System.nanoTime() - at >= 0) {
                running = false;
                passed = true;
                thread.interrupt();
            }
        }

        /** Ends the watch; an interrupt of its making that nobody has seen is taken back. */
        @Override
        public void close() {
            all.remove(this);
            synchronized (this) {
                running = false;
                if (passed) {
                    Thread.interrupted();
                }
            }
        }
    }

    private final Set<Deadline> all = ConcurrentHashMap.newKeySet();
    private final ScheduledFuture<?> ticks;

    Deadlines(ScheduledExecutorService timer) {
        ticks = timer.scheduleWithFixedDelay(() -> all.forEach(Deadline::look), TICK_MILLIS, TICK_MILLIS, TimeUnit.MILLISECONDS);
    }

    /** Returns a deadline for this thread, to be closed by it. */
    Deadline in(Duration time) {
        Deadline deadline = new Deadline();
        deadline.in(time);
        all.add(deadline);
        return deadline;
    }

    /** Watches nobody any more. */
    @Override
    public void close() {
        ticks.cancel(false);
    }
}
