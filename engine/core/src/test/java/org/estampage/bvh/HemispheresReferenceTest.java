package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.estampage.bvh.HemisphereQuery.Distribution;
import org.estampage.internal.kernel.Directions;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.OcclusionScene;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * Hemisphere queries through real meshes against closed forms.
 *
 * <p>Values: Howell, A Catalog of Radiation Configuration Factors, 1982 (from memory); strips by Hottel's crossed strings; bent normals derived by hand
 * below.
 */
class HemispheresReferenceTest {
    private static final float INF = Float.POSITIVE_INFINITY;

    /** A point of a mesh, the normal there, and the exact value. */
    private record Case(String name, Mesh mesh, double reach, double x, double y, double nx, double ny, double exact) {
    }

    /** A floor point of a scene; its own formula and the published number must agree, so that neither is mistyped. */
    private static Case floor(OcclusionScene scene, double x, double exact) {
        assertThat(scene.exact(x, 0, 0)).isCloseTo(exact, within(1e-10));
        float[] p = scene.highPoly().positions();
        int[] t = scene.highPoly().triangles();
        int[] occluders = new int[0];
        for (int i = 0; i < t.length; i += 3) { // the floor does not occlude itself, and so the rays may start on it
            if (p[3 * t[i] + 1] != 0 || p[3 * t[i + 1] + 1] != 0 || p[3 * t[i + 2] + 1] != 0) {
                occluders = Arrays.copyOf(occluders, occluders.length + 3);
                System.arraycopy(t, i, occluders, occluders.length - 3, 3);
            }
        }
        return new Case(scene.name() + " at " + x, TestMeshes.mesh(p, occluders), scene.reach(), x, 0, 0, 1, exact);
    }

    /**
     * One length up the right wall of a groove. The wall itself is left out: a plane does not occlude itself, and so the rays may start on it. The other
     * one is a thousand long, which stands for endless within 4e-4.
     */
    private static Case groove(double degrees, double exact) {
        float sin = (float) StrictMath.sin(StrictMath.toRadians(degrees / 2));
        float cos = (float) StrictMath.cos(StrictMath.toRadians(degrees / 2));
        float far = 1000;
        float[] p = {0, 0, -far, 0, 0, far, -sin * far, cos * far, far, -sin * far, cos * far, -far};
        return new Case("groove of " + degrees, TestMeshes.mesh(p, 0, 2, 1, 0, 3, 2), INF, sin, cos, -cos, sin, exact);
    }

    private static List<Case> eight() {
        OcclusionScene trench = OcclusionScene.trench(1, 1);
        return List.of(floor(trench, 0.5, 0.4472135955), floor(trench, 0.25, 0.4212678125), floor(trench, 0.01, trench.exact(0.01, 0, 0)),
                floor(OcclusionScene.diskOverhead(1, 1), 0, 0.5), floor(OcclusionScene.diskOverhead(1, 2), 0, 0.8),
                floor(OcclusionScene.diskOverhead(2, 1), 0, 0.2), groove(60, 0.25), groove(120, 0.75));
    }

    @Test
    void openShare_isOneMinusTheConfigurationFactor() {
        // 2048 texels of 64 rays. One texel errs by 0.02 or less, the mean of 2048 independent ones by 4.4e-4 (one standard error); polygons for
        // circles add 1e-5. Three standard errors.
        List<Case> cases = new ArrayList<>(eight());
        cases.add(groove(90, 0.5));
        OcclusionScene wall = OcclusionScene.wall(1);
        cases.add(floor(wall, 0.25, 0.6212678125));
        cases.add(floor(wall, 0.5, 0.7236067977));
        cases.add(floor(wall, 1, 0.8535533906));
        cases.add(floor(wall, 2, 0.9472135955));
        cases.add(floor(OcclusionScene.squareOverhead(1, 1), 0, 1 - 0.2394564705));
        OcclusionScene within = OcclusionScene.wallWithin(1);
        cases.add(floor(within, 0.25, 0.6574811788));
        cases.add(floor(within, 0.5, 0.8044988905));
        cases.add(floor(within, 0.75, 0.9278531936));
        for (Case c : cases) {
            double[] open = open(c, 2048, 64);
            double mean = 0;
            for (double o : open) {
                mean += o / open.length;
            }
            assertThat(mean).as(c.name).isCloseTo(c.exact, within(1.4e-3));
        }
    }

    /** Root mean square error over eight scenes; the recipe's measured ones are 0.0506, 0.0193 and 0.0068, plain random ones 0.114, 0.0576, 0.0287. */
    @ParameterizedTest
    @CsvSource({"16, 4096, 0.0506", "64, 4096, 0.0193", "256, 1024, 0.0068"})
    void rootMeanSquareError_staysAtThatOfTheRecipe(int rays, int texels, double recipe) {
        double squares = 0;
        double bias = 0;
        List<Case> cases = eight();
        for (Case c : cases) {
            for (double o : open(c, texels, rays)) {
                squares += (o - c.exact) * (o - c.exact) / texels / cases.size();
                bias += (o - c.exact) / texels / cases.size();
            }
        }
        assertThat(Math.sqrt(squares)).isLessThan(1.05 * recipe); // 5 % for other seeds and points
        // Standard error of this mean: recipe / √(8 · texels), 3e-4 at most; two grooves of finite length add 1e-4.
        assertThat(bias).isCloseTo(0, within(3 * recipe / Math.sqrt(8.0 * texels) + 1e-4));
    }

