package org.estampage.benchmarks;

import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import org.estampage.image.DistanceMap;
import org.estampage.image.Mask;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.openjdk.jmh.annotations.Benchmark;
import org.openjdk.jmh.annotations.BenchmarkMode;
import org.openjdk.jmh.annotations.Fork;
import org.openjdk.jmh.annotations.Level;
import org.openjdk.jmh.annotations.Measurement;
import org.openjdk.jmh.annotations.Mode;
import org.openjdk.jmh.annotations.OutputTimeUnit;
import org.openjdk.jmh.annotations.Param;
import org.openjdk.jmh.annotations.Scope;
import org.openjdk.jmh.annotations.Setup;
import org.openjdk.jmh.annotations.State;
import org.openjdk.jmh.annotations.Warmup;

/** Time to find the nearest covered texel of every texel, as padding does. */
@State(Scope.Benchmark)
@BenchmarkMode(Mode.AverageTime)
@OutputTimeUnit(TimeUnit.MILLISECONDS)
@Warmup(iterations = 2, time = 2)
@Measurement(iterations = 3, time = 2)
@Fork(value = 1, jvmArgsAppend = {"-Xmx2g", "--add-modules", "jdk.incubator.vector"})
public class DistanceBenchmark {
    private static final int DISCS = 300;
    private static final int CHECKED_TEXELS = 32;

    /** The side of the image in texels. */
    @Param({"1024", "4096"})
    public int texels;

    /** What is covered: {@code discs}, about half of the image as charts do, or {@code dust}, one texel in a hundred. */
    @Param({"discs", "dust"})
    public String covered = "discs";

    private Mask mask = new Mask(1, 1);

    /** Makes the benchmark; JMH fills it. */
    public DistanceBenchmark() {
    }

    /**
     * Covers the image and measures some distances against every covered texel.
     *
     * @throws IllegalStateException if one is wrong
     */
    @Setup(Level.Trial)
    public void cover() {
        SplittableRandom random = new SplittableRandom(texels);
        mask = new Mask(texels, texels);
        if (covered.equals("dust")) {
            for (int i = 0; i < texels * texels / 100; i++) {
                mask.set(random.nextInt(texels), random.nextInt(texels));
            }
        } else {
            for (int i = 0; i < DISCS; i++) {
                disc(random.nextInt(texels), random.nextInt(texels), texels * random.nextDouble(0.005, 0.05));
            }
        }
        DistanceMap map = measure();
        for (int i = 0; i < CHECKED_TEXELS; i++) {
            int x = random.nextInt(texels);
            int y = random.nextInt(texels);
            if (map.squaredDistance(x, y) != byDefinition(x, y)) {
                throw new IllegalStateException(
                        "texel " + x + ", " + y + ": " + map.squaredDistance(x, y) + " must be " + byDefinition(x, y));
            }
        }
    }

    /** Measures the distance of every texel. */
    @Benchmark
    public DistanceMap measure() {
        // A budget of its own: a map keeps what it reserves.
        return DistanceMap.of(mask, new Task(Progress.none(), new Cancellation(), MemoryBudget.ofBytes(Long.MAX_VALUE)));
    }

    private void disc(int middleX, int middleY, double radius) {
        for (int y = Math.max(0, (int) (middleY - radius)); y < Math.min(texels, middleY + radius); y++) {
            for (int x = Math.max(0, (int) (middleX - radius)); x < Math.min(texels, middleX + radius); x++) {
                if (Math.hypot(x - middleX, y - middleY) <= radius) {
                    mask.set(x, y);
                }
            }
        }
    }

    private long byDefinition(int x, int y) {
        long least = Long.MAX_VALUE;
        for (int j = 0; j < texels; j++) {
            long dy = (long) j - y;
            for (int i = 0; i < texels && dy * dy < least; i++) {
                if (mask.get(i, j)) {
                    long dx = (long) i - x;
                    least = Math.min(least, dx * dx + dy * dy);
                }
            }
        }
        return least;
    }
}
