package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import java.util.Random;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ForkJoinPool;
import java.util.stream.IntStream;
import org.estampage.internal.kernel.BoxLoops;
import org.estampage.internal.kernel.Triangles;
import org.estampage.mesh.Mesh;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/** What every builder promises. */
class TreeBuilderTest {
    private static final LeafRule SINGLES = new LeafRule(8, 1, 2.2);
    private static final List<LeafRule> RULES = List.of(SINGLES, new LeafRule(1, 1, 1), new LeafRule(16, 16, 1), new LeafRule(8, 8, 0.7),
            new LeafRule(12, 6, 1.5));

    @ParameterizedTest
    @MethodSource("org.estampage.bvh.TestStrategies#builders")
    void tree_holdsEveryTriangleOnce_inBoxesThatFit_underEveryRule(TreeBuilder builder) {
        Random random = new Random(2);
        for (Mesh mesh : List.of(TestMeshes.ball(60, 70, 0.02), TestMeshes.soup(random, 3000, true), TestMeshes.grid(40, 1))) {
            for (LeafRule rule : RULES) {
                build(builder, mesh, rule);
            }
        }
    }

    @ParameterizedTest
    @MethodSource("org.estampage.bvh.TestStrategies#builders")
    void tree_ofAFewTriangles_isOne(TreeBuilder builder) {
        Random random = new Random(3);
        for (int count = 1; count <= 40; count++) {
            for (LeafRule rule : RULES) {
                build(builder, TestMeshes.soup(random, count, true), rule);
            }
        }
        BoxTree one = build(builder, TestMeshes.mesh(new float[] {0, 0, 0, 4, 0, 0, 0, 4, 0}, 0, 1, 2), SINGLES);
        assertThat(one.counts).containsExactly(1);
        assertThat(one.boxes).containsExactly(0, 0, 0, 4, 4, 0);
    }

    @ParameterizedTest
    @MethodSource("org.estampage.bvh.TestStrategies#builders")
    void tree_overNothing_hasNoNode(TreeBuilder builder) {
        BoxTree tree = builder.build(TestMeshes.grid(1, 1), new int[0], SINGLES, Task.silent());
        assertThat(tree.isEmpty()).isTrue();
        assertThat(tree.counts).isEmpty();
        assertThat(tree.sahCost(SINGLES)).isZero();
    }

    @ParameterizedTest
    @MethodSource("org.estampage.bvh.TestStrategies#builders")
    void tree_ofSomeTriangles_carriesTheMeshsNumbers_andKeepsTheList(TreeBuilder builder) {
        Mesh ball = TestMeshes.ball(12, 20, 0.05);
        int[] some = new Random(7).ints(100, 0, ball.triangleCount()).distinct().toArray();
        int[] given = some.clone();
        BoxTreeVerifier.verify(ball, some, builder.build(ball, given, SINGLES, Task.silent()), SINGLES);
        assertThat(given).isEqualTo(some);
    }

    @ParameterizedTest
    @MethodSource("org.estampage.bvh.TestStrategies#builders")
    void tree_ofEverSmallerTriangles_isBounded(TreeBuilder builder) {
        // Each is half as large and half as far as the one before, over all exponents, again and again: the deepest tree by any measure of size.
        int count = 2000;
        float[] p = new float[9 * count];
        for (int t = 0; t < count; t++) {
            float r = Math.scalb(1 + t / 1e4f, 100 - t % 200);
            float[] v = {r, r, r, 2 * r, r, r, r, 2 * r, r};
            System.arraycopy(v, 0, p, 9 * t, 9);
        }
        int[] corners = new int[3 * count];
        Arrays.setAll(corners, i -> i);
        for (LeafRule rule : RULES) {
            build(builder, TestMeshes.mesh(p, corners), rule);
        }
    }

    @ParameterizedTest
    @MethodSource("org.estampage.bvh.TestStrategies#builders")
    void tree_ofTrianglesThatCoincide_isShallow(TreeBuilder builder) {
        int count = 5000;
        int[] corners = new int[3 * count];
        Arrays.setAll(corners, i -> i % 3);
        for (LeafRule rule : RULES) {
            BoxTree tree = build(builder, TestMeshes.mesh(new float[] {1, 2, 3, 2, 2, 3, 1, 3, 4}, corners), rule);
            // Halving 5000 takes 13 levels down to single triangles; any cut of equals is as good as another, so that more would be waste.
            assertThat(depth(tree, 0)).isLessThanOrEqualTo(14);
        }
    }

