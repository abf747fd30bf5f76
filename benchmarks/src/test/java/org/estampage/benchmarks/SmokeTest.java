package org.estampage.benchmarks;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.junit.jupiter.api.Assumptions.assumeFalse;

import java.util.Collection;
import java.util.List;
import java.util.Objects;
import java.util.Set;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.PointBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.junit.jupiter.api.Test;
import org.openjdk.jmh.profile.GCProfiler;
import org.openjdk.jmh.results.RunResult;
import org.openjdk.jmh.runner.Runner;
import org.openjdk.jmh.runner.RunnerException;
import org.openjdk.jmh.runner.options.OptionsBuilder;
import org.openjdk.jmh.runner.options.TimeValue;
import org.openjdk.jmh.runner.options.VerboseMode;

/** Every benchmark runs, and its set-up notices wrong answers. */
class SmokeTest {
    private static final Set<String> OF_RAYS = Set.of("ProjectionBenchmark.closestHits", "OcclusionBenchmark.hemispheres",
            "OcclusionBenchmark.anyHits", "IncoherentBenchmark.closestHits", "NearestBenchmark.nearestPoints");

    @Test
    void everyBenchmark_runsOnceOnASmallColumn_andSaysWhatIsAllocated() throws RunnerException {
        Collection<RunResult> results = new Runner(new OptionsBuilder().include("org.estampage.benchmarks").forks(0).warmupIterations(0)
                .measurementIterations(1).measurementTime(TimeValue.milliseconds(1)).param("scene", "column-5000")
                .param("triangles", "5000").param("charts", "10").param("texels", "200").addProfiler(GCProfiler.class)
                .shouldFailOnError(true)
                .verbosity(VerboseMode.SILENT).build())
                .run();
        assertThat(results).extracting(SmokeTest::name).containsAll(OF_RAYS).contains("BuildBenchmark.build", "MeshReadBenchmark.read",
                "DecimateBenchmark.decimate", "FlattenBenchmark.unwrap", "PackBenchmark.repack", "DistanceBenchmark.measure",
                "PngBenchmark.write");
        assertThat(results).allSatisfy(result -> assertThat(result.getPrimaryResult().getScore()).isPositive());
        assertThat(results).allSatisfy(result -> assertThat(result.getSecondaryResults()).containsKey("gc.alloc.rate.norm"));
        // Bytes a ray, not a call: 65,536 rays of a first call, in code that is not compiled yet, box a few vectors each.
        assertThat(results).filteredOn(result -> OF_RAYS.contains(name(result)))
                .allSatisfy(result -> assertThat(Objects.requireNonNull(result.getSecondaryResults().get("gc.alloc.rate.norm")).getScore())
                        .isLessThan(1e5));
    }

    @Test
    void answersOnFetchedMeshes_areThoseOfTheOracle() {
        List<String> there = RayScene.FETCHED.stream().filter(name -> RayScene.fetched(name).isPresent()).toList();
        assumeFalse(there.isEmpty(), "nothing was fetched");
        for (String name : there) {
            RayScene scene = RayScene.named(name);
            AnswerCheck.check(scene, Contender.named(Contender.USUAL).build(scene.mesh()));
            // Benchmarks need points where projection rays hit: a quarter of them at least.
            assertThat(Rays.points(scene, Contender.named("sah-binary").build(scene.mesh()), 64).size).as(name).isGreaterThan(64 * 64 / 4);
        }
    }

    private static String name(RunResult result) {
        return result.getParams().getBenchmark().replaceAll(".*benchmarks\\.", "");
    }

    @Test
    void setUp_refusesATracerThatMissesAHit_orIsOffByATenthOfAPercent() {
        RayScene scene = RayScene.column(5000);
        RayTracer right = Contender.named(Contender.USUAL).build(scene.mesh());
        AnswerCheck.check(scene, right);
        assertThatThrownBy(() -> AnswerCheck.check(scene, new Wrong(right, true, false))).isInstanceOf(IllegalStateException.class)
                .hasMessageContaining("ray").hasMessageContaining("oracle");
        assertThatThrownBy(() -> AnswerCheck.check(scene, new Wrong(right, false, true))).isInstanceOf(IllegalStateException.class)
                .hasMessageContaining("point").hasMessageContaining("oracle");
    }

    @Test
    void scenes_thatAreNotUnderstood_areNamed() {
        assertThatThrownBy(() -> RayScene.named("column-12")).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("column-12")
                .hasMessageContaining("terrain");
    }

    /** Answers rightly, but for the last ray or the last point. */
    private record Wrong(RayTracer right, boolean forgetsARay, boolean misplacesAPoint) implements RayTracer {
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
            if (forgetsARay) {
                dest.triangle[rays.size - 1] = dest.triangle[rays.size - 1] < 0 ? 0 : -1;
            }
        }

        @Override
        public void anyHits(RayBatch rays, Facing facing, boolean[] dest) {
            right.anyHits(rays, facing, dest);
        }

        @Override
        public void nearestPoints(PointBatch inoutPoints) {
            right.nearestPoints(inoutPoints);
            if (misplacesAPoint) {
                inoutPoints.distance[inoutPoints.size - 1] += 1e-3f;
            }
        }
    }
}
