package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;

import java.lang.management.ManagementFactory;
import java.util.Random;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedClass;
import org.junit.jupiter.params.provider.MethodSource;

/**
 * Odd rays don't hold a batch up. Ratios of thread CPU times within one JVM, each the best of many rounds, so that neither a busy machine nor the
 * compiler's coming and going matters.
 */
@ParameterizedClass(name = "{0}")
@MethodSource("org.estampage.bvh.TestStrategies#everyLayout")
class RayCostTest {
    private static final float INF = Float.POSITIVE_INFINITY;
    private static final int RAYS = 256;
    /** So many rounds are enough for the compiler to have done most. */
    private static final int FEWEST_ROUNDS = 40;
    private static final int MOST_ROUNDS = 1000;

    // Away from the origin, so that distances along tiny directions overflow.
    private final Mesh ball = TestMeshes.transformed(TestMeshes.ball(40, 50, 0.02), 1, 1000, 1000, 1000);
    private final RayTracer tracer;
    private final HitBatch hits = new HitBatch(RAYS);
    private final boolean[] any = new boolean[RAYS];
    private final Random random = new Random(1);

    RayCostTest(Strategy strategy) {
        tracer = Bvh.build(ball, strategy, Task.silent());
    }

    @Test
    void raysThatAreNoRays_costLessThanOrdinaryOnes() {
        RayBatch ordinary = new RayBatch(RAYS);
        RayBatch none = new RayBatch(RAYS);
        float[] bad = {Float.NaN, INF, -INF};
        for (int i = 0; i < RAYS; i++) {
            float[] r = aimed(3);
            add(ordinary, r);
            r[i % 6] = bad[i / 6 % 3];
            add(none, r);
        }
        // They are refused before any box is looked at, and what comes before that ordinary rays need, too: measured at 0.03 to 0.2.
        assertCost(none, 1, tracer, ordinary);
    }

    @Test
    void raysFromFarOff_thatPassTheMesh_costLessThanOrdinaryOnes() {
        RayBatch ordinary = new RayBatch(RAYS);
        RayBatch far = new RayBatch(RAYS);
        for (int i = 0; i < RAYS; i++) {
            add(ordinary, aimed(3));
            add(far, new float[] {1e30f * unit(), 1e30f * unit(), 1e30f * unit(), unit(), unit(), unit(), 0, INF});
        }
        // They miss the first box or few, and ordinary rays need what comes before that, too: measured at 0.1 to 0.6.
        assertCost(far, 1, tracer, ordinary);
    }

    @Test
    void raysOfTinyDirections_costAFewTimesThoseOfUnitLength() {
        RayBatch unit = new RayBatch(RAYS);
        RayBatch tiny = new RayBatch(RAYS);
        for (int i = 0; i < RAYS; i++) { // along an axis, where the cut-off inverse is largest
            float[] r = {1000 + unit(), 1000 + unit(), 1010, 0, 0, -1, 0, INF};
            add(unit, r);
            r[5] = -0x1p-99f;
            add(tiny, r);
        }
        // A layout may walk these one at a time, without vectors, instead of 32 together: measured at 1 to 6.
        assertCost(tiny, 20, tracer, unit);
    }

    @Test
    void raysFromSoFarThatAllBoxesArePaddedBeyondTheMesh_costAFewTimesTryingAllTriangles() {
        RayBatch far = new RayBatch(8);
        for (int i = 0; i < far.capacity(); i++) {
            add(far, aimed(1e12f));
        }
        // Nothing can be passed by when the rounding of the way is larger than the mesh: that costs what no tree at all would. Measured at 1.5 to 2.5.
        assertCost(far, 5, new BruteForceTracer(ball), far);
    }

    /** Asserts that a batch costs less than so many times another; measures until it does, or until it is clear that it doesn't. */
    private void assertCost(RayBatch odd, double times, RayTracer other, RayBatch ordinary) {
        for (boolean closest : new boolean[] {true, false}) {
            long best = Long.MAX_VALUE;
            long bestOrdinary = Long.MAX_VALUE;
            double ratio = Double.POSITIVE_INFINITY;
            for (int i = 0; i < MOST_ROUNDS && (i < FEWEST_ROUNDS || ratio >= times); i++) {
                bestOrdinary = Math.min(bestOrdinary, cost(other, ordinary, closest));
                best = Math.min(best, cost(tracer, odd, closest));
                ratio = (double) best / bestOrdinary;
            }
            assertThat(ratio).as(closest ? "closest hits" : "any hits").isLessThan(times);
        }
    }

    private long cost(RayTracer by, RayBatch rays, boolean closest) {
        long start = cpu();
        if (closest) {
            by.closestHits(rays, Facing.BOTH, hits);
        } else {
            by.anyHits(rays, Facing.BOTH, any);
        }
        return cpu() - start;
    }

    /** Returns a ray from within a cube about the ball, of half the given edge, to somewhere near its middle. */
    private float[] aimed(float from) {
        float[] r = {0, 0, 0, 0, 0, 0, 0, INF};
        for (int axis = 0; axis < 3; axis++) {
            r[axis] = 1000 + from * unit();
            r[3 + axis] = 1000 + 0.7f * unit() - r[axis];
        }
        return r;
    }

    private static void add(RayBatch rays, float[] r) {
        rays.add(r[0], r[1], r[2], r[3], r[4], r[5], r[6], r[7]);
    }

    private float unit() {
        return 2 * random.nextFloat() - 1;
    }

    private static long cpu() {
        return ManagementFactory.getThreadMXBean().getCurrentThreadCpuTime();
    }
}
