package org.estampage.session;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.function.Function;
import org.estampage.io.MeshFiles;
import org.estampage.lowpoly.Decimate;
import org.estampage.lowpoly.Lathe;
import org.estampage.lowpoly.Lod;
import org.estampage.lowpoly.Lods;
import org.estampage.lowpoly.ScanLowPoly;
import org.estampage.mesh.Cleanup;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshSource;
import org.estampage.task.Task;
import org.estampage.uv.Atlas;
import org.estampage.uv.Repack;
import org.estampage.uv.Unwrap;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class KeeperTest {
    @TempDir
    Path folder;
    private Cache cache;

    @BeforeEach
    void begin() {
        cache = Cache.in(folder.resolve("cache"));
    }

    private Task task(String engine) {
        return Task.silent().recalling(Keeper.of(cache, engine, 0));
    }

    /** Builds twice, in keepers that know nothing of each other, and checks that the second comes from the cache and is the same. */
    private Mesh twice(Function<Task, MeshSource> operation) {
        Mesh first = operation.apply(task("one")).build();
        long hits = cache.hits();
        Mesh second = operation.apply(task("one")).build();
        assertThat(cache.hits()).as("values from before").isEqualTo(hits + 1);
        assertThat(second).isNotSameAs(first);
        assertThat(Fingerprint.ofMesh(second)).isEqualTo(Fingerprint.ofMesh(first));
        assertThat(Fingerprint.ofMesh(operation.apply(Task.silent()).build())).isEqualTo(Fingerprint.ofMesh(first));
        return second;
    }

    @Test
    void meshOperations_doneTwice_giveTheSameFromBefore() {
        Mesh waves = Meshes.waves(6);
        twice(task -> Decimate.of(waves).triangles(40).task(task));
        twice(task -> Cleanup.of(waves).task(task));
        twice(task -> ScanLowPoly.of(waves).triangles(40).task(task));
        twice(task -> Unwrap.of(waves).size(64).task(task));
        twice(task -> Repack.of(waves).size(64).task(task));
        twice(task -> Lathe.around(waves).sides(8).rings(4).size(64).task(task));
    }

    @Test
    void listsOfMeshes_comeFromBefore() {
        Mesh waves = Meshes.waves(4);
        List<Lod> first = Lods.of(waves).triangles(20).task(task("one")).build();
        long hits = cache.hits();
        List<Lod> second = Lods.of(waves).triangles(20).task(task("one")).build();
        assertThat(cache.hits()).isEqualTo(hits + 1);
        assertThat(second).hasSize(1);
        assertThat(second.get(0).distance()).isEqualTo(first.get(0).distance());
        assertThat(second.get(0).shift()).isEqualTo(first.get(0).shift());
        assertThat(Fingerprint.ofMesh(second.get(0).mesh())).isEqualTo(Fingerprint.ofMesh(first.get(0).mesh()));
        List<Mesh> packed = Atlas.of(waves, Meshes.waves(2)).size(64).task(task("one")).build();
        hits = cache.hits();
        assertThat(Atlas.of(waves, Meshes.waves(2)).size(64).task(task("one")).build()).hasSameSizeAs(packed);
        assertThat(cache.hits()).isEqualTo(hits + 1);
    }

    @Test
    void anotherEngine_knowsNothingOfIt() {
        Mesh waves = Meshes.waves(12);
        Decimate.of(waves).triangles(40).task(task("one")).build();
        Decimate.of(waves).triangles(40).task(task("two")).build();
        assertThat(cache.hits()).isZero();
        assertThat(cache.misses()).isEqualTo(2);
    }

    @Test
    void engineFingerprint_isThere_andStable() {
        assertThat(EngineClasses.fingerprint()).isPresent().isEqualTo(EngineClasses.fingerprint());
        assertThat(EngineClasses.fingerprint().orElseThrow()).matches("[0-9a-f]{64}");
    }

    @Test
    void anotherOption_isWorkedOut() {
        Mesh waves = Meshes.waves(12);
        Mesh forty = Decimate.of(waves).triangles(40).task(task("one")).build();
        Mesh thirty = Decimate.of(waves).triangles(30).task(task("one")).build();
        assertThat(thirty.triangleCount()).isLessThan(forty.triangleCount());
        assertThat(cache.hits()).isZero();
    }

    @Test
    void whatCanNotBeTold_isNeverKept() {
        Mesh waves = Meshes.waves(12);
        MeshSource lambda = () -> waves;
        for (int i = 0; i < 2; i++) {
            Decimate.of(lambda).triangles(40).task(task("one")).build();
        }
        assertThat(cache.count()).isZero();
    }

    @Test
    void quickWork_isNotKept() {
        Task task = Task.silent().recalling(Keeper.in(cache));
        Decimate.of(Meshes.waves(3)).triangles(4).task(task).build();
        assertThat(cache.count()).isZero();
    }

    @Test
    void writtenBytes_comeFromBefore() throws IOException {
        List<String> calls = new ArrayList<>();
        String text = null;
        for (int i = 0; i < 2; i++) {
            ByteArrayOutputStream out = new ByteArrayOutputStream();
            task("one").recall().write(List.of("operation", 1), out, to -> {
                calls.add("called");
                to.write("bytes".getBytes(StandardCharsets.US_ASCII));
            });
            text = out.toString(StandardCharsets.US_ASCII);
            assertThat(text).isEqualTo("bytes");
        }
        assertThat(calls).hasSize(1);
    }

    private Path written(Mesh mesh, String name) throws IOException {
        Path file = folder.resolve(name);
        MeshFiles.write(mesh, file, Task.silent());
        // The keeper doesn't trust a file that changed as it was read.
        Files.setLastModifiedTime(file, FileTime.from(Instant.now().minusSeconds(60)));
        return file;
    }

    private Mesh read(Path file) throws IOException {
        return Keeper.of(cache, "one", 0).read(file, Task.silent());
    }

    @Test
    void files_comeFromBefore_byTheirContent() throws IOException {
        Path file = written(Meshes.waves(5), "waves.ply");
        Mesh first = read(file);
        assertThat(cache.hits()).isZero();
        Files.setLastModifiedTime(file, FileTime.from(Instant.now()));
        assertThat(Fingerprint.ofMesh(read(file))).isEqualTo(Fingerprint.ofMesh(first));
        assertThat(cache.hits()).isEqualTo(2); // which files it names, and the mesh
        written(Meshes.waves(6), "waves.ply");
        assertThat(read(file).triangleCount()).isEqualTo(72);
    }

    @Test
    void materialsOfAFile_count() throws IOException {
        Path file = folder.resolve("stone.obj");
        Path materials = folder.resolve("stone.mtl");
        Files.writeString(file, "mtllib stone.mtl\nv 0 0 0\nv 1 0 0\nv 0 1 0\nusemtl granite\nf 1 2 3\n");
        Files.writeString(materials, "newmtl granite\nKd 0.5 0.5 0.5\n");
        for (Path each : List.of(file, materials)) {
            Files.setLastModifiedTime(each, FileTime.from(Instant.now().minusSeconds(60)));
        }
        assertThat(read(file).materials().get(0).red()).isEqualTo(0.5f);
        read(file);
        assertThat(cache.hits()).isEqualTo(2);
        Files.writeString(materials, "newmtl granite\nKd 0.25 0.5 0.5\n");
        Files.setLastModifiedTime(materials, FileTime.from(Instant.now().minusSeconds(60)));
        assertThat(read(file).materials().get(0).red()).isEqualTo(0.25f);
        Files.delete(materials);
        assertThat(read(file).findings().ofKind("missing-material-file")).hasSize(1);
    }

    @Test
    void buffersOfAModel_count() throws IOException {
        Path file = written(Meshes.waves(2), "waves.gltf");
        Path buffer;
        try (var all = Files.list(folder)) {
            buffer = all.filter(f -> f.toString().endsWith(".bin")).findFirst().orElseThrow();
        }
        Files.setLastModifiedTime(buffer, FileTime.from(Instant.now().minusSeconds(60)));
        Mesh first = read(file);
        read(file);
        assertThat(cache.hits()).isEqualTo(2);
        byte[] bytes = Files.readAllBytes(buffer);
        // Some position of the model moves: floats lie in the buffer whole.
        for (int i = 0; i + 4 <= bytes.length; i += 4) {
            if (java.nio.ByteBuffer.wrap(bytes, i, 4).order(java.nio.ByteOrder.LITTLE_ENDIAN).getFloat() == 0.5f) {
                java.nio.ByteBuffer.wrap(bytes, i, 4).order(java.nio.ByteOrder.LITTLE_ENDIAN).putFloat(0.75f);
                break;
            }
        }
        Files.write(buffer, bytes);
        Files.setLastModifiedTime(buffer, FileTime.from(Instant.now().minusSeconds(60)));
        assertThat(Fingerprint.ofMesh(read(file))).isNotEqualTo(Fingerprint.ofMesh(first));
    }

    @Test
    void fileThatChangedWhileItWasRead_isNotKept() throws IOException {
        Path file = written(Meshes.waves(5), "waves.ply");
        Task touching = Task.reporting((stage, done, total) -> {
            try {
                Files.setLastModifiedTime(file, FileTime.from(Instant.now().plusSeconds(1)));
            } catch (IOException e) {
                throw new java.io.UncheckedIOException(e);
            }
        });
        Keeper.of(cache, "one", 0).read(file, touching);
        assertThat(cache.count()).isZero();
    }
}
