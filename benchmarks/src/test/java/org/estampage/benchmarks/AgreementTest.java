package org.estampage.benchmarks;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.estampage.benchmarks.reference.NativeRays;
import org.estampage.benchmarks.reference.NativeScene;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.PointBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;

/** Source of the checks: Embree 3.13.5 (Debian's libembree-dev), robust; where floats differ, exact arithmetic. */
class AgreementTest {
    private static final int RAYS = 300_000;
    private static final NativeScene.Options ROBUST = new NativeScene.Options(NativeScene.Quality.MEDIUM, true, 2, "");
    private static final RayScene COLUMN = RayScene.column(200_000);

    @BeforeAll
    static void findLibrary() throws InterruptedException {
        int status;
        String said = "";
        try {
            Process process = new ProcessBuilder("src/main/native/build", "target").start();
            said = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8).strip();
            String error = new String(process.getErrorStream().readAllBytes(), StandardCharsets.UTF_8);
            status = process.waitFor(60, TimeUnit.SECONDS) ? process.exitValue() : -1;
            assertThat(status).as(error).isIn(0, 3);
        } catch (IOException e) {
            status = 3;
        }
        if (status == 3) {
            assertThat(System.getenv().getOrDefault("CI", "false")).as("the native reference must be installed in continuous integration")
                    .isIn("", "false");
            Assumptions.abort("the native reference is not installed (apt-get install libembree-dev gcc)");
        }
        System.setProperty(NativeScene.LIBRARY, Path.of(said).toAbsolutePath().toString());
    }

    @Test
    void everyStrategy_hitsWhatTheRobustReferenceHits() {
        List<Bvh> tracers = Contender.ALL.stream().map(contender -> contender.build(COLUMN.mesh())).toList();
        try (NativeScene reference = reference(COLUMN)) {
            Agreement agreement = new Agreement(COLUMN, tracers, reference);
            agreement.run(RAYS, done -> {
            });
            assertThat(agreement.rays).isEqualTo(RAYS);
            // Nearly every ray hits the column, and its flutes block some: neither side may agree by finding nothing.
            assertThat(agreement.hits).isGreaterThan(RAYS * 99L / 100);
            assertThat(agreement.occlusionRays).isGreaterThan(RAYS * 95L / 100);
            assertThat(agreement.blocked).isBetween(agreement.occlusionRays / 50, agreement.occlusionRays / 2);
            assertThat(agreement.otherBits).isZero();
            assertThat(agreement.holes).isZero();
            assertThat(agreement.off).isZero();
            assertThat(agreement.occlusionHoles).isZero();
            assertThat(agreement.holds()).as(agreement.summary()).isTrue();
        }
    }

    @Test
    void comparison_noticesOneWrongAnswerOfEachKind() {
        RayTracer right = Contender.named(Contender.USUAL).build(COLUMN.mesh());
        try (NativeScene reference = reference(COLUMN)) {
            for (Fault fault : Fault.values()) {
                Agreement agreement = new Agreement(COLUMN, List.of(new Faulty(right, fault)), reference);
                // Few rays miss the column: only its upper end.
                agreement.run(fault == Fault.FALSE_HIT ? RAYS : 20_000, done -> {
                });
                assertThat(new long[] {agreement.holes, agreement.referenceMissesAlone, agreement.off, agreement.occlusionHoles})
                        .as(fault.name())
                        .containsExactly(fault == Fault.NO_HIT ? 1 : 0, fault == Fault.FALSE_HIT ? 1 : 0, fault == Fault.LONGER ? 1 : 0,
                                fault == Fault.OPEN ? 1 : 0);
                assertThat(agreement.grazes).isEqualTo(agreement.referenceMissesAlone);
            }
            Agreement agreement = new Agreement(COLUMN, List.of(right, new Faulty(right, Fault.LONGER)), reference);
            agreement.run(20_000, done -> {
            });
            assertThat(agreement.otherBits).isEqualTo(1);
            assertThat(agreement.holds()).isFalse();
        }
    }

    @Test
    void everyModeOfTheReference_givesTheSameAnswers_alsoForChunksThatFillNoPacket() {
        RayBatch rays = Rays.cut(1003, 1003, (ray, dest) -> COLUMN.addProjectionRay(1000 * ray, 1024, dest))[0];
        try (NativeScene reference = reference(COLUMN); NativeRays off = NativeRays.copyOf(rays)) {
            assertThat(reference.version()).startsWith("3.");
            assertThat(reference.bytes()).isBetween(20L * COLUMN.mesh().triangleCount(), reference.peakBytes());
            int[] triangles = new int[rays.size];
            float[] distances = new float[rays.size];
            boolean[] blocked = new boolean[rays.size];
            reference.closestHits(off, 0, rays.size, NativeScene.Mode.SINGLE);
            reference.anyHits(off, 0, rays.size, NativeScene.Mode.SINGLE);
            for (int i = 0; i < rays.size; i++) {
                triangles[i] = off.triangle(i);
                distances[i] = off.distance(i);
                blocked[i] = off.blocked(i);
            }
            for (NativeScene.Mode mode : NativeScene.Mode.values()) {
                try (NativeRays again = NativeRays.copyOf(rays)) {
                    for (int first = 0; first < rays.size; first += 37) {
                        reference.closestHits(again, first, Math.min(rays.size, first + 37), mode);
                        reference.anyHits(again, first, Math.min(rays.size, first + 37), mode);
                    }
                    for (int i = 0; i < rays.size; i++) {
                        assertThat(again.blocked(i)).as("%s ray %d", mode, i).isEqualTo(blocked[i]).isEqualTo(triangles[i] >= 0);
                        assertThat(again.triangle(i) >= 0).as("%s ray %d", mode, i).isEqualTo(triangles[i] >= 0);
                        if (triangles[i] >= 0) {
                            // Its modes order their operations differently: a few units in the last place of distances of 0.3.
                            assertThat((double) Math.abs(again.distance(i) - distances[i])).isLessThan(Agreement.TOLERANCE);
                        }
                    }
                }
            }
        }
    }

    private static NativeScene reference(RayScene scene) {
        return NativeScene.build(scene.mesh().positions(), scene.mesh().positionIndices(), ROBUST);
    }

    private enum Fault {
        /** Misses a hit. */
        NO_HIT,
        /** Hits the triangle before for a ray that misses. */
        FALSE_HIT,
        /** Is three tolerances too far. */
        LONGER,
        /** Lets a ray through. */
        OPEN
    }

    /** Answers rightly but for one ray of the first batch. */
    private static final class Faulty implements RayTracer {
        private final RayTracer right;
        private final Fault fault;
        private boolean done;

        Faulty(RayTracer right, Fault fault) {
            this.right = right;
            this.fault = fault;
        }

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
            for (int i = 0; i < rays.size && !done; i++) {
                boolean hit = dest.triangle[i] >= 0;
                if (fault == Fault.NO_HIT && hit) {
                    dest.triangle[i] = -1;
                    done = true;
                } else if (fault == Fault.LONGER && hit) {
                    dest.t[i] *= (float) (1 + 3 * Agreement.TOLERANCE);
                    done = true;
                } else if (fault == Fault.FALSE_HIT && !hit) {
                    dest.triangle[i] = 0;
                    dest.t[i] = 1;
                    dest.b1[i] = 0;
                    dest.b2[i] = 0;
                    done = true;
                }
            }
        }

        @Override
        public void anyHits(RayBatch rays, Facing facing, boolean[] dest) {
            right.anyHits(rays, facing, dest);
            for (int i = 0; i < rays.size && !done; i++) {
                if (fault == Fault.OPEN && dest[i]) {
                    dest[i] = false;
                    done = true;
                }
            }
        }

        @Override
        public void nearestPoints(PointBatch inoutPoints) {
            right.nearestPoints(inoutPoints);
        }
    }
}
