package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import java.util.Random;
import java.util.concurrent.Callable;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.stream.IntStream;
import org.estampage.bvh.HemisphereQuery.Distribution;
import org.estampage.internal.kernel.Triangles;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedClass;
import org.junit.jupiter.params.provider.MethodSource;

/** What every strategy promises, each law for each builder with each layout. The oracle is {@link BruteForceTracer}. */
@ParameterizedClass(name = "{0}")
@MethodSource("org.estampage.bvh.TestStrategies#all")
class StrategyLawsTest {
    private static final float INF = Float.POSITIVE_INFINITY;
    private static final float[] SCALES = {1f, 1e-3f, 1e3f, 1e-12f, 1e12f};

    private final Strategy strategy;

    StrategyLawsTest(Strategy strategy) {
        this.strategy = strategy;
    }

    private Bvh build(Mesh mesh) {
        return Bvh.build(mesh, strategy, Task.silent());
    }

    private Bvh build(Mesh mesh, int... triangles) {
        return Bvh.build(mesh, triangles, StrategyChoice.given(strategy), Task.silent());
    }

    @Test
    void answers_onSoupsOfNeedlesSpecksAndRepeats_ofAnySize_areThoseOfBruteForce() {
        Random random = new Random(4711);
        for (float scale : SCALES) {
            for (int round = 0; round < 5; round++) {
                Mesh soup = TestMeshes.soup(random, 1 + random.nextInt(120), true);
                float away = round == 4 ? 1000 : 0;
                Mesh mesh = TestMeshes.transformed(soup, scale, away * scale, -away * scale, 0);
                RayBatch rays = BvhDifferentialTest.rays(random, mesh, 300, scale, away);
                PointBatch points = BvhDifferentialTest.points(random, 60, scale, away);
                BvhDifferentialTest.assertBitEqual(build(mesh), new BruteForceTracer(mesh), rays, points);
            }
        }
    }

    @Test
    void answers_onAGridSeenAlongItsPlane_areThoseOfBruteForce() {
        Random random = new Random(5);
        Mesh grid = TestMeshes.grid(16, 1);
        RayBatch rays = new RayBatch(1000);
        for (int i = 0; i < rays.capacity(); i++) { // origins and directions on the lattice itself: planes are met exactly, zeros abound
            rays.add((random.nextInt(21) - 2) / 16f, (random.nextInt(21) - 2) / 16f, random.nextInt(3) - 1, random.nextInt(5) - 2,
                    random.nextInt(5) - 2, random.nextInt(5) - 2, 0, random.nextInt(4) == 0 ? 1 : INF);
        }
        BvhDifferentialTest.assertBitEqual(build(grid), new BruteForceTracer(grid), rays, BvhDifferentialTest.points(random, 100, 1, 0));
    }

    @Test
    void answers_onABumpyBall_nearOrFarFromTheOrigin_areThoseOfBruteForce() {
        Random random = new Random(6);
        Mesh ball = TestMeshes.ball(12, 18, 0.05);
        for (float away : new float[] {0, 100, 1e6f}) { // a million away, coordinates have 4 bits left below the radius
            Mesh mesh = TestMeshes.transformed(ball, 1, away, -away, 0);
            BvhDifferentialTest.assertBitEqual(build(mesh), new BruteForceTracer(mesh),
                    BvhDifferentialTest.rays(random, mesh, 600, 1, away), BvhDifferentialTest.points(random, 200, 1, away));
        }
    }

