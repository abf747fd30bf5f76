package org.estampage.benchmarks;

import java.util.Arrays;
import java.util.concurrent.TimeUnit;
import org.estampage.bvh.HemisphereBatch;
import org.estampage.bvh.PointBatch;
import org.openjdk.jmh.annotations.Benchmark;
import org.openjdk.jmh.annotations.BenchmarkMode;
import org.openjdk.jmh.annotations.Fork;
import org.openjdk.jmh.annotations.Level;
import org.openjdk.jmh.annotations.Measurement;
import org.openjdk.jmh.annotations.Mode;
import org.openjdk.jmh.annotations.OperationsPerInvocation;
import org.openjdk.jmh.annotations.OutputTimeUnit;
import org.openjdk.jmh.annotations.Scope;
import org.openjdk.jmh.annotations.Setup;
import org.openjdk.jmh.annotations.State;
import org.openjdk.jmh.annotations.Warmup;

/** Nearest points a second: of points within a hundredth of the scene's diagonal of its surface, in the order of texels. */
@BenchmarkMode(Mode.Throughput)
@OutputTimeUnit(TimeUnit.SECONDS)
@Warmup(iterations = 4, time = 2)
@Measurement(iterations = 5, time = 2)
@Fork(value = 3, jvmArgsAppend = {"--add-modules", "jdk.incubator.vector"})
public class NearestBenchmark {
    private static final int POINTS_PER_CALL = 1 << 14;
    private static final int SIDE = 512;

    /** What each thread keeps: the points cut into batches, and how far it is. */
    @State(Scope.Thread)
    public static class Points {
        PointBatch[] batches;
        int next;

        /** Makes an empty state; JMH fills it. */
        @SuppressWarnings("NullAway.Init")
        public Points() {
        }

        /**
         * Draws the points about where projection rays hit.
         *
         * @throws IllegalStateException if too few of them hit
         */
        @Setup(Level.Trial)
        public void fill(TracedScene scene) {
            HemisphereBatch hit = Rays.points(scene.rays, scene.tracer, SIDE);
            int size = scene.batch(POINTS_PER_CALL);
            batches = Arrays.stream(Rays.near(scene.rays, hit, size)).filter(batch -> batch.size == size).toArray(PointBatch[]::new);
            if (batches.length == 0) {
                throw new IllegalStateException("only " + hit.size + " of " + SIDE * SIDE + " rays hit");
            }
        }
    }

    /** Makes the benchmark. */
    public NearestBenchmark() {
    }

    /** Finds the nearest points of the next {@value #POINTS_PER_CALL} points. */
    @Benchmark
    @OperationsPerInvocation(POINTS_PER_CALL)
    public int nearestPoints(TracedScene scene, Points points) {
        int sum = 0;
        for (int done = 0; done < POINTS_PER_CALL;) {
            PointBatch batch = points.batches[points.next];
            points.next = (points.next + 1) % points.batches.length;
            scene.tracer.nearestPoints(batch);
            sum += batch.triangle[0];
            done += batch.size;
        }
        return sum;
    }
}
