package org.estampage.benchmarks;

import java.util.Arrays;
import java.util.concurrent.TimeUnit;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.uv.Unwrap;
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

/** Time to unwrap a wavy sheet as one chart: laying it flat for a trial, then for good. */
@State(Scope.Benchmark)
@BenchmarkMode(Mode.AverageTime)
@OutputTimeUnit(TimeUnit.MILLISECONDS)
@Warmup(iterations = 1, time = 2)
@Measurement(iterations = 2, time = 2)
@Fork(value = 2, jvmArgsAppend = {"-Xmx4g", "--add-modules", "jdk.incubator.vector"})
public class FlattenBenchmark {
    /** Triangles of the sheet, about. */
    @Param({"200000"})
    public int triangles;

    private Mesh sheet;

    /** Makes the benchmark; JMH fills it. */
    @SuppressWarnings("NullAway.Init")
    public FlattenBenchmark() {
    }

    /**
     * Generates the sheet, unwraps it once and checks the result.
     *
     * @throws IllegalStateException if it is not one chart, or a triangle lies the wrong way round
     */
    @Setup(Level.Trial)
    public void generate() {
        int n = (int) Math.sqrt(triangles / 2.0);
        float[] xyz = new float[3 * (n + 1) * (n + 1)];
        int[] corners = new int[6 * n * n];
        int at = 0;
        for (int j = 0; j <= n; j++) {
            for (int i = 0; i <= n; i++) {
                int a = j * (n + 1) + i;
                double x = (double) i / n;
                double y = (double) j / n;
                xyz[3 * a] = (float) x;
                xyz[3 * a + 1] = (float) y;
                xyz[3 * a + 2] = (float) (0.15 * Math.sin(9 * x) * Math.cos(7 * y));
                if (i < n && j < n) {
                    int b = a + n + 1;
                    for (int corner : new int[] {a, a + 1, b + 1, a, b + 1, b}) {
                        corners[at++] = corner;
                    }
                }
            }
        }
        sheet = Mesh.builder(xyz, corners).build();
        Attribute uv = unwrap().uvSets().get(0);
        int entries = (int) Arrays.stream(uv.indices()).distinct().count();
        float[] p = uv.values();
        int flips = 0;
        for (int c = 0; c < corners.length; c += 3) {
            int u = 2 * uv.indices()[c];
            int v = 2 * uv.indices()[c + 1];
            int w = 2 * uv.indices()[c + 2];
            flips += (p[v] - p[u]) * (p[w + 1] - p[u + 1]) - (p[v + 1] - p[u + 1]) * (p[w] - p[u]) > 0 ? 0 : 1;
        }
        if (entries != (n + 1) * (n + 1) || flips > 0) {
            throw new IllegalStateException(
                    entries + " UVs for " + (n + 1) * (n + 1) + " vertices, " + flips + " triangles the wrong way round");
        }
    }

    /** Unwraps it without seams. */
    @Benchmark
    public Mesh unwrap() {
        return Unwrap.of(sheet).seamsByAngle(180).build();
    }
}
