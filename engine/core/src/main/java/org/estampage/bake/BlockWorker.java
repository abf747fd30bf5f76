package org.estampage.bake;

import java.util.Arrays;
import java.util.List;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HemisphereBatch;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.image.FloatImage;
import org.estampage.internal.kernel.Directions;
import org.estampage.internal.kernel.RaySlots;
import org.estampage.internal.kernel.RayStart;
import org.estampage.mesh.Mesh;
import org.estampage.raster.TexelSamples;

/**
 * Bakes one block after another: texel samples → rays → hits → hemispheres → values → texels. What it writes depends on the block's texels alone.
 *
 * @threads confined
 */
final class BlockWorker {
    /** Entries of a hemisphere batch; the tracer cuts its own ray batches from them. */
    private static final int HEMISPHERES = 2048;

    private final Scene scene;
    private final List<MapImage> images;
    private final TexelSamples samples = new TexelSamples();
    private final RayBatch rays;
    private final HitBatch hits;
    private final int[] rayOwner;
    private final HemisphereBatch hemispheres = new HemisphereBatch(HEMISPHERES);
    private final int[] hemisphereOwner = new int[HEMISPHERES];
    private final RaySlots slots = new RaySlots();
    private final float[] start = new float[3];
    private final double[] outwards = new double[3];
    /** Where the rays of each hit's hemispheres start, xyz; set when there are queries about that side. */
    private float[] startsOutside = new float[0];
    private float[] startsInside = new float[0];
    private final int apron;
    private final boolean asksOutside;
    private final boolean asksInside;

    private int capacity;
    private SurfaceHits surface = new SurfaceHits(0);
    private HemisphereAnswers.Sums[] sums = new HemisphereAnswers.Sums[0];
    private float[] values = new float[0];
    private float[] texels = new float[0];
    // One entry a sample.
    private float[] originX = new float[0], originY = new float[0], originZ = new float[0];
    private float[] directionX = new float[0], directionY = new float[0], directionZ = new float[0];
    private float[] outward = new float[0], inward = new float[0];
    private float[] hitT = new float[0], hitB1 = new float[0], hitB2 = new float[0];
    private int[] hitTriangle = new int[0];
    // One entry a texel, and one more.
    private int[] hitStart = new int[1];
    private final TexelOrder order = new TexelOrder();
    /** The block that is written; samples are of it and of the apron around it. */
    private int blockX, blockY, blockWidth, blockHeight;
    private int[] wanted = new int[0];

    // What this worker did, to be added up.
    long projectionRays;
    long hemisphereRays;
    long sampleCount;
    long missedSamples;

    BlockWorker(Scene scene, List<MapImage> images) {
        this.scene = scene;
        this.images = images;
        int batch = scene.batchSize();
        rays = new RayBatch(batch);
        hits = new HitBatch(batch);
        rayOwner = new int[batch];
        apron = scene.apron();
        asksOutside = scene.queries.stream().anyMatch(query -> query.side() == HemisphereQuery.Side.OUTSIDE);
        asksInside = scene.queries.stream().anyMatch(query -> query.side() == HemisphereQuery.Side.INSIDE);
    }

    /**
     * Returns the most bytes that a worker needs for blocks of so many texels.
     *
     * @param queries how many different hemisphere queries there are
     */
    static long bytes(int texels, int samplesPerTexel, int queries) {
        // Arrays of vectors, floats and ints a sample: 116 of what maps see, 64 of the ray and the values, 18 of the rasteriser, then the sums.
        long perSample = 116 + 64 + 18 + (queries == 0 ? 0 : 24 + 36L * queries);
        return texels * (samplesPerTexel * perSample + 32);
    }

