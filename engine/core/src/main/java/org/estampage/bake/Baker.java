package org.estampage.bake;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.SortedMap;
import java.util.TreeMap;
import java.util.concurrent.CancellationException;
import java.util.concurrent.Executor;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.concurrent.atomic.AtomicReference;
import java.util.function.Supplier;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.RayTracer;
import org.estampage.cage.Cage;
import org.estampage.cage.CageFit;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.finding.Tally;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Padding;
import org.estampage.internal.kernel.VectorWalks;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Labels;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.raster.UvRaster;
import org.estampage.raster.UvTile;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Carries out bake jobs. The settings here change how fast a bake runs and how often it can be cancelled, never a value of a map.
 *
 * <p>On threads of the caller's:
 * {@snippet class = "org.estampage.cookbook.CookbookTest" region = "ownExecutor"}
 *
 * @threads immutable, safe for concurrent calls; each bake starts its own worker threads and ends them, unless it was given an executor; fitting a cage
 *          and padding run in the caller's fork-join pool, else in the common one
 */
public final class Baker {
    private final int threads;
    private final int blockSide;
    private final @Nullable Mesh tracedMesh;
    private final @Nullable RayTracer tracer;
    private final @Nullable Executor executor;
    private final @Nullable BlockListener listener;

    private Baker(int threads, int blockSide, @Nullable Mesh tracedMesh, @Nullable RayTracer tracer, @Nullable Executor executor,
            @Nullable BlockListener listener) {
        this.threads = threads;
        this.blockSide = blockSide;
        this.tracedMesh = tracedMesh;
        this.tracer = tracer;
        this.executor = executor;
        this.listener = listener;
    }

    /** Returns a baker that uses all processors. */
    public static Baker create() {
        return new Baker(Runtime.getRuntime().availableProcessors(), 32, null, null, null, null);
    }

    /**
     * Returns a baker with so many worker threads; fitting a cage and padding don't use them.
     *
     * @throws IllegalArgumentException if {@code count} is not 1 … 1024
     */
    public Baker threads(int count) {
        if (count < 1 || count > 1024) {
            throw new IllegalArgumentException("threads = " + count + " must be 1 … 1024");
        }
        return new Baker(count, blockSide, tracedMesh, tracer, executor, listener);
    }

    /**
     * Returns a baker that works in blocks of so many texels a side. Between them, and between batches of rays above surfaces, it looks whether it was
     * cancelled.
     *
     * @throws IllegalArgumentException if {@code texels} is not 1 … 1024
     */
    public Baker blockSide(int texels) {
        if (texels < 1 || texels > 1024) {
            throw new IllegalArgumentException("blockSide = " + texels + " must be 1 … 1024");
        }
        return new Baker(threads, texels, tracedMesh, tracer, executor, listener);
    }

    /**
     * Returns a baker that takes this tracer for jobs whose only high poly is this very mesh, instead of building one.
     *
     * @throws IllegalArgumentException if the tracer has another number of triangles
     */
    public Baker tracer(Mesh high, RayTracer of) {
        if (of.triangleCount() != high.triangleCount()) {
            throw new IllegalArgumentException("the tracer has " + of.triangleCount() + " triangles, the mesh " + high.triangleCount());
        }
        return new Baker(threads, blockSide, Objects.requireNonNull(high, "high"), of, executor, listener);
    }

    /**
     * Returns a baker whose workers are the calling thread and, up to the number of threads, tasks of an executor, in place of threads of its own. It needs
     * no free thread there: what the executor refuses or does not come to, the calling thread does. Fitting a cage and padding don't use it.
     */
    public Baker executor(Executor of) {
        return new Baker(threads, blockSide, tracedMesh, tracer, Objects.requireNonNull(of, "of"), listener);
    }

    /** Returns a baker that hands each block to a listener when it is done. */
    public Baker blocks(BlockListener seer) {
        return new Baker(threads, blockSide, tracedMesh, tracer, executor, Objects.requireNonNull(seer, "seer"));
    }

    /** Returns about what a bake of a job takes by this baker's settings, in a moment and without tracing a ray. */
    public BakeEstimate estimate(BakeJob job) {
        return BakeEstimate.of(job, threads, blockSide);
    }

