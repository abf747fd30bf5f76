package org.estampage.bake;

import java.util.Arrays;
import org.estampage.bvh.HemisphereBatch;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.internal.kernel.Directions;
import org.estampage.internal.kernel.RaySlots;
import org.estampage.internal.kernel.RayStart;
import org.estampage.task.Task;

/**
 * The answers to all hemisphere queries of a job, above the hits of a block.
 *
 * @threads confined
 */
final class Surroundings {
    /** Entries of a hemisphere batch; the tracer cuts its own ray batches from them. */
    private static final int HEMISPHERES = 2048;
    /** Rays after which the task is asked again: many times a tracer's batch, and few where triangles lie
     * on each other and a ray meets them all. */
    private static final int RAYS = 1 << 13;

    private final Scene scene;
    private final Task task;
    private final HemisphereBatch hemispheres = new HemisphereBatch(HEMISPHERES);
    private final int[] hemisphereOwner = new int[HEMISPHERES];
    private final RaySlots slots = new RaySlots();
    private final TexelOrder order = new TexelOrder();
    private final float[] start = new float[3];
    private final int rayRoom;
    private final boolean asksOutside;
    private final boolean asksInside;
    /** The answers, one a query; an entry a hit. */
    final HemisphereAnswers.Sums[] sums;
    private int room;
    /** Rays that the entries of the batch ask for. */
    private int batchRays;
    /** Where the rays of each hit start, xyz; on the sides that are asked about. */
    private float[] startsOutside = new float[0];
    private float[] startsInside = new float[0];
    private int[] wanted = new int[0];
    // What is looked at in a call of run.
    private BlockArea area = new BlockArea(0, 0, 0, 0, 0, 0, 0);
    private SurfaceHits surface = new SurfaceHits(0);
    private int[] hitStart = new int[1];
    /** Rays that were traced in all. */
    long rayCount;

    /**
     * Makes room for a scene's answers.
     *
     * @param task is asked whether to go on, batch by batch: a block of texels with many rays takes seconds
     */
    Surroundings(Scene scene, Task task) {
        this.scene = scene;
        this.task = task;
        rayRoom = Math.max(RAYS, scene.batchSize());
        asksOutside = scene.queries.stream().anyMatch(query -> query.side() == HemisphereQuery.Side.OUTSIDE);
        asksInside = scene.queries.stream().anyMatch(query -> query.side() == HemisphereQuery.Side.INSIDE);
        sums = new HemisphereAnswers.Sums[scene.queries.size()];
        Arrays.setAll(sums, q -> new HemisphereAnswers.Sums(0));
    }

    /**
     * Answers all queries; the answers stand in {@link #sums}.
     *
     * @param hits  the hits of an area, texel by texel
     * @param starts where each texel's hits begin in them; one entry more than there are texels
     */
    void run(BlockArea of, SurfaceHits hits, int[] starts) {
        if (sums.length == 0) {
            return;
        }
        area = of;
        surface = hits;
        hitStart = starts;
        order.begin(area.width, area.height);
        findStarts();
        for (int q = 0; q < sums.length; q++) {
            ask(scene.queries.get(q), sums[q]);
        }
    }

    private void findStarts() {
        if (surface.size > room) {
            room = surface.size;
            startsOutside = new float[asksOutside ? 3 * room : 0];
            startsInside = new float[asksInside ? 3 * room : 0];
            Arrays.setAll(sums, q -> new HemisphereAnswers.Sums(room));
        }
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

    /** Traces one query above all hits of the block. */
    private void ask(HemisphereQuery query, HemisphereAnswers.Sums answer) {
        answer.clear(surface.size);
        if (wanted.length < area.texelCount()) {
            wanted = new int[area.texelCount()];
        }
        if (query.error() > 0) {
            // A first round everywhere, around the block, too; then as many more as the first rounds of the texels around call for.
            for (int texel = 0; texel < area.texelCount(); texel++) {
                wanted[texel] = area.isNear(texel, scene.filterReach() + 1) ? 1 : 0;
            }
            traceUpTo(query, answer, false);
            want(query, answer);
            traceUpTo(query, answer, true);
        } else {
            for (int texel = 0; texel < area.texelCount(); texel++) {
                wanted[texel] = area.isNear(texel, scene.filterReach()) ? query.raysPerTexel() : 0;
            }
            traceUpTo(query, answer, false);
        }
        for (int texel = 0; texel < area.texelCount(); texel++) {
            answer.addUp(hitStart[texel], hitStart[texel + 1]);
        }
    }

    /** Sets how many rays each texel of the block is to get: the first round's find, of the texels around, decides. */
    private void want(HemisphereQuery query, HemisphereAnswers.Sums answer) {
        for (int texel = 0; texel < area.texelCount(); texel++) {
            answer.addUp(hitStart[texel], hitStart[texel + 1]);
        }
        for (int texel = 0; texel < area.texelCount(); texel++) {
            wanted[texel] = 0;
            if (!area.isNear(texel, scene.filterReach()) || hitStart[texel] == hitStart[texel + 1]) {
                continue;
            }
            int column = texel % area.width, row = texel / area.width;
            int open = 0;
            int rays = 0;
            for (int y = Math.max(0, row - 1); y <= Math.min(area.height - 1, row + 1); y++) {
                for (int x = Math.max(0, column - 1); x <= Math.min(area.width - 1, column + 1); x++) {
                    int other = y * area.width + x;
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
            int seed = Directions.texelSeed(area.left + texel % area.width, area.top + texel / area.width);
            int runs = slots.spread(count, Math.max(round, wanted[texel]), seed);
            for (int r = 0; r < runs; r++) {
                if (more && slots.first(r) < round) {
                    continue;
                }
                int hit = from + slots.sample(r);
                int next = scene.blockerOf(query, surface.lowTriangles[hit]);
                if (next != blocker || hemispheres.size == HEMISPHERES || batchRays >= rayRoom) {
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
        batchRays += count;
    }

    private void flush(int blocker, HemisphereQuery query, HemisphereAnswers.Sums answer) {
        if (hemispheres.size == 0) {
            return;
        }
        task.check();
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
            rayCount += hemispheres.count[e];
        }
        hemispheres.size = 0;
        batchRays = 0;
    }
}
