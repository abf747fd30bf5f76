package org.estampage.cookbook;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.awt.image.BufferedImage;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CancellationException;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionException;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.stream.Collectors;
import org.estampage.bake.BakeEstimate;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.BakedTile;
import org.estampage.bake.Baker;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.bake.SurfaceHits;
import org.estampage.bake.SurfaceMap;
import org.estampage.bake.TexelRegion;
import org.estampage.bvh.BinaryLayout;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.MortonBuilder;
import org.estampage.bvh.Strategy;
import org.estampage.cage.Cage;
import org.estampage.cage.CageCheck;
import org.estampage.cage.CageFit;
import org.estampage.cage.CageReport;
import org.estampage.finding.Finding;
import org.estampage.finding.Severity;
import org.estampage.handover.Delivery;
import org.estampage.handover.Manifest;
import org.estampage.handover.MapFileOptions;
import org.estampage.handover.ModelFiles;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Pixels;
import org.estampage.image.Range;
import org.estampage.io.MeshFiles;
import org.estampage.lowpoly.Lathe;
import org.estampage.lowpoly.Lod;
import org.estampage.lowpoly.Lods;
import org.estampage.maps.ColourMap;
import org.estampage.maps.CustomMap;
import org.estampage.maps.HeightMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.material.ChannelPack;
import org.estampage.material.LayNormals;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Axis;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.preview.Compare;
import org.estampage.preview.Comparison;
import org.estampage.task.Task;
import org.estampage.testresources.Bollard;
import org.estampage.testresources.Shape;
import org.estampage.uv.Repack;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestInstance;
import org.junit.jupiter.api.io.TempDir;

/**
 * The recipes of {@code engine/docs/COOKBOOK.md}, each run: the page is made of these methods' comments and of what stands between their
 * {@code @start} and {@code @end}. The regions named like the method, or with more behind that name, belong to it.
 */
@TestInstance(TestInstance.Lifecycle.PER_CLASS)
class CookbookTest {
    private static final int SIZE = 48;

    /** The bollard, small, and a low poly turned around it; as meshes, as files, and baked. */
    private final Mesh high;
    private final Mesh low;
    private final Path folder;
    private final Path sculptFile;
    private final Path gameFile;
    private final BakeResult result;

    CookbookTest(@TempDir Path temporary) throws IOException {
        folder = temporary;
        Shape shape = Bollard.generate(4_000);
        high = Mesh.builder(shape.positions(), shape.triangles()).name("bollard").build();
        low = Lathe.around(high).sides(12).rings(6).capped().size(SIZE).build();
        sculptFile = folder.resolve("sculpt.ply");
        gameFile = folder.resolve("game.obj");
        MeshFiles.write(high, sculptFile, Task.silent());
        MeshFiles.write(low, gameFile, Task.silent());
        result = bake(BakeJob.of(low, high).size(SIZE).maps(NormalMap.create(), HeightMap.create(), OcclusionMap.create(4)).build());
    }

    private static BakeResult bake(BakeJob job) {
        return Baker.create().bake(job, Task.silent());
    }

    private static float largest(FloatImage image) {
        float most = 0;
        for (float value : Pixels.toFloats(image)) {
            most = Math.max(most, value);
        }
        return most;
    }

    /**
     * From two files to maps. Everything is in these lines: read, say what is wanted, bake, write. Maps are called {@code thing-normal.png} and so on;
     * a manifest beside them says what was baked from what.
     */
    @Test
    void firstBake() throws IOException {
        // @start region="firstBake"
        Task task = Task.silent();
        Mesh sculpt = MeshFiles.read(sculptFile, task);
        Mesh game = MeshFiles.read(gameFile, task);
        BakeJob job = BakeJob.of(game, sculpt).size(48).maps(NormalMap.create(), OcclusionMap.create(16)).build();
        BakeResult baked = Baker.create().bake(job, task);
        Delivery.write(baked, folder.resolve("thing"), MapFileOptions.USUAL, Map.of("high", sculptFile, "low", gameFile), task);
        // @end
        assertThat(folder.resolve("thing-normal.png")).exists();
        assertThat(folder.resolve("thing-occlusion.png")).exists();
    }