    /**
     * Bakes. An interrupt of the calling thread cancels the task.
     *
     * @throws CancellationException         if the task was cancelled; nothing is left behind
     * @throws java.io.UncheckedIOException if an image has room neither in the task's memory budget nor in a temporary file
     */
    public BakeResult bake(BakeJob job, Task task) {
        return bakePart(job, null, task);
    }

    /**
     * Returns what a bake of the job gives, taking maps that earlier bakes have with the same options and baking the others only: after one map was changed
     * or added. Counts of rays and times are of what is baked now. An interrupt of the calling thread cancels the task.
     *
     * @param earlier bakes of a job with the same meshes, the same cage and options, and other maps
     * @throws IllegalArgumentException      if an earlier bake is of another job; the message says what differs
     * @throws CancellationException         if the task was cancelled; nothing is left behind
     * @throws java.io.UncheckedIOException if an image has room neither in the task's memory budget nor in a temporary file
     */
    public BakeResult bake(BakeJob job, List<BakeResult> earlier, Task task) {
        return Rejoined.bake(job, earlier, rest -> bake(rest, task), task);
    }

    /**
     * Bakes a region anew: texels outside of it are those of an earlier bake, padding is done again. The job may have other high polys, another cage and
     * other options than the earlier bake: after the sculpt was changed in one place. Findings are of what is baked now, but for missed texels, which are
     * counted in all. An interrupt of the calling thread cancels the task.
     *
     * @param job     with maps that the earlier bake has, too
     * @param earlier a bake of the same size, of a low poly with the same UVs
     * @throws IllegalArgumentException      if the earlier bake has another size or other tiles or lacks a map, or the region is not within an image
     * @throws CancellationException         if the task was cancelled; nothing is left behind
     * @throws java.io.UncheckedIOException if an image has room neither in the task's memory budget nor in a temporary file
     */
    public BakeResult bakeRegion(BakeJob job, BakeResult earlier, TexelRegion region, Task task) {
        return bakePart(job, new Patch(job, earlier, region), task);
    }

    private BakeResult bakePart(BakeJob job, @Nullable Patch patch, Task task) {
        try (HeldMemory memory = new HeldMemory(task.memory())) {
            return bake(job, patch, task, memory);
        }
    }

