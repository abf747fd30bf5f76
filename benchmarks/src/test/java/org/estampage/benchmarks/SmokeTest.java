package org.estampage.benchmarks;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.Collection;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.PointBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.mesh.Mesh;
import org.junit.jupiter.api.Test;
import org.openjdk.jmh.results.RunResult;
import org.openjdk.jmh.runner.Runner;
import org.openjdk.jmh.runner.RunnerException;
import org.openjdk.jmh.runner.options.OptionsBuilder;
import org.openjdk.jmh.runner.options.TimeValue;
import org.openjdk.jmh.runner.options.VerboseMode;

/** Every benchmark runs, and its set-up notices wrong answers. */
class SmokeTest {
    @Test
    void everyBenchmark_runsOnceOnASmallColumn() throws RunnerException {
        Collection<RunResult> results = new Runner(new OptionsBuilder().include("org.estampage.benchmarks").forks(0).warmupIterations(0)
                .measurementIterations(1).measurementTime(TimeValue.milliseconds(1)).param("triangles", "5000").shouldFailOnError(true)
                .verbosity(VerboseMode.SILENT).build()).run();
        assertThat(results).extracting(result -> result.getParams().getBenchmark().replaceAll(".*benchmarks\\.", ""))
                .contains("ProjectionBenchmark.closestHits", "OcclusionBenchmark.hemispheres", "OcclusionBenchmark.anyHits",
                        "BuildBenchmark.build",
                        "MeshReadBenchmark.read", "DecimateBenchmark.decimate", "FlattenBenchmark.unwrap");
        assertThat(results).allSatisfy(result -> assertThat(result.getPrimaryResult().getScore()).isPositive());
    }

    @Test
    void setUp_refusesATracerThatMissesAHit() {
        Mesh mesh = ColumnScene.column(5000);
        RayTracer right = Contender.named(Contender.USUAL).build(mesh);
        ColumnScene.check(mesh, right);
        assertThatThrownBy(() -> ColumnScene.check(mesh, new Forgetful(right))).isInstanceOf(IllegalStateException.class)
                .hasMessageContaining("oracle");
    }

    /** Answers rightly, but for the last ray. */
    private record Forgetful(RayTracer right) implements RayTracer {
        @Override
        public int triangleCount() {
            return right.triangleCount();
        }

        @Override
        public long bytes() {
            return right.bytes();
        }

        @Override
        public int preferredBatchSize() {
            return right.preferredBatchSize();
        }

        @Override
        public void closestHits(RayBatch rays, Facing facing, HitBatch dest) {
            right.closestHits(rays, facing, dest);
            dest.triangle[rays.size - 1] = dest.triangle[rays.size - 1] < 0 ? 0 : -1;
        }

        @Override
        public void anyHits(RayBatch rays, Facing facing, boolean[] dest) {
            right.anyHits(rays, facing, dest);
        }

        @Override
        public void nearestPoints(PointBatch inoutPoints) {
            right.nearestPoints(inoutPoints);
        }
    }
}
