package org.estampage.bake;

import java.util.List;
import java.util.Locale;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.image.FloatImage;
import org.estampage.internal.kernel.Kernels;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.raster.UvRaster;

/**
 * What a bake is about to take, told before it starts: rays good to a quarter, but for those of maps that stop at an error, which may be fewer; memory to a
 * factor of 1.5, and some megabytes of the workers' own for small ones. engine/docs/ESTIMATES.md has measured ones.
 *
 * @param texels           texels that charts cover, by their area; stacked charts count each time
 * @param rays             rays that are traced at most, those that look for the surface included
 * @param preparationBytes the most that is taken at one time before the first ray: while normals, values of maps and ray tracing structures are made
 * @param structureBytes   what is kept of that beside the meshes
 * @param imageBytes       texels of all maps as floats, and what is kept with them, but for four bytes a texel where some are missed; beyond the task's
 *                         memory budget they go to temporary files
 * @param workBytes        what the workers hold
 * @param fileBytes        integer files of all maps in their usual depth, before they are compressed
 * @threads immutable
 */
public record BakeEstimate(long texels, long rays, long preparationBytes, long structureBytes, long imageBytes, long workBytes,
        long fileBytes) {
    /** What wide and binary trees hold a triangle, measured on bent grids of two million triangles. */
    private static final int WIDE_BYTES = 44;
    private static final int BINARY_BYTES = 58;
    /** What building them takes a triangle, of either, measured likewise. */
    private static final int BUILDING_BYTES = 82;
    /** What making smooth normals takes a triangle of one mesh, measured on the bollard of a million triangles; and what they hold a vertex. */
    private static final int NORMALS_BYTES = 50;
    private static final int NORMAL_BYTES = 3 * Float.BYTES;
    /** What the low poly takes a corner, with its frames and the cage: twenty numbers, and the normals and tangents that they are made of. */
    private static final int LOW_BYTES = 100;

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
        int samples = samplesPerTexel(job);
        int side = blockSide + 2 * Scene.apron(job, queries);
        long workers = threads * BlockWorker.bytes(Math.min(side, job.width()) * Math.min(side, job.height()), samples, queries.size());
        long texels = Math.round(coverage(job.low()) * area);
        long raysOfTexel = (long) job.samplesPerSide() * job.samplesPerSide()
                + queries.stream().mapToLong(HemisphereQuery::raysPerTexel).sum();
        long triangles = job.highs().stream().mapToLong(Mesh::triangleCount).sum();
        long kept = keptBytes(job);
        long preparation = Math.max(preparingBytes(job), kept + triangles * BUILDING_BYTES);
        long structure = kept + triangles * (Kernels.areVectors() ? WIDE_BYTES : BINARY_BYTES);
        return new BakeEstimate(texels, texels * raysOfTexel, preparation, structure, tiles * images, workers,
                tiles * files);
    }

    /** Returns what is kept of the meshes for rays and maps: the low poly's corners, normals, values of maps, and of several high polys the one that they become. */
    private static long keptBytes(BakeJob job) {
        long bytes = (long) LOW_BYTES * job.low().positionIndices().length;
        for (Mesh high : job.highs()) {
            long normals = high.normals().map(Attribute::count).orElse(high.vertexCount());
            bytes += high.normals().isPresent() ? 0 : NORMAL_BYTES * normals;
            bytes += job.highs().size() == 1
                    ? 0
                    : NORMAL_BYTES * normals + Float.BYTES * (long) high.positions().length
                            + 2L * Integer.BYTES * high.positionIndices().length;
        }
        return bytes + job.maps().stream().mapToLong(map -> map.readyBytes(job)).sum();
    }

    /** Returns the most that is taken while normals are made, one mesh after another, and maps are made ready, one after another. */
    private static long preparingBytes(BakeJob job) {
        long bare = job.highs().stream().filter(high -> high.normals().isEmpty()).mapToLong(Mesh::triangleCount).max().orElse(0);
        long normals = job.highs().stream().filter(high -> high.normals().isEmpty())
                .mapToLong(high -> (long) NORMAL_BYTES * high.vertexCount())
                .sum();
        long most = 0, before = 0;
        for (SurfaceMap map : job.maps()) {
            most = Math.max(most, before + map.preparingBytes(job));
            before += map.readyBytes(job);
        }
        return normals + Math.max(NORMALS_BYTES * bare, most);
    }

    /** Returns how many samples the texels have that have the most. */
    private static int samplesPerTexel(BakeJob job) {
        int edges = job.edgeSamplesPerSide() > job.samplesPerSide() ? job.edgeSamplesPerSide() : 0;
        return job.samplesPerSide() * job.samplesPerSide() + edges * edges;
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

    /** Returns the most bytes that are taken at one time beside the meshes: before the first ray, or while blocks are baked. */
    public long peakBytes() {
        return Math.max(preparationBytes, structureBytes + imageBytes + workBytes);
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
