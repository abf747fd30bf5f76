package org.estampage.session;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.function.UnaryOperator;
import java.util.stream.Stream;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.cage.Cage;
import org.estampage.cage.CageFit;
import org.estampage.handover.Delivery;
import org.estampage.handover.MapFileOptions;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.preview.Preview;
import org.estampage.preview.Dressing;
import org.estampage.preview.Comparison;
import org.estampage.preview.Compare;
import org.estampage.material.Layers;
import org.estampage.material.LayerMaterial;
import org.estampage.material.Finish;
import org.estampage.image.ImageSource;
import org.estampage.maps.ColourMap;
import org.estampage.maps.CustomMap;
import org.estampage.maps.HeightMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.mesh.Mesh;
import org.estampage.report.Report;
import org.estampage.report.ReportOptions;
import org.estampage.task.Task;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** From a bake on: cages, maps, files. */
class RecallTest {
    @TempDir
    Path folder;
    private Cache cache;
    private final Mesh low = Meshes.waves(2);
    private final Mesh high = Meshes.waves(10);

    @BeforeEach
    void begin() {
        cache = Cache.in(folder.resolve("cache"));
    }

    private Task task() {
        return Task.silent().recalling(Keeper.of(cache, "one", 0));
    }

    @Test
    void fittedCage_comesFromBefore_onTheLowPolyThatIsThere() {
        Cage first = CageFit.around(low, high).task(task()).build();
        Cage second = CageFit.around(low, high).task(task()).build();
        assertThat(cache.hits()).isEqualTo(1);
        assertThat(second.low()).isSameAs(low);
        assertThat(second.positions()).isEqualTo(first.positions());
        assertThat(second.reaches()).isEqualTo(first.reaches());
        assertThat(second.directions()).isEqualTo(first.directions());
        assertThat(second.findings()).isEqualTo(first.findings());
        assertThat(second.conflicts()).isEqualTo(first.conflicts());
    }

    private BakeResult bake() {
        return Baker.create().threads(1).bake(BakeJob.of(low, high).size(32).maps(NormalMap.create(), HeightMap.create()).build(),
                Task.silent());
    }

    private BakeResult kept(BakeJob.Builder job) {
        return Keeper.of(cache, "one", 0).bake(Baker.create().threads(1), job.build(), Task.silent());
    }

    private static void assertSameMaps(BakeResult a, BakeResult b) {
        assertThat(a.maps()).hasSameSizeAs(b.maps());
        for (int i = 0; i < a.maps().size(); i++) {
            FloatImage one = a.maps().get(i).image(), two = b.maps().get(i).image();
            int count = one.width() * one.height() * one.channels();
            assertThat(one.read(0, 0, one.width(), one.height(), new float[count]))
                    .isEqualTo(two.read(0, 0, two.width(), two.height(), new float[count]));
            assertThat(one.encoding()).isEqualTo(two.encoding());
        }
        assertThat(a.findings()).isEqualTo(b.findings());
        assertThat(a.coveredCount()).isEqualTo(b.coveredCount());
        assertThat(a.missedCount()).isEqualTo(b.missedCount());
    }

    @Test
    void bake_comesFromBefore_mapByMap() {
        Cage cage = Cage.offset(low, 0.1);
        BakeResult first = kept(BakeJob.of(cage, high).size(32).maps(NormalMap.create(), OcclusionMap.create(4)));
        assertThat(cache.hits()).isZero();
        BakeResult same = kept(BakeJob.of(cage, high).size(32).maps(NormalMap.create(), OcclusionMap.create(4)));
        assertThat(cache.hits()).isEqualTo(2);
        assertSameMaps(same, first);
        // One map changed, one added: only these are baked.
        BakeJob.Builder next = BakeJob.of(cage, high).size(32).maps(NormalMap.create(), OcclusionMap.create(8), HeightMap.create());
        BakeResult mixed = kept(next);
        assertThat(cache.hits()).isEqualTo(3);
        assertSameMaps(mixed, Baker.create().threads(1).bake(next.build(), Task.silent()));
        // Any other job knows nothing of them.
        long hits = cache.hits();
        kept(BakeJob.of(cage, high).size(32).samples(1).maps(NormalMap.create()));
        kept(BakeJob.of(Cage.offset(low, 0.11), high).size(32).maps(NormalMap.create()));
        kept(BakeJob.of(cage, Meshes.waves(9)).size(32).maps(NormalMap.create()));
        kept(BakeJob.of(cage, high).size(32).maps(HeightMap.create()).range("height", new Range(-1, 1)));
        assertThat(cache.hits()).isEqualTo(hits);
    }

