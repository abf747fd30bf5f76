package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Arrays;
import java.util.Locale;
import java.util.Random;
import java.util.random.RandomGenerator;
import org.assertj.core.data.Offset;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** The tree against a reference in double precision; and what compares tracers bit by bit, with rays and points to do it. */
class BvhDifferentialTest {
    private static final float[] ODD = {0f, -0f, 1f, -1f, 0.25f, Float.MIN_VALUE, -Float.MIN_VALUE, 1e-30f, -1e-30f, 1e-12f, 1e30f};

    @Test
    void closestHits_areThoseOfTheDoublePrecisionReference() {
        Random random = new Random(8);
        for (float scale : new float[] {1, 1e-3f, 1e3f}) {
            Mesh ball = TestMeshes.transformed(TestMeshes.ball(30, 40, 0.05), scale, 0, 0, 0);
            RayTracer tracer = Bvh.build(ball, Task.silent());
            RayBatch rays = new RayBatch(1500);
            for (int i = 0; i < rays.capacity(); i++) {
                rays.add(scale * (4 * random.nextFloat() - 2), scale * (4 * random.nextFloat() - 2), scale * (4 * random.nextFloat() - 2),
                        random.nextFloat() - 0.5f, random.nextFloat() - 0.5f, random.nextFloat() - 0.5f, 0, Float.POSITIVE_INFINITY);
            }
            HitBatch hits = new HitBatch(rays.size);
            tracer.closestHits(rays, Facing.BOTH, hits);
            int compared = 0;
            int met = 0;
            for (int i = 0; i < rays.size; i++) {
                DoubleReference.Answer answer = DoubleReference.closest(ball, rays, i);
                if (!answer.clear()) {
                    continue; // the ray passes an edge so close that either answer is right
                }
                compared++;
                assertThat(hits.triangle[i] >= 0).as("ray %d is hit", i).isEqualTo(answer.triangle() >= 0);
                if (answer.triangle() >= 0) {
                    met++;
                    assertThat(hits.triangle[i]).as("triangle of ray %d", i).isEqualTo(answer.triangle());
                    // 1e-6 of t, and for hits close to the start the rounding of the vertices' distances, which are up to 4 · scale.
                    assertThat((double) hits.t[i]).isCloseTo(answer.t(), Offset.offset(1e-6 * answer.t() + 2e-7 * scale * 4));
                }
            }
            assertThat(compared).isGreaterThan(1450); // so the ones passed over are few
            assertThat(met).isGreaterThan(200);
        }
    }

    @Test
    void nearestPoints_areThoseOfADenseScanOfTheSurface() {
        // Reference without regions: the smallest distance over a fine lattice of barycentrics bounds the true one from above, and the true one is no
        // more than the lattice's spacing below.
        Random random = new Random(9);
        Mesh ball = TestMeshes.ball(6, 8, 0.1);
        RayTracer tracer = Bvh.build(ball, Task.silent());
        PointBatch points = points(random, 200, 1, 0);
        Arrays.fill(points.limit, Float.POSITIVE_INFINITY);
        tracer.nearestPoints(points);
        int cells = 60;
        for (int i = 0; i < points.size; i++) {
            double least = Double.POSITIVE_INFINITY;
            for (int t = 0; t < ball.triangleCount(); t++) {
                for (int r = 0; r <= cells; r++) {
                    for (int s = 0; s <= cells - r; s++) {
                        least = Math.min(least, distance(ball, t, (double) r / cells, (double) s / cells, points, i));
                    }
                }
            }
            double mine = distance(ball, points.triangle[i], points.b1[i], points.b2[i], points, i);
            // b1, b2 and the distance are floats: 6e-8 of the ball's size and of the distance, a few times.
            assertThat(mine).isCloseTo(points.distance[i], Offset.offset(5e-7 + 1e-7 * mine));
            assertThat(mine).isLessThanOrEqualTo(least + 5e-7).isGreaterThan(least - 1.0 / cells); // no edge is longer than 1
        }
    }

    private static double distance(Mesh mesh, int t, double b1, double b2, PointBatch points, int i) {
        float[] p = mesh.positions();
        int[] c = mesh.positionIndices();
        double sum = 0;
        for (int axis = 0; axis < 3; axis++) {
            double q = p[3 * c[3 * t] + axis] * (1 - b1 - b2) + p[3 * c[3 * t + 1] + axis] * b1 + p[3 * c[3 * t + 2] + axis] * b2;
            double d = q - (axis == 0 ? points.x[i] : axis == 1 ? points.y[i] : points.z[i]);
            sum += d * d;
        }
        return Math.sqrt(sum);
    }

