package org.estampage.io;

import org.estampage.io.format.MeshFormat;
import org.estampage.io.format.FormatException;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import com.sun.management.ThreadMXBean;
import java.io.IOException;
import java.lang.management.ManagementFactory;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import org.estampage.io.TestMeshes.Content;
import org.estampage.io.gltf.GltfFormat;
import org.estampage.io.obj.ObjFormat;
import org.estampage.io.ply.PlyFormat;
import org.estampage.io.stl.StlFormat;
import org.estampage.mesh.Mesh;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Broken files: an {@code IOException} or a mesh, nothing else, and never memory beyond a small multiple of the file's size. */
class MeshFilesFuzzTest {
    /**
     * A byte of a file may become 4 bytes of index in each of three lists, in a run's lists while they grow, in their copy, in the mesh's, and spread
     * over three corners of a triangle; names and findings take some hundred bytes a statement of four bytes.
     */
    private static final long BYTES_PER_BYTE = 400;
    /** The readers' windows, and what their classes take when first used. */
    private static final long WINDOWS = 8_000_000;

    @TempDir
    Path folder;

    private byte[] written(MeshFormat format, Mesh mesh, String file) throws IOException {
        Path path = folder.resolve(file);
        format.write(mesh, path, Task.silent());
        return Files.readAllBytes(path);
    }

    private List<byte[]> validFiles() throws IOException {
        Content[] all = Content.values();
        List<byte[]> files = new ArrayList<>();
        for (int seed = 0; seed < 4; seed++) {
            Mesh mesh = TestMeshes.random(seed, "a", all);
            files.add(written(new ObjFormat(), mesh, "a.obj"));
            files.add(written(PlyFormat.binary(), mesh, "a.ply"));
            files.add(written(PlyFormat.ascii(), mesh, "a.ply"));
            files.add(written(StlFormat.binary(), mesh, "a.stl"));
            files.add(written(StlFormat.ascii(), mesh, "a.stl"));
            files.add(written(new GltfFormat(), mesh, "a.glb"));
            files.add(written(new GltfFormat(), mesh, "a.gltf")); // its buffer stays beside it
            byte[] big = new String(written(PlyFormat.binary(), mesh, "a.ply"), StandardCharsets.ISO_8859_1)
                    .replace("binary_little_endian", "binary_big_endian").getBytes(StandardCharsets.ISO_8859_1);
            files.add(big);
        }
        return files;
    }

    private static byte[] mutated(byte[] valid, Random random) {
        byte[] bytes = valid.clone();
        switch (random.nextInt(5)) {
            case 0 -> bytes = java.util.Arrays.copyOf(bytes, random.nextInt(bytes.length));
            case 1 -> { // a stretch twice
                int from = random.nextInt(bytes.length), length = Math.min(bytes.length - from, random.nextInt(200));
                byte[] longer = java.util.Arrays.copyOf(bytes, bytes.length + length);
                System.arraycopy(bytes, from, longer, from + length, bytes.length - from);
                bytes = longer;
            }
            default -> {
                byte[] tricky = "0123456789-+.eE/\\#\n\r \t\0vfnatu".getBytes(StandardCharsets.ISO_8859_1);
                int head = random.nextInt(3) == 0 ? Math.min(bytes.length, 400) : bytes.length;
                for (int k = 1 + random.nextInt(4); k > 0; k--) {
                    bytes[random.nextInt(head)] = random.nextBoolean() ? (byte) random.nextInt() : tricky[random.nextInt(tricky.length)];
                }
            }
        }
        return bytes;
    }

    @Test
    void mutatedFiles_giveAMeshOrAnIOException() throws IOException {
        Random random = new Random(11);
        List<byte[]> valid = validFiles();
        int read = 0, refused = 0;
        MeshFormat[] formats = {new ObjFormat(), PlyFormat.binary(), StlFormat.binary(), new GltfFormat()};
        for (int i = 0; i < 2000; i++) {
            byte[] bytes = mutated(valid.get(i % valid.size()), random);
            Path path = Files.write(folder.resolve("fuzz.dat"), bytes);
            Task task = new Task(org.estampage.task.Progress.none(), new org.estampage.task.Cancellation(),
                    MemoryBudget.ofBytes(WINDOWS + BYTES_PER_BYTE * bytes.length));
            long before = allocated();
            try {
                Mesh mesh = i % 3 == 0 ? formats[random.nextInt(formats.length)].read(path, task) : MeshFiles.read(path, task);
                assertThat(mesh.triangleCount()).isPositive();
                read++;
            } catch (IOException e) {
                assertThat(e.getMessage()).isNotBlank().doesNotContain("\n").hasSizeLessThan(400);
                refused++;
            }
            assertThat(allocated() - before).isLessThan(WINDOWS + BYTES_PER_BYTE * bytes.length);
            assertThat(task.memory().reserved()).isZero();
        }
        assertThat(read).as("some must be readable, or the mutations test only the first line").isGreaterThan(200);
        assertThat(refused).isGreaterThan(200);
    }

