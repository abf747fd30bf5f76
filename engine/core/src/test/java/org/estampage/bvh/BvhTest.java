package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import java.util.Random;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ForkJoinPool;
import org.estampage.internal.kernel.BinaryTree;
import org.estampage.mesh.Mesh;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

class BvhTest {
    private static final float INF = Float.POSITIVE_INFINITY;

    @Test
    void closestHit_givesDistanceAndBarycentrics() {
        Mesh triangle = TestMeshes.mesh(new float[] {0, 0, 0, 4, 0, 0, 0, 4, 0}, 0, 1, 2);
        HitBatch hits = closest(triangle, Facing.BOTH, ray(1, 2, 8, 0, 0, -2));
        assertThat(hits.triangle[0]).isZero();
        assertThat(hits.t[0]).isEqualTo(4f); // in multiples of the direction, which is 2 long
        assertThat(hits.b1[0]).isEqualTo(0.25f);
        assertThat(hits.b2[0]).isEqualTo(0.5f);
    }

    @Test
    void facing_isJudgedByTheWinding() {
        Mesh box = TestMeshes.box(-1, -1, -1, 1, 1, 1);
        float[][] directions = {{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}, {1, 0.3f, 0.2f}, {-0.3f, -1, 0.2f}};
        for (float[] d : directions) {
            // From 4 lengths in front of (0.3, 0.2, 0.1): outer sides are met first, then inner ones.
            float[] ray = ray(0.3f - 4 * d[0], 0.2f - 4 * d[1], 0.1f - 4 * d[2], d[0], d[1], d[2]);
            assertThat(closest(box, Facing.BOTH, ray).t[0]).isLessThan(4);
            assertThat(closest(box, Facing.FRONT, ray).t[0]).isLessThan(4);
            assertThat(closest(box, Facing.BACK, ray).t[0]).isGreaterThan(4);
            float[] inside = ray(0.3f, 0.2f, 0.1f, d[0], d[1], d[2]);
            assertThat(closest(box, Facing.FRONT, inside).triangle[0]).isEqualTo(-1);
            assertThat(closest(box, Facing.BACK, inside).triangle[0]).isNotNegative();
            assertThat(any(box, Facing.FRONT, inside)[0]).isFalse();
            assertThat(any(box, Facing.BACK, inside)[0]).isTrue();
        }
    }

    @Test
    void rayEnds_excludeTMinAndIncludeTMax() {
        Mesh plane = TestMeshes.grid(1, 1);
        float[][] rays = {{0.7f, 0.3f, 1, 0, 0, -1, 0, 1}, {0.7f, 0.3f, 1, 0, 0, -1, 0, Math.nextDown(1f)}, {0.7f, 0.3f, 1, 0, 0, -1, 1, 2},
                {0.7f, 0.3f, 1, 0, 0, -1, Math.nextDown(1f), 2}, {0.7f, 0.3f, 0, 0, 0, -1, 0, 2}};
        assertThat(closest(plane, Facing.BOTH, rays).triangle).containsExactly(0, -1, -1, 0, -1);
        assertThat(any(plane, Facing.BOTH, rays)).containsExactly(true, false, false, true, false);
    }

    @Test
    void closestHit_onSharedEdgeOrVertex_takesLowerIndex() {
        Mesh plane = TestMeshes.grid(2, 2);
        float[][] rays = {ray(0.5f, 0.5f, 1, 0, 0, -1), ray(1, 1, 1, 0, 0, -1), ray(1, 0.5f, 1, 0, 0, -1), ray(1.5f, 1.5f, -1, 0, 0, 1)};
        assertThat(closest(plane, Facing.BOTH, rays).triangle).containsExactly(0, 0, 0, 6);
    }

