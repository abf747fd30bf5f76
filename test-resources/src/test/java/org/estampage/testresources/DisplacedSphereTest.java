package org.estampage.testresources;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import org.junit.jupiter.api.Test;

class DisplacedSphereTest {
    @Test
    void radiusAndNormal_matchTheTable() {
        // Table: mpmath, 30 digits, printed to 14; 1e-9 leaves room for nothing but double rounding.
        double[][] rows = Tables.rows("displaced-sphere.csv");
        assertThat(rows).hasDimensions(10, 7);
        double[] n = new double[3];
        for (double[] row : rows) {
            assertThat(DisplacedSphere.radius(row[0], row[1], row[2])).isCloseTo(row[3], within(1e-9));
            DisplacedSphere.normal(row[0], row[1], row[2], n);
            for (int i = 0; i < 3; i++) {
                assertThat(n[i]).isCloseTo(row[4 + i], within(1e-9));
            }
        }
    }

    @Test
    void normal_isAcrossTheSurface_byDifferences() {
        double[] n = new double[3];
        double h = 1e-5;
        for (int k = 0; k < 200; k++) {
            double a = 0.1 + k * 0.0147;
            double b = k * 0.7;
            double[] here = point(a, b);
            DisplacedSphere.normal(Math.sin(a) * Math.cos(b), Math.sin(a) * Math.sin(b), Math.cos(a), n);
            for (double[] there : new double[][] {point(a + h, b), point(a, b + h)}) {
                double slope = (n[0] * (there[0] - here[0]) + n[1] * (there[1] - here[1]) + n[2] * (there[2] - here[2])) / h;
                // A chord of length h leaves the tangent by h · curvature/2; curvature stays below 10.
                assertThat(slope).isCloseTo(0, within(10 * h));
            }
        }
    }

    private static double[] point(double a, double b) {
        double x = Math.sin(a) * Math.cos(b);
        double y = Math.sin(a) * Math.sin(b);
        double z = Math.cos(a);
        double r = DisplacedSphere.radius(x, y, z);
        return new double[] {r * x, r * y, r * z};
    }

    @Test
    void highPoly_isClosed_withExactNormalsAtItsVertices() {
        Shape high = DisplacedSphere.highPoly(50_000);
        ShapesTest.assertClosed(high, 2);
        assertThat(high.triangleCount()).isBetween(49_000, 51_000);
        float[] p = high.positions();
        float[] normals = high.normals();
        assertThat(normals).isNotNull();
        double[] n = new double[3];
        for (int v = 0; v < p.length; v += 3) {
            double length = Math.sqrt((double) p[v] * p[v] + (double) p[v + 1] * p[v + 1] + (double) p[v + 2] * p[v + 2]);
            // Floats round to 6e-8; the normal turns by at most about 10 radians a unit.
            assertThat(length).isCloseTo(DisplacedSphere.radius(p[v] / length, p[v + 1] / length, p[v + 2] / length), within(1e-6));
            assertThat(Math.abs(length - 1)).isLessThan(DisplacedSphere.LARGEST_DISPLACEMENT);
            DisplacedSphere.normal(p[v] / length, p[v + 1] / length, p[v + 2] / length, n);
            assertThat((double) normals[v]).isCloseTo(n[0], within(2e-6));
            assertThat((double) normals[v + 1]).isCloseTo(n[1], within(2e-6));
            assertThat((double) normals[v + 2]).isCloseTo(n[2], within(2e-6));
        }
    }

    @Test
    void lowPoly_liesOnTheUnitSphere_itsChartsApartByTheGutter_andNotMirrored() {
        double gutter = 0.02;
        Shape low = DisplacedSphere.lowPoly(8, gutter);
        ShapesTest.assertClosed(low, 2);
        assertThat(low.triangleCount()).isEqualTo(12 * 64);
        float[] p = low.positions();
        for (int v = 0; v < p.length; v += 3) {
            assertThat(Math.sqrt((double) p[v] * p[v] + (double) p[v + 1] * p[v + 1] + (double) p[v + 2] * p[v + 2])).isCloseTo(1,
                    within(1e-7));
        }
        float[] uv = low.uvs();
        int[] t = low.uvTriangles();
        assertThat(uv).isNotNull();
        assertThat(t).isNotNull();
        double area = 0;
        double[][] bounds = new double[6][];
        for (int i = 0; i < t.length; i += 3) {
            double a = ((double) uv[2 * t[i + 1]] - uv[2 * t[i]]) * ((double) uv[2 * t[i + 2] + 1] - uv[2 * t[i] + 1])
                    - ((double) uv[2 * t[i + 2]] - uv[2 * t[i]]) * ((double) uv[2 * t[i + 1] + 1] - uv[2 * t[i] + 1]);
            assertThat(a).isPositive();
            area += a / 2;
            int chart = i / (t.length / 6);
            if (bounds[chart] == null) {
                bounds[chart] = new double[] {1, 1, 0, 0};
            }
            for (int k = 0; k < 3; k++) {
                double[] b = bounds[chart];
                b[0] = Math.min(b[0], uv[2 * t[i + k]]);
                b[1] = Math.min(b[1], uv[2 * t[i + k] + 1]);
                b[2] = Math.max(b[2], uv[2 * t[i + k]]);
                b[3] = Math.max(b[3], uv[2 * t[i + k] + 1]);
            }
        }
        double side = 1.0 / 3 - gutter;
        assertThat(area).isCloseTo(6 * side * side, within(1e-6));
        for (int a = 0; a < 6; a++) {
            assertThat(Math.min(bounds[a][0], bounds[a][1])).isGreaterThanOrEqualTo(gutter / 2 - 1e-6);
            assertThat(Math.max(bounds[a][2], bounds[a][3])).isLessThanOrEqualTo(1 - gutter / 2 + 1e-6);
            for (int b = 0; b < a; b++) {
                double across = Math.max(bounds[a][0] - bounds[b][2], bounds[b][0] - bounds[a][2]);
                double up = Math.max(bounds[a][1] - bounds[b][3], bounds[b][1] - bounds[a][3]);
                assertThat(Math.max(across, up)).isGreaterThanOrEqualTo(gutter - 1e-6);
            }
        }
    }
}
