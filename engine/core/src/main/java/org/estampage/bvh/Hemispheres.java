package org.estampage.bvh;

import java.util.Arrays;
import org.estampage.internal.kernel.Directions;

/** Hemisphere queries by plain batches of any-hit rays. */
final class Hemispheres {
    private Hemispheres() {
    }

    static void trace(RayTracer tracer, HemisphereQuery query, HemisphereBatch points) {
        int capacity = Math.max(1, tracer.preferredBatchSize());
        RayBatch rays = new RayBatch(capacity);
        boolean[] blocked = new boolean[capacity];
        int[] owner = new int[capacity];
        float[] direction = new float[3];
        boolean uniform = query.distribution() == HemisphereQuery.Distribution.UNIFORM;
        Arrays.fill(points.open, 0, points.size, 0);
        Arrays.fill(points.sumX, 0, points.size, 0f);
        Arrays.fill(points.sumY, 0, points.size, 0f);
        Arrays.fill(points.sumZ, 0, points.size, 0f);
        for (int p = 0; p < points.size; p++) {
            int end = points.first[p] + points.count[p];
            for (int i = points.first[p]; i < end; i++) {
                if (rays.size == capacity) {
                    flush(tracer, rays, blocked, owner, points);
                }
                Directions.about(i, points.seed[p], uniform, points.normalX[p], points.normalY[p], points.normalZ[p], direction, 0);
                owner[rays.size] = p;
                rays.add(points.x[p], points.y[p], points.z[p], direction[0], direction[1], direction[2], 0f, query.reach());
            }
        }
        flush(tracer, rays, blocked, owner, points);
    }

    private static void flush(RayTracer tracer, RayBatch rays, boolean[] blocked, int[] owner, HemisphereBatch points) {
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
