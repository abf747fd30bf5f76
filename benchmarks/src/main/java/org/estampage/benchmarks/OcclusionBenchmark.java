package org.estampage.benchmarks;

import java.util.Arrays;
import java.util.concurrent.TimeUnit;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HemisphereBatch;
import org.estampage.bvh.HemisphereQuery;
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

/** Occlusion rays a second: 16 cosine-weighted directions at points of the scene in the order of texels, both sides blocking. */
@BenchmarkMode(Mode.Throughput)
@OutputTimeUnit(TimeUnit.SECONDS)
@Warmup(iterations = 4, time = 2)
@Measurement(iterations = 5, time = 2)
@Fork(value = 3, jvmArgsAppend = {"--add-modules", "jdk.incubator.vector"})
public class OcclusionBenchmark {
    private static final int POINTS_PER_CALL = TracedScene.RAYS_PER_CALL / ColumnScene.RAYS_PER_POINT;
    private static final int CALLS = 16;
    private static final int SIDE = 512;

    /** What each thread keeps: points and rays of several calls, and how far it is. */
    @State(Scope.Thread)
    public static class Points {
        final HemisphereQuery query = ColumnScene.query();
        HemisphereBatch[] points;
        RayBatch[][] rays;
        boolean[] blocked;
        int next;

        /** Makes an empty state; JMH fills it. */
        @SuppressWarnings("NullAway.Init")
        public Points() {
        }

        /**
         * Finds the points and draws their rays.
         *
         * @throws IllegalStateException if too few projection rays hit the scene
         */
        @Setup(Level.Trial)
        public void fill(TracedScene scene) {
            HemisphereBatch hit = Rays.points(scene.rays, scene.tracer, SIDE);
            HemisphereBatch[] all = Arrays.stream(Rays.cut(hit, POINTS_PER_CALL)).filter(batch -> batch.size == POINTS_PER_CALL)
                    .toArray(HemisphereBatch[]::new);
            if (all.length == 0) {
                throw new IllegalStateException("only " + hit.size + " of " + SIDE * SIDE + " rays hit");
            }
            int batch = scene.batch(TracedScene.RAYS_PER_CALL);
            // From all over the scene, each part in the order of texels.
            int calls = Math.min(CALLS, all.length);
            points = new HemisphereBatch[calls];
            rays = new RayBatch[calls][];
            blocked = new boolean[batch];
            for (int call = 0; call < calls; call++) {
                points[call] = all[call * all.length / calls];
                rays[call] = Rays.cut(TracedScene.RAYS_PER_CALL, batch, Rays.occlusion(points[call]));
            }
            next = 0;
        }

        int advance() {
            int call = next;
            next = (next + 1) % points.length;
            return call;
        }
    }

    /** Makes the benchmark. */
    public OcclusionBenchmark() {
    }

    /** Asks for hemispheres: the tracer draws the directions and sums up. */
    @Benchmark
    @OperationsPerInvocation(TracedScene.RAYS_PER_CALL)
    public int hemispheres(TracedScene scene, Points points) {
        HemisphereBatch batch = points.points[points.advance()];
        scene.tracer.hemispheres(points.query, batch);
        return batch.open[0];
    }

    /** Traces rays that were drawn before. */
    @Benchmark
    @OperationsPerInvocation(TracedScene.RAYS_PER_CALL)
    public int anyHits(TracedScene scene, Points points) {
        int sum = 0;
        for (RayBatch batch : points.rays[points.advance()]) {
            scene.tracer.anyHits(batch, Facing.BOTH, points.blocked);
            sum += points.blocked[0] ? 1 : 0;
        }
        return sum;
    }
}