    /**
     * Read and bake with progress. A task tells its listener the stage, how much is done and how much there is, −1 where nobody knows yet. The listener
     * is called from the threads that work: hand over, don't draw.
     */
    @Test
    void progress() throws IOException {
        List<String> seen = Collections.synchronizedList(new ArrayList<>());
        // @start region="progress"
        Task task = Task.reporting((stage, done, total) -> seen.add(stage + (total > 0 ? " " + 100 * done / total + " %" : "")));
        Mesh sculpt = MeshFiles.read(sculptFile, task);
        BakeJob job = BakeJob.of(MeshFiles.read(gameFile, task), sculpt).size(48).maps(NormalMap.create()).build();
        Baker.create().bake(job, task);
        // @end
        assertThat(seen).anyMatch(line -> line.endsWith(" 100 %"));
    }

    /** Cancel from another thread. The bake stops within blocks and throws; nothing half-made is left behind, and the flag can't be taken back. */
    @Test
    void cancel() {
        BakeJob job = BakeJob.of(low, high).size(1024).maps(OcclusionMap.create(256)).build();
        // @start region="cancel"
        Task task = Task.silent();
        CompletableFuture<BakeResult> running = CompletableFuture.supplyAsync(() -> Baker.create().bake(job, task));
        task.cancellation().cancel(); // from a button, say
        boolean stopped = false;
        try {
            running.join();
        } catch (CompletionException e) { // a bake called directly throws the cause
            stopped = e.getCause() instanceof CancellationException;
        }
        // @end
        assertThat(stopped).isTrue();
    }

    /**
     * Bake on an executor of one's own. Its tasks help the calling thread, which does alone what the executor has no room for, so nothing can wait for
     * ever; for a service this bounds the processors that all bakes take together.
     */
    @Test
    void ownExecutor() {
        try (ExecutorService pool = Executors.newFixedThreadPool(2)) {
            // @start region="ownExecutor"
            Baker baker = Baker.create().executor(pool);
            BakeResult baked = baker.bake(BakeJob.of(low, high).size(48).maps(NormalMap.create()).build(), Task.silent());
            // @end
            assertThat(Pixels.toFloats(baked.map("normal"))).containsExactly(Pixels.toFloats(result.map("normal")));
        }
    }

    /** Show blocks as they are baked. The listener is called by the workers, several at once, and copies what it wants to keep. */
    @Test
    void blocks() {
        AtomicInteger texels = new AtomicInteger();
        // @start region="blocks"
        Baker baker = Baker.create().blocks(block -> {
            float[] normals = block.values("normal", new float[3 * block.width() * block.height()]);
            texels.addAndGet(normals.length / 3); // in place of drawing them at block.x(), block.y()
        });
        baker.bake(BakeJob.of(low, high).size(48).maps(NormalMap.create()).build(), Task.silent());
        // @end
        assertThat(texels.get()).isEqualTo(48 * 48);
    }

    /** Know what a bake will take before it starts. Rays, memory at the peak and the size of files are told from the job alone, in a moment. */
    @Test
    void estimate() {
        BakeJob job = result.job();
        // @start region="estimate"
        BakeEstimate estimate = Baker.create().estimate(job);
        if (estimate.peakBytes() > Runtime.getRuntime().maxMemory() / 2) {
            throw new IllegalStateException("too large for this machine: " + estimate);
        }
        // @end
        assertThat(estimate.rays()).isPositive();
        assertThat(estimate.fileBytes()).isEqualTo(48L * 48 * (3 * 2 + 2 + 1));
    }

    /** Take a map as a picture, codes or floats. Each value is copied once: a window gets its picture, a graphics library its buffer, one's own code an array. */
    @Test
    void pictureAndBuffer() {
        FloatImage map = result.map("normal");
        // @start region="pictureAndBuffer"
        BufferedImage picture = Pixels.toBufferedImage(map);
        ByteBuffer texture = Pixels.putCodes(map, 8, ByteBuffer.allocateDirect(48 * 48 * 3)).flip();
        float[] raw = Pixels.toFloats(map);
        // @end
        assertThat(picture.getRGB(20, 20) >> 16 & 255).isEqualTo(texture.get(3 * (20 * 48 + 20)) & 255);
        assertThat(raw).containsExactly(Pixels.toFloats(map));
    }

    /** Bake one map again. Maps that an earlier bake has with the same options are taken from it; the result is that of a whole bake. */
    @Test
    void oneMapAgain() {
        // @start region="oneMapAgain"
        BakeJob changed = result.job().toBuilder().map(OcclusionMap.create(8)).build();
        BakeResult baked = Baker.create().bake(changed, List.of(result), Task.silent());
        // @end
        assertThat(Pixels.toFloats(baked.map("occlusion"))).containsExactly(Pixels.toFloats(bake(changed).map("occlusion")));
        assertThat(baked.projectionRayCount()).isLessThanOrEqualTo(result.projectionRayCount());
        assertThat(Pixels.toFloats(baked.map("height"))).containsExactly(Pixels.toFloats(result.map("height")));
    }

