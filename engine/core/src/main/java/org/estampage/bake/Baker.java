package org.estampage.bake;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.SortedMap;
import java.util.TreeMap;
import java.util.concurrent.CancellationException;
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
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Labels;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.mesh.Tangents;
import org.estampage.raster.UvRaster;
import org.estampage.raster.UvTile;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Carries out bake jobs. The settings here change how fast a bake runs and how often it can be cancelled, never a value of a map.
 *
 * @threads immutable, safe for concurrent calls; each bake starts its own worker threads and ends them; fitting a cage and padding run in the
 *          caller's fork-join pool, else in the common one
 */
public final class Baker {
    private final int threads;
    private final int blockSide;
    private final @Nullable Mesh tracedMesh;
    private final @Nullable RayTracer tracer;

    private Baker(int threads, int blockSide, @Nullable Mesh tracedMesh, @Nullable RayTracer tracer) {
        this.threads = threads;
        this.blockSide = blockSide;
        this.tracedMesh = tracedMesh;
        this.tracer = tracer;
    }

    /** Returns a baker that uses all processors. */
    public static Baker create() {
        return new Baker(Runtime.getRuntime().availableProcessors(), 32, null, null);
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
        return new Baker(count, blockSide, tracedMesh, tracer);
    }

    /**
     * Returns a baker that works in blocks of so many texels a side. Between blocks it looks whether it was cancelled.
     *
     * @throws IllegalArgumentException if {@code texels} is not 1 … 1024
     */
    public Baker blockSide(int texels) {
        if (texels < 1 || texels > 1024) {
            throw new IllegalArgumentException("blockSide = " + texels + " must be 1 … 1024");
        }
        return new Baker(threads, texels, tracedMesh, tracer);
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
        return new Baker(threads, blockSide, Objects.requireNonNull(high, "high"), of);
    }

    /**
     * Bakes. An interrupt of the calling thread cancels the task.
     *
     * @throws CancellationException         if the task was cancelled; nothing is left behind
     * @throws java.io.UncheckedIOException if an image has room neither in the task's memory budget nor in a temporary file
     */
    public BakeResult bake(BakeJob job, Task task) {
        try (HeldMemory memory = new HeldMemory(task.memory())) {
            return bake(job, task, memory);
        }
    }