    @Test
    void randomBytes_underEveryEnding_areRefused() throws IOException {
        Random random = new Random(3);
        for (int i = 0; i < 300; i++) {
            byte[] bytes = new byte[random.nextInt(3000)];
            random.nextBytes(bytes);
            Path path = Files.write(folder.resolve("x." + List.of("obj", "ply", "stl", "glb", "gltf", "dat").get(i % 6)), bytes);
            assertThatThrownBy(() -> MeshFiles.read(path, Task.silent())).isInstanceOf(IOException.class);
        }
    }

    private static long allocatedBy(IoAction action) {
        long before = allocated();
        assertThatThrownBy(action::run).isInstanceOf(FormatException.class);
        return allocated() - before;
    }

    private static long allocated() {
        return ((ThreadMXBean) ManagementFactory.getThreadMXBean()).getCurrentThreadAllocatedBytes();
    }

    private interface IoAction {
        void run() throws IOException;
    }

    @Test
    void headersThatLie_areRefusedBeforeAnythingIsAllocated() throws IOException {
        List<String> lies = new ArrayList<>();
        for (String form : List.of("ascii", "binary_little_endian", "binary_big_endian")) {
            for (String count : List.of("2000000000", "999999999999999999", "500000000")) {
                lies.add("ply\nformat " + form + " 1.0\nelement vertex " + count
                        + "\nproperty float x\nproperty float y\nproperty float z\nelement face 1\nproperty list uchar int vertex_indices\nend_header\n1 2 3 4");
                lies.add("ply\nformat " + form + " 1.0\nelement vertex 3\nproperty char x\nproperty char y\nproperty char z\nelement face "
                        + count
                        + "\nproperty list uchar int vertex_indices\nend_header\n0 0 0\n1 0 0\n0 1 0\n");
                lies.add("ply\nformat " + form + " 1.0\nelement other " + count
                        + "\nproperty list uint char a\nelement vertex 3\nproperty char x\nproperty char y\n"
                        + "property char z\nelement face 1\nproperty list uint uint vertex_indices\nend_header\n\u00ff\u00ff\u00ff\u00ff");
            }
        }
        // A list that says it has four thousand million corners.
        lies.add(
                "ply\nformat binary_little_endian 1.0\nelement vertex 1\nproperty char x\nproperty char y\nproperty char z\nelement face 1\n"
                        + "property list uint uint vertex_indices\nend_header\n000\u00ff\u00ff\u00ff\u00ff");
        lies.add("ply\nformat ascii 1.0\nelement vertex 1\nproperty char x\nproperty char y\nproperty char z\nelement face 1\n"
                + "property list uint uint vertex_indices\nend_header\n0 0 0\n2000000000 0 0 0");
        lies.add("x".repeat(80) + "\u00ff\u00ff\u00ff\u007f" + "y".repeat(100)); // binary STL
        for (String lie : lies) {
            Path path = Files.write(folder.resolve(lie.startsWith("x") ? "lie.stl" : "lie.ply"), lie.getBytes(StandardCharsets.ISO_8859_1));
            // The first megabyte of a header and the class loading of a first use; the lies ask for hundreds of megabytes at least.
            assertThat(allocatedBy(() -> MeshFiles.read(path, Task.silent()))).as(lie).isLessThan(10_000_000);
        }
    }

    @Test
    void filesThatNeedMoreMemoryThanTheTaskMayTake_areRefusedInWords() throws IOException {
        Mesh mesh = TestMeshes.random(1, "a", Content.POLYGONS);
        for (String ending : List.of("obj", "ply", "stl", "glb", "gltf")) {
            Path path = folder.resolve("a." + ending);
            MeshFiles.write(mesh, path, Task.silent());
            Task poor = new Task(org.estampage.task.Progress.none(), new org.estampage.task.Cancellation(), MemoryBudget.ofBytes(100));
            assertThatThrownBy(() -> MeshFiles.read(path, poor)).isInstanceOf(IOException.class)
                    .hasMessageContaining("a." + ending + " needs ")
                    .hasMessageContaining("-Xmx");
            assertThat(poor.memory().reserved()).isZero();
        }
    }
}
