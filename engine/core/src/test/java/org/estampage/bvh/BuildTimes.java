package org.estampage.bvh;

import java.lang.management.ManagementFactory;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.ForkJoinPool;
import org.estampage.internal.kernel.BoxLoops;
import org.estampage.internal.kernel.Kernels;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * Prints what builders take on this machine; not a test. Run it with the test class path and {@code --add-modules jdk.incubator.vector}:
 * {@code java -Xmx8g -cp … org.estampage.bvh.BuildTimes rings sectors rounds threads block [builder…]}.
 *
 * <p>Each line is one build, round-robin over the builders; the first of each is cold. CPU is that of the process, so compiling and collecting garbage
 * count.
 */
final class BuildTimes {
    private BuildTimes() {
    }

    @SuppressWarnings("SystemOut") // printing is its purpose
    public static void main(String[] args) throws Exception {
        Mesh mesh = TestMeshes.ball(Integer.parseInt(args[0]), Integer.parseInt(args[1]), 0.01);
        int rounds = Integer.parseInt(args[2]);
        int threads = Integer.parseInt(args[3]);
        int block = Integer.parseInt(args[4]);
        LeafRule rule = block == 1 ? new BinaryLayout().leafRule() : new LeafRule(block, block, 1);
        int[] all = new int[mesh.triangleCount()];
        Arrays.setAll(all, t -> t);
        List<String> names = args.length > 5 ? List.of(args).subList(5, args.length) : List.of("sah");
        System.out.println(Kernels.reason() + "; " + mesh.triangleCount() + " triangles, " + rule);
        try (ForkJoinPool pool = new ForkJoinPool(threads)) {
            for (int round = 0; round < rounds; round++) {
                for (String name : names) {
                    TreeBuilder builder = builder(name);
                    System.gc();
                    long wall = System.nanoTime();
                    long cpu = cpu();
                    BoxTree tree = pool.submit(() -> builder.build(mesh, all, rule, Task.silent())).get();
                    System.out.printf("%-14s %.3f s CPU, %.3f s wall, peak %.1f bytes, SAH cost %.2f, %.2f nodes a triangle%n", name,
                            (cpu() - cpu) * 1e-9, (System.nanoTime() - wall) * 1e-9, (double) tree.peakBytes / all.length,
                            tree.sahCost(rule), (double) tree.counts.length / all.length);
                }
            }
        }
    }

    private static TreeBuilder builder(String name) {
        return switch (name) {
            case "sah" -> new BinnedSahBuilder();
            case "sah-vector" -> new BinnedSahBuilder(BoxLoops.vector());
            case "morton" -> new MortonBuilder();
            case "agglomerative" -> new AgglomerativeBuilder();
            case "sah-scalar" -> new BinnedSahBuilder(BoxLoops.scalar());
            default -> throw new IllegalArgumentException(name);
        };
    }

    private static long cpu() {
        return ((com.sun.management.OperatingSystemMXBean) ManagementFactory.getOperatingSystemMXBean()).getProcessCpuTime();
    }
}
