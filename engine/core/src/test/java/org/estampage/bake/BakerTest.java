package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.List;
import java.util.concurrent.CancellationException;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.concurrent.atomic.AtomicLong;
import org.assertj.core.data.Offset;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.PointBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.cage.Cage;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Padding;
import org.estampage.image.Range;
import org.estampage.maps.CoverageMap;
import org.estampage.maps.HeightMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.ObjectNormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.maps.PositionMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshProblem;
import org.estampage.mesh.Normals;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

class BakerTest {
    private static BakeResult bake(BakeJob job) {
        return Baker.create().bake(job, Task.silent());
    }

    private static float[] all(FloatImage image) {
        return image.read(0, 0, image.width(), image.height(), new float[image.width() * image.height() * image.channels()]);
    }

    @Test
    void raisedPlane_hasItsHeightNormalAndPosition_andMissesNothing() {
        Mesh low = Patches.flat(2, 0.1);
        Mesh high = Patches.grid(8, 0, (x, z) -> 0.25);
        BakeResult result = bake(BakeJob.of(Cage.offset(low, 0.5), high).size(32).padding(0)
                .maps(HeightMap.create(), NormalMap.create(), ObjectNormalMap.create(), PositionMap.create(), CoverageMap.create())
                .build());
        assertThat(result.missedCount()).isZero();
        assertThat(result.coveredCount()).isBetween(26L * 26, 27L * 27);
        assertThat(result.findings().ofKind("missed-texels")).isEmpty();
        for (int y = 4; y < 28; y++) {
            for (int x = 4; x < 28; x++) {
                // Exact but for the rounding of a hit distance near 0.25, about 3e-8.
                assertThat(result.map("height").get(x, y, 0)).isCloseTo(0.25f, Offset.offset(2e-7f));
                assertThat(result.map("normal").get(x, y, 2)).isEqualTo(1f);
                assertThat(result.map("object-normal").get(x, y, 1)).isEqualTo(1f);
                assertThat(result.map("coverage").get(x, y, 0)).isEqualTo(1f);
                double u = (x + 0.5) / 32, v = 1 - (y + 0.5) / 32;
                assertThat((double) result.map("position").get(x, y, 0)).isCloseTo((u - 0.1) / 0.8 * 2 - 1, Offset.offset(1e-6));
                assertThat((double) result.map("position").get(x, y, 2)).isCloseTo(1 - (v - 0.1) / 0.8 * 2, Offset.offset(1e-6));
            }
        }
        assertThat(result.range("height").atOne()).isCloseTo(0.25f, Offset.offset(2e-7f));
        assertThat(result.range("height").atZero()).isEqualTo(-result.range("height").atOne());
    }

    @Test
    void cageOnTheLowPoly_overTheSameHighPoly_hitsAtTheOriginToo() {
        // One sample a texel and 33 texels a side: the middle one's sample lies exactly at the origin.
        Mesh low = Patches.flat(1, 0);
        BakeResult result = bake(BakeJob.of(Cage.offset(low, 0), Patches.flat(1, 0)).size(33).samples(1).padding(0)
                .maps(HeightMap.create(), PositionMap.create(), CoverageMap.create()).build());
        assertThat(result.map("position").get(16, 16, 0)).isZero();
        assertThat(result.map("position").get(16, 16, 2)).isZero();
        assertThat(result.missedCount()).isZero();
        assertThat(result.map("coverage").get(16, 16, 0)).isEqualTo(1f);
    }

    @Test
    void slope_tangentSpaceNormal_leansAgainstTheRise() {
        // z rises along +u: the high poly's normal leans towards −u, by the angle of the slope.
        Mesh low = Patches.flat(2, 0.1);
        Mesh high = Patches.grid(4, 0, (x, z) -> 0.1 * x);
        BakeResult result = bake(BakeJob.of(Cage.offset(low, 0.5), high).size(16).maps(NormalMap.create(), new BitangentMap()).build());
        double length = Math.sqrt(1.01);
        assertThat((double) result.map("normal").get(8, 8, 0)).isCloseTo(-0.1 / length, Offset.offset(1e-6));
        assertThat((double) result.map("normal").get(8, 8, 1)).isCloseTo(0, Offset.offset(1e-6));
        assertThat((double) result.map("normal").get(8, 8, 2)).isCloseTo(1 / length, Offset.offset(1e-6));
        // Rising v runs towards −z.
        assertThat(result.map("bitangent").get(8, 8, 2)).isLessThan(-0.99f);
    }

