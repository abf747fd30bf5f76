package org.estampage.testresources;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/**
 * The fetched files are the ones that the checks speak about: triangle counts as their packages hold them. Where nothing was fetched there is nothing to
 * check; in continuous integration a missing file fails.
 */
class FetchedMeshesTest {
    @Test
    void missingFile_isNothingAtHome_andAnErrorInContinuousIntegration(@TempDir Path folder) throws IOException {
        assertThat(FetchedMeshes.file("a.off", folder, "false")).isEmpty();
        assertThatThrownBy(() -> FetchedMeshes.file("a.off", folder, "true")).isInstanceOf(IllegalStateException.class)
                .hasMessageContaining("fetch");
        Path file = folder.resolve("test-resources/fetched/a.off");
        Files.createDirectories(file.getParent());
        Files.writeString(file, "OFF");
        assertThat(FetchedMeshes.file("a.off", Files.createDirectories(folder.resolve("engine/core")), "true")).contains(file);
    }

    @Test
    void elephants_areClosedWithThreeHandles() throws IOException {
        Optional<Path> plain = FetchedMeshes.elephant();
        Optional<Path> refined = FetchedMeshes.refinedElephant();
        assertThat(plain.isPresent()).isEqualTo(refined.isPresent());
        if (plain.isPresent() && refined.isPresent()) {
            Shape low = OffReader.read(plain.get());
            Shape high = OffReader.read(refined.get());
            assertThat(low.triangleCount()).isEqualTo(5_558);
            assertThat(high.triangleCount()).isEqualTo(88_928);
            for (Shape shape : new Shape[] {low, high}) {
                assertThat(ShapeMeasures.openEdgeCount(shape)).isZero();
                // 2 − 2 · 3 handles.
                assertThat(ShapeMeasures.eulerCharacteristic(shape)).isEqualTo(-4);
            }
        }
    }

    @Test
    void bunny_holdsItsTriangles() throws IOException {
        Optional<Path> bunny = FetchedMeshes.bunny();
        if (bunny.isPresent()) {
            byte[] bytes = Files.readAllBytes(bunny.get());
            int triangles = ByteBuffer.wrap(bytes).order(ByteOrder.LITTLE_ENDIAN).getInt(80);
            assertThat(triangles).isEqualTo(69_451);
            // Binary STL: 80 bytes, a count, 50 bytes a triangle.
            assertThat(bytes).hasSize(84 + 50 * triangles);
        }
    }

    @Test
    void terrain_makesItsGrid() throws IOException {
        Optional<Path> terrain = FetchedMeshes.terrain();
        if (terrain.isPresent()) {
            Npy elevation = Npy.readArchive(terrain.get()).get("elevation");
            assertThat(elevation).isNotNull();
            assertThat(elevation.shape()).containsExactly(344, 403);
            assertThat(Arrays.stream(elevation.values()).min()).hasValue(236);
            assertThat(Arrays.stream(elevation.values()).max()).hasValue(1076);
            assertThat(Shapes.terrain(elevation.floats(), 403, 344, 30).triangleCount()).isEqualTo(275_772);
        }
    }
}
