package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Arrays;
import java.util.Random;
import java.util.stream.IntStream;
import org.estampage.internal.kernel.Triangles;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Nearest points by trees against brute force with {@code NearestPoint} on every triangle: equal bits, at scales where bounds in floats come to their ends. */
class NearestDifferentialTest {
    private static final float INF = Float.POSITIVE_INFINITY;

    @ParameterizedTest
    @ValueSource(floats = {1f, 1e-12f, 1e12f, 1e-19f, 1e-23f, 1e-36f, 1e-43f, 1e18f, 4e18f, 1e19f, 1e30f, 1e36f})
    void nearestPoints_onSoupsOfAnyScale_areBitEqualToBruteForce(float scale) {
        Random random = new Random(31);
        for (int round = 0; round < 12; round++) {
            Mesh soup = TestMeshes.soup(random, 1 + random.nextInt(200), true);
            float away = round % 4 == 3 && scale < 1e35f ? 1000 : 0;
            Mesh mesh = TestMeshes.transformed(soup, scale, away * scale, -away * scale, 0);
            assertEqual(mesh, points(random, mesh, 120, scale, away));
        }
    }

    @ParameterizedTest
    @ValueSource(floats = {1f, 1e-12f, 1e12f})
    void nearestPoints_ofABallFromOnInsideNearAndFar_areBitEqualToBruteForce(float scale) {
        Random random = new Random(32);
        for (double bump : new double[] {0, 0.05}) { // a smooth ball's centre is as near to all
            Mesh ball = TestMeshes.transformed(TestMeshes.ball(24, 32, bump), scale, 0, 0, 0);
            assertEqual(ball, points(random, ball, 500, scale, 0));
        }
    }

    @Test
    void nearestPoints_ofAGridFromItsLattice_areBitEqualToBruteForce() {
        Random random = new Random(33);
        Mesh grid = TestMeshes.grid(16, 1);
        PointBatch points = new PointBatch(800);
        for (int i = 0; i < points.capacity(); i++) { // corners and edges of many triangles are equally near
            points.add((random.nextInt(37) - 2) / 32f, (random.nextInt(37) - 2) / 32f, (random.nextInt(5) - 2) / 4f,
                    random.nextInt(4) == 0 ? random.nextInt(3) / 4f : INF);
        }
        assertEqual(grid, points);
    }

    @Test
    void nearestPoints_acrossAllFloats_areBitEqualToBruteForce() {
        Random random = new Random(34);
        float most = Float.MAX_VALUE;
        Mesh far = TestMeshes.mesh(
                new float[] {-most, -most, -most, -most, most / -2, -most, most / -2, -most, -most, 1, 0, 0, 0, 1, 0, 0, 0, 1},
                0, 1, 2, 3, 4, 5);
        Mesh mostly = TestMeshes.mesh(Arrays.copyOf(far.positions(), 9), 0, 1, 2);
        for (Mesh mesh : new Mesh[] {far, mostly}) {
            PointBatch points = new PointBatch(401);
            for (int i = 0; i < 400; i++) {
                points.add(any(random), any(random), any(random), random.nextInt(3) == 0 ? Math.abs(any(random)) : INF);
            }
            points.add(0, most, most, INF); // farther than any float: found at infinity
            assertEqual(mesh, points);
        }
    }

    @Test
    void nearestPoints_ofAMovedMesh_areBitEqualToBruteForce() {
        Random random = new Random(35);
        Mesh ball = TestMeshes.ball(12, 20, 0.05);
        Mesh moved = TestMeshes.transformed(ball, 3, 1, 2, 3);
        PointBatch points = points(random, moved, 300, 3, 0);
        RayTracer tracer = Bvh.build(ball, Task.silent()).refitted(moved, Task.silent());
        assertEqual(tracer, new BruteForceTracer(moved), points);
    }

