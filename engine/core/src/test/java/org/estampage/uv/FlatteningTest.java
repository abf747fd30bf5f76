package org.estampage.uv;

import static org.assertj.core.api.Assertions.assertThat;

import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

class FlatteningTest {
    /** Quads along rulings: facets of a developable surface, cut along one ruling, so an isometry exists exactly. */
    private static Patch ruled(int around, int along, double angle, double lowRadius, double highRadius, double height) {
        double[] xyz = new double[3 * (around + 1) * (along + 1)];
        int[] triangles = new int[6 * around * along];
        int at = 0;
        for (int j = 0; j <= along; j++) {
            for (int i = 0; i <= around; i++) {
                int v = 3 * (j * (around + 1) + i);
                double part = (double) j / along;
                double radius = lowRadius + part * (highRadius - lowRadius);
                xyz[v] = radius * StrictMath.cos(angle * i / around);
                xyz[v + 1] = part * height;
                xyz[v + 2] = -radius * StrictMath.sin(angle * i / around);
                if (i < around && j < along) {
                    int a = j * (around + 1) + i;
                    int b = a + around + 1;
                    for (int corner : new int[] {a, a + 1, b + 1, a, b + 1, b}) {
                        triangles[at++] = corner;
                    }
                }
            }
        }
        return new Patch(xyz, triangles);
    }

    private static void assertIsometry(Patch patch) {
        Flat flat = Flattening.flatten(patch, Effort.FULL, Task.silent());
        // A stretch of 1 + 1e-4 in one direction adds (2e-4)² / 4 = 1e-8 to the energy.
        assertThat(flat.distortion).isLessThan(1 + 1e-8);
        double worst = 0;
        for (int c = 0; c < patch.triangles.length; c++) {
            int a = patch.triangles[c];
            int b = patch.triangles[c % 3 == 2 ? c - 2 : c + 1];
            double solid = 0;
            for (int k = 0; k < 3; k++) {
                solid += (patch.xyz[3 * a + k] - patch.xyz[3 * b + k]) * (patch.xyz[3 * a + k] - patch.xyz[3 * b + k]);
            }
            double length = Math.hypot(flat.uv[2 * a] - flat.uv[2 * b], flat.uv[2 * a + 1] - flat.uv[2 * b + 1]);
            worst = Math.max(worst, Math.abs(length / Math.sqrt(solid) - 1));
        }
        // The bar that developable surfaces have to pass, for lengths; areas and angles follow.
        assertThat(worst).isLessThan(1e-4);
    }

    @Test
    void flatten_ofHalfCylinder_isAnIsometry() {
        assertIsometry(ruled(24, 8, Math.PI, 1, 1, 2));
    }

    @Test
    void flatten_ofWholeTube_isAnIsometry() {
        assertIsometry(ruled(48, 4, 2 * Math.PI, 1, 1, 3));
    }

    @Test
    void flatten_ofCutCone_isAnIsometry() {
        assertIsometry(ruled(32, 8, 2 * Math.PI, 1, 0.2, 1.5));
    }

    @Test
    void flatten_ofHemisphere_neverFlipsAndIsAsGoodAsTheBestKnownBound() {
        // A fan of rings over a half sphere of radius 1.
        int around = 32;
        int rings = 8;
        double[] xyz = new double[3 * (around * rings + 1)];
        int[] triangles = new int[3 * around * (2 * rings - 1)];
        xyz[1] = 1;
        int at = 0;
        for (int r = 1; r <= rings; r++) {
            for (int i = 0; i < around; i++) {
                double polar = Math.PI / 2 * r / rings;
                int v = 1 + (r - 1) * around + i;
                xyz[3 * v] = StrictMath.sin(polar) * StrictMath.cos(2 * Math.PI * i / around);
                xyz[3 * v + 1] = StrictMath.cos(polar);
                xyz[3 * v + 2] = -StrictMath.sin(polar) * StrictMath.sin(2 * Math.PI * i / around);
                int next = 1 + (r - 1) * around + (i + 1) % around;
                int[] corners = r == 1 ? new int[] {0, v, next} : new int[] {v - around, v, next, v - around, next, next - around};
                for (int corner : corners) {
                    triangles[at++] = corner;
                }
            }
        }
        Flat flat = Flattening.flatten(new Patch(xyz, triangles), Effort.FULL, Task.silent());
        for (int t = 0; t < triangles.length; t += 3) {
            int a = 2 * triangles[t];
            int b = 2 * triangles[t + 1];
            int c = 2 * triangles[t + 2];
            assertThat((flat.uv[b] - flat.uv[a]) * (flat.uv[c + 1] - flat.uv[a + 1])
                    - (flat.uv[b + 1] - flat.uv[a + 1]) * (flat.uv[c] - flat.uv[a])).isPositive();
        }
        // Closed form: the equal-area map r = 2 sin(θ/2) stretches by cos(θ/2) and its inverse, so the mean of ¼·2·(c² + c⁻²), c² = (1 + cos θ)/2,
        // over the half sphere is ½ (¾ + 2 ln 2) = 1.0681. The minimum can't be above that, by more than facets change (a half per cent).
        assertThat(flat.distortion).isBetween(1.0, 0.5 * (0.75 + 2 * Math.log(2)) * 1.005);
    }
}
