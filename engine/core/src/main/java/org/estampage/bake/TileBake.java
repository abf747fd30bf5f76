package org.estampage.bake;

import java.util.ArrayList;
import java.util.List;
import org.estampage.image.Mask;
import org.estampage.raster.UvRaster;
import org.estampage.raster.UvTile;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * One image's worth of a job while it is baked: a unit square of UV space, its samples, and the texels of all maps.
 *
 * @threads texels are written by the worker that has them; the masks are merged under a lock
 */
final class TileBake {
    /**
     * More samples for texels at edges.
     *
     * @param search finds these texels
     * @param raster has their samples
     */
    record EdgeSamples(EdgeSearch search, UvRaster raster) {
    }

    final UvTile tile;
    final UvRaster raster;
    /** Where texels at edges get their samples from; null where they have those of all. */
    final @Nullable EdgeSamples edges;
    final List<MapImage> images = new ArrayList<>();
    /** Texels that a chart touches, those that hit, and those all of whose samples lie in charts and hit. */
    Mask covered;
    Mask hit;
    Mask full;
    final MissLog misses;
    final OpennessLog openness;
    /** Says which texels may share rays; null where no map shares any, and when all have shared. */
    @Nullable
    Guides guides;

    long sampleCount;
    long missedSamples;
    long refinedTexels;
    long projectionRays;
    long hemisphereRays;

    TileBake(UvTile tile, UvRaster raster, @Nullable EdgeSamples edges, @Nullable Guides guides, List<SurfaceMap> maps,
            MemoryBudget memory) {
        this.tile = tile;
        this.raster = raster;
        this.edges = edges;
        this.guides = guides;
        for (SurfaceMap map : maps) {
            images.add(new MapImage(map, raster.width(), raster.height(), memory));
        }
        covered = new Mask(raster.width(), raster.height());
        hit = new Mask(raster.width(), raster.height());
        full = new Mask(raster.width(), raster.height());
        misses = new MissLog(raster.width(), raster.height(), memory);
        openness = new OpennessLog(maps, raster.width(), raster.height());
    }

    /** Adds up what a worker did. */
    void add(BlockWorker worker) {
        sampleCount += worker.sampleCount;
        missedSamples += worker.missedSamples;
        refinedTexels += worker.refinedTexels;
        projectionRays += worker.projectionRays();
        hemisphereRays += worker.hemisphereRays();
    }

    /** Lets the maps that share rays do so. */
    void share(Task task) {
        if (guides != null) {
            for (MapImage image : images) {
                image.share(guides, task);
            }
            guides = null;
        }
    }
}