    private BakeResult bake(BakeJob job, @Nullable Patch patch, Task task, HeldMemory memory) {
        Clock clock = new Clock();
        Noticed noticed = new Noticed();
        List<Finding> findings = noticed.ofJob();

        // The low poly with what a shader gets, the high polys with what maps see.
        Mesh low = Normals.shading(job.low(), task);
        findings.addAll(low.findings().subList(job.low().findings().size(), low.findings().size()));
        Mesh worn = LowPoly.worn(low);
        Attribute normals = worn.normals().orElseThrow();
        Attribute tangents = worn.tangents().orElseThrow();
        TileLayout layout = new TileLayout(low);
        Map<UvTile, UvRaster> rasters = rasters(job, low, layout, task, findings);
        List<Mesh> shaded = new ArrayList<>();
        for (Mesh high : job.highs()) {
            Mesh withNormals = Normals.shading(high, task);
            findings.addAll(withNormals.findings());
            shaded.add(withNormals);
        }
        List<SurfaceMap> jobMaps = new ArrayList<>();
        Preparation preparation = new Preparation(job, shaded, task);
        for (SurfaceMap map : job.maps()) {
            SurfaceMap ready = map.prepared(preparation);
            noticed.take(map.name(), ready.findings());
            jobMaps.add(ready);
        }
        memory.add(job.maps().stream().mapToLong(map -> map.readyBytes(job)).sum());
        HighPoly highPoly = HighPoly.of(shaded);
        memory.add(highPoly.bytes());
        clock.stage("prepare");

        boolean givenTracer = tracer != null && job.highs().size() == 1 && job.highs().get(0) == tracedMesh;
        List<HemisphereQuery> queries = Scene.queries(jobMaps);
        // Pairs have tracers of their own: then only what asks for everything and a cage that is to be fitted need to see it.
        boolean seesAll = !job.isPairedByName() || Scene.seesAll(queries) || job.cage().isEmpty();
        RayTracer whole = givenTracer ? tracer : seesAll ? held(Bvh.build(highPoly.all, task), memory) : null;
        clock.stage("structure");

        Cage cage = job.cage()
                .orElseGet(() -> CageFit.around(job.low(), highPoly.all).tracer(Objects.requireNonNull(whole)).task(task).build());
        findings.addAll(cage.findings());
        LowPoly lowPoly = new LowPoly(low, cage, normals, tangents, job.depth(), job.width(), job.height());
        RayBlend blend = job.rayBlend() > 0 ? new RayBlend(low, cage, job.rayBlend(), job.depth(), task) : null;
        if (blend != null) {
            memory.add(blend.cage.bytes());
        }
        boolean sharing = jobMaps.stream().anyMatch(SurfaceMap::shared);
        boolean moreAtEdges = job.edgeSamplesPerSide() > job.samplesPerSide();
        Scene scene = scene(job, jobMaps, lowPoly, highPoly, blend, whole, task, memory);
        BakeEstimate estimate = estimate(job);
        memory.add(estimate.workBytes());
        clock.stage("cage");

        // The images, tile by tile, block by block.
        VectorWalks.expect(estimate.rays());
        List<TileBake> tiles = new ArrayList<>();
        for (Map.Entry<UvTile, UvRaster> each : rasters.entrySet()) {
            Guides guides = sharing ? new Guides(scene.charts, lowPoly.texelWidths, job.width(), job.height(), task.memory()) : null;
            TileBake.EdgeSamples edges = moreAtEdges
                    ? new TileBake.EdgeSamples(new EdgeSearch(lowPoly.texelWidths, job.samplesPerSide()),
                            raster(job, low, each.getKey(), job.edgeSamplesPerSide()))
                    : null;
            TileBake tile = new TileBake(each.getKey(), each.getValue(), edges, guides, jobMaps, task.memory());
            if (patch == null) {
                bakeBlocks(scene, tile, new TexelRegion(tile.tile, 0, 0, job.width(), job.height()), task);
                tile.share(task);
            } else {
                if (patch.region.tile().equals(tile.tile)) {
                    // Texels share rays with their neighbours.
                    bakeBlocks(scene, tile, sharing ? patch.region.grown(1, job.width(), job.height()) : patch.region, task);
                    tile.share(task);
                }
                patch.complete(tile, jobMaps);
            }
            tiles.add(tile);
        }
        clock.stage("bake");

        List<List<BakedMap>> maps = new ArrayList<>();
        tiles.forEach(tile -> maps.add(new ArrayList<>()));
        for (int m = 0; m < jobMaps.size(); m++) {
            SurfaceMap map = jobMaps.get(m);
            MapFormat format = map.format();
            // Ranges come from what was baked, of all tiles, not from what is continued beyond it.
            MapRanges range = new MapRanges(job, m, format, tiles);
            Encoding encoding = new Encoding(format.kind(), range.of(shaded));
            range.addFindings(noticed.ofMap(map.name()));
            for (int i = 0; i < tiles.size(); i++) {
                TileBake tile = tiles.get(i);
                FloatImage image = tile.images.get(m).values().withEncoding(encoding);
                if (format.padded() && job.padding() != 0 && tile.hit.count() > 0) {
                    Padding.pad(image, tile.hit, tile.full, job.padding(), task);
                }
                for (Finding finding : tile.openness.findings(m)) {
                    noticed.ofMap(map.name()).add(of(tile.tile, job, finding));
                }
                maps.get(i).add(new BakedMap(job.maps().get(m).name(), image, format.bits(), format.tangentSpace(), map.details()));
            }
        }
        clock.stage("pad");

        if (job.uvs().copies()) {
            layout.addCopyFindings(tiles.get(0).covered, findings);
        }
        addMisses(job, tiles, patch == null, findings);
        if (patch != null) {
            findings.add(patch.finding());
        }
        List<BakedTile> baked = new ArrayList<>();
        for (int i = 0; i < tiles.size(); i++) {
            TileBake tile = tiles.get(i);
            baked.add(new BakedTile(tile.tile, maps.get(i), tile.covered, tile.hit, tile.full, tile.misses.causes()));
        }
        return new BakeResult(job, worn, cage, baked, BakeResult.Counts.of(tiles), clock.stages, noticed);
    }

