package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.List;
import org.estampage.bvh.HemisphereQuery.Distribution;
import org.estampage.bvh.OcclusionPoints.Bent;
import org.estampage.bvh.OcclusionPoints.Case;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.OcclusionScene;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * Hemisphere queries through real meshes against closed forms.
 *
 * <p>Values: see {@link OcclusionPoints}.
 */
class HemispheresReferenceTest {
    private static final float INF = Float.POSITIVE_INFINITY;

    @Test
    void openShare_isOneMinusTheConfigurationFactor() {
        // 2048 texels of 64 rays. One texel errs by 0.02 or less, the mean of 2048 independent ones by 4.4e-4 (one standard error); polygons for
        // circles add 1e-5. Three standard errors.
        for (Case c : OcclusionPoints.all()) {
            double mean = c.mean(2048, 64);
            assertThat(mean).as(c.name()).isCloseTo(c.exact(), within(1.4e-3));
        }
    }

    /** Root mean square error over eight scenes; the recipe's measured ones are 0.0506, 0.0193 and 0.0068, plain random ones 0.114, 0.0576, 0.0287. */
    @ParameterizedTest
    @CsvSource({"16, 4096, 0.0506", "64, 4096, 0.0193", "256, 1024, 0.0068"})
    void rootMeanSquareError_staysAtThatOfTheRecipe(int rays, int texels, double recipe) {
        double squares = 0;
        double bias = 0;
        List<Case> cases = OcclusionPoints.eight();
        for (Case c : cases) {
            for (double o : c.open(texels, rays)) {
                squares += (o - c.exact()) * (o - c.exact()) / texels / cases.size();
                bias += (o - c.exact()) / texels / cases.size();
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
        for (Distribution distribution : Distribution.values()) {
            Bent bent = OcclusionPoints.besideWall(distribution, 512, 256);
            boolean cosine = distribution == Distribution.COSINE;
            // 131,072 rays stratified in 512 nets: some 1e-4.
            assertThat(bent.open()).isCloseTo(0.5, within(5e-4));
            assertThat(bent.x()).isCloseTo(cosine ? 0.5370292721 : 0.7071067812, within(5e-4));
            assertThat(bent.y()).isCloseTo(cosine ? 0.8435636081 : 0.7071067812, within(5e-4));
            assertThat(bent.z()).isCloseTo(0, within(5e-4));
            assertThat(bent.length()).isCloseTo(cosine ? 0.7902980407 : 0.7071067812, within(5e-4));
        }
    }

    @Test
    void partsOfASequence_addUpToTheWhole_whateverTheBatch() {
        Mesh mesh = OcclusionPoints.floor(OcclusionScene.trench(1, 1), 0.25, 0.4212678125).mesh();
        RayTracer tracer = Bvh.build(mesh, Task.silent());
        HemisphereQuery query = new HemisphereQuery(Distribution.COSINE, 64, INF);
        HemisphereBatch whole = new HemisphereBatch(40);
        HemisphereBatch parts = new HemisphereBatch(80);
        HemisphereBatch single = new HemisphereBatch(1);
        for (int i = 0; i < 40; i++) {
            OcclusionPoints.put(whole, 0.25f, 0, 0, 1, i, 0, 64);
            OcclusionPoints.put(parts, 0.25f, 0, 0, 1, i, 0, 24);
            OcclusionPoints.put(parts, 0.25f, 0, 0, 1, i, 24, 40);
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
        OcclusionPoints.put(dest, from.x[0], from.y[0], from.normalX[0], from.normalY[0], from.seed[0], from.first[0], from.count[0]);
        return dest;
    }
}