    @ParameterizedTest
    @MethodSource("org.estampage.bvh.TestStrategies#builders")
    void tree_ofCentresThatCoincideOrLieAtExtremes_isBounded(TreeBuilder builder) {
        Random random = new Random(4);
        int count = 5000;
        float[] p = new float[9 * count];
        for (int t = 0; t < count; t++) { // concentric: no cut of centres helps; then a geometric row: bins keep peeling off one
            float r = t < count / 2 ? 1 + t : (float) Math.pow(2, -(t - count / 2) / 20.0 * random.nextFloat());
            float x = t < count / 2 ? 0 : r;
            float[] v = {x - r, -r, 0, x + r, -r, 0, x, r, r};
            System.arraycopy(v, 0, p, 9 * t, 9);
        }
        int[] corners = new int[3 * count];
        Arrays.setAll(corners, i -> i);
        for (LeafRule rule : RULES) {
            build(builder, TestMeshes.mesh(p, corners), rule);
        }
        p[0] = 3e38f; // an extent that overflows
        p[3] = -3e38f;
        for (LeafRule rule : RULES) {
            build(builder, TestMeshes.mesh(p, corners), rule);
        }
    }

    @ParameterizedTest
    @MethodSource("org.estampage.bvh.TestStrategies#builders")
    void tree_ofAMeshInOtherUnits_isTheSame(TreeBuilder builder) {
        // Powers of two change no bit of a significand: every comparison comes out the same.
        Mesh ball = TestMeshes.ball(40, 50, 0.05);
        int[] expected = new int[0];
        for (int exponent : new int[] {0, 40, -40, 100, -60}) { // the ball's smallest coordinate is 1e-16: below 2⁻⁶⁰ it would lose bits
            float scale = Math.scalb(1f, exponent);
            BoxTree tree = build(builder, TestMeshes.transformed(ball, scale, 0, 0, 0), SINGLES);
            for (int i = 0; i < tree.boxes.length; i++) {
                tree.boxes[i] /= scale;
            }
            int[] seen = BoxTreeVerifier.seen(tree);
            assertThat(exponent == 0 || Arrays.equals(seen, expected)).isTrue(); // lists too long to be printed
            expected = seen;
        }
    }

    @ParameterizedTest
    @MethodSource("org.estampage.bvh.TestStrategies#builders")
    void tree_ofATinyHugeOrFarMesh_isStillGood(TreeBuilder builder) {
        Mesh ball = TestMeshes.ball(40, 50, 0.05);
        double cost = build(builder, ball, SINGLES).sahCost(SINGLES);
        for (float scale : new float[] {1e-12f, 1e12f, 1e-30f, 1e30f}) {
            // The rounding of the scale moves coordinates by an ulp, and with it a cut here and there.
            assertThat(build(builder, TestMeshes.transformed(ball, scale, 0, 0, 0), SINGLES).sahCost(SINGLES)).isBetween(cost * 0.98,
                    cost * 1.02);
        }
        // 10,000 radii away a coordinate has 10 bits left below the radius: 40 × 50 cells still are apart.
        assertThat(build(builder, TestMeshes.transformed(ball, 1, 10_000, -10_000, 0), SINGLES).sahCost(SINGLES)).isBetween(cost * 0.9,
                cost * 1.1);
    }

    @ParameterizedTest
    @MethodSource("org.estampage.bvh.TestStrategies#builders")
    void tree_builtByOneTwoOrFourThreads_isTheSame(TreeBuilder builder) throws Exception {
        Mesh ball = TestMeshes.ball(330, 400, 0.02); // 263,200 triangles: the first ranges are worked on by all threads
        int[] all = takingPart(ball);
        for (LeafRule rule : List.of(SINGLES, new LeafRule(16, 16, 1))) {
            List<int[]> trees = new ArrayList<>();
            for (int threads : new int[] {1, 2, 4}) {
                try (ForkJoinPool pool = new ForkJoinPool(threads)) {
                    BoxTree tree = pool.submit(() -> builder.build(ball, all, rule, Task.silent())).get();
                    if (threads == 2) {
                        BoxTreeVerifier.verify(ball, all, tree, rule);
                    }
                    trees.add(BoxTreeVerifier.seen(tree));
                }
            }
            assertThat(Arrays.equals(trees.get(1), trees.get(0))).isTrue();
            assertThat(Arrays.equals(trees.get(2), trees.get(0))).isTrue();
        }
    }