    @Test
    void textures_count_byTheirTexels() {
        Cage cage = Cage.offset(low, 0.1);
        FloatImage red = FloatImage.create(2, 2, Encoding.colour(3)), grey = FloatImage.create(2, 2, Encoding.colour(3));
        red.fill(1, 0, 0);
        grey.fill(0.5f, 0.5f, 0.5f);
        kept(BakeJob.of(cage, high).size(16).maps(ColourMap.create().texture(red)));
        BakeResult other = kept(BakeJob.of(cage, high).size(16).maps(ColourMap.create().texture(grey)));
        assertThat(cache.hits()).isZero();
        assertThat(other.map("colour").get(8, 8, 1)).isEqualTo(0.5f);
    }

    @Test
    void somebodysFunction_isBakedAlways_withAVersionOnce() {
        Cage cage = Cage.offset(low, 0.1);
        int[] calls = new int[1];
        CustomMap map = CustomMap.of("own", 1, (in, out) -> {
            calls[0]++;
            out[0] = 1;
        }).range(0, 1);
        for (int i = 0; i < 2; i++) {
            kept(BakeJob.of(cage, high).size(16).maps(map));
        }
        assertThat(cache.hits()).isZero();
        int before = calls[0];
        for (int i = 0; i < 2; i++) {
            kept(BakeJob.of(cage, high).size(16).maps(map.version("white")));
        }
        assertThat(cache.hits()).isEqualTo(1);
        assertThat(calls[0] - before).isEqualTo(before / 2);
        kept(BakeJob.of(cage, high).size(16).maps(map.version("other")));
        assertThat(cache.hits()).isEqualTo(1);
    }

    @Test
    void brokenMap_isBakedAnew() throws IOException {
        Cage cage = Cage.offset(low, 0.1);
        BakeResult first = kept(BakeJob.of(cage, high).size(32).maps(NormalMap.create()));
        breakEntries();
        assertSameMaps(kept(BakeJob.of(cage, high).size(32).maps(NormalMap.create())), first);
        assertThat(cache.hits()).isZero();
        assertThat(cache.trouble()).isPresent();
    }

    @Test
    void writtenMaps_areTheSameBytes_andComeFromBefore() throws IOException {
        BakeResult result = bake();
        Delivery first = Delivery.write(result, folder.resolve("first/waves"), MapFileOptions.USUAL, java.util.Map.of(), task());
        assertThat(cache.hits()).isZero();
        Delivery second = Delivery.write(result, folder.resolve("second/waves"), MapFileOptions.USUAL, java.util.Map.of(), task());
        assertThat(cache.hits()).isEqualTo(2);
        for (int i = 0; i < first.files().size(); i++) {
            assertThat(second.files().get(i)).hasSameBinaryContentAs(first.files().get(i));
        }
        Delivery.write(result, folder.resolve("third/waves"), MapFileOptions.USUAL.withGreenDown(), java.util.Map.of(), task());
        assertThat(cache.hits()).as("only the heights are the same").isEqualTo(3);
    }

    @Test
    void report_comesFromBefore_byWhatTheBakeIs() throws IOException {
        Report.write(bake(), folder.resolve("a.html"), ReportOptions.USUAL, task());
        long hits = cache.hits();
        Report.write(bake(), folder.resolve("b.html"), ReportOptions.USUAL, task()); // another bake of the same job
        assertThat(cache.hits()).isGreaterThan(hits);
        assertThat(folder.resolve("b.html")).hasSameBinaryContentAs(folder.resolve("a.html"));
        Report.write(bake(), folder.resolve("c.html"), ReportOptions.USUAL.withTexels(16), task());
        assertThat(Files.readAllBytes(folder.resolve("c.html"))).isNotEqualTo(Files.readAllBytes(folder.resolve("a.html")));
    }

    private static float[] texels(FloatImage image) {
        return image.read(0, 0, image.width(), image.height(), new float[image.width() * image.height() * image.channels()]);
    }

