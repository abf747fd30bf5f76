package org.estampage.benchmarks;

import java.io.PrintStream;
import java.lang.management.ManagementFactory;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.function.Consumer;
import java.util.function.Supplier;
import org.estampage.benchmarks.reference.NativeScene;
import org.estampage.benchmarks.reference.ProcessClock;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.RayTracer;
import org.jspecify.annotations.Nullable;

/**
 * Builds by every strategy and by the reference, in turn: processor time of the whole process, wall time, bytes that stay, most bytes on the way.
 *
 * <p>Processor time of the process has what garbage collection and the just-in-time compiler took meanwhile in it. The engine's peak is what it counts
 * itself; the reference's is measured by its memory monitor.
 */
final class BuildRace {
    private static final com.sun.management.ThreadMXBean THREADS = (com.sun.management.ThreadMXBean) ManagementFactory.getThreadMXBean();
    private static final int LEAST_WARM_UPS = 3;

    private final RayScene scene;
    private final List<Contender> contenders;
    private final @Nullable Supplier<NativeScene> reference;
    private final double[][] cpu;
    private final double[][] wall;
    private final long[] bytes;
    private final long[] peak;
    private final long[] allocated;

    /**
     * Prepares a race.
     *
     * @param reference builds the reference's scene; null leaves it out
     */
    BuildRace(RayScene scene, List<Contender> contenders, @Nullable Supplier<NativeScene> reference, int rounds) {
        this.scene = scene;
        this.contenders = contenders;
        this.reference = reference;
        int count = contenders.size() + (reference == null ? 0 : 1);
        cpu = new double[count][rounds];
        wall = new double[count][rounds];
        bytes = new long[count];
        peak = new long[count];
        allocated = new long[contenders.size()];
    }

    void run(double warmSeconds, Consumer<String> progress) {
        for (int i = 0; i < contenders.size(); i++) {
            progress.accept("warming up the build of " + contenders.get(i).name());
            double spent = 0;
            for (int times = 0; times < LEAST_WARM_UPS || spent < warmSeconds; times++) {
                spent += build(i, 0);
            }
            measureMemory(i);
        }
        for (int round = 0; round < cpu[0].length; round++) {
            progress.accept("builds, round " + (round + 1) + " of " + cpu[0].length);
            for (int k = 0; k < cpu.length; k++) {
                build((round & 1) == 0 ? k : cpu.length - 1 - k, round);
            }
        }
    }

    private double build(int i, int round) {
        if (i == contenders.size()) {
            try (NativeScene built = supplied()) {
                cpu[i][round] = built.buildCpuSeconds();
                wall[i][round] = built.buildWallSeconds();
                bytes[i] = built.bytes();
                peak[i] = built.peakBytes();
            }
        } else {
            // The last build's garbage is not this one's work.
            System.gc();
            double cpuBefore = ProcessClock.seconds();
            long wallBefore = System.nanoTime();
            RayTracer tracer = contenders.get(i).build(scene.mesh());
            wall[i][round] = 1e-9 * (System.nanoTime() - wallBefore);
            cpu[i][round] = ProcessClock.seconds() - cpuBefore;
            bytes[i] = tracer.bytes();
        }
        return cpu[i][round];
    }

    private NativeScene supplied() {
        if (reference == null) {
            throw new IllegalStateException("there is no reference");
        }
        return reference.get();
    }

    private void measureMemory(int i) {
        long before = THREADS.getTotalThreadAllocatedBytes();
        Bvh tracer = contenders.get(i).build(scene.mesh());
        allocated[i] = THREADS.getTotalThreadAllocatedBytes() - before;
        peak[i] = tracer.buildPeakBytes();
    }

    void print(PrintStream out, List<String> lines) {
        int base = reference == null ? 0 : contenders.size();
        String to = reference == null ? contenders.getFirst().name() : "reference";
        out.printf(Locale.ROOT, "%n%-18s%-24s%10s%10s  %-26s%-26s%16s%10s%12s%n", "work", "contender", "cpu s", "wall s",
                "cpu: " + to + " = 1", "wall",
                "bytes/triangle", "peak", "allocated");
        double triangles = scene.mesh().triangleCount();
        for (int i = 0; i < cpu.length; i++) {
            Ratios cpuRatio = ratios(cpu[i], cpu[base]);
            Ratios wallRatio = ratios(wall[i], wall[base]);
            boolean own = i < contenders.size();
            String name = own ? contenders.get(i).name() : "reference";
            out.printf(Locale.ROOT, "%-18s%-24s%10.3f%10.3f  %-26s%-26s%16.1f%10.1f%12s%n", "build", name, Ratios.median(cpu[i]),
                    Ratios.median(wall[i]),
                    cpuRatio, wallRatio, bytes[i] / triangles, peak[i] / triangles,
                    own ? String.format(Locale.ROOT, "%.1f", allocated[i] / triangles) : "");
            String where = " size=" + scene.size() + (scene.name().equals("column") ? "" : " scene=" + scene.name());
            String who = own ? " strategy=" + name : " reference";
            lines.add(String.format(Locale.ROOT, "BUILD%s%s cpu=%.3f wall=%.3f to=%s ratio=%.2f wall-ratio=%.2f", where, who,
                    Ratios.median(cpu[i]),
                    Ratios.median(wall[i]), to, cpuRatio.median(), wallRatio.median()));
            lines.add(String.format(Locale.ROOT, "MEMORY%s%s bytes=%.1f peak=%.1f a triangle to=%s ratio=%.2f", where, who,
                    bytes[i] / triangles,
                    peak[i] / triangles, to, bytes[i] / (double) bytes[base]));
        }
    }

    private static Ratios ratios(double[] a, double[] b) {
        double[] ratios = new double[a.length];
        Arrays.setAll(ratios, round -> a[round] / b[round]);
        return Ratios.of(ratios);
    }
}
