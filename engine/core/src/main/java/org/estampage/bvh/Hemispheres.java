package org.estampage.bvh;

import java.util.Arrays;
import org.estampage.internal.kernel.Directions;

/**
 * Hemisphere queries of every kind by plain batches of rays, and the room that they take.
 *
 * @threads confined; allocates nothing after construction, but for the first query about distances
 */
final class Hemispheres {
    private final RayBatch rays;
    private final boolean[] blocked;
    private final int[] owner;
    private final float[] direction = new float[3];
    private HitBatch hits = new HitBatch(0);

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
        float width = Directions.width(query.halfAngle(), uniform);
        if (query.answer() == HemisphereQuery.Answer.DISTANCE && hits.capacity() == 0) {
            hits = new HitBatch(rays.capacity());
        }
        Arrays.fill(points.open, 0, points.size, 0);
        Arrays.fill(points.sumX, 0, points.size, 0f);
        Arrays.fill(points.sumY, 0, points.size, 0f);
        Arrays.fill(points.sumZ, 0, points.size, 0f);
        Arrays.fill(points.distance, 0, points.size, 0f);
        Arrays.fill(points.faded, 0, points.size, 0f);
        for (int p = 0; p < points.size; p++) {
            int end = points.first[p] + points.count[p];
            for (int i = points.first[p]; i < end; i++) {
                if (rays.size == rays.capacity()) {
                    flush(tracer, query, points);
                }
                Directions.within(width, i, points.seed[p], uniform, points.normalX[p], points.normalY[p], points.normalZ[p], direction, 0);
                owner[rays.size] = p;
                rays.add(points.x[p], points.y[p], points.z[p], direction[0], direction[1], direction[2], 0f, query.reach());
            }
        }
        flush(tracer, query, points);
    }

    private void flush(RayTracer tracer, HemisphereQuery query, HemisphereBatch points) {
        // Rays that meet the ground end there: what lies beyond it can't be nearer.
        query.ground().ifPresent(this::endAt);
        if (query.answer() == HemisphereQuery.Answer.DISTANCE) {
            tracer.closestHits(rays, query.facing(), hits);
        } else {
            tracer.anyHits(rays, query.facing(), blocked);
        }
        float reach = query.reach();
        for (int r = 0; r < rays.size; r++) {
            int p = owner[r];
            boolean grounded = rays.tMax[r] < reach;
            if (query.answer() == HemisphereQuery.Answer.DISTANCE) {
                if (hits.triangle[r] >= 0 || grounded) {
                    float t = hits.triangle[r] >= 0 ? hits.t[r] : rays.tMax[r];
                    points.distance[p] += t;
                    points.faded[p] += faded(t, reach);
                    continue;
                }
            } else if (blocked[r] || grounded) {
                continue;
            }
            points.open[p]++;
            points.sumX[p] += rays.directionX[r];
            points.sumY[p] += rays.directionY[r];
            points.sumZ[p] += rays.directionZ[r];
        }
        rays.size = 0;
    }

    /** Returns how much a blocker counts that fades out towards the reach: 1 at no distance, 0 with slope 0 at the reach. */
    private static float faded(float t, float reach) {
        float part = t / reach;
        float rest = 1f - part * part;
        return rest * rest;
    }

    private void endAt(HemisphereQuery.Ground ground) {
        float[] origin = switch (ground.up()) {
            case X -> rays.originX;
            case Y -> rays.originY;
            case Z -> rays.originZ;
        };
        float[] along = switch (ground.up()) {
            case X -> rays.directionX;
            case Y -> rays.directionY;
            case Z -> rays.directionZ;
        };
        for (int r = 0; r < rays.size; r++) {
            if (along[r] < 0) {
                float above = Math.max(0f, origin[r] - ground.height());
                rays.tMax[r] = Math.min(rays.tMax[r], above / -along[r]);
            }
        }
    }
}
