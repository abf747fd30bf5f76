package org.estampage.task;

import java.util.concurrent.atomic.AtomicLong;

/**
 * How many bytes of heap the large arrays of one operation may take together.
 *
 * <p>Holders of large data ask {@link #tryReserve} before they allocate and fall back to a spill file, or refuse, when it says no. Those who can do
 * neither take what is left ({@link #reserveUpTo}), so that the others make way for them.
 *
 * @threads safe for concurrent calls
 */
public final class MemoryBudget {
    private final long bytes;
    private final AtomicLong reserved = new AtomicLong();

    private MemoryBudget(long bytes) {
        this.bytes = bytes;
    }

    /**
     * Returns a budget of so many bytes.
     *
     * @throws IllegalArgumentException if {@code bytes} is negative
     */
    public static MemoryBudget ofBytes(long bytes) {
        if (bytes < 0) {
            throw new IllegalArgumentException("bytes = " + bytes + " must not be negative");
        }
        return new MemoryBudget(bytes);
    }

    /** Returns a budget of three quarters of this JVM's largest heap. */
    public static MemoryBudget ofHeap() {
        return new MemoryBudget(Runtime.getRuntime().maxMemory() / 4 * 3);
    }

    /** Returns the budget in bytes. */
    public long bytes() {
        return bytes;
    }

    /** Returns the bytes that are reserved now. */
    public long reserved() {
        return reserved.get();
    }

    /**
     * Reserves {@code count} bytes if they fit.
     *
     * @return whether they were reserved
     * @throws IllegalArgumentException if {@code count} is negative
     */
    public boolean tryReserve(long count) {
        if (count < 0) {
            throw new IllegalArgumentException("count = " + count + " must not be negative");
        }
        while (true) {
            long now = reserved.get();
            if (count > bytes - now) {
                return false;
            }
            if (reserved.compareAndSet(now, now + count)) {
                return true;
            }
        }
    }

    /**
     * Reserves {@code count} bytes, or as many as are left: for what must be on the heap in any case, so that others, who could do without, see less.
     *
     * @return how many were reserved, to be {@link #release}d some day
     * @throws IllegalArgumentException if {@code count} is negative
     */
    public long reserveUpTo(long count) {
        while (true) {
            long most = Math.min(count, bytes - reserved.get());
            if (tryReserve(most)) {
                return most;
            }
        }
    }

    /**
     * Gives {@code count} reserved bytes back.
     *
     * @throws IllegalArgumentException if more than what is reserved would be given back
     */
    public void release(long count) {
        long left = reserved.addAndGet(-count);
        if (count < 0 || left < 0) {
            reserved.addAndGet(count);
            throw new IllegalArgumentException("count = " + count + " is not what was reserved (" + (left + count) + ")");
        }
    }

    /** Returns how much of it is taken, for people. */
    @Override
    public String toString() {
        return reserved() + " of " + bytes() + " bytes taken";
    }
}