    @Test
    void closestHit_onCoincidentTriangles_takesLowerIndex() {
        int[] corners = new int[60];
        Arrays.setAll(corners, i -> i % 3);
        Mesh pile = TestMeshes.mesh(new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0}, corners);
        assertThat(closest(pile, Facing.BOTH, ray(0.25f, 0.25f, 1, 0, 0, -1)).triangle[0]).isZero();
        int[] reversed = {17, 9, 12, 5, 19, 7};
        RayTracer some = Bvh.build(pile, reversed, Task.silent());
        HitBatch hits = new HitBatch(1);
        some.closestHits(batch(ray(0.25f, 0.25f, 1, 0, 0, -1)), Facing.BOTH, hits);
        assertThat(hits.triangle[0]).isEqualTo(5);
        PointBatch point = new PointBatch(1);
        point.add(0.25f, 0.25f, 1, INF);
        some.nearestPoints(point);
        assertThat(point.triangle[0]).isEqualTo(5);
    }

    @Test
    void rays_thatAreNoRays_hitNothing() {
        Mesh box = TestMeshes.box(-1, -1, -1, 1, 1, 1);
        List<float[]> rays = new ArrayList<>();
        for (int i = 0; i < 8; i++) {
            float[] r = {0.1f, 0.2f, 0.3f, 0.5f, 0.6f, 0.7f, 0, INF};
            r[i] = Float.NaN;
            rays.add(r);
        }
        for (int i = 0; i < 6; i++) {
            for (float f : new float[] {INF, -INF}) {
                float[] r = {0.1f, 0.2f, 0.3f, 0.5f, 0.6f, 0.7f, 0, INF};
                r[i] = f;
                rays.add(r);
            }
        }
        rays.add(ray(0, 0, 0, 0, 0, 0));
        rays.add(ray(0, 0, 0, -0f, 0, -0f));
        rays.add(new float[] {0, 0, 0, 1, 0, 0, 1, 1});
        rays.add(new float[] {0, 0, 0, 1, 0, 0, 2, 1});
        rays.add(new float[] {0, 0, 0, 1, 0, 0, 0, -1});
        rays.add(new float[] {0, 0, 0, 1, 0, 0, INF, INF});
        float[][] all = rays.toArray(float[][]::new);
        assertThat(closest(box, Facing.BOTH, all).triangle).containsOnly(-1);
        assertThat(any(box, Facing.BOTH, all)).containsOnly(false);
    }

    @Test
    void directions_ofAnyUsualLength_hitTheSame() {
        Mesh box = TestMeshes.box(-1, -1, -1, 1, 1, 1);
        for (float length : new float[] {0x1p-90f, 0x1p-40f, 1, 0x1p40f, 0x1p90f}) {
            HitBatch hits = closest(box, Facing.BOTH, ray(0.3f, 0.2f, 0.1f, length, 0.5f * length, 0.25f * length));
            assertThat(hits.triangle[0]).isEqualTo(closest(box, Facing.BOTH, ray(0.3f, 0.2f, 0.1f, 1, 0.5f, 0.25f)).triangle[0])
                    .isNotNegative();
            assertThat(hits.t[0] * length).isCloseTo(0.7f, within(1e-6f));
        }
    }

    @Test
    void tMinBelowZero_countsAsZero() {
        Mesh plane = TestMeshes.grid(1, 1);
        assertThat(any(plane, Facing.BOTH, new float[][] {{0.7f, 0.3f, -1, 0, 0, -1, -5, 5}})).containsExactly(false);
    }

    @Test
    void degenerateOrBrokenTriangles_areNeverAnswers() {
        float nan = Float.NaN;
        float[] p = {0, 0, 0, 1, 0, 0, 0, 1, 0, 0.5f, 0.5f, 0, nan, 0, 0, INF, 0, 0, 0, -INF, 0, 5, 5, 5};
        // Without area: a corner twice, all corners the same, in one line; with NaN or infinity; and one good one far off.
        int[] corners = {0, 1, 1, 0, 0, 0, 1, 3, 2, 0, 1, 4, 4, 4, 4, 0, 5, 2, 6, 1, 2};
        Mesh bad = TestMeshes.mesh(p, corners);
        RayBatch rays = BvhDifferentialTest.rays(new Random(1), TestMeshes.ball(8, 8, 0.1), 500, 1, 0);
        HitBatch hits = new HitBatch(rays.size);
        RayTracer tracer = Bvh.build(bad, Task.silent());
        tracer.closestHits(rays, Facing.BOTH, hits);
        assertThat(hits.triangle).containsOnly(-1);
        PointBatch points = new PointBatch(1);
        points.add(0, 0, 0, INF);
        tracer.nearestPoints(points);
        assertThat(points.triangle[0]).isEqualTo(-1);
        assertThat(tracer.triangleCount()).isEqualTo(7);

        int[] withGood = Arrays.copyOf(corners, corners.length + 3);
        withGood[21] = 0;
        withGood[22] = 1;
        withGood[23] = 2;
        Mesh mixed = TestMeshes.mesh(p, withGood);
        assertThat(closest(mixed, Facing.BOTH, ray(0.25f, 0.25f, 1, 0, 0, -1)).triangle[0]).isEqualTo(7);
    }

    @Test
    void emptyMesh_findsNothing() {
        for (Mesh mesh : List.of(TestMeshes.mesh(new float[0]), TestMeshes.mesh(new float[] {1, 2, 3}))) {
            assertThat(closest(mesh, Facing.BOTH, ray(0, 0, 0, 1, 0, 0)).triangle[0]).isEqualTo(-1);
            assertThat(any(mesh, Facing.BOTH, ray(0, 0, 0, 1, 0, 0))[0]).isFalse();
            PointBatch points = new PointBatch(1);
            points.add(0, 0, 0, INF);
            Bvh.build(mesh, Task.silent()).nearestPoints(points);
            assertThat(points.triangle[0]).isEqualTo(-1);
        }
        Mesh box = TestMeshes.box(0, 0, 0, 1, 1, 1);
        assertThat(Bvh.build(box, new int[0], Task.silent()).triangleCount()).isZero();
    }

    @Test
    void nearestPoint_givesRegionsOfFaceEdgeAndVertex() {
        Mesh triangle = TestMeshes.mesh(new float[] {0, 0, 0, 4, 0, 0, 0, 4, 0}, 0, 1, 2);
        // Point, expected distance, b1, b2; worked by hand.
        double[][] cases = {{1, 1, 3, 3, 0.25, 0.25}, {-3, -4, 0, 5, 0, 0}, {7, 0, 4, 5, 1, 0}, {0, 9, 0, 5, 0, 1}, {2, -3, 4, 5, 0.5, 0},
                {-3, 1, 4, 5, 0, 0.25}, {5, 5, 0, 3 * Math.sqrt(2), 0.5, 0.5}, {2, 1, 0, 0, 0.5, 0.25}};
        PointBatch points = new PointBatch(cases.length);
        for (double[] c : cases) {
            points.add((float) c[0], (float) c[1], (float) c[2], INF);
        }
        Bvh.build(triangle, Task.silent()).nearestPoints(points);
        for (int i = 0; i < cases.length; i++) {
            assertThat(points.triangle[i]).isZero();
            assertThat(points.distance[i]).isEqualTo((float) cases[i][3]);
            assertThat(points.b1[i]).isEqualTo((float) cases[i][4]);
            assertThat(points.b2[i]).isEqualTo((float) cases[i][5]);
        }
    }

    @Test
    void nearestPoint_limitIsIncludedAndNanFindsNothing() {
        Mesh plane = TestMeshes.grid(1, 1);
        PointBatch points = new PointBatch(6);
        points.add(0.7f, 0.3f, 2, 2);
        points.add(0.7f, 0.3f, 2, Math.nextDown(2f));
        points.add(0.7f, 0.3f, Float.NaN, INF);
        points.add(0.7f, 0.3f, 2, Float.NaN);
        points.add(0.7f, 0.3f, 0, 0);
        points.add(0.7f, 0.3f, INF, INF);
        Bvh.build(plane, Task.silent()).nearestPoints(points);
        assertThat(points.triangle).containsExactly(0, -1, -1, -1, 0, -1);
    }

    @Test
    void answers_doNotDependOnTheBatchSize() {
        Mesh ball = TestMeshes.ball(20, 24, 0.1);
        RayTracer tracer = Bvh.build(ball, Task.silent());
        RayBatch rays = BvhDifferentialTest.rays(new Random(3), TestMeshes.ball(8, 8, 0.1), 2500, 1, 0);
        HitBatch whole = new HitBatch(rays.size);
        boolean[] any = new boolean[rays.size];
        tracer.closestHits(rays, Facing.BOTH, whole);
        tracer.anyHits(rays, Facing.BOTH, any);
        for (int size : new int[] {1, 7, tracer.preferredBatchSize()}) {
            RayBatch part = new RayBatch(size);
            HitBatch hits = new HitBatch(size);
            boolean[] blocked = new boolean[size];
            for (int i = 0; i < rays.size; i += size) {
                part.size = 0;
                for (int k = i; k < Math.min(i + size, rays.size); k++) {
                    part.add(rays.originX[k], rays.originY[k], rays.originZ[k], rays.directionX[k], rays.directionY[k], rays.directionZ[k],
                            rays.tMin[k], rays.tMax[k]);
                }
                tracer.closestHits(part, Facing.BOTH, hits);
                tracer.anyHits(part, Facing.BOTH, blocked);
                for (int k = 0; k < part.size; k++) {
                    assertThat(hits.triangle[k]).isEqualTo(whole.triangle[i + k]);
                    assertThat(blocked[k]).isEqualTo(any[i + k]);
                    if (hits.triangle[k] >= 0) {
                        assertThat(Float.floatToRawIntBits(hits.t[k])).isEqualTo(Float.floatToRawIntBits(whole.t[i + k]));
                    }
                }
            }
        }
    }

    @Test
    void build_withOneTwoOrFourThreads_givesTheSameTree() throws Exception {
        Mesh ball = TestMeshes.ball(200, 300, 0.02); // 119,400 triangles: several pieces
        List<BinaryTree> trees = new ArrayList<>();
        for (int threads : new int[] {1, 2, 4}) {
            try (ForkJoinPool pool = new ForkJoinPool(threads)) {
                trees.add(pool.submit(() -> tree(ball)).get());
            }
        }
        for (BinaryTree tree : trees) {
            assertThat(tree.root).isEqualTo(trees.get(0).root);
            assertThat(tree.numbers).isEqualTo(trees.get(0).numbers);
            assertThat(Arrays.equals(tree.nodes, trees.get(0).nodes)).isTrue();
            assertThat(Arrays.equals(tree.triangles, trees.get(0).triangles)).isTrue();
        }
    }

    @Test
    void tree_holdsEveryTriangleOnceAndBoxesThatFitExactly() {
        for (Mesh mesh : List.of(TestMeshes.ball(120, 160, 0.02), TestMeshes.soup(new Random(2), 3000, true), TestMeshes.grid(40, 1))) {
            TreeVerifier.verify(tree(mesh));
        }
    }

    @Test
    void build_ofMiddlesThatCoincideOrLieAtExtremes_staysShallow() {
        Random random = new Random(4);
        int count = 5000;
        float[] p = new float[9 * count];
        for (int t = 0; t < count; t++) { // concentric: no cut of middles helps; then a geometric row: bins keep peeling off one
            float r = t < count / 2 ? 1 + t : (float) Math.pow(2, -(t - count / 2) / 20.0 * random.nextFloat());
            float x = t < count / 2 ? 0 : r;
            float[] v = {x - r, -r, 0, x + r, -r, 0, x, r, r};
            System.arraycopy(v, 0, p, 9 * t, 9);
        }
        p[0] = 3e38f; // an extent that overflows
        p[3] = -3e38f;
        int[] corners = new int[3 * count];
        Arrays.setAll(corners, i -> i);
        TreeVerifier.verify(tree(TestMeshes.mesh(p, corners)));
    }

    @Test
    void bytes_stayBelowSixtyATriangle() {
        Mesh ball = TestMeshes.ball(200, 300, 0.02);
        assertThat((double) Bvh.build(ball, Task.silent()).bytes() / ball.triangleCount()).isBetween(30.0, 60.0);
    }

    @Test
    void sahCost_isThatOfTheHandExample() {
        // Aila, Karras, Laine, On Quality Metrics of Bounding Volume Hierarchies, HPG 2013, equation 1, worked by hand: root 4×1×1, half area 9; leaves
        // 1×1×1, half area 3, with 3 and 5 triangles; costs 1 and 1: 1 + 3/9 · 3 + 3/9 · 5.
        float[] boxes = {0, 0, 0, 4, 1, 1, 0, 0, 0, 1, 1, 1, 3, 0, 0, 4, 1, 1};
        BoxTree tree = new BoxTree(boxes, new int[] {1, 0, 3}, new int[] {0, 3, 5}, new int[8], 0);
        assertThat(tree.sahCost(new LeafRule(8, 1, 1))).isCloseTo(3.6666666667, within(1e-10)); // as many digits as were worked
    }

    @Test
    void sahCost_ofTheBuiltTree_isFarBelowThatOfHalvingByNumber() {
        Mesh soup = TestMeshes.soup(new Random(11), 4000, false);
        // A soup's numbers say nothing of places: halving by number keeps boxes near the root's size all the way down, its cost is about n.
        int[] all = new int[soup.triangleCount()];
        Arrays.setAll(all, i -> i);
        LeafRule rule = new BinaryLayout().leafRule();
        assertThat(new BinnedSahBuilder().build(soup, all, rule, Task.silent()).sahCost(rule)).isLessThan(4000 / 10.0);
    }

    @Test
    void answers_withoutRoom_areRefused() {
        RayTracer tracer = Bvh.build(TestMeshes.grid(1, 1), Task.silent());
        RayBatch rays = batch(ray(0, 0, 1, 0, 0, -1), ray(0, 0, 1, 0, 0, -1));
        assertThatThrownBy(() -> tracer.closestHits(rays, Facing.BOTH, new HitBatch(1))).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("1").hasMessageContaining("2");
        assertThatThrownBy(() -> tracer.anyHits(rays, Facing.BOTH, new boolean[1])).isInstanceOf(IllegalArgumentException.class);
    }

    @Test
    void build_ofTrianglesThatDoNotExist_isRefused() {
        Mesh plane = TestMeshes.grid(1, 1);
        assertThatThrownBy(() -> Bvh.build(plane, new int[] {0, 2}, Task.silent())).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("triangles[1] = 2").hasMessageContaining("0 … 1");
        assertThatThrownBy(() -> Bvh.build(plane, new int[] {-1}, Task.silent())).isInstanceOf(IllegalArgumentException.class);
    }

    @Test
    void build_reportsProgressUpToTheLastTriangle_andStopsWhenCancelled() {
        Mesh ball = TestMeshes.ball(200, 300, 0.02);
        List<Long> done = Collections.synchronizedList(new ArrayList<>());
        Bvh.build(ball, Task.reporting((stage, units, total) -> {
            assertThat(total).isEqualTo(ball.triangleCount());
            done.add(units);
        }));
        assertThat(Collections.max(done)).isEqualTo(ball.triangleCount());
        assertThat(done).hasSizeGreaterThan(3);

        Cancellation cancellation = new Cancellation();
        Task midway = new Task((stage, units, total) -> {
            if (units > 0) {
                cancellation.cancel();
            }
        }, cancellation, MemoryBudget.ofHeap());
        assertThatThrownBy(() -> Bvh.build(ball, midway)).isInstanceOf(CancellationException.class);
        Task before = new Task(Progress.none(), cancellation, MemoryBudget.ofHeap());
        assertThatThrownBy(() -> Bvh.build(ball, before)).isInstanceOf(CancellationException.class);
    }

    private static float[] ray(float ox, float oy, float oz, float dx, float dy, float dz) {
        return new float[] {ox, oy, oz, dx, dy, dz, 0, INF};
    }

    private static RayBatch batch(float[]... rays) {
        RayBatch batch = new RayBatch(rays.length);
        for (float[] r : rays) {
            batch.add(r[0], r[1], r[2], r[3], r[4], r[5], r[6], r[7]);
        }
        return batch;
    }

    private static HitBatch closest(Mesh mesh, Facing facing, float[]... rays) {
        HitBatch hits = new HitBatch(rays.length);
        Bvh.build(mesh, Task.silent()).closestHits(batch(rays), facing, hits);
        return hits;
    }

    private static BinaryTree tree(Mesh mesh) {
        Bvh bvh = Bvh.build(mesh, new Strategy(new BinnedSahBuilder(), new BinaryLayout()), Task.silent());
        return ((BinaryTracer) bvh.tracer()).tree();
    }

    private static boolean[] any(Mesh mesh, Facing facing, float[]... rays) {
        boolean[] any = new boolean[rays.length];
        Bvh.build(mesh, Task.silent()).anyHits(batch(rays), facing, any);
        return any;
    }
}
