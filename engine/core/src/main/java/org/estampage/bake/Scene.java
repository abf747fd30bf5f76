package org.estampage.bake;

import java.util.ArrayList;
import java.util.List;
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
    /** Sees all parts of all high polys: what occludes. */
    final RayTracer whole;
    /** What the low-poly parts see: one for all, or one a part with null for parts without triangles. */
    final @Nullable RayTracer[] tracers;
    /** Which of {@link #tracers} a low-poly triangle uses; only read when there are several. */
    final int[] tracerOfTriangle;
    /** The different hemisphere queries of all maps. */
    final List<HemisphereQuery> queries;
    /** For each map the numbers of its queries in {@link #queries}. */
    final int[][] queriesOfMap;

    Scene(BakeJob job, LowPoly low, HighPoly high, UvRaster raster, RayTracer whole, @Nullable RayTracer[] tracers,
            int[] tracerOfTriangle) {
        this.job = job;
        this.low = low;
        this.high = high;
        this.raster = raster;
        this.whole = whole;
        this.tracers = tracers;
        this.tracerOfTriangle = tracerOfTriangle;
        List<HemisphereQuery> different = new ArrayList<>();
        queriesOfMap = new int[job.maps().size()][];
        for (int m = 0; m < queriesOfMap.length; m++) {
            List<HemisphereQuery> own = job.maps().get(m).queries();
            queriesOfMap[m] = new int[own.size()];
            for (int q = 0; q < own.size(); q++) {
                if (!different.contains(own.get(q))) {
                    different.add(own.get(q));
                }
                queriesOfMap[m][q] = different.indexOf(own.get(q));
            }
        }
        queries = List.copyOf(different);
    }
}
