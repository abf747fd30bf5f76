package org.estampage.bake;

import java.util.List;
import java.util.Objects;
import java.util.function.Supplier;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.RayTracer;
import org.estampage.uv.UvCharts;
import org.jspecify.annotations.Nullable;

/**
 * Everything that workers share while a job is baked.
 *
 * @threads immutable
 */
final class Scene {
    final BakeJob job;
    /** The job's maps, made ready for its high polys. */
    final List<SurfaceMap> maps;
    final LowPoly low;
    final HighPoly high;
    /** Straightens rays; null where the job asks for none. */
    final @Nullable RayBlend blend;
    /** Sees all parts of all high polys: what occludes; null where nothing asks for that. */
    private final @Nullable RayTracer whole;
    /** Gives what sees all parts, and builds it where nothing asked for it before. */
    private final Supplier<RayTracer> everything;
    /** What the low-poly parts see: one for all, or one a part with null for parts without triangles. */
    final @Nullable RayTracer[] tracers;
    /** Which of {@link #tracers} a low-poly triangle uses; only read when there are several. */
    final int[] tracerOfTriangle;
    /** The chart of each low-poly triangle, for what mixes texels: a filter, shared rays; else empty. */
    final int[] charts;
    /** The different hemisphere queries of all maps. */
    final List<HemisphereQuery> queries;
    /** For each map the numbers of its queries in {@link #queries}. */
    final int[][] queriesOfMap;

    Scene(BakeJob job, List<SurfaceMap> maps, LowPoly low, HighPoly high, @Nullable RayBlend blend, @Nullable RayTracer whole,
            Supplier<RayTracer> everything,
            @Nullable RayTracer[] tracers, int[] tracerOfTriangle) {
        this.job = job;
        this.maps = maps;
        this.low = low;
        this.high = high;
        this.blend = blend;
        this.whole = whole;
        this.everything = everything;
        this.tracers = tracers;
        this.tracerOfTriangle = tracerOfTriangle;
        charts = filterReach() > 0 || maps.stream().anyMatch(SurfaceMap::shared) ? UvCharts.ofTriangles(job.low()) : new int[0];
        queries = queries(maps);
        queriesOfMap = new int[maps.size()][];
        for (int m = 0; m < queriesOfMap.length; m++) {
            queriesOfMap[m] = maps.get(m).queries().stream().mapToInt(queries::indexOf).toArray();
        }
    }

    /** Returns the different hemisphere queries of maps. */
    static List<HemisphereQuery> queries(List<SurfaceMap> maps) {
        return maps.stream().flatMap(map -> map.queries().stream()).distinct().toList();
    }

    /** Returns how many texels around a block must be looked at, too. */
    int apron() {
        return apron(job, queries);
    }

    /** Returns how many texels around a block a job with these queries must look at, too. */
    static int apron(BakeJob job, List<HemisphereQuery> queries) {
        return (queries.stream().anyMatch(query -> query.error() > 0) ? 1 : 0) + (job.edgeSamplesPerSide() > job.samplesPerSide() ? 1 : 0)
                + filterReach(job);
    }

    /** Returns how many texels around a texel have a say in its value. */
    int filterReach() {
        return filterReach(job);
    }

    private static int filterReach(BakeJob job) {
        return job.filter() == TexelFilter.TENT ? 1 : 0;
    }

    /** Returns whether maps ask whether something is seen of everything. */
    static boolean seesAll(List<HemisphereQuery> queries) {
        return queries.stream().anyMatch(query -> !query.ownPart());
    }

    /**
     * Returns which tracer says what blocks the rays of a query that leave a hit which a low-poly triangle sees; {@link #blocker} gives it.
     *
     * @param query one of {@link #queries}
     */
    int blockerOf(HemisphereQuery query, int lowTriangle) {
        return query.ownPart() ? tracerOf(lowTriangle) : -1;
    }

    /** Returns the number of the tracer that a low-poly triangle uses; −1 where it sees nothing, being of no part. */
    int tracerOf(int lowTriangle) {
        return tracers.length == 1 ? 0 : tracerOfTriangle[lowTriangle];
    }

    /** Returns what sees all parts of all high polys. It may have to be built first. */
    RayTracer everything() {
        return everything.get();
    }

    RayTracer blocker(int number) {
        return Objects.requireNonNull(number < 0 ? whole : tracers[number], "blocker");
    }

    /** Returns how many rays a batch should have for the tracers to work well. */
    int batchSize() {
        int most = 1;
        for (RayTracer tracer : tracers) {
            most = Math.max(most, tracer == null ? 1 : tracer.preferredBatchSize());
        }
        return most;
    }
}
