package org.estampage.task;

import java.util.Objects;
import java.util.concurrent.CancellationException;
import java.util.concurrent.atomic.AtomicLong;
import java.util.function.Supplier;

/**
 * The surroundings of one long operation: progress, cancelling, memory, and what is known from before.
 *
 * <p>As a caller who shows progress:
 * {@snippet class = "org.estampage.cookbook.CookbookTest" region = "progress"}
 *
 * @param progress     who hears how far it is
 * @param cancellation how it is stopped
 * @param memory       how much it may use
 * @param recall       what remembers values of operations
 * @threads immutable; its parts are safe for concurrent calls
 */
public record Task(Progress progress, Cancellation cancellation, MemoryBudget memory, Recall recall) {
    /** Steps of some ten to a hundred nanoseconds that may pass between two looks: a few milliseconds at most. A power of two. */
    private static final int STEPS_A_CHECK = 1 << 15;

    /** Checks that nothing is null. */
    public Task {
        Objects.requireNonNull(progress, "progress");
        Objects.requireNonNull(cancellation, "cancellation");
        Objects.requireNonNull(memory, "memory");
        Objects.requireNonNull(recall, "recall");
    }

    /** Makes a task that remembers nothing. */
    public Task(Progress progress, Cancellation cancellation, MemoryBudget memory) {
        this(progress, cancellation, memory, Recall.none());
    }

    /** Returns this task with something that remembers values of operations. */
    public Task recalling(Recall value) {
        return new Task(progress, cancellation, memory, value);
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
     * Returns when this task was not cancelled, and looks only now and then: for loops whose steps take a few nanoseconds.
     *
     * @param step the number of the step, from 0 in steps of 1; the first looks, then one of some ten thousand
     * @throws CancellationException if it was cancelled
     */
    public void check(int step) {
        if ((step & (STEPS_A_CHECK - 1)) == 0) {
            check();
        }
    }

    /**
     * Returns what the work returns, now or, where this task recalls it, when it was done before.
     *
     * @param type      the class of the value
     * @param operation the object whose fields say what is done to what, see {@link Recall}
     * @param work      gives the value
     * @throws CancellationException if this task was cancelled
     */
    public <T> T recalled(Class<T> type, Object operation, Supplier<? extends T> work) {
        check();
        return recall.of(type, operation, this, work);
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