    @Test
    void answers_toRaysOfAllMagnitudes_areThoseOfBruteForce() {
        // Numbers too large or too small for some of the arithmetic that a strategy may use: up to the largest floats, down to subnormal ones.
        Random random = new Random(7);
        for (int exponent : new int[] {-149, -140, -126, -110, -90, -60, -20, 0, 40, 80, 110, 126}) {
            float scale = Math.scalb(1f, exponent);
            Mesh mesh = TestMeshes.transformed(TestMeshes.soup(random, 60, true), scale, 0, 0, 0);
            float[] p = mesh.positions();
            RayBatch rays = new RayBatch(1000);
            float[] d = new float[3];
            float[] o = new float[3];
            for (int i = 0; i < rays.capacity(); i++) {
                int target = 3 * random.nextInt(p.length / 3);
                float off = Math.scalb(scale, random.nextInt(3) == 0 ? random.nextInt(60) : 1);
                float longest = 0;
                for (int k = 0; k < 3; k++) {
                    o[k] = Math.min(Float.MAX_VALUE, off * (2 * random.nextFloat() - 1));
                    d[k] = p[target + k] - o[k];
                    longest = Math.max(longest, Math.abs(d[k]));
                }
                float length = random.nextInt(3) == 0 ? 1 : Math.scalb(1f, random.nextInt(199) - 99);
                for (int k = 0; k < 3; k++) {
                    d[k] = longest > 0 ? d[k] / longest * length : length;
                }
                if (random.nextInt(4) == 0) { // along an axis, or all but
                    int k = random.nextInt(3);
                    d[k] = random.nextBoolean() ? 0f : Math.scalb(length, -random.nextInt(140));
                    o[k] = random.nextBoolean() ? o[k] : p[target + k];
                }
                rays.add(o[0], o[1], o[2], d[0], d[1], d[2], 0, INF);
            }
            PointBatch points = BvhDifferentialTest.points(random, 60, scale, 0);
            BvhDifferentialTest.assertBitEqual(build(mesh), new BruteForceTracer(mesh), rays, points);
        }
    }

    @Test
    void answers_ofASubset_carryTheMeshsNumbers() {
        Random random = new Random(8);
        Mesh ball = TestMeshes.ball(12, 20, 0.05);
        int[] some = random.ints(100, 0, ball.triangleCount()).distinct().toArray();
        BvhDifferentialTest.assertBitEqual(build(ball, some), new BruteForceTracer(ball, some),
                BvhDifferentialTest.rays(random, ball, 600, 1, 0), BvhDifferentialTest.points(random, 100, 1, 0));
    }

    @Test
    void closestHit_onSharedEdgeOrVertex_takesLowerIndex() {
        RayBatch rays = new RayBatch(4);
        rays.add(0.5f, 0.5f, 1, 0, 0, -1, 0, INF);
        rays.add(1, 1, 1, 0, 0, -1, 0, INF);
        rays.add(1, 0.5f, 1, 0, 0, -1, 0, INF);
        rays.add(1.5f, 1.5f, -1, 0, 0, 1, 0, INF);
        HitBatch hits = new HitBatch(4);
        build(TestMeshes.grid(2, 2)).closestHits(rays, Facing.BOTH, hits);
        assertThat(hits.triangle).containsExactly(0, 0, 0, 6);
    }

