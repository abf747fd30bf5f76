package org.estampage.bake;

import java.util.List;
import java.util.Locale;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.image.FloatImage;
import org.estampage.internal.kernel.Kernels;
import org.estampage.mesh.Mesh;
import org.estampage.raster.UvRaster;

/**
 * What a bake is about to take, told before it starts: good to a quarter, but for rays of maps that stop at an error, which may be fewer.
 *
 * @param texels         texels that charts cover, by their area; stacked charts count each time
 * @param rays           rays that are traced at most, those that look for the surface included
 * @param structureBytes what ray tracing structures hold beside the meshes; building them takes up to twice as much for a while
 * @param imageBytes     texels of all maps as floats, and what is kept with them; beyond the task's memory budget they go to temporary files
 * @param workBytes      what the workers hold
 * @param fileBytes      integer files of all maps in their usual depth, before they are compressed
 * @threads immutable
 */
public record BakeEstimate(long texels, long rays, long structureBytes, long imageBytes, long workBytes, long fileBytes) {
    /** What wide and binary trees hold a triangle, measured on bent grids of two million triangles. */
    private static final int WIDE_BYTES = 44;
    private static final int BINARY_BYTES = 58;
    /** Building takes so much of what the tree then holds: 82 bytes a triangle of either, measured likewise. */
    private static final double BUILDING = 82.0 / WIDE_BYTES;

    /**
     * Returns what a bake of a job takes.
     *
     * @param threads   how many workers there are
     * @param blockSide texels of a block's side
     */
    static BakeEstimate of(BakeJob job, int threads, int blockSide) {
        long tiles = job.isUdim() ? Math.max(1, UvRaster.tilesOf(job.low()).size()) : 1;
        long area = (long) job.width() * job.height();
        List<HemisphereQuery> queries = Scene.queries(job.maps());
        boolean sharing = job.maps().stream().anyMatch(SurfaceMap::shared);
        long images = 0, files = 0;
        for (SurfaceMap map : job.maps()) {
            MapFormat format = map.format();
            images += FloatImage.bytes(job.width(), job.height(), format.channels() + (map.shared() ? 2 : 0));
            files += area * format.channels() * format.bits() / Byte.SIZE;
        }
        images += sharing ? FloatImage.bytes(job.width(), job.height(), Guides.CHANNELS) : 0;
        images += 3 * area / Byte.SIZE; // masks
        long triangles = job.highs().stream().mapToLong(Mesh::triangleCount).sum();
        long joined = job.highs().size() > 1 ? job.highs().stream().mapToLong(BakeEstimate::geometryBytes).sum() : 0;
        int samples = samplesPerTexel(job);
        int side = blockSide + 2 * Scene.apron(job, queries);
        long work = threads * BlockWorker.bytes(Math.min(side, job.width()) * Math.min(side, job.height()), samples, queries.size());
        long texels = Math.round(coverage(job.low()) * area);
        long raysOfTexel = (long) job.samplesPerSide() * job.samplesPerSide()
                + queries.stream().mapToLong(HemisphereQuery::raysPerTexel).sum();
        return new BakeEstimate(texels, texels * raysOfTexel, triangles * (Kernels.areVectors() ? WIDE_BYTES : BINARY_BYTES) + joined,
                tiles * images, work, tiles * files);
    }

    /** Returns how many samples the texels have that have the most. */
    private static int samplesPerTexel(BakeJob job) {
        int edges = job.edgeSamplesPerSide() > job.samplesPerSide() ? job.edgeSamplesPerSide() : 0;
        return job.samplesPerSide() * job.samplesPerSide() + edges * edges;
    }

    private static long geometryBytes(Mesh mesh) {
        return (mesh.positions().length + mesh.positionIndices().length) * 4L;
    }

    /** Returns the area of all charts in UV units: the share of an image that they cover, or how many images they would fill. */
    private static double coverage(Mesh low) {
        if (low.uvSets().isEmpty()) {
            return 0;
        }
        float[] uv = low.uvSets().get(0).values();
        int[] corners = low.uvSets().get(0).indices();
        double area = 0;
        for (int i = 0; i < corners.length; i += 3) {
            int a = 2 * corners[i], b = 2 * corners[i + 1], c = 2 * corners[i + 2];
            double twice = ((double) uv[b] - uv[a]) * ((double) uv[c + 1] - uv[a + 1])
                    - ((double) uv[c] - uv[a]) * ((double) uv[b + 1] - uv[a + 1]);
            area += Math.abs(twice) / 2;
        }
        return Double.isFinite(area) ? area : 0;
    }

    /** Returns the most bytes that are taken at one time beside the meshes: while the structures are built, or while blocks are baked. */
    public long peakBytes() {
        return Math.max(Math.round(structureBytes * BUILDING), structureBytes + imageBytes + workBytes);
    }

    /** Returns one line for people. */
    @Override
    public String toString() {
        return String.format(Locale.ROOT,
                "about %,.1f million rays into %,d texels; %,d MB at the peak beside the meshes, %,d MB of files at most",
                rays * 1e-6, texels, megabytes(peakBytes()), megabytes(fileBytes));
    }

    private static long megabytes(long bytes) {
        return (bytes + 999_999) / 1_000_000;
    }
}
