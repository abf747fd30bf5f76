package org.estampage.task;

import java.util.Objects;
import java.util.concurrent.CancellationException;
import java.util.concurrent.atomic.AtomicLong;

/**
 * The surroundings of one long operation: progress, cancelling and memory.
 *
 * <p>As a caller who shows progress:
 * {@snippet class = "org.estampage.cookbook.CookbookTest" region = "progress"}
 *
 * @param progress     who hears how far it is
 * @param cancellation how it is stopped
 * @param memory       how much it may use
 * @threads immutable; its parts are safe for concurrent calls
 */
public record Task(Progress progress, Cancellation cancellation, MemoryBudget memory) {
    /** Checks that nothing is null. */
    public Task {
        Objects.requireNonNull(progress, "progress");
        Objects.requireNonNull(cancellation, "cancellation");
        Objects.requireNonNull(memory, "memory");
    }

    /** Returns a task that reports to nobody, can't be cancelled from outside and may use this JVM's heap. */
    public static Task silent() {
        return new Task(Progress.none(), new Cancellation(), MemoryBudget.ofHeap());
    }

    /** Returns a task that reports to {@code progress}, with a new cancellation and this JVM's heap. */
    public static Task reporting(Progress progress) {
        return new Task(progress, new Cancellation(), MemoryBudget.ofHeap());
    }

    /**
     * Returns when this task was not cancelled.
     *
     * @throws CancellationException if it was
     */
    public void check() {
        cancellation.check();
    }

    /**
     * Begins a stage of known or unknown length.
     *
     * @param name  a short phrase for people
     * @param total units in all, or −1 when unknown
     */
    public Stage stage(String name, long total) {
        check();
        progress.report(name, 0, total);
        return new Stage(this, name, total);
    }

    /**
     * One stage of a task; workers of several threads move it forward.
     *
     * @threads safe for concurrent calls
     */
    public static final class Stage {
        private final Task task;
        private final String name;
        private final long total;
        private final AtomicLong done = new AtomicLong();

        private Stage(Task task, String name, long total) {
            this.task = task;
            this.name = name;
            this.total = total;
        }

        /**
         * Moves this stage {@code units} forward and reports it.
         *
         * @throws CancellationException if the task was cancelled
         */
        public void advance(long units) {
            task.check();
            task.progress.report(name, done.addAndGet(units), total);
        }
    }
}
