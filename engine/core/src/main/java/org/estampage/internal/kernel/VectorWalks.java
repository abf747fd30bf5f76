package org.estampage.internal.kernel;

import java.util.concurrent.atomic.AtomicLong;

/**
 * Whether this JVM has so many rays to trace that the walks with vectors are worth compiling. It decides speed alone: {@link PlainStream} and {@link VectorStream}
 * give the same bits.
 *
 * @threads safe for concurrent calls
 */
public final class VectorWalks {
    /**
     * Rays and nearest points that plain code finds in the time that vectors take to compile. Until that is done vectors are objects, and a ray takes a
     * hundred times as long: about 2 s with two processors, in which plain code, compiled in a moment, traces a million rays a second.
     */
    private static final long REPAYING = 2_000_000;
    /** What was asked so far, or is sure to come. */
    private static final AtomicLong ASKED = new AtomicLong(Kernels.areWished() ? REPAYING : 0);

    private VectorWalks() {
    }

    /** Says that so many rays or nearest points are asked now, or will be. */
    public static void expect(long count) {
        if (ASKED.get() < REPAYING) {
            ASKED.addAndGet(Math.min(count, REPAYING));
        }
    }

    /** Returns whether vectors are worth it by now. */
    public static boolean areWorthIt() {
        return ASKED.get() >= REPAYING;
    }
}