    /** Bake a region again, after the sculpt was changed there. Texels outside of it stay, padding is done anew. */
    @Test
    void regionAgain() {
        Mesh changed = high.toBuilder().build();
        // @start region="regionAgain"
        BakeJob job = BakeJob.of(result.cage(), changed).size(48).maps(NormalMap.create(), HeightMap.create(), OcclusionMap.create(4))
                .build();
        BakeResult baked = Baker.create().bakeRegion(job, result, TexelRegion.of(8, 8, 16, 16), Task.silent());
        // @end
        assertThat(Pixels.toFloats(baked.map("height"))).containsExactly(Pixels.toFloats(result.map("height")));
    }

    /** Take a map as numbers. Rows from the top, channels side by side, raw values: millimetres stay millimetres, normals go from −1 to 1. */
    @Test
    void floats() {
        // @start region="floats"
        FloatImage heights = result.map("height");
        float[] values = heights.read(0, 0, heights.width(), heights.height(), new float[heights.width() * heights.height()]);
        float highest = 0;
        for (float value : values) {
            highest = Math.max(highest, value);
        }
        // @end
        assertThat(highest).isPositive().isLessThanOrEqualTo(result.range("height").atOne());
    }

    /** A map of one's own as a lambda. It is asked once a sample, from several threads; what it writes is averaged into texels. */
    @Test
    void lambdaMap() {
        // @start region="lambdaMap"
        CustomMap upward = CustomMap.of("upward", 1, (sample, dest) -> dest[0] = Math.max(0, sample.normal(1))).range(0, 1);
        BakeResult baked = Baker.create().bake(BakeJob.of(low, high).size(48).maps(upward).build(), Task.silent());
        // @end
        assertThat(largest(baked.map("upward"))).isGreaterThan(0.9f);
    }

    // @start region="classMap-1"
    /** How far rays went: the length from the low poly's point to the hit. It can't change, so many threads may use it. */
    static final class DistanceMap implements SurfaceMap {
        @Override
        public String name() {
            return "distance";
        }

        @Override
        public MapFormat format() {
            return new MapFormat(Encoding.Kind.DATA, new RangeRule.Fixed(List.of(Range.UNIT)), List.of(0f), 16, true);
        }

