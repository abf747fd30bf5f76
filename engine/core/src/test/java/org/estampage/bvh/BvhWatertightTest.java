package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Arrays;
import java.util.Random;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedClass;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.MethodSource;

/** No ray leaves a closed mesh between two triangles, whatever the layout. */
@ParameterizedClass(name = "{0}")
@MethodSource("org.estampage.bvh.TestStrategies#everyLayout")
class BvhWatertightTest {
    private static final int RAYS = 120_000;

    private final Strategy strategy;

    BvhWatertightTest(Strategy strategy) {
        this.strategy = strategy;
    }

    /** Six cases of 120,000 rays a layout. The ball has fans of slivers at its poles. */
    @ParameterizedTest
    @CsvSource({"1, 0", "1e-3, 0", "1e3, 0", "1, 1000", "1e-12, 0", "1e12, 0"})
    void raysFromInside_aimedAtSharedEdgesAndVertices_neverEscape(float scale, float away) {
        Mesh mesh = TestMeshes.transformed(TestMeshes.ball(60, 90, 0.05), scale, away, away, away);
        assertThat(escapes(mesh, mesh, scale, away, RAYS)).isZero();
    }

    @Test
    void raysThroughLatticePoints_ofAPlane_allHit() {
        Mesh plane = TestMeshes.grid(32, 1);
        RayTracer tracer = Bvh.build(plane, strategy, Task.silent());
        RayBatch rays = new RayBatch(65 * 65 * 6);
        float[][] d = {{0, 0, -1}, {0.25f, 0, -1}, {0.125f, -0.25f, -1}};
        for (int y = 0; y <= 64; y++) {
            for (int x = 0; x <= 64; x++) { // vertices, middles of edges, middles of diagonals; borders belong to the plane
                for (float[] v : d) {
                    rays.add(x / 64f - v[0], y / 64f - v[1], 1, v[0], v[1], v[2], 0, Float.POSITIVE_INFINITY);
                    rays.add(x / 64f + v[0], y / 64f + v[1], -1, -v[0], -v[1], -v[2], 0, Float.POSITIVE_INFINITY);
                }
            }
        }
        HitBatch hits = new HitBatch(rays.size);
        tracer.closestHits(rays, Facing.BOTH, hits);
        int wrong = 0;
        for (int i = 0; i < rays.size; i++) {
            wrong += hits.triangle[i] >= 0 && hits.t[i] == 1f ? 0 : 1; // 1 exactly: all numbers here are short binary fractions
        }
        assertThat(wrong).isZero();
    }

    @Test
    void aMissingTriangle_isFoundByTheSameRays() {
        Mesh whole = TestMeshes.ball(60, 90, 0.05);
        int[] corners = whole.positionIndices();
        int[] fewer = Arrays.copyOf(corners, corners.length - 3);
        assertThat(escapes(whole, TestMeshes.mesh(whole.positions(), fewer), 1, 0, RAYS)).isPositive();
    }

    /** Counts rays that miss {@code mesh} of those from within that aim at edges and vertices of {@code aim}. */
    private int escapes(Mesh aim, Mesh mesh, float scale, float away, int count) {
        Random random = new Random(17);
        RayTracer tracer = Bvh.build(mesh, strategy, Task.silent());
        float[] p = aim.positions();
        int[] c = aim.positionIndices();
        RayBatch rays = new RayBatch(tracer.preferredBatchSize());
        HitBatch hits = new HitBatch(rays.capacity());
        boolean[] any = new boolean[rays.capacity()];
        int escapes = 0;
        float[] o = new float[3];
        float[] d = new float[3];
        for (int i = 0; i < count; i += rays.size) {
            rays.size = 0;
            while (rays.size < rays.capacity() && i + rays.size < count) {
                int t = random.nextInt(c.length / 3);
                int k = random.nextInt(3);
                float along = random.nextInt(3) == 0 ? 0f : random.nextFloat();
                for (int axis = 0; axis < 3; axis++) {
                    float a = p[3 * c[3 * t + k] + axis];
                    float b = p[3 * c[3 * t + (k + 1) % 3] + axis];
                    o[axis] = scale * 0.5f * (2 * random.nextFloat() - 1) + away; // within 0.87 of the middle, the ball's radius is 0.92 at least
                    d[axis] = a + along * (b - a) - o[axis];
                }
                rays.add(o[0], o[1], o[2], d[0], d[1], d[2], 0, Float.POSITIVE_INFINITY);
            }
            tracer.closestHits(rays, Facing.BOTH, hits);
            tracer.anyHits(rays, Facing.BOTH, any);
            for (int r = 0; r < rays.size; r++) {
                if (any[r] != hits.triangle[r] >= 0) {
                    throw new AssertionError("closest and any hit disagree on ray " + r + " of the batch at " + i);
                }
                escapes += any[r] ? 0 : 1;
            }
        }
        return escapes;
    }
}
