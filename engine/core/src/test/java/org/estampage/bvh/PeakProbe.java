package org.estampage.bvh;

import java.lang.management.ManagementFactory;
import java.lang.management.MemoryPoolMXBean;
import java.lang.management.MemoryUsage;
import java.util.List;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.ForkJoinPool;
import org.estampage.internal.kernel.Kernels;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * A program for a JVM of its own with a small heap: prints for some strategies the least room in which a tracer can be built, as a share of the peak that the
 * tracer tells. It fills the heap up until just so much is left, builds, and looks whether that ran out of memory.
 */
final class PeakProbe {
    /** The collector puts what does not fit into its young generation, the smallest there can be, straight into this one. */
    private static final MemoryPoolMXBean OLD = ManagementFactory.getMemoryPoolMXBeans().stream()
            .filter(pool -> pool.getName().equals("Tenured Gen")).findFirst().orElseThrow();
    private static final double LEAST = 0.8;
    private static final double MOST = 1.2;
    private static final double STEP = 0.05;

    private PeakProbe() {
    }

    public static void main(String[] args) throws InterruptedException {
        Mesh ball = TestMeshes.ball(240, 300, 0.02);
        List<TreeLayout> layouts = Kernels.areVectors()
                ? List.of(WideLayout.of(Kernels.lanes()), new BinaryLayout())
                : List.of(new BinaryLayout());
        for (TreeLayout layout : layouts) {
            for (TreeBuilder builder : List.of(new BinnedSahBuilder(), new MortonBuilder())) {
                measure(ball, new Strategy(builder, layout));
            }
        }
    }

    @SuppressWarnings("SystemOut") // the way back to the JVM that started this one
    private static void measure(Mesh mesh, Strategy strategy) throws InterruptedException {
        long told = build(mesh, strategy);
        double low = LEAST;
        double high = MOST;
        while (high - low > STEP) {
            double middle = (low + high) / 2;
            byte[] rest = fill((long) (middle * told));
            if (build(mesh, strategy) < 0) {
                low = middle;
            } else {
                high = middle;
            }
            rest[0] = 1; // until here it takes its room
        }
        System.out.println(high + " of " + told + " bytes, " + strategy);
    }

    /** Returns an array that leaves so many bytes. */
    private static byte[] fill(long room) {
        System.gc();
        MemoryUsage old = OLD.getUsage();
        return new byte[Math.toIntExact(old.getMax() - old.getUsed() - room)];
    }

    /** Returns the peak that a tracer tells, −1 if memory ran out. */
    private static long build(Mesh mesh, Strategy strategy) throws InterruptedException {
        // One thread's tools: how many there are is chance otherwise. And a pool of its own, or it would hold on to the last tracer.
        try (ForkJoinPool pool = new ForkJoinPool(1)) {
            return pool.submit(() -> Bvh.build(mesh, strategy, Task.silent()).buildPeakBytes()).get();
        } catch (ExecutionException e) {
            for (Throwable cause = e; cause != null; cause = cause.getCause()) {
                if (cause instanceof OutOfMemoryError) {
                    return -1;
                }
            }
            throw new IllegalStateException(e);
        }
    }
}