    private BakeResult bake(BakeJob job, Task task, HeldMemory memory) {
        Clock clock = new Clock();
        List<Finding> findings = new ArrayList<>();

        // The low poly with what a shader gets, the high polys with what maps see.
        Mesh low = Normals.shading(job.low());
        findings.addAll(low.findings().subList(job.low().findings().size(), low.findings().size()));
        Attribute normals = low.normals().orElseThrow();
        Attribute tangents = low.tangents().orElseGet(() -> Tangents.mikkTSpace(low));
        Mesh lowOut = low.toBuilder().tangents(tangents).build();
        TileLayout layout = new TileLayout(low);
        Map<UvTile, UvRaster> rasters = rasters(job, low, layout, task, findings);
        List<Mesh> shaded = new ArrayList<>();
        for (Mesh high : job.highs()) {
            task.check();
            Mesh withNormals = Normals.shading(high);
            findings.addAll(withNormals.findings());
            shaded.add(withNormals);
        }
        List<SurfaceMap> jobMaps = new ArrayList<>();
        Preparation preparation = new Preparation(job, shaded, task);
        for (SurfaceMap map : job.maps()) {
            SurfaceMap ready = map.prepared(preparation);
            findings.addAll(ready.findings());
            jobMaps.add(ready);
        }
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
        int side = blockSide + 2 * scene.apron();
        int samplesPerTexel = job.samplesPerSide() * job.samplesPerSide()
                + (moreAtEdges ? job.edgeSamplesPerSide() * job.edgeSamplesPerSide() : 0);
        memory.add(threads * BlockWorker.bytes(Math.min(side, job.width()) * Math.min(side, job.height()),
                samplesPerTexel, queries.size()));
        clock.stage("cage");

        // The images, tile by tile, block by block.
        List<TileBake> tiles = new ArrayList<>();
        for (Map.Entry<UvTile, UvRaster> each : rasters.entrySet()) {
            Guides guides = sharing ? new Guides(scene.charts, lowPoly.texelWidths, job.width(), job.height(), task.memory()) : null;
            TileBake.EdgeSamples edges = moreAtEdges
                    ? new TileBake.EdgeSamples(new EdgeSearch(lowPoly.texelWidths, job.samplesPerSide()),
                            raster(job, low, each.getKey(), job.edgeSamplesPerSide()))
                    : null;
            TileBake tile = new TileBake(each.getKey(), each.getValue(), edges, guides, jobMaps, task.memory());
            bakeBlocks(scene, tile, task);
            tile.share(task);
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
            range.addFindings(findings);
            for (int i = 0; i < tiles.size(); i++) {
                TileBake tile = tiles.get(i);
                FloatImage image = tile.images.get(m).values().withEncoding(encoding);
                if (format.padded() && job.padding() != 0 && tile.hit.count() > 0) {
                    Padding.pad(image, tile.hit, tile.full, job.padding(), task);
                }
                maps.get(i).add(new BakedMap(job.maps().get(m).name(), image, format.bits(), format.tangentSpace(), map.details()));
            }
        }
        clock.stage("pad");

        if (job.uvs().copies()) {
            layout.addCopyFindings(tiles.get(0).covered, findings);
        }
        addMisses(job, tiles, findings);
        tiles.forEach(tile -> tile.openness.findings().forEach(finding -> findings.add(of(tile.tile, job, finding))));
        List<BakedTile> baked = new ArrayList<>();
        for (int i = 0; i < tiles.size(); i++) {
            TileBake tile = tiles.get(i);
            baked.add(new BakedTile(tile.tile, maps.get(i), tile.covered, tile.hit, tile.misses.causes()));
        }
        return new BakeResult(job, lowOut, cage, baked, BakeResult.Counts.of(tiles), clock.stages,
                org.estampage.finding.Findings.of(findings));
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

    private void bakeBlocks(Scene scene, TileBake tile, Task task) {
        int width = scene.job.width(), height = scene.job.height();
        int across = (width + blockSide - 1) / blockSide;
        int down = (height + blockSide - 1) / blockSide;
        Task.Stage stage = task.stage(scene.job.isUdim() ? "baking " + tile.tile : "baking", (long) across * down);
        AtomicInteger next = new AtomicInteger();
        AtomicReference<@Nullable Throwable> failure = new AtomicReference<>();
        List<BlockWorker> workers = new ArrayList<>();
        List<Thread> running = new ArrayList<>();
        for (int w = 0; w < Math.min(threads, across * down); w++) {
            BlockWorker worker = new BlockWorker(scene, tile);
            workers.add(worker);
            running.add(Thread.ofPlatform().daemon().name("estampage-bake-" + w).start(() -> {
                BlockMarks marks = new BlockMarks();
                try {
                    for (int b = next.getAndIncrement(); b < across * down && failure.get() == null; b = next.getAndIncrement()) {
                        int x = b % across * blockSide, y = b / across * blockSide;
                        worker.bake(x, y, Math.min(blockSide, width - x), Math.min(blockSide, height - y), marks);
                        marks.mergeInto(tile.covered, tile.hit, tile.full);
                        stage.advance(1);
                    }
                } catch (Throwable e) {
                    failure.compareAndSet(null, e);
                }
            }));
        }
        boolean interrupted = false;
        for (Thread thread : running) {
            while (true) {
                try {
                    thread.join();
                    break;
                } catch (InterruptedException e) {
                    // An interrupt is a wish to stop: the workers see the cancellation at their next block.
                    task.cancellation().cancel();
                    interrupted = true;
                }
            }
        }
        if (interrupted) {
            Thread.currentThread().interrupt();
        }
        switch (failure.get()) {
            case null -> workers.forEach(tile::add);
            case RuntimeException e -> throw e;
            case Error e -> throw e;
            case Throwable e -> throw new IllegalStateException(e);
        }
    }

    private static void addMisses(BakeJob job, List<TileBake> tiles, List<Finding> findings) {
        BakeResult.Counts counts = BakeResult.Counts.of(tiles);
        if (counts.samples() > 0 && counts.missedSamples() == counts.samples()) {
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
}
