package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Random;
import org.estampage.internal.kernel.RayStart;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.DisplacedSphere;
import org.estampage.testresources.Shape;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Rays that start at a hit: out of a closed mesh without hitting their own triangle, into it without escaping. */
class RayStartTest {
    /** A ray out and a ray in each: a million rays a case. */
    private static final int PAIRS = 500_000;
    /** Enough to see what the offset prevents. */
    private static final int PAIRS_WITHOUT = 20_000;

    /** Four cases of a million rays; half of the starts lie within 1e−4 or 1e−6 of an edge, where a start moved sideways falls over the edge. */
    @ParameterizedTest
    @CsvSource({"1e-3, 0", "1, 0", "1e3, 0", "1, 1000"})
    void starts_neverHitTheirOwnTriangleAndNeverEscape(float scale, float away) {
        Mesh mesh = TestMeshes.transformed(ball(), scale, away, 0, -away);
        int[] counts = count(mesh, PAIRS, 1);
        assertThat(counts[0]).as("own hits").isZero();
        assertThat(counts[1]).as("escapes").isZero();
    }

    /** The same harness with starts on the hit point itself: it must see what the offset prevents. */
    @Test
    void startsWithoutOffset_doHitThemselvesAndEscape() {
        int[] counts = count(ball(), PAIRS_WITHOUT, 0);
        assertThat(counts[0]).isGreaterThan(PAIRS_WITHOUT / 100);
        assertThat(counts[1]).isPositive();
    }

    /**
     * A ball whose bumps are resolved by its triangles: where the solid's angle at an edge is below 90°, a start within the offset of the edge is outside,
     * whichever way it is moved, and a sharp edge that close to a start is no matter of rounding.
     */
    private static Mesh ball() {
        Shape shape = DisplacedSphere.highPoly(20_000);
        return Mesh.builder(shape.positions(), shape.triangles()).build();
    }

    private static int[] count(Mesh mesh, int pairs, float offset) {
        Random random = new Random(23);
        RayTracer tracer = Bvh.build(mesh, Task.silent());
        float[] p = mesh.positions();
        int[] c = mesh.positionIndices();
        RayBatch rays = new RayBatch(tracer.preferredBatchSize());
        int[] own = new int[rays.capacity()];
        HitBatch hits = new HitBatch(rays.capacity());
        float[] point = new float[3];
        float[] start = new float[3];
        double[] normal = new double[3];
        double[] d = new double[3];
        int ownHits = 0;
        int escapes = 0;
        for (int pair = 0; pair < pairs; pair += rays.size / 2) {
            rays.size = 0;
            while (rays.size < rays.capacity()) {
                int t = random.nextInt(c.length / 3);
                double b1 = random.nextDouble();
                double b2 = random.nextDouble() * (1 - b1);
                switch (random.nextInt(4)) {
                    case 0 -> b2 = 1e-4 * random.nextDouble();
                    case 1 -> b1 = 1e-6 * random.nextDouble();
                    default -> {
                        // anywhere
                    }
                }
                for (int axis = 0; axis < 3; axis++) {
                    float a = p[3 * c[3 * t] + axis];
                    point[axis] = a + (float) b1 * (p[3 * c[3 * t + 1] + axis] - a) + (float) b2 * (p[3 * c[3 * t + 2] + axis] - a);
                }
                normal(p, c, t, normal);
                double side;
                do { // uniform in a ball, turned to the outer side
                    for (int axis = 0; axis < 3; axis++) {
                        d[axis] = random.nextDouble() * 2 - 1;
                    }
                    side = d[0] * normal[0] + d[1] * normal[1] + d[2] * normal[2];
                } while (side == 0 || d[0] * d[0] + d[1] * d[1] + d[2] * d[2] > 1);
                double turn = Math.signum(side);
                for (int inward = 0; inward < 2; inward++) {
                    if (inward == 0) {
                        RayStart.outside(p, c, t, point, 0, start);
                    } else {
                        RayStart.inside(p, c, t, point, 0, start);
                    }
                    double s = inward == 0 ? turn : -turn;
                    own[rays.size] = t;
                    rays.add(point[0] + offset * (start[0] - point[0]), point[1] + offset * (start[1] - point[1]),
                            point[2] + offset * (start[2] - point[2]), (float) (s * d[0]), (float) (s * d[1]), (float) (s * d[2]), 0,
                            Float.POSITIVE_INFINITY);
                }
            }
            tracer.closestHits(rays, Facing.BOTH, hits);
            for (int i = 0; i < rays.size; i++) {
                ownHits += hits.triangle[i] == own[i] ? 1 : 0;
                escapes += i % 2 == 1 && hits.triangle[i] < 0 ? 1 : 0;
            }
        }
        return new int[] {ownHits, escapes};
    }

    private static void normal(float[] p, int[] c, int t, double[] dest) {
        double[] u = new double[3];
        double[] v = new double[3];
        for (int axis = 0; axis < 3; axis++) {
            u[axis] = (double) p[3 * c[3 * t + 1] + axis] - p[3 * c[3 * t] + axis];
            v[axis] = (double) p[3 * c[3 * t + 2] + axis] - p[3 * c[3 * t] + axis];
        }
        dest[0] = u[1] * v[2] - u[2] * v[1];
        dest[1] = u[2] * v[0] - u[0] * v[2];
        dest[2] = u[0] * v[1] - u[1] * v[0];
    }
}
