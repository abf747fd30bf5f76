package org.estampage.benchmarks;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.concurrent.TimeUnit;
import org.estampage.io.MeshFiles;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.Bollard;
import org.estampage.testresources.Shape;
import org.openjdk.jmh.annotations.AuxCounters;
import org.openjdk.jmh.annotations.Benchmark;
import org.openjdk.jmh.annotations.BenchmarkMode;
import org.openjdk.jmh.annotations.Fork;
import org.openjdk.jmh.annotations.Level;
import org.openjdk.jmh.annotations.Measurement;
import org.openjdk.jmh.annotations.Mode;
import org.openjdk.jmh.annotations.OutputTimeUnit;
import org.openjdk.jmh.annotations.Param;
import org.openjdk.jmh.annotations.Scope;
import org.openjdk.jmh.annotations.Setup;
import org.openjdk.jmh.annotations.State;
import org.openjdk.jmh.annotations.TearDown;
import org.openjdk.jmh.annotations.Warmup;

/** Meshes a second, and megabytes a second, read from files that the system has in its cache: the bollard, positions and triangles. */
@State(Scope.Benchmark)
@BenchmarkMode(Mode.Throughput)
@OutputTimeUnit(TimeUnit.SECONDS)
@Warmup(iterations = 4, time = 2)
@Measurement(iterations = 5, time = 2)
@Fork(value = 3, jvmArgsAppend = {"--add-modules", "jdk.incubator.vector"})
public class MeshReadBenchmark {
    /** Triangles of the bollard. */
    @Param({"200000", "1000000"})
    public int triangles;
    /** The file's ending. */
    @Param({"obj", "ply", "stl"})
    public String format;

    private Path folder;
    private Path file;
    private double fileMegabytes;

    /** How much was read. */
    @State(Scope.Thread)
    @AuxCounters(AuxCounters.Type.OPERATIONS)
    public static class Volume {
        /** Millions of bytes. */
        public double megabytes;

        /** Makes the counter. */
        public Volume() {
        }
    }

    /** Makes the benchmark; JMH fills it. */
    @SuppressWarnings("NullAway.Init")
    public MeshReadBenchmark() {
    }

    /**
     * Writes the file, and checks that it reads as it was written.
     *
     * @throws IOException           if writing fails
     * @throws IllegalStateException if another mesh is read
     */
    @Setup(Level.Trial)
    public void write() throws IOException {
        Shape shape = Bollard.generate(triangles);
        Mesh mesh = Mesh.builder(shape.positions(), shape.triangles()).build();
        folder = Files.createTempDirectory("estampage-benchmark");
        file = folder.resolve("bollard." + format);
        MeshFiles.write(mesh, file, Task.silent());
        fileMegabytes = Files.size(file) / 1e6;
        Mesh read = MeshFiles.read(file, Task.silent());
        // Formats may number vertices anew; the corners' coordinates, triangle by triangle, stay the same numbers.
        if (!Arrays.equals(corners(mesh), corners(read))) {
            delete();
            throw new IllegalStateException(file + " does not read as it was written");
        }
    }

    private static float[] corners(Mesh mesh) {
        int[] t = mesh.positionIndices();
        float[] corners = new float[3 * t.length];
        for (int i = 0; i < t.length; i++) {
            for (int k = 0; k < 3; k++) {
                // Welding takes −0 and 0 for the same place, as numbers do; adding 0 makes their bits the same.
                corners[3 * i + k] = mesh.positions()[3 * t[i] + k] + 0f;
            }
        }
        return corners;
    }

    /**
     * Deletes the file.
     *
     * @throws IOException if that fails
     */
    @TearDown(Level.Trial)
    public void delete() throws IOException {
        Files.delete(file);
        Files.delete(folder);
    }

    /** Reads the file. */
    @Benchmark
    public Mesh read(Volume volume) throws IOException {
        volume.megabytes += fileMegabytes;
        return MeshFiles.read(file, Task.silent());
    }
}