    /** A map of one's own, which needs nothing but this class. */
    private record BitangentMap() implements SurfaceMap {
        @Override
        public String name() {
            return "bitangent";
        }

        @Override
        public MapFormat format() {
            return ObjectNormalMap.create().format();
        }

        @Override
        public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
            System.arraycopy(hits.bitangents, 0, dest, 0, 3 * hits.size());
        }
    }

    @Test
    void values_areTheSame_forAnyThreadsAndBlocks() {
        Mesh low = Patches.flat(3, 0.07);
        Mesh high = Patches.grid(60, 0, (x, z) -> 0.1 * Math.sin(9 * x) * Math.cos(7 * z));
        BakeJob job = BakeJob.of(Cage.offset(low, 0.3), high).size(70, 53).samples(3)
                .maps(HeightMap.create(), NormalMap.create(), OcclusionMap.create(40), CoverageMap.create(), PositionMap.create()).build();
        BakeResult one = Baker.create().threads(1).blockSide(64).bake(job, Task.silent());
        for (int[] how : new int[][] {{2, 64}, {2, 7}, {3, 32}, {1, 1}}) {
            BakeResult other = Baker.create().threads(how[0]).blockSide(how[1]).bake(job, Task.silent());
            for (BakedMap map : one.maps()) {
                assertThat(all(other.map(map.name()))).as(map.name()).containsExactly(all(map.image()));
            }
            assertThat(other.projectionRayCount()).isEqualTo(one.projectionRayCount());
            assertThat(other.hemisphereRayCount()).isEqualTo(one.hemisphereRayCount());
            assertThat(other.missedSampleCount()).isEqualTo(one.missedSampleCount());
        }
    }

    @Test
    void scale_changesNoNormalOcclusionOrCoverage() {
        for (double scale : new double[] {1000, 0.001}) {
            Mesh low = Patches.flat(3, 0.07), high = Patches.grid(40, 0, (x, z) -> 0.1 * Math.sin(9 * x) * Math.cos(7 * z));
            BakeResult plain = bake(job(low, high, 0.3));
            BakeResult scaled = bake(job(low.unit(scale), high.unit(scale), 0.3 * scale));
            for (String name : List.of("normal", "occlusion", "coverage")) {
                float[] a = all(plain.map(name)), b = all(scaled.map(name));
                int different = 0;
                for (int i = 0; i < a.length; i++) {
                    // Scaled coordinates round differently; a ray in a thousand may see the next triangle.
                    if (Math.abs(a[i] - b[i]) > 2e-3) {
                        different++;
                    }
                }
                assertThat(different).as(name).isLessThanOrEqualTo(a.length / 500);
            }
        }
    }

    private static BakeJob job(Mesh low, Mesh high, double offset) {
        return BakeJob.of(Cage.offset(low, offset), high).size(48).maps(NormalMap.create(), OcclusionMap.create(64), CoverageMap.create())
                .build();
    }

    @Test
    void holes_areMissed_countedAndPlaced() {
        Mesh low = Patches.flat(2, 0.1);
        Mesh whole = Patches.grid(8, 0, (x, z) -> 0.1);
        int[] half = java.util.Arrays.copyOf(whole.positionIndices(), whole.positionIndices().length / 2);
        Mesh high = Mesh.builder(whole.positions(), half).build();
        BakeResult result = bake(
                BakeJob.of(Cage.offset(low, 0.3), high).size(64).padding(0).maps(HeightMap.create(), CoverageMap.create()).build());
        assertThat(result.missedCount()).isEqualTo(result.findings().ofKind("missed-texels").get(0).count());
        assertThat(result.missedCount() / (double) result.coveredCount()).isBetween(0.48, 0.52);
        // Without padding nothing filled them, and the finding must not say so.
        assertThat(result.findings().ofKind("missed-texels").get(0).toString()).contains("background").doesNotContain("filled");
        assertThat(result.map("coverage").get(32, 16, 0)).isZero();
        assertThat(result.map("coverage").get(32, 48, 0)).isEqualTo(1);
    }

    @Test
    void coverage_ofABorderTexel_isThePartOfItThatHits() {
        // The chart ends in the middle of a column and a row of texels: half of each border texel's samples lie in it, a quarter at the corner.
        Mesh low = Patches.flat(1, 2.5 / 16);
        BakeResult result = bake(
                BakeJob.of(Cage.offset(low, 0.3), Patches.flat(1, 0)).size(16).samples(4).maps(CoverageMap.create()).build());
        FloatImage coverage = result.map("coverage");
        assertThat(coverage.get(8, 8, 0)).isEqualTo(1f);
        assertThat(coverage.get(2, 8, 0)).isEqualTo(0.5f);
        assertThat(coverage.get(2, 2, 0)).isEqualTo(0.25f);
        assertThat(coverage.get(1, 8, 0)).isZero();
    }

    @Test
    void backFaces_areHitOnlyWhenAskedFor() {
        Mesh low = Patches.flat(2, 0.1);
        Mesh up = Patches.grid(4, 0, (x, z) -> 0.1);
        int[] turned = up.positionIndices().clone();
        for (int i = 0; i < turned.length; i += 3) {
            int v = turned[i];
            turned[i] = turned[i + 1];
            turned[i + 1] = v;
        }
        Mesh high = Mesh.builder(up.positions(), turned).build();
        BakeJob.Builder job = BakeJob.of(Cage.offset(low, 0.3), high).size(16).maps(HeightMap.create());
        BakeResult front = bake(job.build());
        assertThat(front.missedSampleCount()).isEqualTo(front.sampleCount());
        assertThat(front.findings().ofKind("nothing-hit")).hasSize(1);
        assertThat(bake(job.hits(HitRule.FIRST_FACE).build()).missedSampleCount()).isZero();
    }

    @Test
    void nearestRule_takesTheSheetNextToTheLowPoly_onEitherSide() {
        Mesh low = Patches.flat(2, 0.1);
        Mesh far = Patches.grid(2, 0, (x, z) -> 0.4), near = Patches.grid(2, 0, (x, z) -> -0.05),
                above = Patches.grid(2, 0, (x, z) -> 0.02);
        Cage cage = Cage.offset(low, 0.5);
        assertThat(height(BakeJob.of(cage, far, near), HitRule.FIRST_FRONT_FACE)).isCloseTo(0.4f, Offset.offset(1e-6f));
        assertThat(height(BakeJob.of(cage, far, near), HitRule.NEAREST_FRONT_FACE)).isCloseTo(-0.05f, Offset.offset(1e-6f));
        assertThat(height(BakeJob.of(cage, far, near, above), HitRule.NEAREST_FRONT_FACE)).isCloseTo(0.02f, Offset.offset(1e-6f));
        assertThat(height(BakeJob.of(cage, far), HitRule.NEAREST_FACE)).isCloseTo(0.4f, Offset.offset(1e-6f));
    }

    private static float height(BakeJob.Builder job, HitRule rule) {
        return bake(job.size(8).hits(rule).maps(HeightMap.create()).build()).map("height").get(4, 4, 0);
    }

    @Test
    void cageOnTheSurface_followsTheNormalInwards_andHitsACoincidingHighPoly() {
        Mesh low = Patches.flat(2, 0.1);
        BakeResult below = bake(
                BakeJob.of(Cage.offset(low, 0).withReach(0.5), Patches.grid(4, 0, (x, z) -> -0.25)).size(16).maps(HeightMap.create())
                        .build());
        assertThat(below.missedSampleCount()).isZero();
        assertThat(below.map("height").get(8, 8, 0)).isCloseTo(-0.25f, Offset.offset(1e-6f));
        BakeResult same = bake(
                BakeJob.of(Cage.offset(low, 0).withReach(0.5), Patches.grid(4, 0, (x, z) -> 0)).size(16).maps(HeightMap.create()).build());
        assertThat(same.missedSampleCount()).isZero();
        assertThat(same.map("height").get(8, 8, 0)).isCloseTo(0f, Offset.offset(5e-6f)); // the start's own offset: 16 units in the last place
    }

    @Test
    void depth_limitsHowFarBelowRaysGo() {
        Mesh low = Patches.flat(2, 0.1);
        BakeJob.Builder job = BakeJob.of(Cage.offset(low, 0.5), Patches.grid(4, 0, (x, z) -> -0.25)).size(8).maps(HeightMap.create());
        assertThat(bake(job.depth(0.26).build()).missedSampleCount()).isZero();
        BakeResult shallow = bake(job.depth(0.24).build());
        assertThat(shallow.missedSampleCount()).isEqualTo(shallow.sampleCount());
    }

    @Test
    void pairs_seeOnlyTheirOwnPart() {
        Mesh low = Patches.twoParts(0, 0, "left-low", "right-low");
        // Two sheets over both halves; the one named "right" is higher, so without pairs it hides the other.
        float[] p = new float[24];
        float[] left = {-1, 0.1f, 1, 1, 0.1f, 1, 1, 0.1f, -1, -1, 0.1f, -1};
        System.arraycopy(left, 0, p, 0, 12);
        for (int i = 0; i < 12; i++) {
            p[12 + i] = i % 3 == 1 ? 0.2f : left[i];
        }
        Mesh high = Mesh.builder(p, new int[] {0, 1, 2, 0, 2, 3, 4, 5, 6, 4, 6, 7})
                .parts(List.of(new org.estampage.mesh.Part("left"), new org.estampage.mesh.Part("right")), new int[] {0, 0, 1, 1}).build();
        BakeJob.Builder job = BakeJob.of(Cage.offset(low, 0.5), high).size(32).maps(HeightMap.create());
        FloatImage mixed = bake(job.build()).map("height");
        assertThat(mixed.get(8, 16, 0)).isCloseTo(0.2f, Offset.offset(1e-6f));
        FloatImage paired = bake(job.pairByName("-low", "").build()).map("height");
        assertThat(paired.get(8, 16, 0)).isCloseTo(0.1f, Offset.offset(1e-6f));
        assertThat(paired.get(24, 16, 0)).isCloseTo(0.2f, Offset.offset(1e-6f));
    }

    @Test
    void pairs_buildTheTreeOverAllParts_onlyWhereSomethingAsksForIt() {
        Mesh low = Patches.twoParts(0, 0, "left", "right"), high = Patches.twoParts(0.1, 0.2, "left", "right");
        BakeJob.Builder job = BakeJob.of(Cage.offset(low, 0.5), high).size(32).pairByName().maps(HeightMap.create());
        assertThat(treesBuilt(job.build())).isEqualTo(2);
        // The fit of a cage asks for it, and builds trees of its own.
        assertThat(treesBuilt(BakeJob.of(low, high).size(32).pairByName().maps(HeightMap.create()).build())).isGreaterThanOrEqualTo(3);
        assertThat(treesBuilt(job.maps(OcclusionMap.create(4)).build())).isEqualTo(3);
        // A single pair sees all there is.
        Mesh one = Patches.twoParts(0, 0, "same", "same"), other = Patches.twoParts(0.1, 0.2, "same", "same");
        assertThat(treesBuilt(BakeJob.of(Cage.offset(one, 0.5), other).size(32).pairByName().maps(OcclusionMap.create(4)).build()))
                .isEqualTo(1);
    }

    private static int treesBuilt(BakeJob job) {
        AtomicInteger built = new AtomicInteger();
        Baker.create().bake(job, Task.reporting((stage, done, total) -> {
            if (stage.equals("building the ray tree") && done == 0) {
                built.incrementAndGet();
            }
        }));
        return built.get();
    }

    @Test
    void tracersAndWorkers_takeFromTheMemoryBudget_whileTheBakeRuns() {
        BakeJob job = BakeJob.of(Cage.offset(Patches.flat(2, 0.1), 0.5), Patches.flat(40, 0), Patches.flat(9, -0.1)).size(64)
                .maps(OcclusionMap.create(4)).build();
        int triangles = job.highs().get(0).triangleCount() + job.highs().get(1).triangleCount();
        long image = 128 * 128 * 4; // a tile
        long joined = 12L * triangles; // three vertex numbers each, the least that joining takes
        long tree = 36L * triangles; // nine coordinates each, the least that a tree holds
        long workers = 2 * 32 * 32 * 4 * 200; // two workers, blocks of 32², four samples of some 200 bytes
        MemoryBudget budget = MemoryBudget.ofBytes(1L << 40);
        AtomicLong most = new AtomicLong();
        Baker.create().threads(2).bake(job, new Task((stage, done, total) -> {
            if (stage.equals("baking")) {
                most.accumulateAndGet(budget.reserved(), Math::max);
            }
        }, new Cancellation(), budget));
        assertThat(most.get()).isBetween(image + joined + tree + workers, 4 * (image + joined + tree + workers));
        assertThat(budget.reserved()).isEqualTo(image); // the image stays with the result, all else is given back
    }

    @Test
    void partsWithoutPartner_stopTheJob_withTheirNames() {
        Mesh low = Patches.twoParts(0, 0, "handle", "lid"), high = Patches.twoParts(0, 0, "handle", "base");
        assertThatThrownBy(() -> BakeJob.of(Cage.offset(low, 0.5), high).maps(HeightMap.create()).pairByName().build())
                .isInstanceOfSatisfying(InvalidMeshException.class,
                        e -> assertThat(e.problems()).singleElement().isInstanceOf(MeshProblem.NoPartner.class))
                .hasMessageContaining("lid").hasMessageContaining("base");
    }

    @Test
    void lowPolyWithoutUvs_isRefused_withEveryProblem() {
        Mesh noUvs = Patches.flat(2, 0.1).toBuilder().noUvSets().build();
        float[] broken = noUvs.positions().clone();
        broken[4] = Float.NaN;
        Mesh high = Mesh.builder(broken, noUvs.positionIndices()).name("scan").build();
        assertThatThrownBy(() -> BakeJob.of(Cage.offset(noUvs, 0.5), high).maps(HeightMap.create()).build())
                .isInstanceOfSatisfying(InvalidMeshException.class, e -> assertThat(e.problems()).hasSize(2))
                .hasMessageContaining("has no UVs").hasMessageContaining("scan");
    }

    @Test
    void unknownMapName_saysWhichThereAre() {
        BakeResult result = bake(
                BakeJob.of(Cage.offset(Patches.flat(1, 0.1), 0.5), Patches.flat(1, 0)).size(4).maps(HeightMap.create()).build());
        assertThatThrownBy(() -> result.map("hight")).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("\"hight\"")
                .hasMessageContaining("height");
    }

    @Test
    void cancelling_endsTheBakeWithoutAResult() {
        Cancellation cancellation = new Cancellation();
        AtomicLong blocks = new AtomicLong();
        Task task = new Task((stage, done, total) -> {
            if (stage.equals("baking") && done == 5) {
                cancellation.cancel();
            }
            if (stage.equals("baking")) {
                blocks.set(Math.max(blocks.get(), done));
            }
        }, cancellation, MemoryBudget.ofHeap());
        BakeJob job = BakeJob.of(Cage.offset(Patches.flat(2, 0.1), 0.5), Patches.flat(9, 0)).size(512).maps(OcclusionMap.create(16))
                .build();
        assertThatThrownBy(() -> Baker.create().bake(job, task)).isInstanceOf(CancellationException.class);
        assertThat(blocks.get()).isLessThan(5 + 2 * Runtime.getRuntime().availableProcessors() + 1);
    }

    @Test
    void cancelling_isSeenWithinABlock_batchByBatch() {
        Mesh high = Patches.flat(9, 0);
        Cancellation cancellation = new Cancellation();
        AtomicLong batches = new AtomicLong();
        RayTracer traced = Bvh.build(high, Task.silent());
        RayTracer counting = new RayTracer() {
            @Override
            public int triangleCount() {
                return traced.triangleCount();
            }

            @Override
            public long bytes() {
                return traced.bytes();
            }

            @Override
            public int preferredBatchSize() {
                return 16;
            }

            @Override
            public void closestHits(RayBatch rays, Facing facing, HitBatch dest) {
                batches.incrementAndGet();
                cancellation.cancel();
                traced.closestHits(rays, facing, dest);
            }

            @Override
            public void anyHits(RayBatch rays, Facing facing, boolean[] dest) {
                traced.anyHits(rays, facing, dest);
            }

            @Override
            public void nearestPoints(PointBatch points) {
                traced.nearestPoints(points);
            }
        };
        BakeJob job = BakeJob.of(Cage.offset(Patches.flat(2, 0.1), 0.5), high).size(64).samples(4).maps(NormalMap.create()).build();
        Task task = new Task(org.estampage.task.Progress.none(), cancellation, MemoryBudget.ofHeap());

        assertThatThrownBy(() -> Baker.create().threads(1).tracer(high, counting).bake(job, task))
                .isInstanceOf(CancellationException.class);

        // A block of so small an image is all of it, 64 × 64 × 16 rays; a tracer of 16 rays a batch sees the first batch and no more.
        assertThat(batches.get()).isEqualTo(1);
    }

    @Test
    void memoryBudgetOfNothing_spillsToAFile_withTheSameValues() {
        BakeJob job = BakeJob.of(Cage.offset(Patches.flat(2, 0.1), 0.5), Patches.grid(9, 0, (x, z) -> 0.1 * x)).size(96).padding(0)
                .maps(NormalMap.create()).build();
        BakeResult spilled = Baker.create().bake(job,
                new Task(org.estampage.task.Progress.none(), new Cancellation(), MemoryBudget.ofBytes(0)));
        assertThat(all(spilled.map("normal"))).containsExactly(all(bake(job).map("normal")));
    }

    @Test
    void frameRules_agreeOnAFlatPatch_andGivenTangentsAreUsed() {
        Mesh low = Patches.flat(2, 0.1);
        Mesh high = Patches.grid(4, 0, (x, z) -> 0.1 * x);
        for (FrameRule rule : FrameRule.values()) {
            FloatImage normal = bake(BakeJob.of(Cage.offset(low, 0.5), high).size(16).frame(rule).maps(NormalMap.create()).build())
                    .map("normal");
            assertThat((double) normal.get(8, 8, 0)).isCloseTo(-0.1 / Math.sqrt(1.01), Offset.offset(1e-6));
        }
        // Tangents turned by a quarter: what leaned along x now leans along y.
        int[] none = new int[low.positionIndices().length];
        Mesh turned = Normals.smooth(low).toBuilder().tangents(new Attribute("tangent", 4, new float[] {0, 0, -1, 1}, none)).build();
        FloatImage normal = bake(BakeJob.of(Cage.offset(turned, 0.5), high).size(16).maps(NormalMap.create()).build()).map("normal");
        assertThat((double) normal.get(8, 8, 1)).isCloseTo(0.1 / Math.sqrt(1.01), Offset.offset(1e-6));
    }

    /** The x of the high poly's position; where that is below a bound, no number. */
    private record FacingMap(String name, double bound) implements SurfaceMap {
        @Override
        public MapFormat format() {
            return new MapFormat(Encoding.Kind.DATA, new RangeRule.LargestMagnitude(), List.of(0f), 16, true);
        }

        @Override
        public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
            for (int s = 0; s < hits.size(); s++) {
                float x = hits.highPositions[3 * s];
                dest[s] = x < bound ? Float.NaN : x;
            }
        }
    }

    @Test
    void valuesThatAreNoNumbers_costNoRange() {
        BakeResult result = bake(
                BakeJob.of(Cage.offset(Patches.flat(1, 0.1), 0.5), Patches.flat(1, 0)).size(32).maps(new FacingMap("own", 0)).build());
        // The right border of the low poly is x = 1; the last texel's samples lie up to 2/26 of its width inside.
        assertThat((double) result.range("own").atOne()).isBetween(0.9, 1.0);
        assertThat(result.map("own").get(8, 16, 0)).isNaN();
    }

    @Test
    void rangesForAnotherNumberOfChannels_areRefusedBeforeTheBake() {
        assertThatThrownBy(() -> new MapFormat(Encoding.Kind.DATA, new RangeRule.HighPolyBounds(), List.of(0f), 16, true))
                .hasMessage("range is for 3 channels, background has 1");
        assertThatThrownBy(
                () -> new MapFormat(Encoding.Kind.DATA, new RangeRule.Fixed(List.of(Range.UNIT)), List.of(0f, 0f), 16, true))
                .hasMessage("range is for 1 channels, background has 2");
    }

    @Test
    void options_outOfRange_areNamed() {
        BakeJob.Builder job = BakeJob.of(Cage.offset(Patches.flat(1, 0.1), 0.5), Patches.flat(1, 0));
        assertThatThrownBy(() -> job.size(0)).hasMessage("width = 0 must be 1 … 32768");
        assertThatThrownBy(() -> job.samples(17)).hasMessage("samples = 17 must be 1 … 16");
        assertThatThrownBy(() -> job.padding(-5)).hasMessageStartingWith("padding = -5");
        assertThatThrownBy(() -> job.depth(-1)).hasMessageStartingWith("depth = -1.0");
        // 1e39 is finite, but no float; times a barycentric of 0 it would be NaN.
        assertThatThrownBy(() -> job.depth(1e39)).hasMessageStartingWith("depth = 1.0E39");
        assertThatThrownBy(() -> HeightMap.create().range(1e-60)).hasMessageStartingWith("largest = 1.0E-60");
        for (String name : new String[] {"", "../up", "a/b", "Rust", "a b", "-a", "größe"}) {
            assertThatThrownBy(() -> job.maps(new FacingMap(name, 0))).hasMessageContaining("maps: the name \"" + name + "\"");
        }
        assertThatThrownBy(job::build).hasMessageContaining("maps: name at least one");
        assertThatThrownBy(() -> job.maps(HeightMap.create(), HeightMap.create())).hasMessageContaining("height stands twice");
        // What was refused is not kept: there still is no map.
        assertThatThrownBy(job::build).hasMessageContaining("maps: name at least one");
        assertThat(job.padding(Padding.EVERYWHERE)).isSameAs(job);
    }
}