    @Test
    void nearestPoints_ofAMeshMovedSoThatMostTrianglesLoseTheirArea_areBitEqualToBruteForce() {
        Random random = new Random(36);
        Mesh ball = TestMeshes.ball(24, 40, 0.05);
        Bvh tracer = Bvh.build(ball, Task.silent());
        for (float from : new float[] {-2, 0, 0.9f, 2}) { // what is above stays, the rest is a needle's line, or all is
            float[] p = ball.positions().clone();
            for (int i = 0; i < p.length; i += 3) {
                if (p[i + 2] < from) {
                    p[i] = 0;
                    p[i + 1] = 0;
                }
            }
            Mesh moved = TestMeshes.mesh(p, ball.positionIndices());
            int[] left = IntStream.range(0, moved.triangleCount()).filter(t -> takesPart(moved, t)).toArray();
            assertEqual(tracer.refitted(moved, Task.silent()), new BruteForceTracer(moved, left), points(random, moved, 300, 1, 0));
        }
    }

    private static boolean takesPart(Mesh mesh, int t) {
        int[] c = mesh.positionIndices();
        return Triangles.takesPart(mesh.positions(), 3 * c[3 * t], 3 * c[3 * t + 1], 3 * c[3 * t + 2]);
    }

    private static float any(Random random) {
        return switch (random.nextInt(6)) {
            case 0 -> 0f;
            case 1 -> Float.MAX_VALUE * (2 * random.nextFloat() - 1);
            case 2 -> Float.NaN;
            case 3 -> Float.MIN_VALUE;
            default -> Float.intBitsToFloat(random.nextInt());
        };
    }

    /** Returns points on corners, on faces as near as floats come, a little off, within, and far off, with limits from 0 to infinity. */
    private static PointBatch points(Random random, Mesh mesh, int count, float scale, float away) {
        float[] p = mesh.positions();
        PointBatch points = new PointBatch(count);
        float[] at = new float[3];
        for (int i = 0; i < count; i++) {
            int[] c = mesh.positionIndices();
            int t = 3 * random.nextInt(c.length / 3);
            float b1 = random.nextInt(3) == 0 ? 0 : random.nextFloat();
            float b2 = random.nextInt(3) == 0 ? 0 : (1 - b1) * random.nextFloat();
            float off = switch (random.nextInt(5)) {
                case 0 -> 0f;
                case 1 -> 1e-6f;
                case 2 -> 0.01f;
                case 3 -> 1f;
                default -> 300f;
            };
            for (int axis = 0; axis < 3; axis++) {
                at[axis] = p[3 * c[t] + axis] * (1 - b1 - b2) + p[3 * c[t + 1] + axis] * b1 + p[3 * c[t + 2] + axis] * b2
                        + scale * off * (2 * random.nextFloat() - 1);
            }
            if (random.nextInt(10) == 0) {
                at[0] = away * scale;
                at[1] = -away * scale;
                at[2] = 0;
            }
            points.add(at[0], at[1], at[2], switch (random.nextInt(5)) {
                case 0 -> 0f;
                case 1 -> scale * 0.1f * random.nextFloat();
                case 2 -> scale * 2 * random.nextFloat();
                default -> INF;
            });
        }
        return points;
    }

    private static void assertEqual(Mesh mesh, PointBatch points) {
        assertEqual(Bvh.build(mesh, Task.silent()), new BruteForceTracer(mesh), points);
    }

    private static void assertEqual(RayTracer tracer, RayTracer oracle, PointBatch points) {
        PointBatch other = new PointBatch(points.size);
        for (int i = 0; i < points.size; i++) {
            other.add(points.x[i], points.y[i], points.z[i], points.limit[i]);
        }
        tracer.nearestPoints(points);
        oracle.nearestPoints(other);
        for (int i = 0; i < points.size; i++) {
            assertThat(points.triangle[i]).as("nearest triangle of point %d: %s %s %s, limit %s", i, points.x[i], points.y[i], points.z[i],
                    points.limit[i]).isEqualTo(other.triangle[i]);
            if (points.triangle[i] >= 0) {
                assertThat(Float.floatToRawIntBits(points.distance[i])).isEqualTo(Float.floatToRawIntBits(other.distance[i]));
                assertThat(Float.floatToRawIntBits(points.b1[i])).isEqualTo(Float.floatToRawIntBits(other.b1[i]));
                assertThat(Float.floatToRawIntBits(points.b2[i])).isEqualTo(Float.floatToRawIntBits(other.b2[i]));
            }
        }
    }
}