    @Test
    void picture_comesFromBefore_whoeverLentTheTracers_andAnotherSideOrTexelDoesNot() {
        BakeResult result = bake();
        UnaryOperator<Preview> of = preview -> preview.dressed(result).beside(high).size(32).task(task());
        FloatImage first = of.apply(Preview.of(low)).run();
        FloatImage second = of.apply(Preview.of(low)).tracers(mesh -> {
            throw new AssertionError("a picture from before needs no tracer");
        }).run();
        assertThat(cache.hits()).isEqualTo(1);
        assertThat(texels(second)).isEqualTo(texels(first));
        assertThat(second.encoding()).isEqualTo(first.encoding());
        FloatImage turned = of.apply(Preview.of(low)).from(31, 20).run();
        FloatImage other = Preview.of(low).dressed(Dressing.bare().metal(1)).beside(high).size(32).task(task()).run();
        result.map("normal").set(3, 3, 0, 0.25f);
        of.apply(Preview.of(low)).run();
        assertThat(cache.hits()).isEqualTo(1);
        assertThat(texels(turned)).isNotEqualTo(texels(first));
        assertThat(texels(other)).isNotEqualTo(texels(first));
    }

    @Test
    void comparison_comesFromBefore_withAllThatItTells() {
        BakeResult result = bake();
        Comparison first = Compare.of(low, result, high).size(32).views(3).run(task());
        Comparison second = Compare.of(low, result, high).size(32).views(3).run(task());
        assertThat(cache.hits()).isEqualTo(1);
        assertThat(second.summary()).isEqualTo(first.summary());
        assertThat(second.spots()).isEqualTo(first.spots()).isNotEmpty();
        assertThat(second.findings()).isEqualTo(first.findings());
        assertThat(second.error()).isEqualTo(first.error());
        assertThat(second.percentile(99)).isEqualTo(first.percentile(99));
        assertThat(second.missed()).isEqualTo(first.missed());
        assertThat(second.pixelCount()).isEqualTo(first.pixelCount());
        assertThat(texels(second.texelPicture())).isEqualTo(texels(first.texelPicture()));
        for (int view = 0; view < 3; view++) {
            assertThat(texels(second.views().get(view).angles())).isEqualTo(texels(first.views().get(view).angles()));
            assertThat(second.views().get(view).error()).isEqualTo(first.views().get(view).error());
        }
        Compare.of(low, result, high).size(33).views(3).run(task());
        Compare.of(low, result, low).size(32).views(3).run(task());
        assertThat(cache.hits()).isEqualTo(1);
    }

    private Finish finish(ImageSource colour, double fill) {
        FloatImage mask = FloatImage.create(32, 32, Encoding.data(Range.UNIT, 1));
        mask.fill(0.5f);
        LayerMaterial rust = LayerMaterial.of(colour, mask, 0);
        return Layers.on(bake().map("normal"), LayerMaterial.even(0.2, 0.2, 0.2, 0.5, 1)).add(rust, mask, fill).task(task()).build();
    }

    @Test
    void finishedMaterial_comesFromBefore_unlessATexelOrAnOptionIsAnother_orSomebodysCodeMakesIt() throws IOException {
        FloatImage red = FloatImage.create(32, 32, Encoding.colour(3));
        red.fill(1, 0, 0);
        Finish first = finish(red, 1);
        Finish second = finish(red, 1);
        assertThat(cache.hits()).isEqualTo(1);
        assertThat(texels(second.baseColour())).isEqualTo(texels(first.baseColour()));
        assertThat(texels(second.normal())).isEqualTo(texels(first.normal()));
        assertThat(texels(second.height())).isEqualTo(texels(first.height()));
        assertThat(texels(second.occlusionRoughnessMetal().build())).isEqualTo(texels(first.occlusionRoughnessMetal().build()));
        finish(red, 0.5);
        finish(() -> red, 1);
        finish(() -> red, 1);
        red.set(0, 0, 1, 0.5f);
        finish(red, 1);
        assertThat(cache.hits()).isEqualTo(1);
        red.set(0, 0, 1, 0);
        breakEntries();
        assertThat(texels(finish(red, 1).baseColour())).isEqualTo(texels(first.baseColour()));
        assertThat(cache.hits()).isEqualTo(1);
        assertThat(cache.trouble()).isPresent();
    }

    private void breakEntries() throws IOException {
        List<Path> entries;
        try (Stream<Path> all = Files.walk(cache.folder())) {
            entries = all.filter(file -> file.toString().endsWith(".kept")).toList();
        }
        for (Path entry : entries) {
            byte[] bytes = Files.readAllBytes(entry);
            bytes[bytes.length / 2] ^= 1;
            Files.write(entry, bytes);
        }
    }
}
