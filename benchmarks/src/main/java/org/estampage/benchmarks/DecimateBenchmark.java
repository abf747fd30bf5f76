package org.estampage.benchmarks;

import java.util.concurrent.TimeUnit;
import org.estampage.lowpoly.Decimate;
import org.estampage.lowpoly.SurfaceDistance;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
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
import org.openjdk.jmh.annotations.Warmup;

/** Time to decimate the carved column; {@code -prof gc} tells the bytes allocated. */
@State(Scope.Benchmark)
@BenchmarkMode(Mode.AverageTime)
@OutputTimeUnit(TimeUnit.MILLISECONDS)
@Warmup(iterations = 2, time = 2)
@Measurement(iterations = 3, time = 2)
@Fork(value = 2, jvmArgsAppend = {"-Xmx4g", "--add-modules", "jdk.incubator.vector"})
public class DecimateBenchmark {
    /** Triangles of the column. */
    @Param({"200000", "2000000"})
    public int triangles;
    /** Triangles that are left. */
    @Param({"11000"})
    public int kept;

    private Mesh mesh;

    /** Makes the benchmark; JMH fills it. */
    @SuppressWarnings("NullAway.Init")
    public DecimateBenchmark() {
    }

    /**
     * Generates the column, decimates it once and checks the result.
     *
     * @throws IllegalStateException if there are too many triangles or the surface is far off
     */
    @Setup(Level.Trial)
    public void generate() {
        mesh = ColumnScene.column(triangles);
        Mesh low = Decimate.of(mesh).triangles(kept()).build();
        double mean = SurfaceDistance.between(low, mesh, 20_000, Task.silent()).mean();
        // A thousandth of the size is several times what a thousand triangles need.
        if (low.triangleCount() > kept() || !(mean <= 1e-3 * mesh.bounds().diagonal())) {
            throw new IllegalStateException(low.triangleCount() + " triangles are left, " + mean + " away on average");
        }
    }

    // A smoke test's column is smaller than what is kept otherwise.
    private int kept() {
        return Math.min(kept, triangles / 4);
    }

    /** Decimates to a number of triangles. */
    @Benchmark
    public Mesh decimate() {
        return Decimate.of(mesh).triangles(kept()).build();
    }
}