    /** Returns the samples of each image, by rising number, and adds what there is to say about UVs. */
    private SortedMap<UvTile, UvRaster> rasters(BakeJob job, Mesh low, TileLayout layout, Task task, List<Finding> findings) {
        SortedMap<UvTile, UvRaster> rasters = new TreeMap<>();
        if (!job.isUdim()) {
            UvRaster raster = raster(job, low, UvTile.UNIT, job.samplesPerSide());
            rasters.put(UvTile.UNIT, raster);
            findings.addAll(raster.findings(task, threads));
            return rasters;
        }
        layout.addTileFindings(low, findings);
        List<UvTile> touched = UvRaster.tilesOf(low);
        for (UvTile tile : touched.isEmpty() ? List.of(UvTile.UNIT) : touched) {
            UvRaster raster = raster(job, low, tile, job.samplesPerSide());
            rasters.put(tile, raster);
            for (Finding finding : raster.findings(task, threads)) {
                // Charts across borders were looked for already, once for all tiles.
                if (!finding.kind().equals("uvs-across-tiles")) {
                    findings.add(of(tile, job, finding));
                }
            }
        }
        return rasters;
    }

    private static UvRaster raster(BakeJob job, Mesh low, UvTile tile, int samplesPerSide) {
        return job.isUdim()
                ? UvRaster.ofTile(low, tile, job.width(), job.height(), samplesPerSide, job.uvs())
                : UvRaster.of(low, job.width(), job.height(), samplesPerSide, job.uvs());
    }

    /** Returns a finding that says of which tile it is, where there can be several. */
    private static Finding of(UvTile tile, BakeJob job, Finding finding) {
        return job.isUdim()
                ? new Finding(finding.kind(), finding.severity(), finding.count(), tile + ": " + finding.message(), finding.remedy(),
                        finding.places())
                : finding;
    }

    private static RayTracer held(RayTracer built, HeldMemory memory) {
        memory.add(built.bytes());
        return built;
    }

    private static Scene scene(BakeJob job, List<SurfaceMap> maps, LowPoly low, HighPoly high, @Nullable RayBlend blend,
            @Nullable RayTracer whole, Task task, HeldMemory memory) {
        Supplier<RayTracer> everything = once(() -> whole != null ? whole : held(Bvh.build(high.all, task), memory));
        if (!job.isPairedByName()) {
            return new Scene(job, maps, low, high, blend, whole, everything, new @Nullable RayTracer[] {whole}, new int[0]);
        }
        Labels labels = job.low().partLabels();
        @Nullable
        RayTracer[] tracers = new @Nullable RayTracer[Math.max(2, labels.names().size())];
        int[] ofTriangle = new int[job.low().triangleCount()];
        for (int t = 0; t < ofTriangle.length; t++) {
            int part = labels.of(t);
            ofTriangle[t] = part;
            if (part >= 0 && tracers[part] == null) {
                int[] seen = Pairing.trianglesFor(job, high, part);
                tracers[part] = whole != null && seen.length == high.all.triangleCount()
                        ? whole
                        : held(Bvh.build(high.all, seen, task), memory);
            }
        }
        return new Scene(job, maps, low, high, blend, whole, everything, tracers, ofTriangle);
    }

    /** Returns a supplier that asks another one once, when it is first asked, by whichever thread. */
    private static Supplier<RayTracer> once(Supplier<RayTracer> source) {
        return new Supplier<>() {
            private @Nullable RayTracer made;

            @Override
            public synchronized RayTracer get() {
                RayTracer there = made == null ? source.get() : made;
                made = there;
                return there;
            }
        };
    }

