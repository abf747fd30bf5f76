package org.estampage.bake;

import java.util.List;
import java.util.Objects;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.RayTracer;
import org.estampage.raster.UvRaster;
import org.jspecify.annotations.Nullable;

/**
 * Everything that workers share while a job is baked.
 *
 * @threads immutable
 */
final class Scene {
    final BakeJob job;
    final LowPoly low;
    final HighPoly high;
    final UvRaster raster;
    /** Straightens rays; null where the job asks for none. */
    final @Nullable RayBlend blend;
    /** Sees all parts of all high polys: what occludes; null where nothing asks for that. */
    private final @Nullable RayTracer whole;
    /** What the low-poly parts see: one for all, or one a part with null for parts without triangles. */
    final @Nullable RayTracer[] tracers;
    /** Which of {@link #tracers} a low-poly triangle uses; only read when there are several. */
    final int[] tracerOfTriangle;
    /** The different hemisphere queries of all maps. */
    final List<HemisphereQuery> queries;
    /** For each map the numbers of its queries in {@link #queries}. */
    final int[][] queriesOfMap;

    Scene(BakeJob job, LowPoly low, HighPoly high, UvRaster raster, @Nullable RayBlend blend, @Nullable RayTracer whole,
            @Nullable RayTracer[] tracers, int[] tracerOfTriangle) {
        this.job = job;
        this.low = low;
        this.high = high;
        this.raster = raster;
        this.blend = blend;
        this.whole = whole;
        this.tracers = tracers;
        this.tracerOfTriangle = tracerOfTriangle;
        queries = queries(job);
        queriesOfMap = new int[job.maps().size()][];
        for (int m = 0; m < queriesOfMap.length; m++) {
            queriesOfMap[m] = job.maps().get(m).queries().stream().mapToInt(queries::indexOf).toArray();
        }
    }

    /** Returns the different hemisphere queries of a job's maps. */
    static List<HemisphereQuery> queries(BakeJob job) {
        return job.maps().stream().flatMap(map -> map.queries().stream()).distinct().toList();
    }

    /** Returns what occludes; only to be called when there are queries. */
    RayTracer occluder() {
        return Objects.requireNonNull(whole, "whole");
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
