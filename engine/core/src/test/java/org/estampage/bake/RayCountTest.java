package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.List;
import java.util.Locale;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.HemisphereQuery.Distribution;
import org.estampage.image.FloatImage;
import org.estampage.lowpoly.Lathe;
import org.estampage.maps.EffortMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.Bollard;
import org.junit.jupiter.api.Test;

/** How many rays texels get, and that this neither biases nor wastes. */
class RayCountTest {
    private static final Mesh HIGH = BakeReferenceTest.mesh(Bollard.generate(60_000), "bollard");
    private static final Mesh LOW = Lathe.around(HIGH).sides(32).rings(10).capped().size(160).build();

    private static BakeResult bake(int size, SurfaceMap... maps) {
        return Baker.create().bake(BakeJob.of(LOW, HIGH).size(size).padding(0).maps(maps).build(), Task.silent());
    }

    @Test
    void wantedRays_followTheErrorModel() {
        // n = (1.25·√(p(1 − p))/τ)^(4/3): at p = ½ and τ = 1/64 that is 137, at 1/128 345; then up to a power of two.
        assertThat(RayCount.wanted(64, 128, 1 / 64.0, 4096)).isEqualTo(256);
        assertThat(RayCount.wanted(64, 128, 1 / 128.0, 4096)).isEqualTo(512);
        assertThat(RayCount.wanted(64, 128, 1 / 128.0, 300)).as("the most").isEqualTo(300);
        assertThat(RayCount.wanted(128, 128, 1 / 64.0, 4096)).as("all open").isLessThanOrEqualTo(16);
        assertThat(RayCount.wanted(0, 128, 1 / 64.0, 4096)).as("all closed").isEqualTo(RayCount.wanted(128, 128, 1 / 64.0, 4096));
        assertThat(RayCount.error(172, 345)).isCloseTo(1 / 128.0, within(1e-4));
    }

    private record Difference(double signed, double rms, double rays) {
    }

    private static Difference difference(BakeResult result, BakeResult reference) {
        FloatImage a = result.map("occlusion"), b = reference.map("occlusion");
        double sum = 0, square = 0;
        int n = 0;
        for (int y = 0; y < a.height(); y++) {
            for (int x = 0; x < a.width(); x++) {
                if (result.hit().get(x, y)) {
                    double d = a.get(x, y, 0) - b.get(x, y, 0);
                    sum += d;
                    square += d * d;
                    n++;
                }
            }
        }
        assertThat(n).isGreaterThan(10_000);
        return new Difference(sum / n, Math.sqrt(square / n), (double) result.hemisphereRayCount() / n);
    }

    @Test
    void adaptiveRays_areUnbiased_andNoMoreThanAFixedNumberTakes() {
        // Source of the bounds: what the rule gave on four scanned and generated meshes before it was built, 0.76 of the rays of a fixed number with the same
        // mean error where reach is short, 0.98 … 1.10 where it has no end.
        double reach = 0.03 * HIGH.bounds().diagonal();
        for (boolean shortReach : new boolean[] {true, false}) {
            OcclusionMap most = OcclusionMap.create(512), fixed = OcclusionMap.create(64);
            if (shortReach) {
                most = most.reach(reach);
                fixed = fixed.reach(reach);
            }
            BakeResult reference = bake(160, most);
            Difference plain = difference(bake(160, fixed), reference);
            BakeResult result = bake(160, most.error(1 / 64.0));
            Difference adaptive = difference(result, reference);
            // Errors fall with the power −¾ of the number of rays: what a fixed number would need for the same error.
            double equal = 64 * Math.pow(adaptive.rms / plain.rms, -4.0 / 3);
            String what = String.format(Locale.ROOT, "reach %b: %.1f rays, rms %.4f, signed %.5f; 64 rays: rms %.4f; ratio %.2f",
                    shortReach,
                    adaptive.rays, adaptive.rms, adaptive.signed, plain.rms, adaptive.rays / equal);
            System.getLogger(RayCountTest.class.getName()).log(System.Logger.Level.INFO, what);
            assertThat(Math.abs(adaptive.signed)).as(what).isLessThanOrEqualTo(0.0005);
            assertThat(adaptive.rays / equal).as(what).isLessThanOrEqualTo(shortReach ? 0.85 : 1.15);
        }
    }

    @Test
    void adaptiveRays_areTheSame_forAnyBlocks_andReported() {
        OcclusionMap map = OcclusionMap.create(300).error(1 / 40.0);
        BakeJob job = BakeJob.of(LOW, HIGH).size(61, 47).samples(3).padding(0).maps(map, EffortMap.rays(map), EffortMap.error(map)).build();
        BakeResult one = Baker.create().threads(1).blockSide(64).bake(job, Task.silent());
        for (int side : new int[] {1, 7, 32}) {
            BakeResult other = Baker.create().threads(2).blockSide(side).bake(job, Task.silent());
            for (String name : List.of("occlusion", "occlusion-rays", "occlusion-error")) {
                for (int y = 0; y < 47; y++) {
                    for (int x = 0; x < 61; x++) {
                        assertThat(other.map(name).get(x, y, 0)).as(name).isEqualTo(one.map(name).get(x, y, 0));
                    }
                }
            }
        }
        boolean few = false, many = false;
        for (int y = 0; y < 47; y++) {
            for (int x = 0; x < 61; x++) {
                float rays = one.map("occlusion-rays").get(x, y, 0), error = one.map("occlusion-error").get(x, y, 0);
                if (one.hit().get(x, y)) {
                    assertThat(rays).isBetween(16f, 300f);
                    assertThat(error).isBetween(1e-4f, 0.2f);
                    few |= rays == 16;
                    many |= rays >= 64;
                } else {
                    assertThat(rays).isZero();
                }
            }
        }
        assertThat(few && many).isTrue();
    }

    @Test
    void anErrorThatIsNone_isRefused() {
        HemisphereQuery query = new HemisphereQuery(Distribution.COSINE, 16, 1);
        for (double error : new double[] {-1, 0.6, Double.NaN}) {
            assertThatThrownBy(() -> query.to(error)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("error");
        }
    }
}