    void bake(int x, int y, int w, int h, BlockMarks marks) {
        blockX = x;
        blockY = y;
        blockWidth = w;
        blockHeight = h;
        int left = Math.max(0, x - apron), top = Math.max(0, y - apron);
        scene.raster.rasterise(left, top, Math.min(scene.job.width(), x + w + apron) - left,
                Math.min(scene.job.height(), y + h + apron) - top, samples);
        int count = samples.size();
        marks.begin(x, y, w, h);
        if (count == 0) {
            for (int m = 0; m < images.size(); m++) {
                writeBackground(m);
            }
            if (scene.guides != null) {
                hitStart = room(hitStart, samples.texelCount() + 1);
                Arrays.fill(hitStart, 0);
                describe(scene.guides);
            }
            return;
        }
        makeRoom(count);
        order.begin(samples.width, samples.height);
        aim(count);
        if (scene.blend != null) {
            straighten(scene.blend, count);
        }
        if (scene.job.hitRule().nearest()) {
            trace(false);
            trace(true);
        } else {
            trace(false);
        }
        collectHits(marks);
        if (!scene.queries.isEmpty()) {
            findStarts();
        }
        for (int q = 0; q < scene.queries.size(); q++) {
            surroundings(q);
        }
        for (int m = 0; m < images.size(); m++) {
            evaluate(m);
        }
        if (scene.guides != null) {
            describe(scene.guides);
        }
    }

    private static int[] room(int[] array, int length) {
        return array.length < length ? new int[length] : array;
    }

    private void describe(Guides guides) {
        int size = blockWidth * blockHeight;
        float[] surfaces = new float[4 * size];
        float[] places = new float[2 * size];
        for (int place = 0; place < size; place++) {
            int texel = texelAt(place);
            guides.describe(surface, hitStart[texel], hitStart[texel + 1], surfaces, places, place);
        }
        guides.surface.write(blockX, blockY, blockWidth, blockHeight, surfaces);
        guides.place.write(blockX, blockY, blockWidth, blockHeight, places);
    }

    /** Writes how many rays of the map's first query each texel got. */
    private void writeRays(FloatImage dest, HemisphereAnswers.Sums answer) {
        float[] rays = new float[blockWidth * blockHeight];
        for (int place = 0; place < rays.length; place++) {
            int texel = texelAt(place);
            rays[place] = hitStart[texel] < hitStart[texel + 1] ? answer.raysOfTexel[hitStart[texel]] : 0f;
        }
        dest.write(blockX, blockY, blockWidth, blockHeight, rays);
    }

