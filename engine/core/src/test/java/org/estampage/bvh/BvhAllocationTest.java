package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;

import java.lang.management.ManagementFactory;
import java.util.Random;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** Queries allocate nothing: no boxing, no scratch a call. */
class BvhAllocationTest {
    private static final double LIMIT = 0.1;

    @Test
    void queries_afterWarmUp_allocateNothing() {
        Mesh ball = TestMeshes.ball(40, 60, 0.05);
        RayTracer tracer = Bvh.build(ball, Task.silent());
        for (int size : new int[] {1, 1024}) {
            RayBatch rays = BvhDifferentialTest.rays(new Random(1), ball, size, 1, 0);
            PointBatch points = BvhDifferentialTest.points(new Random(2), size, 1, 0);
            HitBatch hits = new HitBatch(size);
            boolean[] any = new boolean[size];
            int rounds = 20_000 / size + 100;
            // The compiler works in the background, later on a busy machine: what counts is where it ends.
            double least = Double.POSITIVE_INFINITY;
            for (int trial = 0; trial < 40 && least >= LIMIT; trial++) {
                long before = allocated();
                long idle = allocated() - before; // what measuring itself takes
                before = allocated();
                work(tracer, rays, hits, any, points, rounds);
                least = Math.min(least, (double) (allocated() - before - idle) / ((long) rounds * size));
            }
            // Not even one byte a call would do; compilers may still allocate a little on the way in.
            assertThat(least).as("bytes a ray in batches of %d", size).isLessThan(LIMIT);
        }
    }

    private static void work(RayTracer tracer, RayBatch rays, HitBatch hits, boolean[] any, PointBatch points, int rounds) {
        for (int i = 0; i < rounds; i++) {
            tracer.closestHits(rays, Facing.BOTH, hits);
            tracer.anyHits(rays, Facing.FRONT, any);
            tracer.nearestPoints(points);
        }
    }

    private static long allocated() {
        return ((com.sun.management.ThreadMXBean) ManagementFactory.getThreadMXBean()).getCurrentThreadAllocatedBytes();
    }
}
