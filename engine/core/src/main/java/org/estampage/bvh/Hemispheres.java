package org.estampage.bvh;

import java.util.Arrays;
import org.estampage.internal.kernel.Directions;

/**
 * Hemisphere queries by plain batches of any-hit rays, and the room that they take.
 *
 * @threads confined; allocates nothing after construction
 */
final class Hemispheres {
    private final RayBatch rays;
    private final boolean[] blocked;
    private final int[] owner;
    private final float[] direction = new float[3];

    Hemispheres(int batchSize) {
        int capacity = Math.max(1, batchSize);
        rays = new RayBatch(capacity);
        blocked = new boolean[capacity];
        owner = new int[capacity];
    }

    static void trace(RayTracer tracer, HemisphereQuery query, HemisphereBatch points) {
        new Hemispheres(tracer.preferredBatchSize()).traceBy(tracer, query, points);
    }

    void traceBy(RayTracer tracer, HemisphereQuery query, HemisphereBatch points) {
        rays.size = 0;
        boolean uniform = query.distribution() == HemisphereQuery.Distribution.UNIFORM;
        Arrays.fill(points.open, 0, points.size, 0);
        Arrays.fill(points.sumX, 0, points.size, 0f);
        Arrays.fill(points.sumY, 0, points.size, 0f);
        Arrays.fill(points.sumZ, 0, points.size, 0f);
        for (int p = 0; p < points.size; p++) {
            int end = points.first[p] + points.count[p];
            for (int i = points.first[p]; i < end; i++) {
                if (rays.size == rays.capacity()) {
                    flush(tracer, points);
                }
                Directions.about(i, points.seed[p], uniform, points.normalX[p], points.normalY[p], points.normalZ[p], direction, 0);
                owner[rays.size] = p;
                rays.add(points.x[p], points.y[p], points.z[p], direction[0], direction[1], direction[2], 0f, query.reach());
            }
        }
        flush(tracer, points);
    }

    private void flush(RayTracer tracer, HemisphereBatch points) {
        tracer.anyHits(rays, Facing.BOTH, blocked);
        for (int r = 0; r < rays.size; r++) {
            if (!blocked[r]) {
                int p = owner[r];
                points.open[p]++;
                points.sumX[p] += rays.directionX[r];
                points.sumY[p] += rays.directionY[r];
                points.sumZ[p] += rays.directionZ[r];
            }
        }
        rays.size = 0;
    }
}
