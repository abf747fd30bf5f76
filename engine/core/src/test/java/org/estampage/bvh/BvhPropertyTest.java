package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Random;
import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/** Laws over generated meshes, by strategies in turn. */
class BvhPropertyTest {
    @Property(tries = 150)
    void treeAndBruteForce_agreeBitByBit(@ForAll("meshes") Mesh mesh, @ForAll("strategies") Strategy strategy, @ForAll long seed) {
        Random random = new Random(seed);
        BvhDifferentialTest.assertBitEqual(Bvh.build(mesh, strategy, Task.silent()), new BruteForceTracer(mesh),
                BvhDifferentialTest.rays(random, mesh, 60, 1, 0), BvhDifferentialTest.points(random, 20, 1, 0));
    }

    @Property(tries = 60)
    void scalingByAPowerOfTwo_scalesTAndKeepsTheBits(@ForAll("meshes") Mesh mesh, @ForAll("strategies") Strategy strategy,
            @ForAll long seed) {
        RayBatch rays = BvhDifferentialTest.rays(new Random(seed), mesh, 60, 1, 0);
        RayBatch scaled = new RayBatch(rays.size);
        float s = 0x1p10f;
        for (int i = 0; i < rays.size; i++) {
            scaled.add(rays.originX[i] * s, rays.originY[i] * s, rays.originZ[i] * s, rays.directionX[i], rays.directionY[i],
                    rays.directionZ[i],
                    rays.tMin[i] * s, rays.tMax[i] * s);
        }
        HitBatch a = closest(mesh, strategy, Facing.BOTH, rays);
        HitBatch b = closest(TestMeshes.transformed(mesh, s, 0, 0, 0), strategy, Facing.BOTH, scaled);
        for (int i = 0; i < rays.size; i++) {
            assertThat(b.triangle[i]).isEqualTo(a.triangle[i]);
            if (a.triangle[i] >= 0) {
                assertThat(b.t[i]).isEqualTo(a.t[i] * s);
                assertThat(b.b1[i]).isEqualTo(a.b1[i]);
                assertThat(b.b2[i]).isEqualTo(a.b2[i]);
            }
        }
    }

    @Property(tries = 60)
    void turningAxesInCyclicOrder_keepsTheBits(@ForAll("meshes") Mesh mesh, @ForAll("strategies") Strategy strategy, @ForAll long seed) {
        RayBatch rays = new RayBatch(60);
        Random random = new Random(seed);
        for (int i = 0; i < rays.capacity(); i++) { // continuous directions: the dominant axis is never a tie
            rays.add(random.nextFloat() * 4 - 2, random.nextFloat() * 4 - 2, random.nextFloat() * 4 - 2, random.nextFloat() - 0.5f,
                    random.nextFloat() - 0.5f, random.nextFloat() - 0.5f, 0, Float.POSITIVE_INFINITY);
        }
        RayBatch turned = new RayBatch(rays.size);
        for (int i = 0; i < rays.size; i++) {
            turned.add(rays.originZ[i], rays.originX[i], rays.originY[i], rays.directionZ[i], rays.directionX[i], rays.directionY[i], 0,
                    Float.POSITIVE_INFINITY);
        }
        float[] p = mesh.positions();
        float[] q = new float[p.length];
        for (int i = 0; i < p.length; i++) {
            q[i] = p[i / 3 * 3 + (i + 2) % 3];
        }
        HitBatch a = closest(mesh, strategy, Facing.FRONT, rays);
        HitBatch b = closest(mesh.toBuilder().positions(q).build(), strategy, Facing.FRONT, turned);
        for (int i = 0; i < rays.size; i++) {
            assertThat(b.triangle[i]).isEqualTo(a.triangle[i]);
            if (a.triangle[i] >= 0) {
                assertThat(b.t[i]).isEqualTo(a.t[i]);
                assertThat(b.b1[i]).isEqualTo(a.b1[i]);
            }
        }
    }

    @Property(tries = 60)
    void turningAllTrianglesOver_swapsFrontAndBack(@ForAll("meshes") Mesh mesh, @ForAll("strategies") Strategy strategy,
            @ForAll long seed) {
        Random random = new Random(seed);
        RayBatch rays = new RayBatch(60);
        for (int i = 0; i < rays.capacity(); i++) { // outside the meshes' cube: no hit lies at t ≈ 0, where rounding of det decides
            rays.add(3 + random.nextFloat(), random.nextFloat() * 4 - 2, random.nextFloat() * 4 - 2, -1, random.nextFloat() - 0.5f,
                    random.nextFloat() - 0.5f, 0, Float.POSITIVE_INFINITY);
        }
        int[] c = mesh.positionIndices().clone();
        for (int i = 0; i < c.length; i += 3) {
            int swap = c[i + 1];
            c[i + 1] = c[i + 2];
            c[i + 2] = swap;
        }
        RayTracer other = Bvh.build(Mesh.builder(mesh.positions(), c).build(), strategy, Task.silent());
        boolean[] front = new boolean[rays.size];
        boolean[] back = new boolean[rays.size];
        Bvh.build(mesh, strategy, Task.silent()).anyHits(rays, Facing.FRONT, front);
        other.anyHits(rays, Facing.BACK, back);
        assertThat(back).isEqualTo(front);
    }

    private static HitBatch closest(Mesh mesh, Strategy strategy, Facing facing, RayBatch rays) {
        HitBatch hits = new HitBatch(rays.size);
        Bvh.build(mesh, strategy, Task.silent()).closestHits(rays, facing, hits);
        return hits;
    }

    @Provide
    Arbitrary<Strategy> strategies() {
        return Arbitraries.of(TestStrategies.all());
    }

    /** Meshes within [−1, 1]³ whose triangles share vertices, on a coarse lattice or free. */
    @Provide
    Arbitrary<Mesh> meshes() {
        Arbitrary<Float> lattice = Arbitraries.integers().between(-4, 4).map(i -> i / 4f);
        Arbitrary<Float> free = Arbitraries.floats().between(-1, 1).ofScale(6);
        Arbitrary<float[]> positions = Arbitraries.of(true, false)
                .flatMap(onLattice -> (onLattice ? lattice : free).array(float[].class).ofMinSize(9).ofMaxSize(60)).map(a -> {
                    float[] p = new float[a.length / 3 * 3];
                    System.arraycopy(a, 0, p, 0, p.length);
                    return p;
                });
        Arbitrary<int[]> corners = Arbitraries.integers().between(0, 1 << 20).array(int[].class).ofMinSize(3).ofMaxSize(90);
        return Combinators.combine(positions, corners).as((p, raw) -> {
            int[] c = new int[raw.length / 3 * 3];
            for (int i = 0; i < c.length; i++) {
                c[i] = raw[i] % (p.length / 3);
            }
            return Mesh.builder(p, c).build();
        });
    }
}