        @Override
        public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
            for (int s = 0; s < hits.size(); s++) {
                dest[s] = Math.abs(hits.heights[s]);
            }
        }
    }
    // @end

    /** A map of one's own as a class. It gets whole batches, can ask for rays into the surroundings, and can say how its samples become texels. */
    @Test
    void classMap() {
        // @start region="classMap-2"
        BakeResult baked = Baker.create().bake(BakeJob.of(low, high).size(48).maps(new DistanceMap()).build(), Task.silent());
        // @end
        assertThat(largest(baked.map("distance"))).isPositive();
    }

    /** Several high polys on one low poly. Rays take the nearest surface of all of them, and they shade each other. */
    @Test
    void severalHighs() throws IOException {
        Mesh rope = MeshFiles.read(sculptFile, Task.silent()).mirrored(Axis.X);
        // @start region="severalHighs"
        BakeJob job = BakeJob.of(low, high, rope).size(48).maps(NormalMap.create()).build();
        BakeResult baked = Baker.create().bake(job, Task.silent());
        // @end
        assertThat(baked.job().highs()).hasSize(2);
    }

    /** Pair parts by name. Rays of the low poly's part "bollard_game" see the high poly's part "bollard_sculpt" and no other. */
    @Test
    void pairByName() {
        Mesh game = low.toBuilder().parts(List.of(new Part("bollard_game")), new int[low.triangleCount()]).build();
        Mesh sculpt = high.toBuilder().parts(List.of(new Part("bollard_sculpt")), new int[high.triangleCount()]).build();
        // @start region="pairByName"
        BakeJob job = BakeJob.of(game, sculpt).size(48).pairByName("_game", "_sculpt").maps(NormalMap.create()).build();
        BakeResult baked = Baker.create().bake(job, Task.silent());
        // @end
        assertThat(Pixels.toFloats(baked.map("normal"))).containsExactly(Pixels.toFloats(result.map("normal")));
    }

    /** Bake onto UDIM tiles. Each tile that charts touch has images of its own, with ranges in common. */
    @Test
    void udim() {
        // @start region="udim"
        Mesh tiled = Repack.of(low).size(48).tiles(2).build();
        BakeResult baked = Baker.create().bake(BakeJob.of(tiled, high).size(48).udim().maps(HeightMap.create()).build(), Task.silent());
        Map<Integer, FloatImage> heights = baked.tiles().stream().collect(Collectors.toMap(BakedTile::number, tile -> tile.map("height")));
        // @end
        assertThat(heights).containsOnlyKeys(1001, 1002);
        assertThat(heights.values()).extracting(FloatImage::encoding).containsOnly(baked.tile(1001).map("height").encoding());
        assertThat(baked.tiles()).extracting(BakedTile::number).containsExactly(1001, 1002);
    }

    /** Charts that share texels on purpose. Declared, they are a note in place of a warning, and the part named is the one that is baked. */
    @Test
    void stacked() {
        Mesh pair = twoPlates();
        // @start region="stacked"
        BakeJob job = BakeJob.of(pair, pair).size(16).stackedFrom("left").maps(HeightMap.create()).build();
        BakeResult baked = Baker.create().bake(job, Task.silent());
        // @end
        assertThat(baked.findings().ofKind("stacked-uvs")).hasSize(1);
        assertThat(baked.findings().ofKind("overlapping-uvs")).isEmpty();
    }

    /** Two squares side by side, each a part, with the same UVs. */
    private static Mesh twoPlates() {
        float[] positions = {0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0, 2, 0, 0, 3, 0, 0, 3, 1, 0, 2, 1, 0};
        int[] corners = {0, 1, 2, 0, 2, 3, 4, 5, 6, 4, 6, 7};
        return Mesh.builder(positions, corners)
                .uvSet(new Attribute("uv", 2, new float[] {0, 0, 1, 0, 1, 1, 0, 1}, new int[] {0, 1, 2, 0, 2, 3, 0, 1, 2, 0, 2, 3}))
                .parts(List.of(new Part("left"), new Part("right")), new int[] {0, 0, 1, 1}).build();
    }

    /** Import a cage and certify it. What stands out of it, crosses it or leans too far is listed with places, and no bake is needed to know. */
    @Test
    void importedCage() throws IOException {
        Path cageFile = folder.resolve("cage.obj");
        MeshFiles.write(CageFit.around(low, high).build().mesh(), cageFile, Task.silent());
        // @start region="importedCage"
        Cage cage = Cage.imported(low, MeshFiles.read(cageFile, Task.silent()));
        CageReport report = CageCheck.report(low, high, cage, 0, Task.silent());
        BakeJob job = BakeJob.of(cage, high).size(48).maps(NormalMap.create()).build();
        // @end
        assertThat(report.conflicts()).isEmpty();
        assertThat(job.cage()).contains(cage);
    }

    /** Levels of detail that share maps. Each keeps the UVs, says how far it lies from the first, and how far texels move on it. */
    @Test
    void levelsOfDetail() throws IOException {
        List<String> told = new ArrayList<>();
        // @start region="levelsOfDetail"
        List<Lod> levels = Lods.of(low).triangles(120, 60).build();
        for (Lod level : levels) {
            MeshFiles.write(level.mesh(), folder.resolve("game-" + level.mesh().triangleCount() + ".obj"), Task.silent());
            told.add(level.toString());
        }
        // @end
        assertThat(told).hasSize(2).allMatch(line -> line.contains("triangles"));
    }

    /** Lay a detail's normals over baked ones. Both are normal maps of any size; the detail's is tiled or cut by the caller. */
    @Test
    void layNormals() {
        FloatImage grain = FloatImage.create(SIZE, SIZE, Encoding.normal());
        grain.fill(0, 0, 1);
        // @start region="layNormals"
        FloatImage both = LayNormals.of(result.map("normal"), grain).detailStrength(0.5).build();
        // @end
        // A flat detail changes nothing but rounding: unit length comes out of a division.
        assertThat(Pixels.toFloats(both)).usingComparatorWithPrecision(1e-6f).containsExactly(Pixels.toFloats(result.map("normal")));
    }

    /** Pack channels into one image. Each is one channel of an image, or a number. */
    @Test
    void packedChannels() {
        // @start region="packedChannels"
        FloatImage packed = ChannelPack.create().add("occlusion", result.map("occlusion")).add("roughness", 0.7).add("metal", 1).build();
        // @end
        assertThat(packed.channels()).isEqualTo(3);
        assertThat(packed.get(0, 0, 1)).isCloseTo(0.7f, within(1e-6f));
    }

    /** Deliver with a manifest. Maps and manifest appear together or not at all; the manifest can be asked whether a job would give the same. */
    @Test
    void manifest() throws IOException {
        // @start region="manifest"
        MapFileOptions options = MapFileOptions.USUAL.withFormat("tiff").withGreenDown();
        Delivery delivery = Delivery.write(result, folder.resolve("maps/thing"), options, Map.of("high", sculptFile, "low", gameFile),
                Task.silent());
        Manifest manifest = Manifest.read(delivery.manifestFile());
        List<String> differences = manifest.differences(result.job());
        // @end
        assertThat(differences).isEmpty();
        assertThat(delivery.files()).allMatch(Files::exists).hasSize(4);
    }

    /** Keep ranges from bake to bake. Without it a height map's range follows its largest value; what a locked one cuts off is a finding. */
    @Test
    void lockedRanges() {
        // @start region="lockedRanges"
        Manifest before = Manifest.of(result, List.of()); // or Manifest.read(file)
        BakeJob.Builder again = BakeJob.of(low, high).size(32).maps(HeightMap.create());
        before.lockRanges(again);
        BakeResult baked = Baker.create().bake(again.build(), Task.silent());
        // @end
        assertThat(baked.range("height")).isEqualTo(result.range("height"));
    }

    /** Compare and gate. One number says how differently the low poly in its maps shades; a build may fail on it. */
    @Test
    void gate() {
        // @start region="gate"
        Comparison comparison = Compare.of(low, result, high).views(4).size(64).run();
        boolean fit = comparison.error() < 20 && comparison.missed() < 0.05;
        // @end
        assertThat(fit).as(comparison.summary()).isTrue();
    }

    /** One GLB file of the low poly with its textures. Metal, roughness and colours are images or left out; coarser levels can go with it. */
    @Test
    void glb() throws IOException {
        // @start region="glb"
        ModelFiles.of(result, low).named("bollard").write(folder.resolve("bollard.glb"), Task.silent());
        // @end
        assertThat(MeshFiles.read(folder.resolve("bollard.glb"), Task.silent()).triangleCount()).isEqualTo(low.triangleCount());
    }

    /** Read findings. A bake that can be lived with says what it noticed: which kind, how grave, how often, where, and what to do. */
    @Test
    void findings() {
        BakeResult baked = bake(BakeJob.of(Cage.offset(low, 1e-3), high).size(SIZE).maps(NormalMap.create()).build());
        List<String> lines = new ArrayList<>();
        // @start region="findings"
        for (Finding finding : baked.findings()) {
            lines.add(finding.severity() + " " + finding.kind() + " × " + finding.count() + ": " + finding.message() + " → "
                    + finding.remedy());
        }
        boolean deliver = !baked.findings().has(Severity.ERROR);
        // @end
        assertThat(lines).isNotEmpty();
        assertThat(deliver).isTrue();
    }

    /** Choose how rays are traced, or share a tree between bakes. Every strategy gives the same bits; they differ in speed and memory. */
    @Test
    void rayStrategy() {
        // @start region="rayStrategy"
        Bvh tree = Bvh.build(high, new Strategy(new MortonBuilder(), new BinaryLayout()), Task.silent());
        BakeResult baked = Baker.create().tracer(high, tree).bake(BakeJob.of(low, high).size(48).maps(NormalMap.create()).build(),
                Task.silent());
        // @end
        assertThat(Pixels.toFloats(baked.map("normal"))).containsExactly(Pixels.toFloats(result.map("normal")));
        assertThat(tree).asString().contains(high.triangleCount() + " triangles").contains(tree.choice().toString());
    }

    /** Two bakes at once. Jobs, bakers and meshes may be shared by threads; nothing static is between them. */
    @Test
    void twoAtOnce() {
        BakeJob one = BakeJob.of(low, high).size(48).maps(NormalMap.create()).build();
        BakeJob other = BakeJob.of(low, high).size(32).maps(ColourMap.create()).build();
        // @start region="twoAtOnce"
        CompletableFuture<BakeResult> first = CompletableFuture.supplyAsync(() -> Baker.create().threads(1).bake(one, Task.silent()));
        CompletableFuture<BakeResult> second = CompletableFuture.supplyAsync(() -> Baker.create().threads(1).bake(other, Task.silent()));
        List<BakeResult> both = List.of(first.join(), second.join());
        // @end
        assertThat(Pixels.toFloats(both.getFirst().map("normal"))).containsExactly(Pixels.toFloats(result.map("normal")));
    }
}
