package org.estampage.bake;

import java.util.Arrays;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.raster.TexelSamples;
import org.estampage.raster.UvRaster;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * The rays of some texels' samples, from the cage through the low poly, and what they hit.
 *
 * @threads confined
 */
final class Projection {
    private final Scene scene;
    private final UvRaster raster;
    private final Task task;
    private final RayBatch rays;
    private final HitBatch hits;
    private final int[] rayOwner;
    private final double[] outwards = new double[3];
    private final TexelOrder order = new TexelOrder();
    /** The samples that are traced, neighbours together. */
    private int[] chosen = new int[0];
    private int count;

    /** The samples, numbered texel by texel. */
    final TexelSamples samples = new TexelSamples();
    // One entry a sample: its ray, and the hit where the triangle is not −1.
    float[] directionX = new float[0], directionY = new float[0], directionZ = new float[0];
    float[] originX = new float[0], originY = new float[0], originZ = new float[0];
    float[] outward = new float[0], inward = new float[0];
    float[] hitT = new float[0], hitB1 = new float[0], hitB2 = new float[0];
    int[] hitTriangle = new int[0];
    /** Rays that were traced in all. */
    long rayCount;

    /**
     * Makes room for a batch of rays.
     *
     * @param task is asked whether to go on, batch by batch: where triangles lie on each other, a ray meets them all
     */
    Projection(Scene scene, UvRaster raster, Task task) {
        this.scene = scene;
        this.raster = raster;
        this.task = task;
        int batch = scene.batchSize();
        rays = new RayBatch(batch);
        hits = new HitBatch(batch);
        rayOwner = new int[batch];
    }

    /**
     * Finds the samples of an area, and traces those of some texels; the others hit nothing.
     *
     * @param wanted which texels; null for all
     */
    void run(BlockArea area, boolean @Nullable [] wanted) {
        raster.rasterise(area.left, area.top, area.width, area.height, samples);
        makeRoom(samples.size());
        order.begin(area.width, area.height);
        count = 0;
        for (int i = 0; i < order.size(); i++) {
            int texel = order.texel(i);
            for (int s = samples.start[texel]; s < samples.start[texel + 1] && (wanted == null || wanted[texel]); s++) {
                chosen[count++] = s;
            }
        }
        Arrays.fill(hitTriangle, 0, samples.size(), -1);
        if (count == 0) {
            return;
        }
        aim();
        if (scene.blend != null) {
            straighten(scene.blend);
        }
        trace(false);
        if (scene.job.hitRule().nearest()) {
            trace(true);
        }
    }

    /** Returns n of the n × n samples that a texel has which lies wholly in charts. */
    int samplesPerSide() {
        return raster.samplesPerSide();
    }

    /** Returns how many samples a texel has that lies wholly in charts. */
    int samplesPerTexel() {
        return raster.samplesPerSide() * raster.samplesPerSide();
    }

    private void makeRoom(int sampleCount) {
        if (sampleCount <= chosen.length) {
            return;
        }
        int capacity = Math.max(sampleCount, chosen.length * 3 / 2);
        chosen = new int[capacity];
        originX = new float[capacity];
        originY = new float[capacity];
        originZ = new float[capacity];
        directionX = new float[capacity];
        directionY = new float[capacity];
        directionZ = new float[capacity];
        outward = new float[capacity];
        inward = new float[capacity];
        hitT = new float[capacity];
        hitB1 = new float[capacity];
        hitB2 = new float[capacity];
        hitTriangle = new int[capacity];
    }

    /** Sets the ray of every sample: from the cage through the low poly, or along −normal where the cage lies on it. */
    private void aim() {
        LowPoly low = scene.low;
        for (int i = 0; i < count; i++) {
            int s = chosen[i];
            int c = 3 * samples.triangle[s];
            float b1 = samples.b1[s], b2 = samples.b2[s], b0 = 1f - b1 - b2;
            float px = LowPoly.mix(low.positions, 3 * c, b0, b1, b2), py = LowPoly.mix(low.positions, 3 * c + 1, b0, b1, b2),
                    pz = LowPoly.mix(low.positions, 3 * c + 2, b0, b1, b2);
            float cx = LowPoly.mix(low.cagePositions, 3 * c, b0, b1, b2), cy = LowPoly.mix(low.cagePositions, 3 * c + 1, b0, b1, b2),
                    cz = LowPoly.mix(low.cagePositions, 3 * c + 2, b0, b1, b2);
            double dx = (double) px - cx, dy = (double) py - cy, dz = (double) pz - cz;
            double length = Math.sqrt(dx * dx + dy * dy + dz * dz);
            // Below the rounding of the coordinates themselves the difference is no direction. The corners' rounding counts, not the point's:
            // at the origin the point has none, and a ray that starts on the surface misses it.
            double least = 16 * 0x1p-23 * largestCoordinate(low.positions, 3 * c);
            if (!(length > least)) {
                dx = -LowPoly.mix(low.cageDirections, 3 * c, b0, b1, b2);
                dy = -LowPoly.mix(low.cageDirections, 3 * c + 1, b0, b1, b2);
                dz = -LowPoly.mix(low.cageDirections, 3 * c + 2, b0, b1, b2);
                double d = Math.sqrt(dx * dx + dy * dy + dz * dz);
                if (!(d > 0)) {
                    outward[s] = 0;
                    inward[s] = 0;
                    directionX[s] = directionY[s] = directionZ[s] = 0; // hits nothing
                    originX[s] = px;
                    originY[s] = py;
                    originZ[s] = pz;
                    continue;
                }
                dx /= d;
                dy /= d;
                dz /= d;
                length = least;
                cx = (float) (px - least * dx);
                cy = (float) (py - least * dy);
                cz = (float) (pz - least * dz);
            } else {
                dx /= length;
                dy /= length;
                dz /= length;
            }
            originX[s] = cx;
            originY[s] = cy;
            originZ[s] = cz;
            directionX[s] = (float) dx;
            directionY[s] = (float) dy;
            directionZ[s] = (float) dz;
            outward[s] = (float) length;
            inward[s] = b0 * low.reaches[c] + b1 * low.reaches[c + 1] + b2 * low.reaches[c + 2];
        }
    }

