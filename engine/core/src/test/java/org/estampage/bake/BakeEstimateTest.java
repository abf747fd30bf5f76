package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.concurrent.atomic.AtomicLong;
import org.estampage.bvh.Bvh;
import org.estampage.cage.Cage;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.maps.ColourMap;
import org.estampage.maps.CurvatureMap;
import org.estampage.maps.HeightMap;
import org.estampage.maps.IdMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.mesh.Mesh;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** Estimates against what bakes then take, within the quarter that is promised. */
class BakeEstimateTest {
    private static final Mesh HIGH = Patches.grid(150, 0, (x, z) -> 0.1 * Math.sin(40 * x) * Math.cos(31 * z));
    private static final BakeJob JOB = BakeJob.of(Cage.offset(Patches.flat(2, 0.1), 0.5), HIGH).size(256)
            .maps(NormalMap.create(), HeightMap.create(), OcclusionMap.create(8)).build();

    @Test
    void raysAndTexels_areThoseThatComeOfIt() {
        BakeEstimate estimate = Baker.create().estimate(JOB);
        BakeResult result = Baker.create().bake(JOB, Task.silent());
        assertThat((double) estimate.texels() / result.coveredCount()).isBetween(0.8, 1.25);
        assertThat((double) estimate.rays() / (result.projectionRayCount() + result.hemisphereRayCount())).isBetween(0.8, 1.25);
        // 3 × 16 + 16 + 8 bits a texel.
        assertThat(estimate.fileBytes()).isEqualTo(256 * 256 * 9L);
        assertThat(estimate.toString()).contains("million rays").contains("MB at the peak");
    }

    @Test
    void memory_isWhatTheBudgetSees_andTheTreeSays() {
        MemoryBudget budget = MemoryBudget.ofBytes(1L << 40);
        AtomicLong most = new AtomicLong();
        Task task = new Task((name, done, total) -> most.accumulateAndGet(budget.reserved(), Math::max), new Cancellation(), budget);
        BakeEstimate estimate = Baker.create().threads(2).estimate(JOB);
        Baker.create().threads(2).bake(JOB, task);
        double baking = estimate.structureBytes() + estimate.imageBytes() + estimate.workBytes();
        assertThat(baking / most.get()).isBetween(0.75, 1.33);
        assertThat((double) estimate.peakBytes()).isGreaterThan(Bvh.build(HIGH, Task.silent()).buildPeakBytes() * 0.8);
    }

    @Test
    void whatMapsAndMeshesPrepare_isCounted() {
        BakeEstimate bare = Baker.create().estimate(JOB);
        BakeEstimate curved = Baker.create().estimate(JOB.toBuilder().map(CurvatureMap.create()).build());
        // A float and a double a vertex are kept.
        assertThat(curved.structureBytes() - bare.structureBytes()).isEqualTo(12L * HIGH.vertexCount());
        BakeEstimate pieces = Baker.create().estimate(JOB.toBuilder().map(IdMap.create().pieces()).build());
        assertThat(pieces.structureBytes() - bare.structureBytes()).isEqualTo(4L * HIGH.triangleCount());
        FloatImage texture = FloatImage.create(512, 256, Encoding.colour(3));
        BakeEstimate textured = Baker.create().estimate(JOB.toBuilder().map(ColourMap.create().texture(texture)).build());
        assertThat(textured.structureBytes() - bare.structureBytes()).isEqualTo(FloatImage.bytes(512, 256, 3) / 3);
        BakeJob three = BakeJob.of(Cage.offset(Patches.flat(2, 0.1), 0.5), HIGH, HIGH, HIGH).size(256).maps(NormalMap.create()).build();
        BakeJob one = BakeJob.of(Cage.offset(Patches.flat(2, 0.1), 0.5), HIGH).size(256).maps(NormalMap.create()).build();
        // Joined, they are there once more.
        assertThat(Baker.create().estimate(three).peakBytes()).isGreaterThan(3 * Baker.create().estimate(one).peakBytes());
    }

    @Test
    void estimate_growsWithSizeMapsAndHighPoly() {
        BakeEstimate small = Baker.create().estimate(JOB);
        BakeEstimate large = Baker.create().estimate(JOB.toBuilder().size(512).build());
        assertThat(large.imageBytes()).isEqualTo(4 * small.imageBytes());
        assertThat(large.rays()).isBetween(4 * small.rays() - 100, 4 * small.rays() + 100);
        BakeEstimate shared = Baker.create().estimate(JOB.toBuilder().map(OcclusionMap.create(8).sharingRays()).build());
        assertThat(shared.imageBytes()).isGreaterThan(small.imageBytes());
        assertThat(Baker.create().threads(8).estimate(JOB).workBytes()).isEqualTo(8 * Baker.create().threads(1).estimate(JOB).workBytes());
    }
}
