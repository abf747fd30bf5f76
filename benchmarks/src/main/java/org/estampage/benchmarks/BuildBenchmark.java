package org.estampage.benchmarks;

import java.util.concurrent.TimeUnit;
import org.estampage.bvh.RayTracer;
import org.estampage.mesh.Mesh;
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

/** Time to build a tracer of a scene, on all processors. */
@State(Scope.Benchmark)
@BenchmarkMode(Mode.AverageTime)
@OutputTimeUnit(TimeUnit.MILLISECONDS)
@Warmup(iterations = 4, time = 2)
@Measurement(iterations = 5, time = 2)
@Fork(value = 3, jvmArgsAppend = {"--add-modules", "jdk.incubator.vector"})
public class BuildBenchmark {
    /** A carved column of so many triangles, or a mesh that {@code test-resources/fetch} brings. */
    @Param({"column-200000", "column-2000000", "terrain", "bunny", "elephant"})
    public String scene;
    /** How rays are answered. */
    @Param(Contender.USUAL)
    public String strategy;

    private Mesh mesh;

    /** Makes the benchmark; JMH fills it. */
    @SuppressWarnings("NullAway.Init")
    public BuildBenchmark() {
    }

    /**
     * Makes the mesh and checks a first build against the oracle.
     *
     * @throws IllegalStateException if an answer is wrong, or the mesh was not fetched
     */
    @Setup(Level.Trial)
    public void generate() {
        RayScene rays = RayScene.named(scene);
        mesh = rays.mesh();
        AnswerCheck.check(rays, Contender.named(strategy).build(mesh));
    }

    /** Builds. */
    @Benchmark
    public RayTracer build() {
        return Contender.named(strategy).build(mesh);
    }
}