    @Test
    void bentNormal_besideAnEndlessWall_isTheIntegralOverHalfTheHemisphere() {
        // Wall over x < 0, floor normal +y. Cosine: ∫ d cos over the open half, by hand: (2/3, π/3)/… → (2, π)/√(4 + π²), mean length 0.7902980407.
        // Uniform: (1, 1)/√2; its mean is (1/2, 1/2), length 1/√2.
        float far = 1e5f;
        Mesh wall = TestMeshes.mesh(new float[] {0, 0, -far, 0, far, 0, 0, 0, far, 0, -far, 0}, 0, 1, 2, 0, 2, 3);
        RayTracer tracer = Bvh.build(wall, Task.silent());
        for (Distribution distribution : Distribution.values()) {
            HemisphereBatch points = new HemisphereBatch(512);
            for (int i = 0; i < points.capacity(); i++) {
                put(points, 1, 0, 0, 0, 1, Directions.texelSeed(i, 9), 0, 256);
            }
            tracer.hemispheres(new HemisphereQuery(distribution, 256, INF), points);
            double x = 0;
            double y = 0;
            double z = 0;
            double open = 0;
            for (int i = 0; i < points.size; i++) {
                x += points.sumX[i];
                y += points.sumY[i];
                z += points.sumZ[i];
                open += points.open[i];
            }
            double length = Math.sqrt(x * x + y * y + z * z);
            boolean cosine = distribution == Distribution.COSINE;
            // 131,072 rays stratified in 512 nets: some 1e-4.
            assertThat(open / (256.0 * points.size)).isCloseTo(0.5, within(5e-4));
            assertThat(x / length).isCloseTo(cosine ? 0.5370292721 : 0.7071067812, within(5e-4));
            assertThat(y / length).isCloseTo(cosine ? 0.8435636081 : 0.7071067812, within(5e-4));
            assertThat(z / length).isCloseTo(0, within(5e-4));
            assertThat(length / open).isCloseTo(cosine ? 0.7902980407 : 0.7071067812, within(5e-4));
        }
    }

    @Test
    void partsOfASequence_addUpToTheWhole_whateverTheBatch() {
        Mesh mesh = floor(OcclusionScene.trench(1, 1), 0.25, 0.4212678125).mesh;
        RayTracer tracer = Bvh.build(mesh, Task.silent());
        HemisphereQuery query = new HemisphereQuery(Distribution.COSINE, 64, INF);
        HemisphereBatch whole = new HemisphereBatch(40);
        HemisphereBatch parts = new HemisphereBatch(80);
        HemisphereBatch single = new HemisphereBatch(1);
        for (int i = 0; i < 40; i++) {
            put(whole, 0.25f, 0, 0, 0, 1, i, 0, 64);
            put(parts, 0.25f, 0, 0, 0, 1, i, 0, 24);
            put(parts, 0.25f, 0, 0, 0, 1, i, 24, 40);
        }
        tracer.hemispheres(query, whole);
        tracer.hemispheres(query, parts);
        new BruteForceTracer(mesh).hemispheres(query, copyOfFirst(whole, single)); // its batches hold 64 rays
        assertThat(single.open[0]).isEqualTo(whole.open[0]);
        assertThat(single.sumX[0]).isEqualTo(whole.sumX[0]);
        for (int i = 0; i < 40; i++) {
            assertThat(parts.open[2 * i] + parts.open[2 * i + 1]).isEqualTo(whole.open[i]);
            assertThat(parts.sumY[2 * i] + parts.sumY[2 * i + 1]).isCloseTo(whole.sumY[i], within(1e-5f)); // 64 sums of floats below 64
            copyOfFirst(whole, single);
            single.seed[0] = i;
            tracer.hemispheres(query, single);
            assertThat(single.open[0]).isEqualTo(whole.open[i]);
            assertThat(single.sumY[0]).isEqualTo(whole.sumY[i]);
        }
        tracer.hemispheres(query, whole); // answers of before are forgotten
        assertThat(single.open[0]).isEqualTo(whole.open[39]);
    }

    private static HemisphereBatch copyOfFirst(HemisphereBatch from, HemisphereBatch dest) {
        dest.size = 0;
        put(dest, from.x[0], from.y[0], from.z[0], from.normalX[0], from.normalY[0], from.seed[0], from.first[0], from.count[0]);
        return dest;
    }

    private static double[] open(Case c, int texels, int rays) {
        RayTracer tracer = Bvh.build(c.mesh, Task.silent());
        HemisphereBatch points = new HemisphereBatch(texels);
        for (int i = 0; i < texels; i++) {
            put(points, (float) c.x, (float) c.y, 0, (float) c.nx, (float) c.ny,
                    Directions.texelSeed(i & 63, i >>> 6), 0, rays);
        }
        tracer.hemispheres(new HemisphereQuery(Distribution.COSINE, rays, (float) c.reach), points);
        double[] open = new double[texels];
        for (int i = 0; i < texels; i++) {
            open[i] = (double) points.open[i] / rays;
        }
        return open;
    }

    private static void put(HemisphereBatch points, float x, float y, float z, float nx, float ny, int seed, int first, int count) {
        int i = points.size++;
        points.x[i] = x;
        points.y[i] = y;
        points.z[i] = z;
        points.normalX[i] = nx;
        points.normalY[i] = ny;
        points.normalZ[i] = 0;
        points.seed[i] = seed;
        points.first[i] = first;
        points.count[i] = count;
    }
}
