package org.estampage.handover;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.concurrent.CancellationException;
import org.assertj.core.data.Offset;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.cage.Cage;
import org.estampage.image.FloatImage;
import org.estampage.io.ImageFiles;
import org.estampage.io.format.StoredImage;
import org.estampage.maps.HeightMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.ObjectNormalMap;
import org.estampage.maps.PositionMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class MapFilesTest {
    private static final int[] CORNERS = {0, 1, 2, 0, 2, 3};

    /** Returns a quad over [−1, 1]² of x and z that rises along z to −z by {@code rise} on each side, facing +Y; v rises towards −z. */
    private static Mesh quad(float rise) {
        float[] p = {-1, -rise, 1, 1, -rise, 1, 1, rise, -1, -1, rise, -1};
        float[] uv = {0, 0, 1, 0, 1, 1, 0, 1};
        return Mesh.builder(p, CORNERS).name("quad").uvSet(new Attribute("uv", 2, uv, CORNERS)).build();
    }

    private static BakeResult bake(Mesh low) {
        return Baker.create().bake(BakeJob.of(Cage.offset(low, 0.5), quad(0.25f)).size(16)
                .maps(NormalMap.create(), ObjectNormalMap.create(), HeightMap.create(), PositionMap.create()).build(), Task.silent());
    }

    @Test
    void rawValues_comeBackFromFiles_byTheRangeInTheirText(@TempDir Path folder) throws IOException {
        BakeResult result = bake(quad(0));
        List<WrittenMap> files = MapFiles.write(result, folder.resolve("deep/quad"), MapFileOptions.USUAL, Task.silent());
        assertThat(files).extracting(map -> map.file().getFileName().toString()).containsExactly("quad-normal.png",
                "quad-object-normal.png",
                "quad-height.png", "quad-position.png");
        for (int m = 0; m < files.size(); m++) {
            StoredImage stored = ImageFiles.readStored(files.get(m).file());
            FloatImage raw = result.maps().get(m).image();
            assertThat(stored.bits()).isEqualTo(16);
            assertThat(stored.text()).containsEntry("Role", result.maps().get(m).name());
            String[] ranges = Objects.requireNonNull(stored.text().get("Range")).split("; ");
            assertThat(ranges).hasSize(raw.channels());
            for (int c = 0; c < ranges.length; c++) {
                float first = Float.parseFloat(ranges[c].split(" ")[0]), second = Float.parseFloat(ranges[c].split(" ")[1]);
                // Half a step of 16 bits over the range, and a float's rounding.
                Offset<Float> half = Offset.offset(Math.abs(second - first) * (0.5f / 65535 + 2e-7f));
                for (int y = 0; y < 16; y++) {
                    assertThat(first + (second - first) * stored.image().get(3, y, c)).isCloseTo(raw.get(3, y, c), half);
                }
            }
        }
    }

    @Test
    void tilesOfAUdimJob_areFilesOfTheirNumbers(@TempDir Path folder) throws IOException {
        float[] aside = {1, 0, 2, 0, 2, 1, 1, 1};
        Mesh low = quad(0).toBuilder().noUvSets().uvSet(new Attribute("uv", 2, aside, CORNERS)).build();
        BakeResult result = Baker.create().bake(
                BakeJob.of(Cage.offset(low, 0.5), quad(0.25f)).size(16).maps(NormalMap.create(), HeightMap.create()).udim().build(),
                Task.silent());
        List<WrittenMap> files = MapFiles.write(result, folder.resolve("quad"), MapFileOptions.USUAL, Task.silent());
        assertThat(files).extracting(map -> map.file().getFileName().toString()).containsExactly("quad-normal.1002.png",
                "quad-height.1002.png");
        assertThat(ImageFiles.readStored(files.get(0).file()).text()).containsEntry("Role", "normal").containsEntry("Tile", "1002");
    }

    @Test
    void severalTiles_eachHaveFilesOfAllMaps(@TempDir Path folder) throws IOException {
        float[] apart = {0, 0, 1, 0, 1, 1, 1, 0, 2, 1, 1, 1};
        Mesh low = quad(0).toBuilder().noUvSets().uvSet(new Attribute("uv", 2, apart, new int[] {0, 1, 2, 3, 4, 5})).build();
        BakeResult result = Baker.create().bake(
                BakeJob.of(Cage.offset(low, 0.5), quad(0.25f)).size(16).maps(NormalMap.create(), HeightMap.create()).udim().build(),
                Task.silent());
        List<WrittenMap> files = MapFiles.write(result, folder.resolve("quad"), MapFileOptions.USUAL, Task.silent());
        assertThat(files).extracting(map -> map.file().getFileName().toString()).containsExactlyInAnyOrder("quad-normal.1001.png",
                "quad-height.1001.png", "quad-normal.1002.png", "quad-height.1002.png");
    }

    @Test
    void green_isUpUnlessAskedOtherwise_andObjectNormalsStay(@TempDir Path folder) throws IOException {
        // The high poly rises along v, so its normal leans against +v: green is below the middle where green is up (glTF 2.0, 3.9.3).
        BakeResult result = bake(quad(0));
        List<WrittenMap> up = MapFiles.write(result, folder.resolve("up"), MapFileOptions.USUAL.withBits(8), Task.silent());
        List<WrittenMap> down = MapFiles.write(result, folder.resolve("down"), MapFileOptions.USUAL.withBits(8).withGreenDown(),
                Task.silent());
        // tan a = 0.25, so y = −0.25 / √1.0625 = −0.242536 and ⌊255 · (½ + ½y) + ½⌋ = 97; green down: 158.
        assertThat(255 * ImageFiles.read(up.get(0).file()).get(8, 8, 1)).isEqualTo(97f, Offset.offset(1e-3f));
        assertThat(255 * ImageFiles.read(down.get(0).file()).get(8, 8, 1)).isEqualTo(158f, Offset.offset(1e-3f));
        assertThat(Files.readAllBytes(down.get(1).file())).isEqualTo(Files.readAllBytes(up.get(1).file()));
    }

    @Test
    void tangents_areCalledGiven_onlyWhereTheBakeUsedThem() {
        Attribute tangents = new Attribute("tangent", 4, new float[] {1, 0, 0, 1}, new int[CORNERS.length]);
        Mesh bare = quad(0);
        // New normals drop given tangents, so without normals the bake computes its own.
        assertThat(tangentsOf(bake(bare))).startsWith("MikkTSpace");
        assertThat(tangentsOf(bake(bare.toBuilder().tangents(tangents).build()))).startsWith("MikkTSpace");
        assertThat(tangentsOf(bake(Normals.smooth(bare).toBuilder().tangents(tangents).build()))).startsWith("given");
    }

    private static String tangentsOf(BakeResult result) {
        return Objects
                .requireNonNull(Map.copyOf(MapFiles.texts(result.maps().get(0), result.map("normal").encoding(), result)).get("Tangents"));
    }

    @Test
    void basesWithoutAName_areRefused_beforeAnythingIsWritten(@TempDir Path folder) throws IOException {
        BakeResult result = bake(quad(0));
        for (Path base : List.of(Path.of(""), folder.getRoot(), folder.resolve("."), folder.resolve(".."), folder.resolve("a.png"))) {
            assertThatThrownBy(() -> MapFiles.write(result, base, MapFileOptions.USUAL, Task.silent())).as(base.toString())
                    .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("base = ");
        }
        try (var files = Files.list(folder)) {
            assertThat(files).isEmpty();
        }
    }

    @Test
    void greenDown_isForNormalsOnly(@TempDir Path folder) {
        FloatImage height = bake(quad(0)).map("height");
        assertThatThrownBy(() -> MapFiles.write(height, folder.resolve("a.png"), MapFileOptions.USUAL.withGreenDown(), Task.silent()))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("greenDown").hasMessageContaining("a.png");
        assertThat(folder.resolve("a.png")).doesNotExist();
    }

    @Test
    void cancelling_leavesNothing(@TempDir Path folder) throws IOException {
        BakeResult result = bake(quad(0));
        Cancellation cancellation = new Cancellation();
        Task task = new Task((stage, done, total) -> {
            if (stage.equals("writing maps") && done == 2) { // two of four are written by then
                cancellation.cancel();
            }
        }, cancellation, MemoryBudget.ofHeap());
        assertThatThrownBy(() -> MapFiles.write(result, folder.resolve("a"), MapFileOptions.USUAL, task))
                .isInstanceOf(CancellationException.class);
        try (var files = Files.list(folder)) {
            assertThat(files).isEmpty();
        }
    }
}