    private void bakeBlocks(Scene scene, TileBake tile, TexelRegion region, Task task) {
        int across = (region.width() + blockSide - 1) / blockSide;
        int down = (region.height() + blockSide - 1) / blockSide;
        Task.Stage stage = task.stage(scene.job.isUdim() ? "baking " + tile.tile : "baking", (long) across * down);
        AtomicInteger next = new AtomicInteger();
        AtomicReference<@Nullable Throwable> failure = new AtomicReference<>();
        List<BlockWorker> workers = new ArrayList<>();
        List<Runnable> shifts = new ArrayList<>();
        for (int i = 0; i < Math.min(threads, across * down); i++) {
            BlockWorker worker = new BlockWorker(scene, tile, task);
            workers.add(worker);
            shifts.add(() -> {
                BlockMarks marks = new BlockMarks();
                try {
                    for (int b = next.getAndIncrement(); b < across * down && failure.get() == null; b = next.getAndIncrement()) {
                        if (Thread.currentThread().isInterrupted()) {
                            task.cancellation().cancel(); // the caller's thread, or a pool that is being shut down
                        }
                        task.check();
                        int left = b % across * blockSide, top = b / across * blockSide;
                        int x = region.x() + left, y = region.y() + top;
                        int w = Math.min(blockSide, region.width() - left), h = Math.min(blockSide, region.height() - top);
                        worker.bake(x, y, w, h, marks);
                        marks.mergeInto(tile.covered, tile.hit, tile.full);
                        if (listener != null) {
                            listener.done(new BakedBlock(tile, scene.maps, x, y, w, h));
                        }
                        stage.advance(1);
                    }
                } catch (Throwable e) {
                    failure.compareAndSet(null, e);
                }
            });
        }
        Shifts.run(shifts, executor, task.cancellation());
        switch (failure.get()) {
            case null -> workers.forEach(tile::add);
            case RuntimeException e -> throw e;
            case Error e -> throw e;
            case Throwable e -> throw new IllegalStateException(e);
        }
    }

    private static void addMisses(BakeJob job, List<TileBake> tiles, boolean all, List<Finding> findings) {
        BakeResult.Counts counts = BakeResult.Counts.of(tiles);
        if (all && counts.samples() > 0 && counts.missedSamples() == counts.samples()) {
            TileBake first = tiles.stream().filter(tile -> tile.sampleCount > 0).findFirst().orElseThrow();
            findings.add(of(first.tile, job, Finding.error("nothing-hit", counts.samples(), "no ray met the high poly",
                    "check that both meshes lie in the same place, in the same unit, and that the cage encloses the high poly",
                    missedTexels(first).places())));
            tiles.forEach(tile -> addCauses(job, tile, true, findings));
            return;
        }
        String filled = switch (job.padding()) {
            case 0 -> "they show the maps' background";
            case Padding.EVERYWHERE -> "padding filled them";
            default -> "padding filled those within " + job.padding() + " texels of a hit";
        };
        for (TileBake tile : tiles) {
            Tally missed = missedTexels(tile);
            if (missed.count() > 0) {
                findings.add(of(tile.tile, job,
                        Finding.warning("missed-texels", missed.count(), missed.count() + " covered texels met nothing of the high poly",
                                "see to the causes that follow; " + filled, missed.places())));
            } else if (tile.missedSamples > 0) {
                findings.add(of(tile.tile, job,
                        Finding.note("missed-samples", tile.missedSamples,
                                tile.missedSamples + " single samples met nothing, their texels did",
                                "nothing, unless the borders of the high poly look frayed; the causes follow", List.of())));
            }
            addCauses(job, tile, missed.count() > 0, findings);
        }
    }

    private static void addCauses(BakeJob job, TileBake tile, boolean texelsMissed, List<Finding> findings) {
        for (Finding cause : tile.misses.findings(texelsMissed)) {
            findings.add(of(tile.tile, job, cause));
        }
    }

    private static Tally missedTexels(TileBake tile) {
        Tally missed = new Tally();
        for (int y = 0; y < tile.covered.height(); y++) {
            for (int x = 0; x < tile.covered.width(); x++) {
                if (tile.covered.get(x, y) && !tile.hit.get(x, y)) {
                    missed.add(new Place.Texel(x, y));
                }
            }
        }
        return missed;
    }

    /** Takes the time of stages; it never reaches a result's values. */
    private static final class Clock {
        final List<BakeResult.Stage> stages = new ArrayList<>();
        private long last = System.nanoTime();

        void stage(String name) {
            long now = System.nanoTime();
            stages.add(new BakeResult.Stage(name, Duration.ofNanos(now - last)));
            last = now;
        }
    }

    /** Returns with what it works, in one line. */
    @Override
    public String toString() {
        return "baker: " + threads + (threads == 1 ? " thread" : " threads") + ", blocks of " + blockSide + " × " + blockSide + " texels"
                + (tracer == null ? "" : ", a tracer of " + tracer.triangleCount() + " triangles")
                + (executor == null ? "" : ", on " + executor);
    }
}
