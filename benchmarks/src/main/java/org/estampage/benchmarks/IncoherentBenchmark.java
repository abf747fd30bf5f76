package org.estampage.benchmarks;

import java.util.concurrent.TimeUnit;
import org.estampage.bvh.Facing;
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

/** Incoherent rays a second: first hits of both sides, 512² rays between random points of the scene's box, in no order. */
@BenchmarkMode(Mode.Throughput)
@OutputTimeUnit(TimeUnit.SECONDS)
@Warmup(iterations = 4, time = 2)
@Measurement(iterations = 5, time = 2)
@Fork(value = 3, jvmArgsAppend = {"--add-modules", "jdk.incubator.vector"})
public class IncoherentBenchmark {
    /** What each thread keeps: all rays cut into batches, and how far it is. */
    @State(Scope.Thread)
    public static class Cursor {
        RayCursor rays;

        /** Makes an empty state; JMH fills it. */
        @SuppressWarnings("NullAway.Init")
        public Cursor() {
        }

        /** Draws the rays, in batches that the tracer likes. */
        @Setup(Level.Trial)
        public void fill(TracedScene scene) {
            rays = new RayCursor(scene, ColumnScene.RAYS / 4, Rays.incoherent(scene.rays));
        }
    }

    /** Makes the benchmark. */
    public IncoherentBenchmark() {
    }

    /** Traces the next {@value TracedScene#RAYS_PER_CALL} rays. */
    @Benchmark
    @OperationsPerInvocation(TracedScene.RAYS_PER_CALL)
    public int closestHits(TracedScene scene, Cursor cursor) {
        return cursor.rays.closestHits(scene, Facing.BOTH);
    }
}
