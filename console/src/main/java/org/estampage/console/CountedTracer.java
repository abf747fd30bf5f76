package org.estampage.console;

import java.util.concurrent.atomic.LongAdder;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HemisphereBatch;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.PointBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;

/**
 * A tracer that counts its rays, so that progress can tell how many there are a second. What it answers is another's answer.
 *
 * @threads safe for concurrent calls, as the other is
 */
final class CountedTracer implements RayTracer {
    private final RayTracer tracer;
    private final LongAdder rays;

    CountedTracer(RayTracer tracer, LongAdder rays) {
        this.tracer = tracer;
        this.rays = rays;
    }

    @Override
    public int triangleCount() {
        return tracer.triangleCount();
    }

    @Override
    public long bytes() {
        return tracer.bytes();
    }

    @Override
    public int preferredBatchSize() {
        return tracer.preferredBatchSize();
    }

    @Override
    public void closestHits(RayBatch batch, Facing facing, HitBatch dest) {
        rays.add(batch.size);
        tracer.closestHits(batch, facing, dest);
    }

    @Override
    public void anyHits(RayBatch batch, Facing facing, boolean[] dest) {
        rays.add(batch.size);
        tracer.anyHits(batch, facing, dest);
    }

    @Override
    public void nearestPoints(PointBatch inoutPoints) {
        tracer.nearestPoints(inoutPoints);
    }

    @Override
    public void hemispheres(HemisphereQuery query, HemisphereBatch inoutPoints) {
        tracer.hemispheres(query, inoutPoints);
        long sum = 0;
        for (int i = 0; i < inoutPoints.size; i++) {
            sum += inoutPoints.count[i];
        }
        rays.add(sum);
    }
}
