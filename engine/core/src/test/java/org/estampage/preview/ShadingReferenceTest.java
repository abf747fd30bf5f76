package org.estampage.preview;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** The microfacet equations against laws that are published with them, by integrals of this test. */
class ShadingReferenceTest {
    /** Steps of the integrals in the angle from the normal, halved towards the lobe by substitution, and around. */
    private static final int STEPS = 1500;
    private static final int TURNS = 96;

    /** Integrates over the hemisphere of microfacet normals, tangents of whose angles are taken as α·√(x/(1 − x)): evenly by a GGX lobe's weight. */
    private static double overNormals(double alpha, java.util.function.DoubleBinaryOperator integrand) {
        double sum = 0;
        for (int i = 0; i < STEPS; i++) {
            double x = (i + 0.5) / STEPS, tangent = alpha * Math.sqrt(x / (1 - x)), cosine = 1 / Math.sqrt(1 + tangent * tangent);
            // dω = sin dθ dφ; with t = tan²θ = α²x/(1 − x): sin·cos dθ = cos⁴/2 dt, and dt = α²/(1 − x)² dx.
            double weight = cosine * cosine * cosine / 2 * alpha * alpha / ((1 - x) * (1 - x)) / STEPS;
            for (int turn = 0; turn < TURNS; turn++) {
                sum += integrand.applyAsDouble(cosine, 2 * Math.PI * (turn + 0.5) / TURNS) * weight * 2 * Math.PI / TURNS;
            }
        }
        return sum;
    }

    /** The reflected share of a light from all sides, by the whole lobe: ∫ F·D·V·n·l dω, over half vectors, whose solid angle is dω / (4 v·h). */
    private static double share(double nv, double alpha, double f0) {
        double vx = Math.sqrt(1 - nv * nv);
        return overNormals(alpha, (nh, turn) -> {
            double vh = vx * Math.sqrt(1 - nh * nh) * Math.cos(turn) + nv * nh, nl = 2 * vh * nh - nv;
            if (!(vh > 0 && nl > 0)) {
                return 0;
            }
            // Heitz 2014, equation 99: masking and shadowing at heights that go together, by Λ of equation 72.
            double g = 1 / (1 + lambda(nl, alpha) + lambda(nv, alpha));
            double fresnel = f0 + (1 - f0) * Math.pow(1 - vh, 5);
            return fresnel * ggx(nh, alpha) * g / (4 * nl * nv) * nl * 4 * vh;
        });
    }

    private static double lambda(double cosine, double alpha) {
        double tangent2 = 1 / (cosine * cosine) - 1;
        return (Math.sqrt(1 + alpha * alpha * tangent2) - 1) / 2;
    }

    /** Walter et al. 2007, equation 33, as printed there: by the tangent. */
    private static double ggx(double cosine, double alpha) {
        double tangent2 = 1 / (cosine * cosine) - 1, square = alpha * alpha;
        return square / (Math.PI * Math.pow(cosine, 4) * Math.pow(square + tangent2, 2));
    }

    @ParameterizedTest
    @ValueSource(doubles = {0.01, 0.1, 0.4, 1})
    void distribution_timesTheCosine_addsUpToOne(double alpha) {
        // Walter et al. 2007, equation 4. The midpoint rule is off by less than this at 1,500 steps.
        assertThat(overNormals(alpha, (nh, turn) -> Shading.distribution(nh, alpha) * nh)).isCloseTo(1, within(1e-4));
    }

    @ParameterizedTest
    @CsvSource({"0.9, 0.3", "0.3, 0.3", "0.1, 0.8", "1, 1"})
    void distribution_isThatOfWalter(double cosine, double alpha) {
        assertThat(Shading.distribution(cosine, alpha)).isCloseTo(ggx(cosine, alpha), within(1e-12 * ggx(cosine, alpha)));
    }

    @ParameterizedTest
    @CsvSource({"0.9, 0.5, 0.3", "0.05, 0.7, 0.1", "1, 1, 1", "0.2, 0.1, 0.6"})
    void visibility_isHeitzsMaskingOverTheCosines(double nl, double nv, double alpha) {
        double expected = 1 / (1 + lambda(nl, alpha) + lambda(nv, alpha)) / (4 * nl * nv);
        assertThat(Shading.visibility(nl, nv, alpha)).isCloseTo(expected, within(1e-12 * expected));
    }

    @ParameterizedTest
    @CsvSource({"1, 0.2, 0.04", "1, 1, 1", "0.7, 0.5, 1", "0.3, 0.8, 0.04", "0.3, 0.3, 0.6", "0.15, 1, 1", "0.5, 0.1, 1"})
    void mirroredShare_isTheIntegral_andNotAboveOne(double nv, double roughness, double f0) {
        double ours = f0 * MirroredShare.scale(nv, roughness) + MirroredShare.bias(nv, roughness);
        double expected = share(nv, roughness * roughness, f0);
        assertThat(expected).isBetween(0.0, 1 + 1e-4);
        // 512 directions an entry and straight lines between 32 × 32 entries.
        assertThat(ours).isCloseTo(expected, within(0.01)).isLessThanOrEqualTo(1.0);
    }

    @ParameterizedTest
    @ValueSource(doubles = {0.02, 0.3, 0.7, 1})
    void mirroredShare_ofAPerfectMirror_isAllOfItWhereSmooth_andLessWhereRough(double nv) {
        // A smooth surface mirrors all where f0 is 1; a rough one loses what its facets send to one another (Heitz 2014, section 6).
        assertThat(MirroredShare.scale(nv, 0) + MirroredShare.bias(nv, 0)).isCloseTo(1, within(0.005));
        assertThat(MirroredShare.scale(nv, 1) + MirroredShare.bias(nv, 1)).isBetween(0.3, 0.96);
    }
}
