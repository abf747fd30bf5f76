package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Random;
import org.estampage.bvh.HemisphereQuery.Distribution;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;

/** Hemispheres drawn where they are traced, against those by plain batches: bit by bit. */
@Tag("vector")
class WideHemispheresTest {
    private final Mesh mesh = TestMeshes.soup(new Random(5), 300, false);

    @Test
    void sums_haveTheBitsOfPlainBatches_howeverPointsAreCut() {
        for (int lanes : new int[] {8, 16}) {
            RayTracer tracer = Bvh.build(mesh, new Strategy(new BinnedSahBuilder(), WideLayout.of(lanes)), Task.silent());
            // 1023 … 1025 rays fill a batch, all but fill it, and go over it by one; points of 100 and 3000 rays are cut by batches.
            for (int[] size : new int[][] {{0, 4}, {1, 0}, {1, 1}, {1, 1023}, {1, 1024}, {1025, 1}, {57, 17}, {33, 100}, {3, 3000},
                    {700, -1}}) {
                for (Distribution distribution : Distribution.values()) {
                    HemisphereQuery query = new HemisphereQuery(distribution, 64, distribution == Distribution.UNIFORM ? 0.4f : 1e9f);
                    HemisphereBatch points = points(size[0], size[1], lanes + size[1]);
                    HemisphereBatch plain = points(size[0], size[1], lanes + size[1]);
                    tracer.hemispheres(query, points);
                    Hemispheres.trace(tracer, query, plain);
                    assertThat(points.open).isEqualTo(plain.open);
                    assertThat(points.sumX).containsExactly(plain.sumX); // compares bits: zeros by sign
                    assertThat(points.sumY).containsExactly(plain.sumY);
                    assertThat(points.sumZ).containsExactly(plain.sumZ);
                }
            }
        }
    }

    @Test
    void meshWithoutTriangles_leavesAllOpen() {
        RayTracer tracer = Bvh.build(mesh, new int[0], Task.silent());
        HemisphereBatch points = points(5, 30, 1);
        tracer.hemispheres(new HemisphereQuery(Distribution.COSINE, 30, 1f), points);
        assertThat(points.open).containsOnly(30);
    }

    /** Points among the soup; {@code count} rays each, or for −1 any number from 0 to 8. */
    private static HemisphereBatch points(int size, int count, int seed) {
        Random random = new Random(seed);
        HemisphereBatch points = new HemisphereBatch(size);
        for (int i = 0; i < size; i++) {
            points.x[i] = random.nextFloat();
            points.y[i] = random.nextFloat();
            points.z[i] = random.nextFloat();
            double x = random.nextGaussian(), y = random.nextGaussian(), z = random.nextGaussian(), l = Math.sqrt(x * x + y * y + z * z);
            points.normalX[i] = (float) (x / l);
            points.normalY[i] = (float) (y / l);
            points.normalZ[i] = (float) (z / l);
            points.seed[i] = random.nextInt();
            points.first[i] = random.nextInt(100);
            points.count[i] = count < 0 ? random.nextInt(9) : count;
        }
        points.size = size;
        return points;
    }
}
