package org.estampage.benchmarks;

import java.util.concurrent.TimeUnit;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HemisphereBatch;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.internal.kernel.Directions;
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

/** Occlusion rays a second: 16 cosine-weighted directions at points of the column in the order of texels, both sides blocking. */
@BenchmarkMode(Mode.Throughput)
@OutputTimeUnit(TimeUnit.SECONDS)
@Warmup(iterations = 4, time = 2)
@Measurement(iterations = 5, time = 2)
@Fork(value = 3, jvmArgsAppend = {"--add-modules", "jdk.incubator.vector"})
public class OcclusionBenchmark {
    private static final int POINTS_PER_CALL = ColumnScene.RAYS_PER_CALL / ColumnScene.RAYS_PER_POINT;
    private static final int CALLS = 16;

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
         * @throws IllegalStateException if too few projection rays hit the column
         */
        @Setup(Level.Trial)
        public void fill(ColumnScene scene) {
            int batch = Integer.highestOneBit(Math.min(scene.tracer.preferredBatchSize(), ColumnScene.RAYS_PER_CALL));
            points = new HemisphereBatch[CALLS];
            rays = new RayBatch[CALLS][ColumnScene.RAYS_PER_CALL / batch];
            blocked = new boolean[batch];
            // Every fourth ray in Morton order: the rays of 512² texels.
            RayBatch projection = new RayBatch(2 * POINTS_PER_CALL);
            HitBatch hits = new HitBatch(projection.capacity());
            float[] direction = new float[3];
            for (int call = 0; call < CALLS; call++) {
                projection.size = 0;
                for (int k = 0; k < 2 * POINTS_PER_CALL; k++) {
                    ColumnScene.addProjectionRay((call * 4 * POINTS_PER_CALL + k) * 4, projection);
                }
                scene.tracer.closestHits(projection, Facing.FRONT, hits);
                HemisphereBatch found = new HemisphereBatch(POINTS_PER_CALL);
                ColumnScene.addPoints(scene.mesh, projection, hits, found);
                if (found.size < POINTS_PER_CALL) {
                    throw new IllegalStateException("only " + found.size + " of " + projection.size + " projection rays hit the column");
                }
                points[call] = found;
                for (int b = 0; b < rays[call].length; b++) {
                    RayBatch drawn = new RayBatch(batch);
                    for (int k = b * batch; k < (b + 1) * batch; k++) {
                        int i = k / ColumnScene.RAYS_PER_POINT;
                        Directions.about(k % ColumnScene.RAYS_PER_POINT, found.seed[i], false, found.normalX[i], found.normalY[i],
                                found.normalZ[i],
                                direction, 0);
                        drawn.add(found.x[i], found.y[i], found.z[i], direction[0], direction[1], direction[2], 0, Float.POSITIVE_INFINITY);
                    }
                    rays[call][b] = drawn;
                }
            }
            next = 0;
        }

        int advance() {
            int call = next;
            next = (next + 1) % CALLS;
            return call;
        }
    }

    /** Makes the benchmark. */
    public OcclusionBenchmark() {
    }

    /** Asks for hemispheres: the tracer draws the directions and sums up. */
    @Benchmark
    @OperationsPerInvocation(ColumnScene.RAYS_PER_CALL)
    public int hemispheres(ColumnScene scene, Points points) {
        HemisphereBatch batch = points.points[points.advance()];
        scene.tracer.hemispheres(points.query, batch);
        return batch.open[0];
    }

    /** Traces rays that were drawn before. */
    @Benchmark
    @OperationsPerInvocation(ColumnScene.RAYS_PER_CALL)
    public int anyHits(ColumnScene scene, Points points) {
        int sum = 0;
        for (RayBatch batch : points.rays[points.advance()]) {
            scene.tracer.anyHits(batch, Facing.BOTH, points.blocked);
            sum += points.blocked[0] ? 1 : 0;
        }
        return sum;
    }
}
