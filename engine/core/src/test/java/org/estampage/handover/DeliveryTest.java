package org.estampage.handover;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.stream.Stream;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.cage.Cage;
import org.estampage.finding.Severity;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.io.ImageFiles;
import org.estampage.io.exr.ExrReader;
import org.estampage.io.format.FormatException;
import org.estampage.io.format.SampleFormat;
import org.estampage.io.format.StoredImage;
import org.estampage.maps.HeightMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class DeliveryTest {
    private static final int[] CORNERS = {0, 1, 2, 0, 2, 3};
    private static final int SIZE = 16;

    @TempDir
    Path folder;

    private static Mesh quad(float width, float rise) {
        float[] p = {-width, -rise, width, width, -rise, width, width, rise, -width, -width, rise, -width};
        float[] uv = {0, 0, 1, 0, 1, 1, 0, 1};
        return Mesh.builder(p, CORNERS).name("plate").uvSet(new Attribute("uv", 2, uv, CORNERS)).build();
    }

    private static BakeResult bake(float highWidth) {
        return Baker.create().bake(BakeJob.of(Cage.offset(quad(1, 0), 0.5), quad(highWidth, 0.25f)).size(SIZE)
                .maps(NormalMap.create(), HeightMap.create(), OcclusionMap.create(16)).build(), Task.silent());
    }

    private List<String> files() throws IOException {
        try (Stream<Path> files = Files.walk(folder)) {
            return files.filter(Files::isRegularFile).map(file -> folder.relativize(file).toString().replace('\\', '/')).sorted().toList();
        }
    }

    private Delivery write(BakeResult result, String base, MapFileOptions options) throws IOException {
        return Delivery.write(result, folder.resolve(base), options, Map.of(), Task.silent());
    }

    @Test
    void mapsAndManifest_haveTheUsualNames_orThoseOfAPattern() throws IOException {
        BakeResult result = bake(1);
        assertThat(write(result, "plate", MapFileOptions.USUAL).files()).hasSize(4);
        write(result, "a/plate", MapFileOptions.USUAL.withSet("iron"));
        write(result, "b/plate", MapFileOptions.USUAL.withFormat("exr").withNames("{map}/{asset}_{tile}"));
        write(result, "c/plate", MapFileOptions.USUAL.withFormat("exr").withLayers());
        assertThat(files()).containsExactly("a/plate-iron-height.png", "a/plate-iron-manifest.json", "a/plate-iron-normal.png",
                "a/plate-iron-occlusion.png",
                "b/height/plate_1001.exr", "b/normal/plate_1001.exr", "b/occlusion/plate_1001.exr", "b/plate-manifest.json",
                "c/plate-manifest.json",
                "c/plate.exr", "plate-height.png", "plate-manifest.json", "plate-normal.png", "plate-occlusion.png");
        assertThat(Files.readString(folder.resolve("c/plate-manifest.json"))).contains("\"plate.exr\"", "32-bit float");
    }

    @Test
    void layersOfOneFile_areTheRawMaps_heightsNeverHalves() throws IOException {
        BakeResult result = bake(1);
        Delivery delivery = write(result, "plate",
                MapFileOptions.USUAL.withFormat("exr").withLayers().withSamples(SampleFormat.HALF).withGreenDown());
        assertThat(delivery.maps()).extracting(WrittenMap::samples).containsExactly(SampleFormat.HALF, SampleFormat.FLOAT,
                SampleFormat.HALF);
        var layers = ExrReader.readLayers(folder.resolve("plate.exr"), Task.silent());
        assertThat(layers.layer("height").orElseThrow().image().get(5, 3, 0)).isEqualTo(result.map("height").get(5, 3, 0));
        float green = result.map("normal").get(5, 3, 1);
        assertThat(Math.abs(green)).isGreaterThan(0.1f);
        assertThat(layers.layer("normal").orElseThrow().image().get(5, 3, 1)).as("green down, as a half")
                .isEqualTo(Float.float16ToFloat(Float.floatToFloat16(-green)));
        assertThat(layers.text()).containsEntry("normal Green", "down, against +Y").containsEntry("height Role", "height");
    }

    @Test
    void optionsThatDontAgree_areRefusedWithTheReason() {
        MapFileOptions usual = MapFileOptions.USUAL;
        assertThatThrownBy(() -> usual.withSamples(SampleFormat.HALF)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("PNG files have");
        assertThatThrownBy(usual::withLayers).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("EXR");
        assertThatThrownBy(() -> usual.withBits(16).withDither()).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("8 bits");
        assertThatThrownBy(() -> usual.withFormat("exr").withDither()).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("8 bits");
        assertThatThrownBy(() -> usual.withFormat("bmp")).isInstanceOf(IllegalArgumentException.class).hasMessageContaining(".png");
        assertThatThrownBy(() -> usual.withFormat("jpg")).isInstanceOf(IllegalArgumentException.class).hasMessageContaining(".png");
        for (String bad : List.of("", " ", "{asset}-{role}", "../{map}", "/far/{map}", "a\\{map}", "{map", "{map}/", "a//{map}")) {
            assertThatThrownBy(() -> usual.withNames(bad)).as(bad).isInstanceOf(IllegalArgumentException.class)
                    .hasMessageContaining("names = ");
        }
        assertThatThrownBy(() -> usual.withSet("a/b")).isInstanceOf(IllegalArgumentException.class);
        BakeResult result = bake(1);
        assertThatThrownBy(() -> write(result, "plate", usual.withNames("{asset}"))).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("{map}");
        assertThatThrownBy(() -> write(result, "plate", usual.withNames("{set}-{map}"))).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("no set");
        assertThatThrownBy(() -> write(result, "plate", usual.withFormat("exr").withLayers().withNames("{map}")))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("layers");
        assertThatThrownBy(() -> MapFiles.write(result.map("height"), folder.resolve("h.png"), usual.withFormat("exr"), Task.silent()))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("h.png");
    }

    @Test
    void aFailedSave_leavesTheFormerDeliveryAlone() throws IOException {
        write(bake(1), "plate", MapFileOptions.USUAL);
        byte[] before = Files.readAllBytes(folder.resolve("plate-normal.png"));
        Files.delete(folder.resolve("plate-occlusion.png"));
        Files.createDirectories(folder.resolve("plate-occlusion.png")); // a folder has the last map's name
        BakeResult result = bake(0.8f);
        assertThatThrownBy(() -> write(result, "plate", MapFileOptions.USUAL)).isInstanceOf(IOException.class)
                .hasMessageContaining("plate-occlusion.png");
        assertThat(folder.resolve("plate-normal.png")).hasBinaryContent(before);
        assertThat(files()).containsExactly("plate-height.png", "plate-manifest.json", "plate-normal.png");
    }

    @Test
    void whatWasAccepted_staysSoInTheNextDelivery() throws IOException {
        Delivery first = write(bake(0.9f), "plate", MapFileOptions.USUAL);
        Manifest signed = first.manifest();
        for (String kind : signed.open(Severity.WARNING)) {
            signed = signed.accepted(kind, "A. Keeper", "hidden by the base");
        }
        signed.write(first.manifestFile(), Task.silent());
        assertThat(write(bake(0.9f), "plate", MapFileOptions.USUAL).manifest().open(Severity.WARNING)).isEmpty();
        Files.writeString(first.manifestFile(), "something else");
        BakeResult result = bake(0.9f);
        assertThatThrownBy(() -> write(result, "plate", MapFileOptions.USUAL)).isInstanceOf(FormatException.class)
                .hasMessageContaining("plate-manifest.json");
    }

    @Test
    void ditheredNormals_haveTheRawMean_andFlatOnesNoNoise() throws IOException {
        int side = 64;
        FloatImage slope = FloatImage.create(side, side, Encoding.normal());
        // Raw values between codes: x is 0.3 of a code above 128's, y exactly 64's, z 0.7 of a code above 250's.
        float[] raw = {2 * 128.3f / 255 - 1, 2 * 64f / 255 - 1, 2 * 250.7f / 255 - 1};
        for (int i = 0; i < side * side; i++) {
            slope.write(i % side, i / side, 1, 1, raw);
        }
        MapFiles.write(slope, folder.resolve("s.png"), MapFileOptions.USUAL.withDither(), Task.silent());
        StoredImage stored = ImageFiles.readStored(folder.resolve("s.png"));
        assertThat(stored.samples()).isEqualTo(SampleFormat.UNSIGNED_8);
        double[] mean = new double[3];
        for (int i = 0; i < side * side; i++) {
            for (int c = 0; c < 3; c++) {
                mean[c] += 255.0 * stored.image().get(i % side, i / side, c) / (side * side);
            }
        }
        // The mean of 4096 codes of which a share p is one higher has a deviation of √(p(1 − p)/4096) = 0.007: four of them.
        assertThat(mean[0]).isBetween(128.3 - 0.03, 128.3 + 0.03);
        assertThat(mean[1]).as("a code exactly").isBetween(64 - 1e-4, 64 + 1e-4);
        assertThat(mean[2]).isBetween(250.7 - 0.03, 250.7 + 0.03);
        FloatImage flat = FloatImage.create(8, 8, Encoding.normal());
        flat.fill(0, 0, 1);
        MapFiles.write(flat, folder.resolve("f.png"), MapFileOptions.USUAL.withDither(), Task.silent());
        FloatImage back = ImageFiles.read(folder.resolve("f.png"));
        for (int i = 0; i < 64; i++) {
            assertThat(Math.round(255 * back.get(i % 8, i / 8, 0))).isEqualTo(128);
            assertThat(Math.round(255 * back.get(i % 8, i / 8, 2))).isEqualTo(255);
        }
    }

    @Test
    void textsOfFiles_tellJobAndGreen() throws IOException {
        write(bake(1), "plate", MapFileOptions.USUAL.withGreenDown());
        StoredImage stored = ImageFiles.readStored(folder.resolve("plate-normal.png"));
        assertThat(stored.text()).containsEntry("Green", "down, against +Y").containsEntry("Job", "16 x 16 texels, 2 x 2 samples a texel");
        assertThat(Objects.requireNonNull(stored.text().get("Software"))).startsWith("Estampage");
    }
}