    @ParameterizedTest
    @MethodSource("org.estampage.bvh.TestStrategies#builders")
    void tree_isFarBetterThanHalvingByNumber(TreeBuilder builder) {
        Mesh soup = TestMeshes.soup(new Random(11), 4000, false);
        // A soup's numbers say nothing of places: halving by number keeps boxes near the root's size all the way down, its cost is about n.
        assertThat(build(builder, soup, SINGLES).sahCost(SINGLES)).isLessThan(4000 / 10.0);
    }

    @ParameterizedTest
    @MethodSource("org.estampage.bvh.TestStrategies#builders")
    void building_reportsProgressUpToTheLastTriangle_andStopsWhenCancelled(TreeBuilder builder) {
        Mesh ball = TestMeshes.ball(200, 300, 0.02);
        int[] all = takingPart(ball);
        List<Long> done = Collections.synchronizedList(new ArrayList<>());
        builder.build(ball, all, SINGLES, Task.reporting((stage, units, total) -> {
            assertThat(total).isEqualTo(all.length);
            done.add(units);
        }));
        assertThat(Collections.max(done)).isEqualTo(all.length);
        assertThat(done).hasSizeGreaterThan(3);

        Cancellation cancellation = new Cancellation();
        Task midway = new Task((stage, units, total) -> {
            if (units > 0) {
                cancellation.cancel();
            }
        }, cancellation, MemoryBudget.ofHeap());
        assertThatThrownBy(() -> builder.build(ball, all, SINGLES, midway)).isInstanceOf(CancellationException.class);
        Task before = new Task(Progress.none(), cancellation, MemoryBudget.ofHeap());
        assertThatThrownBy(() -> builder.build(ball, all, SINGLES, before)).isInstanceOf(CancellationException.class);
        assertThatThrownBy(() -> builder.build(ball, new int[0], SINGLES, before)).isInstanceOf(CancellationException.class);
    }

    @ParameterizedTest
    @MethodSource("org.estampage.bvh.TestStrategies#builders")
    void building_takesAtMostAHundredBytesATriangle(TreeBuilder builder) {
        Mesh ball = TestMeshes.ball(330, 400, 0.02);
        assertThat(build(builder, ball, SINGLES).peakBytes / (double) ball.triangleCount()).isBetween(24.0, 100.0);
        assertThat(build(builder, ball, new LeafRule(16, 16, 1)).peakBytes / (double) ball.triangleCount()).isBetween(24.0, 100.0);
    }

    @ParameterizedTest
    @MethodSource("org.estampage.bvh.TestStrategies#builders")
    void answers_areBitEqualToBruteForce(TreeBuilder builder) {
        Random random = new Random(17);
        Strategy strategy = new Strategy(builder, new BinaryLayout());
        for (int round = 0; round < 20; round++) {
            Mesh soup = TestMeshes.soup(random, 1 + random.nextInt(150), true);
            BvhDifferentialTest.assertBitEqual(Bvh.build(soup, strategy, Task.silent()), new BruteForceTracer(soup),
                    BvhDifferentialTest.rays(random, soup, 200, 1, 0), BvhDifferentialTest.points(random, 50, 1, 0));
        }
        Mesh ball = TestMeshes.ball(30, 40, 0.05);
        BvhDifferentialTest.assertBitEqual(Bvh.build(ball, strategy, Task.silent()), new BruteForceTracer(ball),
                BvhDifferentialTest.rays(random, ball, 1000, 1, 0), BvhDifferentialTest.points(random, 200, 1, 0));
    }

    @ParameterizedTest
    @MethodSource("org.estampage.bvh.TestStrategies#builders")
    void name_isAPhraseForPeople(TreeBuilder builder) {
        assertThat(builder.toString()).matches("[a-zA-Z -]+").doesNotContain("Builder");
    }

    @Test
    void treesByAreas_areNoWorseThanThoseByCodes() {
        // Common practice, no source. On smooth even grids joining neighbours does worse than codes: there the claim is not made for it.
        for (Mesh mesh : List.of(TestMeshes.soup(new Random(12), 5000, false), TestMeshes.ball(100, 100, 0.3))) {
            double codes = build(new MortonBuilder(), mesh, SINGLES).sahCost(SINGLES);
            assertThat(build(new BinnedSahBuilder(), mesh, SINGLES).sahCost(SINGLES)).isLessThan(0.9 * codes);
            assertThat(build(new AgglomerativeBuilder(), mesh, SINGLES).sahCost(SINGLES)).isLessThan(0.9 * codes);
        }
    }

