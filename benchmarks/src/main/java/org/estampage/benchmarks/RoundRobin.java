package org.estampage.benchmarks;

import java.lang.management.ManagementFactory;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.CountDownLatch;
import java.util.function.Consumer;

/**
 * Measures contenders against each other: every round runs each of them once over all of its rays, so that what disturbs the machine disturbs all.
 *
 * <p>Times are processor time of the tracing threads. A first round is not counted.
 */
final class RoundRobin {
    private static final com.sun.management.ThreadMXBean THREADS = (com.sun.management.ThreadMXBean) ManagementFactory.getThreadMXBean();
    /** Two measurements of the same rays this close are called stable. */
    private static final double STABLE = 0.03;

    private RoundRobin() {
    }

    /**
     * What was measured.
     *
     * @param single    processor seconds of entry, round, on one thread
     * @param both      processor seconds of entry, round, of two threads together; empty for one thread only
     * @param allocated bytes allocated by the tracing thread in one counted round, by entry
     */
    @SuppressWarnings("ArrayRecordComponent") // never compared
    record Times(double[][] single, double[][] both, long[] allocated) {
    }

    static Times measure(List<Entry> entries, int rounds, int threads, double warmSeconds, Consumer<String> progress) {
        for (Entry entry : entries) {
            progress.accept("warming up " + entry);
            warm(entry, entry.own ? warmSeconds : 0.1 * warmSeconds);
        }
        int count = entries.size();
        double[][] single = new double[count][rounds];
        double[][] both = new double[threads > 1 ? count : 0][rounds];
        long[] allocated = new long[count];
        for (int round = -1; round < rounds; round++) {
            progress.accept(round < 0 ? "a round that is not counted" : "round " + (round + 1) + " of " + rounds);
            for (int k = 0; k < count; k++) {
                // Every other round runs backwards: none always comes after the same neighbour.
                int i = (round & 1) == 0 ? k : count - 1 - k;
                long before = THREADS.getCurrentThreadAllocatedBytes();
                double alone = run(entries.get(i), 0, 1, 0);
                long after = THREADS.getCurrentThreadAllocatedBytes();
                double together = threads > 1 ? onThreads(entries.get(i), threads) : 0;
                if (round >= 0) {
                    single[i][round] = alone;
                    allocated[i] = after - before;
                    if (threads > 1) {
                        both[i][round] = together;
                    }
                }
            }
        }
        return new Times(single, both, allocated);
    }

    /** Runs for some seconds, and on until the same rays take the same time twice. */
    private static void warm(Entry entry, double seconds) {
        double spent = 0;
        for (int chunk = 0; spent < seconds; chunk = (chunk + 1) % entry.chunks()) {
            spent += run(entry, chunk, entry.chunks(), 0);
        }
        int step = Math.max(1, entry.chunks() / Math.min(entry.chunks(), 16));
        double last = run(entry, 0, step, 0);
        for (int i = 0; i < 10; i++) {
            double now = run(entry, 0, step, 0);
            if (Math.abs(now - last) < STABLE * last) {
                return;
            }
            last = now;
        }
    }

    private static double onThreads(Entry entry, int threads) {
        double[] seconds = new double[threads];
        Thread[] all = new Thread[threads];
        CountDownLatch start = new CountDownLatch(threads);
        for (int k = 0; k < threads; k++) {
            int number = k;
            all[k] = new Thread(() -> {
                start.countDown();
                try {
                    start.await();
                } catch (InterruptedException e) {
                    Thread.currentThread().interrupt();
                }
                seconds[number] = run(entry, number, threads, number);
            }, "compare-" + k);
            all[k].start();
        }
        try {
            for (Thread thread : all) {
                thread.join();
            }
        } catch (InterruptedException e) {
            throw new IllegalStateException(e);
        }
        return Arrays.stream(seconds).sum();
    }

    /** Returns the processor seconds of every {@code step}th chunk from {@code first} on. */
    private static double run(Entry entry, int first, int step, int thread) {
        long before = THREADS.getCurrentThreadCpuTime();
        for (int chunk = first; chunk < entry.chunks(); chunk += step) {
            entry.run(chunk, thread);
        }
        return 1e-9 * (THREADS.getCurrentThreadCpuTime() - before);
    }
}