    static void assertBitEqual(RayTracer tracer, RayTracer oracle, RayBatch rays, PointBatch points) {
        HitBatch hits = new HitBatch(rays.size);
        HitBatch expected = new HitBatch(rays.size);
        boolean[] any = new boolean[rays.size];
        for (Facing facing : Facing.values()) {
            tracer.closestHits(rays, facing, hits);
            oracle.closestHits(rays, facing, expected);
            tracer.anyHits(rays, facing, any);
            for (int i = 0; i < rays.size; i++) {
                boolean same = hits.triangle[i] == expected.triangle[i] && (hits.triangle[i] < 0 || (bits(hits.t[i]) == bits(expected.t[i])
                        && bits(hits.b1[i]) == bits(expected.b1[i]) && bits(hits.b2[i]) == bits(expected.b2[i])));
                if (!same || any[i] != (expected.triangle[i] >= 0)) {
                    throw new AssertionError(String.format(Locale.ROOT,
                            "ray %d, %s: o (%s, %s, %s) d (%s, %s, %s) t (%s, %s]: triangle %d t %s any %s, expected %d t %s",
                            i, facing, rays.originX[i], rays.originY[i], rays.originZ[i], rays.directionX[i], rays.directionY[i],
                            rays.directionZ[i], rays.tMin[i], rays.tMax[i], hits.triangle[i], hits.t[i], any[i],
                            expected.triangle[i],
                            expected.t[i]));
                }
            }
        }
        PointBatch other = copy(points);
        tracer.nearestPoints(points);
        oracle.nearestPoints(other);
        for (int i = 0; i < points.size; i++) {
            assertThat(points.triangle[i]).as("nearest triangle of point %d", i).isEqualTo(other.triangle[i]);
            if (points.triangle[i] >= 0) {
                assertThat(bits(points.distance[i])).isEqualTo(bits(other.distance[i]));
                assertThat(bits(points.b1[i])).isEqualTo(bits(other.b1[i]));
                assertThat(bits(points.b2[i])).isEqualTo(bits(other.b2[i]));
            }
        }
    }

    private static int bits(float f) {
        return Float.floatToRawIntBits(f);
    }

    private static PointBatch copy(PointBatch p) {
        PointBatch c = new PointBatch(p.size);
        for (int i = 0; i < p.size; i++) {
            c.add(p.x[i], p.y[i], p.z[i], p.limit[i]);
        }
        return c;
    }

    /** Returns rays of all kinds: free ones, ones that aim at corners and edges, along axes, from surface planes, with short ends and odd values. */
    static RayBatch rays(RandomGenerator random, Mesh mesh, int count, float scale, float away) {
        float[] p = mesh.positions();
        RayBatch rays = new RayBatch(count);
        float[] o = new float[3];
        float[] d = new float[3];
        for (int i = 0; i < count; i++) {
            int target = 3 * random.nextInt(p.length / 3);
            int other = 3 * random.nextInt(p.length / 3);
            float mix = random.nextInt(3) == 0 ? 0f : random.nextFloat();
            for (int k = 0; k < 3; k++) {
                o[k] = scale * ((k == 0 ? away : k == 1 ? -away : 0) + 3 * random.nextFloat() - 1.5f);
                d[k] = switch (random.nextInt(2)) {
                    case 0 -> scale * (random.nextFloat() - 0.5f);
                    default -> random.nextFloat() - 0.5f;
                };
            }
            switch (random.nextInt(8)) {
                case 0, 1 -> { // aims at a corner, or a point between two corners
                    for (int k = 0; k < 3; k++) {
                        d[k] = p[target + k] + mix * (p[other + k] - p[target + k]) - o[k];
                    }
                }
                case 2 -> { // starts on a corner's planes
                    for (int k = 0; k < 3; k++) {
                        if (random.nextBoolean()) {
                            o[k] = p[target + k];
                        }
                    }
                }
                case 3 -> { // along an axis, through a corner
                    int axis = random.nextInt(3);
                    for (int k = 0; k < 3; k++) {
                        o[k] = k == axis ? o[k] : p[target + k];
                        d[k] = k == axis ? random.nextBoolean() ? 1 : -1 : random.nextBoolean() ? 0f : -0f;
                    }
                }
                case 4 -> d[random.nextInt(3)] = ODD[random.nextInt(ODD.length)];
                case 5 -> { // from afar
                    for (int k = 0; k < 3; k++) {
                        o[k] = o[k] * 1000;
                        d[k] = p[target + k] - o[k];
                    }
                }
                default -> {
                    // as it is
                }
            }
            float tMin = random.nextInt(4) == 0 ? random.nextFloat() * 3 : 0;
            float tMax = random.nextInt(4) == 0 ? random.nextFloat() * 3 : Float.POSITIVE_INFINITY;
            rays.add(o[0], o[1], o[2], d[0], d[1], d[2], tMin, tMax);
        }
        return rays;
    }

    static PointBatch points(RandomGenerator random, int count, float scale, float away) {
        PointBatch points = new PointBatch(count);
        for (int i = 0; i < count; i++) {
            float wide = random.nextInt(8) == 0 ? 100 : 1.5f;
            points.add(scale * (away + wide * (2 * random.nextFloat() - 1)), scale * (-away + wide * (2 * random.nextFloat() - 1)),
                    random.nextInt(4) == 0 ? 0.25f * scale : scale * wide * (2 * random.nextFloat() - 1),
                    random.nextInt(3) == 0 ? random.nextFloat() * scale : Float.POSITIVE_INFINITY);
        }
        return points;
    }
}