    @ParameterizedTest
    @MethodSource("org.estampage.bvh.TestStrategies#builders")
    void tree_ofATwoTriangleList_givenInAnyOrder_isSound(TreeBuilder builder) {
        Mesh plane = TestMeshes.grid(1, 1);
        BoxTreeVerifier.verify(plane, new int[] {1, 0}, builder.build(plane, new int[] {1, 0}, SINGLES, Task.silent()), SINGLES);
    }

    @Test
    void mortonOrder_followsTheCurve() {
        // Eight specks at the corners of a cube: code bits from high to low are x, y, z, by the definition of the curve.
        float[] p = new float[72];
        int[] corners = new int[24];
        Arrays.setAll(corners, i -> i);
        int[] shuffled = {5, 2, 7, 0, 3, 6, 1, 4};
        for (int t = 0; t < 8; t++) {
            for (int i = 0; i < 9; i++) {
                p[9 * t + i] = ((shuffled[t] >> (2 - i % 3)) & 1) + (i / 3 == i % 3 ? 0.01f : 0);
            }
        }
        MortonOrder order = MortonOrder.of(TestMeshes.mesh(p, corners), new int[] {0, 1, 2, 3, 4, 5, 6, 7});
        for (int i = 0; i < 8; i++) {
            assertThat(shuffled[order.triangles[i]]).isEqualTo(i);
        }
        assertThat(order.keys).isSorted().doesNotHaveDuplicates();
        assertThat(order.cut(0, 8)).isEqualTo(4);
        assertThat(order.cut(0, 4)).isEqualTo(2);
        assertThat(order.cut(6, 8)).isEqualTo(7);
    }

    @Test
    void mortonOrder_ofEqualCodes_isThatOfNumbers() {
        int count = 70_000; // several chunks
        int[] corners = new int[3 * count];
        Arrays.setAll(corners, i -> i % 3);
        int[] backwards = IntStream.range(0, count).map(i -> count - 1 - i).toArray();
        MortonOrder order = MortonOrder.of(TestMeshes.mesh(new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0}, corners), backwards);
        assertThat(order.triangles).isSorted().hasSize(count);
    }

    @Test
    @Tag("vector")
    void binnedSah_byScalarAndVectorLoops_givesTheSameBits() {
        Random random = new Random(5);
        List<Mesh> meshes = new ArrayList<>(List.of(TestMeshes.ball(330, 400, 0.02), TestMeshes.soup(random, 20_000, true),
                TestMeshes.transformed(TestMeshes.soup(random, 500, true), 1e-38f, 0, 0, 0), TestMeshes.grid(30, 1)));
        for (int count = 1; count < 60; count++) {
            meshes.add(TestMeshes.soup(random, count, true));
        }
        for (Mesh mesh : meshes) {
            int[] all = takingPart(mesh);
            for (LeafRule rule : List.of(SINGLES, new LeafRule(16, 16, 1))) {
                BoxTree scalar = new BinnedSahBuilder(BoxLoops.scalar()).build(mesh, all, rule, Task.silent());
                BoxTree vector = new BinnedSahBuilder(BoxLoops.vector()).build(mesh, all, rule, Task.silent());
                assertThat(Arrays.equals(BoxTreeVerifier.seen(vector), BoxTreeVerifier.seen(scalar))).isTrue();
            }
        }
    }

    private static BoxTree build(TreeBuilder builder, Mesh mesh, LeafRule rule) {
        int[] triangles = takingPart(mesh);
        BoxTree tree = builder.build(mesh, triangles, rule, Task.silent());
        BoxTreeVerifier.verify(mesh, triangles, tree, rule);
        return tree;
    }

    private static int[] takingPart(Mesh mesh) {
        int[] c = mesh.positionIndices();
        return IntStream.range(0, mesh.triangleCount())
                .filter(t -> Triangles.takesPart(mesh.positions(), 3 * c[3 * t], 3 * c[3 * t + 1], 3 * c[3 * t + 2])).toArray();
    }

    private static int depth(BoxTree tree, int node) {
        return tree.counts[node] > 0 ? 1 : 1 + Math.max(depth(tree, tree.links[node]), depth(tree, tree.links[node] + 1));
    }
}
