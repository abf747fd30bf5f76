package org.estampage.bake;

import org.estampage.task.MemoryBudget;

/**
 * What one bake holds of a memory budget for things that can't be spilled: images that come later make way for them.
 *
 * @threads safe for concurrent calls
 */
final class HeldMemory implements AutoCloseable {
    private final MemoryBudget budget;
    private long held;

    HeldMemory(MemoryBudget budget) {
        this.budget = budget;
    }

    /** Holds so many bytes more, or what is left of the budget. */
    synchronized void add(long bytes) {
        held += budget.reserveUpTo(bytes);
    }

    /** Gives everything back. */
    @Override
    public synchronized void close() {
        budget.release(held);
        held = 0;
    }
}
