package org.estampage.bake;

import java.util.Arrays;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.task.Task;

/**
 * Finds out why samples met nothing: their rays are traced again, all along their line and by both sides of the surface.
 *
 * <p>What lies nearest on the line decides. A surface whose back is above a ray's start means that the start is inside the high poly, under the face that
 * should have been met.
 *
 * @threads confined
 */
final class MissSearch {
    private static final float NONE = Float.POSITIVE_INFINITY;
    /** A surface exactly on the cage is not on the ray, whose start does not count; the outward line begins that little below the cage. */
    private static final float BELOW_CAGE = 1 - 0x1p-20f;

    private final Scene scene;
    private final MissLog log;
    private final Task task;
    private final RayBatch inwards;
    private final RayBatch outwards;
    private final HitBatch hits;
    // One entry a ray of a batch: its sample, its texel's place, and how far the nearest surfaces are that show the ray their front or their back.
    private final Projection[] source;
    private final int[] sample;
    private final int[] place;
    private final float[] inFront;
    private final float[] inBack;
    private final float[] outFront;
    private final float[] outBack;
    private final MissLog.Block block = new MissLog.Block();

    MissSearch(Scene scene, MissLog log, Task task) {
        this.scene = scene;
        this.log = log;
        this.task = task;
        int batch = scene.batchSize();
        inwards = new RayBatch(batch);
        outwards = new RayBatch(batch);
        hits = new HitBatch(batch);
        source = new Projection[batch];
        sample = new int[batch];
        place = new int[batch];
        inFront = new float[batch];
        inBack = new float[batch];
        outFront = new float[batch];
        outBack = new float[batch];
    }

    /** Says where the samples of a texel are. */
    interface Samples {
        Projection of(int texel);
    }

    /** Finds the causes of what a block missed, and logs them. */
    void run(BlockArea area, Samples samples) {
        block.begin(area.blockCount());
        // Triangles of no part see nothing: number −1.
        for (int tracer = scene.tracers.length > 1 ? -1 : 0; tracer < scene.tracers.length; tracer++) {
            for (int p = 0; p < area.blockCount(); p++) {
                int texel = area.texelAt(p);
                Projection from = samples.of(texel);
                for (int s = from.samples.start[texel]; s < from.samples.start[texel + 1]; s++) {
                    if (from.hitTriangle[s] < 0 && scene.tracerOf(from.samples.triangle[s]) == tracer) {
                        add(from, s, p, tracer);
                    }
                }
            }
            flush(tracer);
        }
        log.add(area, block);
    }

    private void add(Projection from, int s, int p, int tracer) {
        float dx = from.directionX[s], dy = from.directionY[s], dz = from.directionZ[s];
        if (dx == 0 && dy == 0 && dz == 0) {
            block.add(p, MissCause.NO_DIRECTION, 0);
            return;
        }
        int r = inwards.size;
        source[r] = from;
        sample[r] = s;
        place[r] = p;
        float out = from.outward[s];
        inwards.add(from.originX[s], from.originY[s], from.originZ[s], dx, dy, dz, 0, NONE);
        outwards.add(from.originX[s] + out * dx, from.originY[s] + out * dy, from.originZ[s] + out * dz, -dx, -dy, -dz, out * BELOW_CAGE,
                NONE);
        if (inwards.size == inwards.capacity()) {
            flush(tracer);
        }
    }

    private void flush(int number) {
        task.check();
        int size = inwards.size;
        Arrays.fill(inFront, 0, size, NONE);
        Arrays.fill(inBack, 0, size, NONE);
        Arrays.fill(outFront, 0, size, NONE);
        Arrays.fill(outBack, 0, size, NONE);
        RayTracer tracer = number < 0 ? null : scene.tracers[number];
        if (tracer != null && size > 0) {
            trace(tracer, inwards, Facing.FRONT, inFront);
            trace(tracer, inwards, Facing.BACK, inBack);
            trace(tracer, outwards, Facing.FRONT, outFront);
            trace(tracer, outwards, Facing.BACK, outBack);
        }
        int left = 0;
        for (int r = 0; r < size; r++) {
            if (!explain(r)) {
                keep(r, left++);
            }
        }
        inwards.size = left;
        explainByOtherParts();
        inwards.size = 0;
        outwards.size = 0;
    }

    private void trace(RayTracer tracer, RayBatch rays, Facing facing, float[] dest) {
        tracer.closestHits(rays, facing, hits);
        for (int r = 0; r < rays.size; r++) {
            dest[r] = hits.triangle[r] >= 0 ? hits.t[r] : NONE;
        }
    }

    /** Logs why a ray missed its own part; returns false where that has no surface on the whole line. */
    private boolean explain(int r) {
        float out = source[r].outward[sample[r]];
        float end = out + source[r].inward[sample[r]];
        boolean bothSides = scene.job.hitRule().bothSides();
        float in = bothSides ? Math.min(inFront[r], inBack[r]) : inFront[r];
        float above = bothSides ? Math.min(outFront[r], outBack[r]) : outBack[r];
        boolean isUnder = bothSides ? above < NONE : outBack[r] < outFront[r];
        boolean backFirst = !bothSides && inBack[r] < inFront[r];
        if (isUnder && (backFirst || in == NONE || above - out <= in - end)) {
            block.add(place[r], MissCause.OUTSIDE_CAGE, above);
        } else if (backFirst) {
            block.add(place[r], MissCause.BACK_FACES, inBack[r] > end ? inBack[r] - out : 0);
        } else if (in < NONE) {
            block.add(place[r], MissCause.BEYOND_REACH, in - out);
        } else if (outFront[r] < NONE) {
            block.add(place[r], MissCause.BACK_FACES, 0);
        } else {
            return false;
        }
        return true;
    }

    /** Moves a ray to the front of the batch, as far as it is still to go. */
    private void keep(int r, int to) {
        source[to] = source[r];
        sample[to] = sample[r];
        place[to] = place[r];
        inwards.originX[to] = inwards.originX[r];
        inwards.originY[to] = inwards.originY[r];
        inwards.originZ[to] = inwards.originZ[r];
        inwards.directionX[to] = inwards.directionX[r];
        inwards.directionY[to] = inwards.directionY[r];
        inwards.directionZ[to] = inwards.directionZ[r];
        inwards.tMin[to] = 0;
        inwards.tMax[to] = source[r].outward[sample[r]] + source[r].inward[sample[r]];
    }

    private void explainByOtherParts() {
        boolean paired = scene.job.isPairedByName();
        if (paired && inwards.size > 0) {
            trace(scene.everything(), inwards, scene.job.hitRule().bothSides() ? Facing.BOTH : Facing.FRONT, inFront);
        }
        for (int r = 0; r < inwards.size; r++) {
            block.add(place[r], paired && inFront[r] < NONE ? MissCause.OTHER_PART : MissCause.NOTHING, 0);
        }
    }
}
