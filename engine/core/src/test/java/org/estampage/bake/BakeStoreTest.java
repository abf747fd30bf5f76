package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.CancellationException;
import org.estampage.cage.Cage;
import org.estampage.image.Pixels;
import org.estampage.maps.BentNormalMap;
import org.estampage.maps.CustomMap;
import org.estampage.maps.HeightMap;
import org.estampage.maps.IdMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.mesh.Mesh;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class BakeStoreTest {
    @TempDir
    Path folder;

    private static final Mesh LOW = Patches.flat(2, 0.1);
    // Out of the cage at its sides, so that there are misses with causes, and findings of maps.
    private static final Mesh HIGH = Patches.grid(16, 0, (x, z) -> Math.abs(x) > 0.6 ? 9 : 0.1 * Math.sin(9 * z));
    private static final BakeJob JOB = BakeJob.of(Cage.offset(LOW, 0.5), HIGH).size(40, 24)
            .maps(NormalMap.create(), HeightMap.create(), OcclusionMap.create(16), BentNormalMap.create(4), IdMap.create()).build();

    private List<BakeResult> throughFiles(BakeResult result) throws IOException {
        List<BakeResult> read = new ArrayList<>();
        for (BakedMap map : result.tiles().get(0).maps()) {
            Path file = folder.resolve(map.name());
            BakeStore.write(result, map.name(), file, Task.silent());
            read.add(BakeStore.read(file, result.job(), Task.silent()));
        }
        return read;
    }

    @Test
    void mapsThroughFiles_joined_areTheBake() throws IOException {
        BakeResult baked = Baker.create().bake(JOB, Task.silent());
        assertThat(baked.missedCount()).isPositive();
        BakeResult joined = Baker.create().bake(JOB, throughFiles(baked), Task.silent());
        assertThat(joined.projectionRayCount()).isZero();
        assertThat(joined.findings()).isEqualTo(baked.findings()).isNotEmpty();
        for (BakedMap map : baked.maps()) {
            BakedMap there = joined.tiles().get(0).baked(map.name()).orElseThrow();
            assertThat(Arrays.mismatch(Pixels.toFloats(there.image()), Pixels.toFloats(map.image()))).as(map.name()).isEqualTo(-1);
            assertThat(there.image().encoding()).isEqualTo(map.image().encoding());
            assertThat(List.of(there.bits(), there.tangentSpace(), there.details()))
                    .isEqualTo(List.of(map.bits(), map.tangentSpace(), map.details()));
        }
        assertThat(joined.covered().bits()).isEqualTo(baked.covered().bits());
        assertThat(joined.hit().bits()).isEqualTo(baked.hit().bits());
        assertThat(joined.tiles().get(0).full().bits()).isEqualTo(baked.tiles().get(0).full().bits());
        assertThat(Pixels.toFloats(joined.missCauses().orElseThrow())).isEqualTo(Pixels.toFloats(baked.missCauses().orElseThrow()));
        assertThat(joined.low().tangents().orElseThrow().values()).isEqualTo(baked.low().tangents().orElseThrow().values());
        assertThat(joined.low().normals().orElseThrow().values()).isEqualTo(baked.low().normals().orElseThrow().values());
        assertThat(joined.sampleCount()).isEqualTo(baked.sampleCount());
        assertThat(joined.missedSampleCount()).isEqualTo(baked.missedSampleCount());
    }

    @Test
    void anyBitTurned_orAnyEndCutOff_isRefused_neverTaken() throws IOException {
        BakeResult baked = Baker.create().bake(JOB.withMaps(List.of(JOB.maps().get(1))), Task.silent());
        Path file = folder.resolve("height");
        BakeStore.write(baked, "height", file, Task.silent());
        byte[] whole = Files.readAllBytes(file);
        for (int at = 0; at < whole.length; at += 131) {
            byte[] broken = whole.clone();
            broken[at] ^= (byte) (1 << (at % 8));
            assertRefused(broken);
            assertRefused(Arrays.copyOf(whole, at));
        }
        assertRefused(Arrays.copyOf(whole, whole.length + 1));
    }

    private void assertRefused(byte[] bytes) throws IOException {
        Path file = Files.write(folder.resolve("broken"), bytes);
        assertThatThrownBy(() -> BakeStore.read(file, JOB, Task.silent())).isInstanceOf(IOException.class).hasMessageContaining("broken");
    }

    @Test
    void jobWithAnotherMap_size_orNoCage_isRefused() throws IOException {
        BakeResult baked = Baker.create().bake(JOB, Task.silent());
        Path file = folder.resolve("occlusion");
        BakeStore.write(baked, "occlusion", file, Task.silent());
        assertThatThrownBy(() -> BakeStore.read(file, JOB.toBuilder().map(OcclusionMap.create(17)).build(), Task.silent()))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("occlusion(17)").hasMessageContaining("occlusion(16)");
        assertThatThrownBy(() -> BakeStore.read(file, JOB.toBuilder().size(24, 40).build(), Task.silent())).hasMessageContaining("24 × 40");
        assertThatThrownBy(
                () -> BakeStore.read(file, BakeJob.of(LOW, HIGH).size(40, 24).maps(OcclusionMap.create(16)).build(), Task.silent()))
                .hasMessageContaining("no cage");
        assertThatThrownBy(() -> BakeStore.write(baked, "gloss", file, Task.silent())).hasMessageContaining("gloss");
    }

    @Test
    void customMap_isKeptWithAVersionOnly() throws IOException {
        CustomMap custom = CustomMap.of("snow", 1, (in, out) -> out[0] = in.normal(1));
        Path file = folder.resolve("snow");
        BakeResult without = Baker.create().bake(JOB.withMaps(List.of(custom)), Task.silent());
        assertThatThrownBy(() -> BakeStore.write(without, "snow", file, Task.silent())).hasMessageContaining("give it a version");
        BakeResult with = Baker.create().bake(JOB.withMaps(List.of(custom.version("1"))), Task.silent());
        BakeStore.write(with, "snow", file, Task.silent());
        assertThat(Pixels.toFloats(BakeStore.read(file, with.job(), Task.silent()).map("snow")))
                .isEqualTo(Pixels.toFloats(with.map("snow")));
    }

    @Test
    void cancelled_stopsBothWays() throws IOException {
        BakeResult baked = Baker.create().bake(JOB, Task.silent());
        Path file = folder.resolve("height");
        BakeStore.write(baked, "height", file, Task.silent());
        Cancellation cancellation = new Cancellation();
        Task cancelled = new Task((name, done, total) -> {
        }, cancellation, MemoryBudget.ofHeap());
        cancellation.cancel();
        assertThatThrownBy(() -> BakeStore.read(file, JOB, cancelled)).isInstanceOf(CancellationException.class);
        assertThatThrownBy(() -> BakeStore.write(baked, "height", file, cancelled)).isInstanceOf(CancellationException.class);
    }
}