    private void makeRoom(int count) {
        if (count <= capacity) {
            return;
        }
        capacity = Math.max(count, capacity * 3 / 2);
        surface = new SurfaceHits(capacity);
        startsOutside = new float[asksOutside ? 3 * capacity : 0];
        startsInside = new float[asksInside ? 3 * capacity : 0];
        sums = new HemisphereAnswers.Sums[scene.queries.size()];
        Arrays.setAll(sums, q -> new HemisphereAnswers.Sums(capacity));
        values = new float[4 * capacity];
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
    private void aim(int count) {
        LowPoly low = scene.low;
        for (int s = 0; s < count; s++) {
            int c = 3 * samples.triangle[s];
            float b1 = samples.b1[s], b2 = samples.b2[s], b0 = 1f - b1 - b2;
            float px = mix(low.positions, 3 * c, b0, b1, b2), py = mix(low.positions, 3 * c + 1, b0, b1, b2),
                    pz = mix(low.positions, 3 * c + 2, b0, b1, b2);
            float cx = mix(low.cagePositions, 3 * c, b0, b1, b2), cy = mix(low.cagePositions, 3 * c + 1, b0, b1, b2),
                    cz = mix(low.cagePositions, 3 * c + 2, b0, b1, b2);
            double dx = (double) px - cx, dy = (double) py - cy, dz = (double) pz - cz;
            double length = Math.sqrt(dx * dx + dy * dy + dz * dz);
            // Below the rounding of the coordinates themselves the difference is no direction.
            double least = 16 * 0x1p-23 * Math.max(Math.abs(px), Math.max(Math.abs(py), Math.abs(pz)));
            if (!(length > least)) {
                dx = -mix(low.cageDirections, 3 * c, b0, b1, b2);
                dy = -mix(low.cageDirections, 3 * c + 1, b0, b1, b2);
                dz = -mix(low.cageDirections, 3 * c + 2, b0, b1, b2);
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

    /** Straightens the rays of all samples, and lets them start where they leave the cage. */
    private void straighten(RayBlend blend, int count) {
        rays.size = 0;
        for (int s = 0; s < count; s++) {
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

    private static float mix(float[] corners, int at, float b0, float b1, float b2) {
        return b0 * corners[at] + b1 * corners[at + 3] + b2 * corners[at + 6];
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
        if (!outwards) {
            Arrays.fill(hitTriangle, 0, samples.size(), -1);
        }
        for (int p = 0; p < scene.tracers.length; p++) {
            RayTracer tracer = scene.tracers[p];
            if (tracer == null) {
                continue;
            }
            rays.size = 0;
            for (int i = 0; i < order.size(); i++) {
                int texel = order.texel(i);
                for (int s = samples.start[texel]; s < samples.start[texel + 1]; s++) {
                    if (scene.tracers.length > 1 && scene.tracerOfTriangle[samples.triangle[s]] != p) {
                        continue;
                    }
                    addRay(s, outwards, rule.nearest());
                    if (rays.size == rays.capacity()) {
                        flush(tracer, facing, outwards);
                    }
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
        tracer.closestHits(rays, facing, hits);
        projectionRays += rays.size;
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

    /** Gathers what maps see of the samples that hit, in texel order. */
    private void collectHits(BlockMarks marks) {
        LowPoly low = scene.low;
        HighPoly high = scene.high;
        FrameRule frame = scene.job.frameRule();
        int texelCount = samples.texelCount();
        hitStart = room(hitStart, texelCount + 1);
        int n = 0;
        for (int texel = 0; texel < texelCount; texel++) {
            hitStart[texel] = n;
            for (int s = samples.start[texel]; s < samples.start[texel + 1]; s++) {
                int triangle = hitTriangle[s];
                if (triangle < 0) {
                    continue;
                }
                int i = 3 * n;
                int c = 3 * samples.triangle[s];
                float b1 = samples.b1[s], b2 = samples.b2[s], b0 = 1f - b1 - b2;
                surface.lowTriangles[n] = samples.triangle[s];
                surface.lowB1[n] = b1;
                surface.lowB2[n] = b2;
                for (int k = 0; k < 3; k++) {
                    surface.lowPositions[i + k] = mix(low.positions, 3 * c + k, b0, b1, b2);
                    surface.normals[i + k] = mix(low.normals, 3 * c + k, b0, b1, b2);
                    surface.tangents[i + k] = mix(low.tangents, 3 * c + k, b0, b1, b2);
                }
                switch (frame) {
                    case AS_INTERPOLATED ->
                        LowPoly.bitangent(surface.normals, surface.tangents, i, low.handedness[c], surface.bitangents, i);
                    case RENORMALISED -> {
                        normalise(surface.normals, i);
                        normalise(surface.tangents, i);
                        LowPoly.bitangent(surface.normals, surface.tangents, i, low.handedness[c], surface.bitangents, i);
                    }
                    case BITANGENT_INTERPOLATED -> {
                        for (int k = 0; k < 3; k++) {
                            surface.bitangents[i + k] = mix(low.bitangents, 3 * c + k, b0, b1, b2);
                        }
                    }
                }
                surface.directions[i] = directionX[s];
                surface.directions[i + 1] = directionY[s];
                surface.directions[i + 2] = directionZ[s];
                surface.heights[n] = outward[s] - hitT[s];
                surface.highB1[n] = hitB1[s];
                surface.highB2[n] = hitB2[s];
                int mesh = high.meshOf(triangle);
                surface.highMeshes[n] = mesh;
                surface.highTriangles[n] = triangle - high.firstTriangle[mesh];
                highPoint(n, triangle);
                n++;
            }
            int inChart = samples.start[texel + 1] - samples.start[texel];
            int hit = n - hitStart[texel];
            int place = place(texel);
            if (inChart > 0 && place >= 0) {
                marks.mark(place, hit > 0, samples.kind[texel] == TexelSamples.FULL && hit == inChart);
                sampleCount += inChart;
                missedSamples += inChart - hit;
            }
        }
        hitStart[texelCount] = n;
        surface.size = n;
    }

    private static void normalise(float[] v, int i) {
        double length = Math.sqrt((double) v[i] * v[i] + (double) v[i + 1] * v[i + 1] + (double) v[i + 2] * v[i + 2]);
        if (length > 0) {
            v[i] = (float) (v[i] / length);
            v[i + 1] = (float) (v[i + 1] / length);
            v[i + 2] = (float) (v[i + 2] / length);
        }
    }

    /** Sets position and unit normal of the high poly; where its normals cancel out, the face's. */
    private void highPoint(int n, int triangle) {
        HighPoly high = scene.high;
        Mesh all = high.all;
        float[] p = all.positions();
        int[] corners = all.positionIndices();
        int c0 = 3 * triangle;
        float b1 = surface.highB1[n], b2 = surface.highB2[n], b0 = 1f - b1 - b2;
        int p0 = 3 * corners[c0], p1 = 3 * corners[c0 + 1], p2 = 3 * corners[c0 + 2];
        int n0 = 3 * high.normalIndices[c0], n1 = 3 * high.normalIndices[c0 + 1], n2 = 3 * high.normalIndices[c0 + 2];
        double square = 0;
        for (int k = 0; k < 3; k++) {
            surface.highPositions[3 * n + k] = b0 * p[p0 + k] + b1 * p[p1 + k] + b2 * p[p2 + k];
            float v = b0 * high.normals[n0 + k] + b1 * high.normals[n1 + k] + b2 * high.normals[n2 + k];
            surface.highNormals[3 * n + k] = v;
            square += (double) v * v;
        }
        if (square > 1e-12) {
            double scale = 1 / Math.sqrt(square);
            for (int k = 0; k < 3; k++) {
                surface.highNormals[3 * n + k] = (float) (surface.highNormals[3 * n + k] * scale);
            }
        } else {
            double ax = (double) p[p1] - p[p0], ay = (double) p[p1 + 1] - p[p0 + 1], az = (double) p[p1 + 2] - p[p0 + 2];
            double bx = (double) p[p2] - p[p0], by = (double) p[p2 + 1] - p[p0 + 1], bz = (double) p[p2 + 2] - p[p0 + 2];
            double fx = ay * bz - az * by, fy = az * bx - ax * bz, fz = ax * by - ay * bx;
            double length = Math.sqrt(fx * fx + fy * fy + fz * fz);
            surface.highNormals[3 * n] = (float) (fx / length);
            surface.highNormals[3 * n + 1] = (float) (fy / length);
            surface.highNormals[3 * n + 2] = (float) (fz / length);
        }
    }

    private void findStarts() {
        float[] positions = scene.high.all.positions();
        int[] corners = scene.high.all.positionIndices();
        for (int hit = 0; hit < surface.size; hit++) {
            int triangle = scene.high.firstTriangle[surface.highMeshes[hit]] + surface.highTriangles[hit];
            if (asksOutside) {
                RayStart.outside(positions, corners, triangle, surface.highPositions, 3 * hit, start);
                System.arraycopy(start, 0, startsOutside, 3 * hit, 3);
            }
            if (asksInside) {
                RayStart.inside(positions, corners, triangle, surface.highPositions, 3 * hit, start);
                System.arraycopy(start, 0, startsInside, 3 * hit, 3);
            }
        }
    }

    /** Returns the place in the block, row by row, of a texel of the samples; −1 for those of the apron. */
    private int place(int texel) {
        int column = texel % samples.width + samples.x - blockX;
        int row = texel / samples.width + samples.y - blockY;
        return column >= 0 && column < blockWidth && row >= 0 && row < blockHeight ? row * blockWidth + column : -1;
    }

    /** Returns the texel of the samples at a place of the block. */
    private int texelAt(int place) {
        return (blockY - samples.y + place / blockWidth) * samples.width + blockX - samples.x + place % blockWidth;
    }

    /** Traces one query above all hits of the block. */
    private void surroundings(int q) {
        HemisphereQuery query = scene.queries.get(q);
        HemisphereAnswers.Sums answer = sums[q];
        answer.clear(surface.size);
        if (wanted.length < samples.texelCount()) {
            wanted = new int[samples.texelCount()];
        }
        if (query.error() > 0) {
            // A first round everywhere, around the block, too; then as many more as the first rounds of the texels around call for.
            Arrays.fill(wanted, 0, samples.texelCount(), 1);
            traceUpTo(query, answer, false);
            want(query, answer);
            traceUpTo(query, answer, true);
        } else {
            for (int texel = 0; texel < samples.texelCount(); texel++) {
                wanted[texel] = place(texel) < 0 ? 0 : query.raysPerTexel();
            }
            traceUpTo(query, answer, false);
        }
        for (int texel = 0; texel < samples.texelCount(); texel++) {
            answer.addUp(hitStart[texel], hitStart[texel + 1]);
        }
    }

    /** Sets how many rays each texel of the block is to get: the first round's find, of the texels around, decides. */
    private void want(HemisphereQuery query, HemisphereAnswers.Sums answer) {
        for (int texel = 0; texel < samples.texelCount(); texel++) {
            answer.addUp(hitStart[texel], hitStart[texel + 1]);
        }
        for (int texel = 0; texel < samples.texelCount(); texel++) {
            wanted[texel] = 0;
            if (place(texel) < 0 || hitStart[texel] == hitStart[texel + 1]) {
                continue;
            }
            int column = texel % samples.width, row = texel / samples.width;
            int open = 0;
            int rays = 0;
            for (int y = Math.max(0, row - 1); y <= Math.min(samples.height - 1, row + 1); y++) {
                for (int x = Math.max(0, column - 1); x <= Math.min(samples.width - 1, column + 1); x++) {
                    int other = y * samples.width + x;
                    if (other != texel && hitStart[other] < hitStart[other + 1]) {
                        open += answer.openOfTexel[hitStart[other]];
                        rays += answer.raysOfTexel[hitStart[other]];
                    }
                }
            }
            wanted[texel] = RayCount.wanted(open, rays, query.error(), query.raysPerTexel());
        }
    }

    /**
     * Traces the rays that are wanted, in whole rounds.
     *
     * @param more whether texels had their first round before
     */
    private void traceUpTo(HemisphereQuery query, HemisphereAnswers.Sums answer, boolean more) {
        hemispheres.size = 0;
        int blocker = -1;
        for (int i = 0; i < order.size(); i++) {
            int texel = order.texel(i);
            int from = hitStart[texel];
            int count = hitStart[texel + 1] - from;
            int round = Math.min(query.raysPerTexel(), RaySlots.round(count));
            if (count == 0 || wanted[texel] <= (more ? round : 0)) {
                continue;
            }
            int seed = Directions.texelSeed(samples.x + texel % samples.width, samples.y + texel / samples.width);
            int runs = slots.spread(count, Math.max(round, wanted[texel]), seed);
            for (int r = 0; r < runs; r++) {
                if (more && slots.first(r) < round) {
                    continue;
                }
                int hit = from + slots.sample(r);
                int next = scene.blockerOf(query, surface.lowTriangles[hit]);
                if (next != blocker || hemispheres.size == HEMISPHERES) {
                    flush(blocker, query, answer);
                }
                blocker = next;
                add(query.side(), hit, seed, slots.first(r), slots.count(r));
            }
        }
        flush(blocker, query, answer);
    }

    private void add(HemisphereQuery.Side side, int hit, int seed, int first, int count) {
        boolean outside = side == HemisphereQuery.Side.OUTSIDE;
        float[] starts = outside ? startsOutside : startsInside;
        float sign = outside ? 1f : -1f;
        int e = hemispheres.size++;
        hemisphereOwner[e] = hit;
        hemispheres.x[e] = starts[3 * hit];
        hemispheres.y[e] = starts[3 * hit + 1];
        hemispheres.z[e] = starts[3 * hit + 2];
        hemispheres.normalX[e] = sign * surface.highNormals[3 * hit];
        hemispheres.normalY[e] = sign * surface.highNormals[3 * hit + 1];
        hemispheres.normalZ[e] = sign * surface.highNormals[3 * hit + 2];
        hemispheres.seed[e] = seed;
        hemispheres.first[e] = first;
        hemispheres.count[e] = count;
    }

    private void flush(int blocker, HemisphereQuery query, HemisphereAnswers.Sums answer) {
        if (hemispheres.size == 0) {
            return;
        }
        scene.blocker(blocker).hemispheres(query, hemispheres);
        boolean measured = query.answer() == HemisphereQuery.Answer.DISTANCE;
        for (int e = 0; e < hemispheres.size; e++) {
            int hit = hemisphereOwner[e];
            answer.rays[hit] += hemispheres.count[e];
            answer.open[hit] += hemispheres.open[e];
            answer.direction[3 * hit] += hemispheres.sumX[e];
            answer.direction[3 * hit + 1] += hemispheres.sumY[e];
            answer.direction[3 * hit + 2] += hemispheres.sumZ[e];
            if (measured) {
                answer.distance[hit] += hemispheres.distance[e];
                answer.faded[hit] += hemispheres.faded[e];
            }
            hemisphereRays += hemispheres.count[e];
        }
        hemispheres.size = 0;
    }

    /** Asks one map for its values, reduces them to texels and writes the block. */
    private void evaluate(int m) {
        SurfaceMap map = scene.maps.get(m);
        MapFormat format = map.format();
        int channels = format.channels();
        int[] numbers = scene.queriesOfMap[m];
        HemisphereAnswers answers = new HemisphereAnswers(Arrays.stream(numbers).mapToObj(q -> sums[q]).toList());
        map.evaluate(surface, answers, values);
        int[] weights = numbers.length == 0 ? null : sums[numbers[0]].rays;
        int perTexel = scene.job.samplesPerSide() * scene.job.samplesPerSide();
        fillWithBackground(format);
        for (int place = 0; place < blockWidth * blockHeight; place++) {
            int texel = texelAt(place);
            int from = hitStart[texel], to = hitStart[texel + 1];
            if (from < to) {
                Reducer.reduce(map.reduction(), values, channels, from, to, weights, perTexel, texels, place * channels);
            }
        }
        images.get(m).values().write(blockX, blockY, blockWidth, blockHeight, texels);
        FloatImage rays = images.get(m).rays();
        if (rays != null) {
            writeRays(rays, answers.of(0));
        }
    }

    private void writeBackground(int m) {
        fillWithBackground(scene.maps.get(m).format());
        images.get(m).values().write(blockX, blockY, blockWidth, blockHeight, texels);
    }

    private void fillWithBackground(MapFormat format) {
        int channels = format.channels();
        int size = blockWidth * blockHeight * channels;
        if (texels.length < size) {
            texels = new float[blockWidth * blockHeight * 4];
        }
        for (int c = 0; c < channels; c++) {
            float value = format.background().get(c);
            for (int i = c; i < size; i += channels) {
                texels[i] = value;
            }
        }
    }
}