    @Test
    void answers_onTrianglesAtOnePlace_takeTheLowestIndex() {
        int count = 3000;
        int[] corners = new int[3 * count];
        Arrays.setAll(corners, i -> i % 3);
        Mesh pile = TestMeshes.mesh(new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0}, corners);
        int[] some = {1700, 900, 1200, 523, 1900, 700, 2999, 1000, 1001, 1002, 1003, 1004, 1005, 1006, 1007, 1008, 1009, 1010, 524};
        for (int lowest : new int[] {0, 523}) {
            RayTracer tracer = lowest == 0 ? build(pile) : build(pile, some);
            RayBatch rays = new RayBatch(40);
            for (int i = 0; i < rays.capacity(); i++) {
                rays.add(0.25f, 0.25f, 1 + i, 0, 0, -1, 0, INF);
            }
            HitBatch hits = new HitBatch(rays.size);
            tracer.closestHits(rays, Facing.FRONT, hits);
            assertThat(hits.triangle).containsOnly(lowest);
            tracer.closestHits(rays, Facing.BACK, hits);
            assertThat(hits.triangle).containsOnly(-1);
            PointBatch points = new PointBatch(1);
            points.add(0.25f, 0.25f, 1, INF);
            tracer.nearestPoints(points);
            assertThat(points.triangle[0]).isEqualTo(lowest);
        }
    }

    @Test
    void trianglesWithoutAreaOrWithBrokenCorners_areNeverAnswers() {
        float nan = Float.NaN;
        float[] p = {0, 0, 0, 1, 0, 0, 0, 1, 0, 0.5f, 0.5f, 0, nan, 0, 0, INF, 0, 0, 0, -INF, 0, 5, 5, 5};
        // Without area: a corner twice, all corners the same, in one line; with NaN or infinity.
        int[] bad = {0, 1, 1, 0, 0, 0, 1, 3, 2, 0, 1, 4, 4, 4, 4, 0, 5, 2, 6, 1, 2};
        RayBatch rays = BvhDifferentialTest.rays(new Random(1), TestMeshes.ball(8, 8, 0.1), 500, 1, 0);
        assertFindsNothing(build(TestMeshes.mesh(p, bad)), rays);
        int[] withGood = Arrays.copyOf(bad, bad.length + 3);
        System.arraycopy(new int[] {0, 1, 2}, 0, withGood, bad.length, 3);
        Mesh mixed = TestMeshes.mesh(p, withGood);
        BvhDifferentialTest.assertBitEqual(build(mixed), new BruteForceTracer(mixed), rays,
                BvhDifferentialTest.points(new Random(2), 50, 1, 0));
    }

    @Test
    void meshWithoutTriangles_findsNothing() {
        RayBatch rays = BvhDifferentialTest.rays(new Random(1), TestMeshes.ball(8, 8, 0.1), 100, 1, 0);
        assertFindsNothing(build(TestMeshes.mesh(new float[0])), rays);
        assertFindsNothing(build(TestMeshes.mesh(new float[] {1, 2, 3})), rays);
        assertFindsNothing(build(TestMeshes.box(0, 0, 0, 1, 1, 1), new int[0]), rays);
    }

    @Test
    void meshOfOneTriangle_isTraced() {
        Mesh one = TestMeshes.mesh(new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0.5f}, 0, 1, 2);
        Random random = new Random(3);
        BvhDifferentialTest.assertBitEqual(build(one), new BruteForceTracer(one), BvhDifferentialTest.rays(random, one, 1000, 1, 0),
                BvhDifferentialTest.points(random, 100, 1, 0));
    }

    @Test
    void raysThatAreNoRays_hitNothing_andChangeNothingForOthersInTheirBatch() {
        Mesh ball = TestMeshes.ball(12, 16, 0.05);
        RayBatch good = BvhDifferentialTest.rays(new Random(9), ball, 600, 1, 0);
        RayBatch mixed = new RayBatch(3 * good.size);
        float[] bad = {Float.NaN, INF, -INF};
        Random random = new Random(10);
        for (int i = 0; i < good.size; i++) {
            for (int k = 0; k < 3; k++) {
                float[] r = ray(good, i);
                if (k != 1) {
                    int field = random.nextInt(8);
                    r[field] = field < 6 ? bad[random.nextInt(3)] : Float.NaN;
                }
                mixed.add(r[0], r[1], r[2], r[3], r[4], r[5], r[6], r[7]);
            }
        }
        Bvh tracer = build(ball);
        HitBatch alone = new HitBatch(good.size);
        HitBatch among = new HitBatch(mixed.size);
        boolean[] any = new boolean[mixed.size];
        tracer.closestHits(good, Facing.BOTH, alone);
        tracer.closestHits(mixed, Facing.BOTH, among);
        tracer.anyHits(mixed, Facing.BOTH, any);
        for (int i = 0; i < mixed.size; i++) {
            int expected = i % 3 == 1 ? alone.triangle[i / 3] : -1;
            assertThat(among.triangle[i]).isEqualTo(expected);
            assertThat(any[i]).isEqualTo(expected >= 0);
            if (expected >= 0) {
                assertThat(among.t[i]).isEqualTo(alone.t[i / 3]);
            }
        }
    }

    @Test
    void answers_dependNeitherOnTheBatchSizeNorOnTheOrderOfRays_andGoNoFurtherThanTheBatch() {
        Random random = new Random(11);
        Mesh soup = TestMeshes.soup(random, 200, false);
        Bvh tracer = build(soup);
        RayBatch all = BvhDifferentialTest.rays(random, soup, 5000, 1, 0);
        HitBatch expected = new HitBatch(all.size);
        new BruteForceTracer(soup).closestHits(all, Facing.BOTH, expected);
        List<Integer> numbers = new ArrayList<>();
        for (int i = 0; i < all.size; i++) {
            numbers.add(i);
        }
        for (int size : new int[] {0, 1, 7, 31, 32, 33, 1023, 1024, 1025, 5000}) {
            Collections.shuffle(numbers, random);
            RayBatch rays = new RayBatch(size);
            HitBatch hits = new HitBatch(size + 20);
            boolean[] any = new boolean[size + 20];
            for (int from = 0; from + size <= Math.min(all.size, 3 * size); from += Math.max(size, 1)) {
                rays.size = 0;
                for (int i = from; i < from + size; i++) {
                    float[] r = ray(all, numbers.get(i));
                    rays.add(r[0], r[1], r[2], r[3], r[4], r[5], r[6], r[7]);
                }
                Arrays.fill(hits.triangle, -7);
                Arrays.fill(hits.t, -7);
                Arrays.fill(any, true);
                tracer.closestHits(rays, Facing.BOTH, hits);
                tracer.anyHits(rays, Facing.BOTH, any);
                for (int i = 0; i < size; i++) {
                    int n = numbers.get(from + i);
                    assertThat(hits.triangle[i]).isEqualTo(expected.triangle[n]);
                    assertThat(any[i]).isEqualTo(expected.triangle[n] >= 0);
                    if (hits.triangle[i] >= 0) {
                        assertThat(hits.t[i]).isEqualTo(expected.t[n]);
                        assertThat(hits.b1[i]).isEqualTo(expected.b1[n]);
                        assertThat(hits.b2[i]).isEqualTo(expected.b2[n]);
                    }
                }
                for (int i = size; i < size + 20; i++) {
                    assertThat(hits.triangle[i]).isEqualTo(-7);
                    assertThat(hits.t[i]).isEqualTo(-7);
                    assertThat(any[i]).isTrue();
                }
            }
        }
    }

    @Test
    void hemispheres_haveTheBitsOfPlainBatchesAndOfBruteForce() {
        Mesh soup = TestMeshes.soup(new Random(12), 150, false);
        Bvh tracer = build(soup);
        for (Distribution distribution : Distribution.values()) {
            for (float reach : new float[] {0.4f, INF}) {
                HemisphereQuery query = new HemisphereQuery(distribution, 64, reach);
                HemisphereBatch mine = hemispheres(90);
                HemisphereBatch plain = hemispheres(90);
                HemisphereBatch brute = hemispheres(90);
                tracer.hemispheres(query, mine);
                Hemispheres.trace(tracer, query, plain);
                new BruteForceTracer(soup).hemispheres(query, brute);
                for (HemisphereBatch other : List.of(plain, brute)) {
                    assertThat(mine.open).isEqualTo(other.open);
                    assertThat(mine.sumX).containsExactly(other.sumX); // compares bits
                    assertThat(mine.sumY).containsExactly(other.sumY);
                    assertThat(mine.sumZ).containsExactly(other.sumZ);
                }
                assertThat(Arrays.stream(mine.open).sum()).isBetween(1, 90 * 64);
            }
        }
    }

    @Test
    void oneTracer_calledByTwoThreadsAtOnce_givesEachItsOwnAnswers() throws Exception {
        Random random = new Random(13);
        Mesh ball = TestMeshes.ball(12, 18, 0.05);
        Bvh tracer = build(ball);
        BruteForceTracer oracle = new BruteForceTracer(ball);
        List<Callable<@Nullable Void>> work = new ArrayList<>();
        for (int thread = 0; thread < 2; thread++) {
            RayBatch rays = BvhDifferentialTest.rays(random, ball, 1100, 1, 0);
            HitBatch expected = new HitBatch(rays.size);
            oracle.closestHits(rays, Facing.FRONT, expected);
            work.add(() -> {
                HitBatch hits = new HitBatch(rays.size);
                boolean[] any = new boolean[rays.size];
                for (int i = 0; i < 40; i++) {
                    tracer.closestHits(rays, Facing.FRONT, hits);
                    tracer.anyHits(rays, Facing.FRONT, any);
                    assertThat(hits.triangle).isEqualTo(expected.triangle);
                    for (int r = 0; r < any.length; r++) {
                        if (any[r] != expected.triangle[r] >= 0 || (any[r] && hits.t[r] != expected.t[r])) {
                            throw new AssertionError("ray " + r + " in round " + i);
                        }
                    }
                }
                return null;
            });
        }
        try (ExecutorService threads = Executors.newFixedThreadPool(2)) {
            for (Future<@Nullable Void> f : threads.invokeAll(work)) {
                f.get();
            }
        }
    }

    @Test
    void refit_toTheSamePositions_keepsAllAnswers() {
        Random random = new Random(14);
        Mesh soup = TestMeshes.soup(random, 300, true);
        BvhDifferentialTest.assertBitEqual(build(soup).refitted(soup, Task.silent()), new BruteForceTracer(soup),
                BvhDifferentialTest.rays(random, soup, 500, 1, 0), BvhDifferentialTest.points(random, 100, 1, 0));
    }

    @Test
    void refit_toMovedPositions_answersForThose_andLeavesTheOldTracerAsItWas() {
        Random random = new Random(15);
        Mesh ball = TestMeshes.ball(10, 14, 0.05);
        Bvh tracer = build(ball);
        Bvh chain = tracer;
        for (int round = 0; round < 4; round++) {
            float scale = new float[] {1, 1e-3f, 1e3f, 1}[round];
            Mesh moved = TestMeshes.transformed(shaken(ball, random, round == 3 ? 2f : 0.2f), scale, 0, 0, 0); // in the end nothing is where it was
            RayBatch rays = BvhDifferentialTest.rays(random, moved, 400, scale, 0);
            PointBatch points = BvhDifferentialTest.points(random, 80, scale, 0);
            BruteForceTracer oracle = new BruteForceTracer(moved);
            BvhDifferentialTest.assertBitEqual(tracer.refitted(moved, Task.silent()), oracle, rays, points);
            chain = chain.refitted(moved, Task.silent());
            BvhDifferentialTest.assertBitEqual(chain, oracle, rays, points);
        }
        assertThat(chain.triangleCount()).isEqualTo(ball.triangleCount());
        BvhDifferentialTest.assertBitEqual(tracer, new BruteForceTracer(ball), BvhDifferentialTest.rays(random, ball, 400, 1, 0),
                BvhDifferentialTest.points(random, 80, 1, 0));
    }

    @Test
    void trianglesThatLoseTheirAreaOrACoordinate_areNoAnswersUntilTheyAreSoundAgain() {
        Random random = new Random(16);
        Mesh soup = TestMeshes.soup(random, 200, false);
        Bvh tracer = build(soup);
        int[] takingPart = takingPart(soup);
        float[] bad = {Float.NaN, INF, -INF};
        for (double share : new double[] {0.1, 0.7, 1}) { // in the end none is left
            float[] p = soup.positions().clone();
            for (int t = 0; t < soup.triangleCount(); t++) {
                if (random.nextDouble() >= share) {
                    continue;
                }
                if (random.nextBoolean()) {
                    System.arraycopy(p, 9 * t, p, 9 * t + 3, 3);
                } else {
                    p[9 * t + random.nextInt(9)] = bad[random.nextInt(3)];
                }
            }
            Mesh broken = soup.toBuilder().positions(p).build();
            Bvh refitted = tracer.refitted(broken, Task.silent());
            RayBatch rays = BvhDifferentialTest.rays(random, soup, 400, 1, 0);
            PointBatch points = BvhDifferentialTest.points(random, 100, 1, 0);
            Arrays.fill(points.limit, 0, 50, INF);
            Arrays.fill(points.limit, 50, 60, Float.MAX_VALUE);
            BvhDifferentialTest.assertBitEqual(refitted, new BruteForceTracer(broken), rays, points);
            if (share == 1) {
                assertFindsNothing(refitted, rays);
            }
            BvhDifferentialTest.assertBitEqual(refitted.refitted(soup, Task.silent()), new BruteForceTracer(soup, takingPart), rays,
                    points);
        }
    }

    @Test
    void refit_ofNothing_isNothing_andOfAnotherMeshIsRefused() {
        Mesh plane = TestMeshes.grid(2, 1);
        RayBatch rays = BvhDifferentialTest.rays(new Random(17), plane, 100, 1, 0);
        assertFindsNothing(build(plane, new int[0]).refitted(plane, Task.silent()), rays);
        Bvh tracer = build(plane);
        for (Mesh other : List.of(TestMeshes.grid(1, 1), TestMeshes.grid(3, 1))) {
            assertThatThrownBy(() -> tracer.refitted(other, Task.silent())).isInstanceOf(IllegalArgumentException.class)
                    .hasMessageContaining("8").hasMessageContaining(Integer.toString(other.triangleCount()));
        }
    }

    @Test
    void nearestPoints_thatAreTooFarForAFloat_areFoundOrNotAsByBruteForce() {
        // Distances that overflow: every limit is infinite or the largest float.
        Mesh far = TestMeshes.transformed(TestMeshes.soup(new Random(18), 40, false), 1e38f, 0, 0, 0);
        PointBatch points = new PointBatch(60);
        Random random = new Random(19);
        for (int i = 0; i < points.capacity(); i++) {
            points.add(3e38f * (2 * random.nextFloat() - 1), i % 3 == 0 ? -3.4e38f : 0, i % 5 == 0 ? 3.4e38f : 1e38f,
                    i % 2 == 0 ? INF : Float.MAX_VALUE);
        }
        RayBatch rays = new RayBatch(0);
        BvhDifferentialTest.assertBitEqual(build(far), new BruteForceTracer(far), rays, points);
    }

    private static void assertFindsNothing(RayTracer tracer, RayBatch rays) {
        HitBatch hits = new HitBatch(rays.size);
        boolean[] any = new boolean[rays.size];
        Arrays.fill(any, true);
        tracer.closestHits(rays, Facing.BOTH, hits);
        tracer.anyHits(rays, Facing.BOTH, any);
        assertThat(hits.triangle).containsOnly(-1);
        assertThat(any).containsOnly(false);
        PointBatch points = new PointBatch(2);
        points.add(0, 0, 0, INF);
        points.add(0, 0, 0, Float.MAX_VALUE);
        tracer.nearestPoints(points);
        assertThat(points.triangle).containsOnly(-1);
        HemisphereBatch all = hemispheres(3);
        tracer.hemispheres(new HemisphereQuery(Distribution.COSINE, 64, INF), all);
        assertThat(all.open).isEqualTo(all.count);
    }

    private static int[] takingPart(Mesh mesh) {
        int[] c = mesh.positionIndices();
        return IntStream.range(0, mesh.triangleCount()).filter(t -> Triangles
                .takesPart(mesh.positions(), 3 * c[3 * t], 3 * c[3 * t + 1], 3 * c[3 * t + 2])).toArray();
    }

    private static Mesh shaken(Mesh mesh, Random random, float by) {
        float[] p = mesh.positions().clone();
        for (int i = 0; i < p.length; i++) {
            p[i] += by * (random.nextFloat() - 0.5f);
        }
        return mesh.toBuilder().positions(p).build();
    }

    private static float[] ray(RayBatch r, int i) {
        return new float[] {r.originX[i], r.originY[i], r.originZ[i], r.directionX[i], r.directionY[i], r.directionZ[i], r.tMin[i],
                r.tMax[i]};
    }

    static HemisphereBatch hemispheres(int size) {
        Random random = new Random(20);
        HemisphereBatch points = new HemisphereBatch(size);
        for (int i = 0; i < size; i++) {
            points.x[i] = random.nextFloat();
            points.y[i] = random.nextFloat();
            points.z[i] = random.nextFloat();
            double x = random.nextGaussian();
            double y = random.nextGaussian();
            double z = random.nextGaussian();
            double length = Math.sqrt(x * x + y * y + z * z);
            points.normalX[i] = (float) (x / length);
            points.normalY[i] = (float) (y / length);
            points.normalZ[i] = (float) (z / length);
            points.seed[i] = random.nextInt();
            points.first[i] = random.nextInt(100);
            points.count[i] = i % 10 == 0 ? 0 : 1 + random.nextInt(63);
        }
        points.size = size;
        return points;
    }
}
