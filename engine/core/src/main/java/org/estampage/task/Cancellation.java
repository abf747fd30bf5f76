package org.estampage.task;

import java.util.concurrent.CancellationException;

/**
 * A flag that one thread raises and long operations look at between their steps.
 *
 * <p>As a caller who stops what runs:
 * {@snippet class = "org.estampage.cookbook.CookbookTest" region = "cancel"}
 *
 * @threads safe for concurrent calls
 */
public final class Cancellation {
    private volatile boolean cancelled;

    /** Makes a flag that is not raised. */
    public Cancellation() {
    }

    /** Asks every operation that was given this flag to stop. It can't be taken back. */
    public void cancel() {
        cancelled = true;
    }

    /** Returns whether {@link #cancel} was called. */
    public boolean isCancelled() {
        return cancelled;
    }

    /** Returns whether it was raised, for people. */
    @Override
    public String toString() {
        return cancelled ? "cancelled" : "not cancelled";
    }

    /**
     * Returns when nothing was cancelled.
     *
     * @throws CancellationException if {@link #cancel} was called
     */
    public void check() {
        if (cancelled) {
            throw new CancellationException("cancelled");
        }
    }
}
