package org.estampage.internal.kernel;

import com.sun.management.OperatingSystemMXBean;
import com.sun.management.ThreadMXBean;
import java.lang.management.ManagementFactory;

/**
 * What work allocates once the compiler is done with it.
 *
 * <p>Vectors are allocated until the last of the loops is compiled, and how many rounds that takes depends on how busy the machine and the compiler's
 * queue are: compiled loops run through hundreds of rounds while one waits for its turn. So rounds go on until several in a row allocate nothing.
 *
 * @threads confined
 */
public final class AllocatedBytes {
    /** So many rounds in a row must be quiet: one alone could lie between two compilations. */
    private static final int QUIET_ROUNDS = 5;
    /**
     * Processor time of the whole JVM, its compiler's included, after which it is clear that the rounds stay loud: on a busy machine that comes later.
     * Compiling takes 1 to 4 s of it.
     */
    private static final long PATIENCE_NANOS = 30_000_000_000L;
    private static final ThreadMXBean THREADS = (ThreadMXBean) ManagementFactory.getThreadMXBean();
    private static final OperatingSystemMXBean SYSTEM = (OperatingSystemMXBean) ManagementFactory.getOperatingSystemMXBean();

    private AllocatedBytes() {
    }

    /**
     * Returns the bytes a thing that the loudest of the last few rounds allocated in this thread.
     *
     * @param things how many things a round works on
     * @param little fewer bytes a thing are none
     * @param round  the work
     */
    public static double perThing(long things, double little, Runnable round) {
        long end = SYSTEM.getProcessCpuTime() + PATIENCE_NANOS;
        double[] last = new double[QUIET_ROUNDS];
        int quiet = 0;
        for (int i = 0; quiet < QUIET_ROUNDS && (i < QUIET_ROUNDS || SYSTEM.getProcessCpuTime() < end); i++) {
            long before = THREADS.getCurrentThreadAllocatedBytes();
            long idle = THREADS.getCurrentThreadAllocatedBytes() - before; // what measuring itself takes
            before = THREADS.getCurrentThreadAllocatedBytes();
            round.run();
            double bytes = (double) (THREADS.getCurrentThreadAllocatedBytes() - before - idle) / things;
            last[i % QUIET_ROUNDS] = bytes;
            quiet = bytes < little ? quiet + 1 : 0;
        }
        double most = 0;
        for (double bytes : last) {
            most = Math.max(most, bytes);
        }
        return most;
    }
}