    /** Returns the largest coordinate, by its amount, of the three corners of a triangle. */
    private static float largestCoordinate(float[] positions, int first) {
        float largest = 0;
        for (int i = first; i < first + 9; i++) {
            largest = Math.max(largest, Math.abs(positions[i]));
        }
        return largest;
    }

    /** Straightens the rays of all samples, and lets them start where they leave the cage. */
    private void straighten(RayBlend blend) {
        rays.size = 0;
        for (int i = 0; i < count; i++) {
            int s = chosen[i];
            int t = samples.triangle[s];
            float px = originX[s] + outward[s] * directionX[s], py = originY[s] + outward[s] * directionY[s],
                    pz = originZ[s] + outward[s] * directionZ[s];
            outwards[0] = -directionX[s];
            outwards[1] = -directionY[s];
            outwards[2] = -directionZ[s];
            double before = outward[s];
            if (!blend.straighten(t, px, py, pz, outwards)) {
                continue;
            }
            // as high above the surface as before, where no cage is met: at an open border
            double steeper = -(outwards[0] * directionX[s] + outwards[1] * directionY[s] + outwards[2] * directionZ[s]);
            directionX[s] = (float) -outwards[0];
            directionY[s] = (float) -outwards[1];
            directionZ[s] = (float) -outwards[2];
            start(s, px, py, pz, (float) (before * steeper));
            rayOwner[rays.size] = s;
            rays.add(px, py, pz, -directionX[s], -directionY[s], -directionZ[s], 0f, Float.POSITIVE_INFINITY);
            if (rays.size == rays.capacity()) {
                leave(blend);
            }
        }
        leave(blend);
    }

    private void leave(RayBlend blend) {
        task.check();
        blend.cage.closestHits(rays, Facing.BACK, hits);
        for (int r = 0; r < rays.size; r++) {
            if (hits.triangle[r] >= 0) {
                start(rayOwner[r], rays.originX[r], rays.originY[r], rays.originZ[r], hits.t[r]);
            }
        }
        rays.size = 0;
    }

    private void start(int s, float px, float py, float pz, float out) {
        originX[s] = px - out * directionX[s];
        originY[s] = py - out * directionY[s];
        originZ[s] = pz - out * directionZ[s];
        outward[s] = out;
    }

    /**
     * Traces the rays of all samples, part by part, neighbours together.
     *
     * @param outwards false: from the cage inwards, the first hit counts; true: from the low poly back to the cage, a hit counts that is nearer
     *                 to the low poly than what was found before
     */
    private void trace(boolean outwards) {
        HitRule rule = scene.job.hitRule();
        // Seen from below, a front face shows its back.
        Facing facing = rule.bothSides() ? Facing.BOTH : outwards ? Facing.BACK : Facing.FRONT;
        for (int p = 0; p < scene.tracers.length; p++) {
            RayTracer tracer = scene.tracers[p];
            if (tracer == null) {
                continue;
            }
            rays.size = 0;
            for (int i = 0; i < count; i++) {
                int s = chosen[i];
                if (scene.tracerOf(samples.triangle[s]) != p) {
                    continue;
                }
                addRay(s, outwards, rule.nearest());
                if (rays.size == rays.capacity()) {
                    flush(tracer, facing, outwards);
                }
            }
            flush(tracer, facing, outwards);
        }
    }

    private void addRay(int s, boolean outwards, boolean nearest) {
        rayOwner[rays.size] = s;
        float dx = directionX[s], dy = directionY[s], dz = directionZ[s];
        if (outwards) {
            rays.add(originX[s] + outward[s] * dx, originY[s] + outward[s] * dy, originZ[s] + outward[s] * dz, -dx, -dy, -dz, 0f,
                    outward[s]);
        } else {
            // Under the nearest rule the inward ray begins on the low poly itself.
            rays.add(originX[s], originY[s], originZ[s], dx, dy, dz, nearest ? below(outward[s]) : 0f, outward[s] + inward[s]);
        }
    }

    /** The lower end of a ray is not included: the next float below lets a hit on the low poly itself count. */
    private static float below(float t) {
        return Math.max(0f, Math.nextDown(t));
    }

    private void flush(RayTracer tracer, Facing facing, boolean outwards) {
        task.check();
        tracer.closestHits(rays, facing, hits);
        rayCount += rays.size;
        for (int r = 0; r < rays.size; r++) {
            int s = rayOwner[r];
            if (hits.triangle[r] < 0) {
                continue;
            }
            float t = outwards ? outward[s] - hits.t[r] : hits.t[r];
            if (outwards && hitTriangle[s] >= 0 && Math.abs(hitT[s] - outward[s]) <= hits.t[r]) {
                continue;
            }
            hitTriangle[s] = hits.triangle[r];
            hitT[s] = t;
            hitB1[s] = hits.b1[r];
            hitB2[s] = hits.b2[r];
        }
        rays.size = 0;
    }
}
