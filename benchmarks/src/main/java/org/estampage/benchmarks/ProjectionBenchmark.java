package org.estampage.benchmarks;

import java.util.concurrent.TimeUnit;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;
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

/** Projection rays a second: first hits of front sides, 1024² rays from a cylinder around the column, in the order of texels. */
@BenchmarkMode(Mode.Throughput)
@OutputTimeUnit(TimeUnit.SECONDS)
@Warmup(iterations = 4, time = 2)
@Measurement(iterations = 5, time = 2)
@Fork(value = 3, jvmArgsAppend = {"--add-modules", "jdk.incubator.vector"})
public class ProjectionBenchmark {
    /** What each thread keeps: all rays cut into batches, and how far it is. */
    @State(Scope.Thread)
    public static class Rays {
        RayBatch[] batches;
        HitBatch hits;
        int next;

        /** Makes an empty state; JMH fills it. */
        @SuppressWarnings("NullAway.Init")
        public Rays() {
        }

        /** Cuts the rays into batches that the tracer likes. */
        @Setup(Level.Trial)
        public void fill(ColumnScene scene) {
            int size = Integer.highestOneBit(Math.min(scene.tracer.preferredBatchSize(), ColumnScene.RAYS_PER_CALL));
            batches = new RayBatch[ColumnScene.RAYS / size];
            for (int i = 0; i < batches.length; i++) {
                batches[i] = new RayBatch(size);
                for (int k = 0; k < size; k++) {
                    ColumnScene.addProjectionRay(i * size + k, batches[i]);
                }
            }
            hits = new HitBatch(size);
        }
    }

    /** Makes the benchmark. */
    public ProjectionBenchmark() {
    }

    /** Traces the next {@value ColumnScene#RAYS_PER_CALL} rays. */
    @Benchmark
    @OperationsPerInvocation(ColumnScene.RAYS_PER_CALL)
    public int closestHits(ColumnScene scene, Rays rays) {
        int sum = 0;
        for (int done = 0; done < ColumnScene.RAYS_PER_CALL;) {
            RayBatch batch = rays.batches[rays.next];
            rays.next = (rays.next + 1) % rays.batches.length;
            scene.tracer.closestHits(batch, Facing.FRONT, rays.hits);
            sum += rays.hits.triangle[0];
            done += batch.size;
        }
        return sum;
    }
}
