package org.estampage.testresources;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

class OcclusionSceneTest {
    /** The table's digits. */
    private static final double DIGITS = 1e-10;

    @Test
    void exactValues_matchWorkedOnes() {
        // Values derived by quadrature and from the named closed forms; trench mean: Hottel's crossed strings, C-1 in Howell's catalogue; cup: B-22.
        OcclusionScene trench = OcclusionScene.trench(1, 1);
        assertThat(trench.exact(0.5, 0, 0)).isCloseTo(0.4472135955, within(DIGITS));
        assertThat(trench.exact(0.25, 0, 0)).isCloseTo(0.4212678125, within(DIGITS));
        assertThat(trench.exact(0, 0, 0)).isCloseTo(0.3535533906, within(DIGITS));
        OcclusionScene wall = OcclusionScene.wall(1);
        assertThat(wall.exact(0.25, 0, 0)).isCloseTo(0.6212678125, within(DIGITS));
        assertThat(wall.exact(0.5, 0, 0)).isCloseTo(0.7236067977, within(DIGITS));
        assertThat(wall.exact(1, 0, 0)).isCloseTo(0.8535533906, within(DIGITS));
        assertThat(wall.exact(2, 0, 0)).isCloseTo(0.9472135955, within(DIGITS));
        OcclusionScene within = OcclusionScene.wallWithin(2);
        assertThat(within.exact(0.5, 0, 0)).isCloseTo(0.6574811788, within(DIGITS));
        assertThat(within.exact(1, 0, 0)).isCloseTo(0.8044988905, within(DIGITS));
        assertThat(within.exact(1.5, 0, 0)).isCloseTo(0.9278531936, within(DIGITS));
        assertThat(OcclusionScene.diskOverhead(1, 1).exact(0, 0, 0)).isCloseTo(0.5, within(DIGITS));
        assertThat(OcclusionScene.diskOverhead(1, 2).exact(0, 0, 0)).isCloseTo(0.8, within(DIGITS));
        assertThat(OcclusionScene.diskOverhead(2, 1).exact(0, 0, 0)).isCloseTo(0.2, within(DIGITS));
        assertThat(OcclusionScene.squareOverhead(1, 1).exact(0, 0, 0)).isCloseTo(1 - 0.2394564705, within(DIGITS));
        OcclusionScene sphere = OcclusionScene.restingSphere();
        assertThat(sphere.exact(0.5, 0, 0)).isCloseTo(0.2844582472, within(DIGITS));
        assertThat(sphere.exact(0, 0, 1)).isCloseTo(0.6464466094, within(DIGITS));
        assertThat(sphere.exact(2, 0, 0)).isCloseTo(0.9105572809, within(DIGITS));
        OcclusionScene cup = OcclusionScene.cup(1, 1);
        assertThat(cup.exact(0, 0, 0)).isCloseTo(0.5, within(DIGITS));
        assertThat(cup.exact(0.3, 0, 0.4)).isCloseTo(0.4379826327, within(DIGITS));
        assertThat(OcclusionScene.pit(1).exact(0, -1, 0)).isEqualTo(0.5);
        // Infinite walls would give sin²(opening/2); ten long and a tenth from the bottom the missing part is worth s · sin(opening)² / (2 · 10).
        assertThat(OcclusionScene.groove(60).exact(0.05, Math.sqrt(3) / 20, 0)).isCloseTo(0.25, within(0.005));
        assertThat(OcclusionScene.groove(90).exact(0.0707, 0.0707, 0)).isCloseTo(0.5, within(0.006));
        assertThat(OcclusionScene.groove(120).exact(Math.sqrt(3) / 20, 0.05, 0)).isCloseTo(0.75, within(0.005));
    }

    @Test
    void trenchFloorMean_isHottels() {
        // √(1 + (d/w)²) − d/w; Simpson's rule with 1,000 intervals is exact to 1e-12 for this smooth function.
        OcclusionScene trench = OcclusionScene.trench(1, 1);
        double sum = 0;
        for (int i = 0; i <= 1000; i++) {
            sum += trench.exact(i / 1000.0, 0, 0) * (i == 0 || i == 1000 ? 1 : i % 2 == 1 ? 4 : 2);
        }
        assertThat(sum / 3000).isCloseTo(0.4142135624, within(DIGITS));
    }

    @ParameterizedTest
    @MethodSource("scenesWithoutLimit")
    void meshes_blockExactlyWhatTheFormulaSays(OcclusionScene scene) {
        // Lambert's polygon formula (Photometria, 1760; Baum, Rushmeier, Winget 1989, eq. 4): a polygon's factor is 1/2π · Σ angle · (edge plane's
        // normal ·
        // surface normal). In these scenes every ray meets at most one triangle from its front, so the sum over triangles that face the point is
        // exact.
        Shape patch = scene.patch();
        float[] uv = patch.uvs();
        float[] n = patch.normals();
        assertThat(uv).isNotNull();
        assertThat(n).isNotNull();
        int[] t = patch.triangles();
        double[] b = new double[3];
        for (int k = 0; k < 8; k++) {
            int triangle = k * 31 % patch.triangleCount();
            b[0] = 0.1 + 0.07 * k;
            b[1] = (1 - b[0]) * (0.2 + 0.08 * k);
            b[2] = 1 - b[0] - b[1];
            double[] point = new double[3];
            double[] normal = new double[3];
            for (int c = 0; c < 3; c++) {
                for (int i = 0; i < 3; i++) {
                    point[i] += b[c] * patch.positions()[3 * t[3 * triangle + c] + i];
                    normal[i] += b[c] * n[3 * t[3 * triangle + c] + i];
                }
            }
            if (scene.name().startsWith("pit")) {
                // The patch is a coarse grid; the formula speaks of the sphere.
                double centre = -Double.parseDouble(scene.name().split(" ")[1]) + 1;
                double length = Math.hypot(Math.hypot(point[0], point[1] - centre), point[2]);
                for (int i = 0; i < 3; i++) {
                    double fromCentre = (point[i] - (i == 1 ? centre : 0)) / length;
                    normal[i] = -fromCentre;
                    // A hair inside, so that the facets around the point lie below it.
                    point[i] = fromCentre * 0.9998 + (i == 1 ? centre : 0);
                }
            }
            double open = 1 - blocked(scene.highPoly(), point, normal);
            // 1e-5 is for the sum itself: floats of size 1000 at a distance of 1 round by 6e-5 of an edge far away, angles by much less.
            assertThat(open).as("%s at %s, %s, %s", scene, point[0], point[1], point[2]).isCloseTo(
                    scene.exact(point[0], point[1], point[2]),
                    within(scene.modelError() + 1e-5));
        }
    }

    static java.util.stream.Stream<OcclusionScene> scenesWithoutLimit() {
        return OcclusionScene.all().stream().filter(scene -> Double.isInfinite(scene.reach()));
    }

    @Test
    void limitedWall_agreesWithQuadrature() {
        // Cosine-weighted directions are a uniform unit disk (Malley's method): count the midpoints that meet x = 0 within the reach. The border of a
        // segment cuts about 4 · 2000 of 4 million cells, half of each counted wrongly at worst at random: 1e-3 is ten times that.
        OcclusionScene scene = OcclusionScene.wallWithin(1);
        for (double x : new double[] {0.1, 0.5, 0.9}) {
            long inside = 0;
            long hit = 0;
            for (int i = 0; i < 2000; i++) {
                double dx = (i + 0.5) / 1000 - 1;
                for (int j = 0; j < 2000; j++) {
                    double dz = (j + 0.5) / 1000 - 1;
                    if (dx * dx + dz * dz < 1) {
                        inside++;
                        if (dx < 0 && x / -dx <= 1) {
                            hit++;
                        }
                    }
                }
            }
            assertThat(1 - hit / (double) inside).isCloseTo(scene.exact(x, 0, 0), within(1e-3));
        }
    }

    @ParameterizedTest
    @MethodSource("allScenes")
    void patches_lieOnTheHighPoly_andTheirUvsFillTheSquare(OcclusionScene scene) {
        float[] uv = scene.patch().uvs();
        assertThat(uv).isNotNull();
        assertThat(uv).contains(0f, 1f);
        for (float coordinate : uv) {
            assertThat(coordinate).isBetween(0f, 1f);
        }
        // Straight down the normal from each of the patch's vertices there is high poly, facing the same way.
        float[] p = scene.patch().positions();
        float[] n = scene.patch().normals();
        assertThat(n).isNotNull();
        for (int v = 0; v < p.length; v += 3) {
            double nearest = nearestFacing(scene.highPoly(), p, n, v);
            // Flat patches lie on the surface to float rounding, also where vertices are 1000 away; the pits' sag by their facets.
            assertThat(nearest).isLessThan(scene.name().startsWith("pit") ? 1e-4 : 1e-6);
        }
    }

    static java.util.stream.Stream<OcclusionScene> allScenes() {
        return OcclusionScene.all().stream();
    }

    private static double nearestFacing(Shape shape, float[] p, float[] n, int at) {
        int[] t = shape.triangles();
        float[] q = shape.positions();
        double best = Double.MAX_VALUE;
        for (int i = 0; i < t.length; i += 3) {
            double[] a = minus(q, 3 * t[i], p, at);
            double[] b = minus(q, 3 * t[i + 1], p, at);
            double[] c = minus(q, 3 * t[i + 2], p, at);
            double[] d = {n[at], n[at + 1], n[at + 2]};
            double ab = dot(cross(a, b), d);
            double bc = dot(cross(b, c), d);
            double ca = dot(cross(c, a), d);
            double sum = ab + bc + ca;
            if (sum > 0 && Math.min(ab, Math.min(bc, ca)) >= -1e-9 * sum) {
                double along = (bc * dot(a, d) + ca * dot(b, d) + ab * dot(c, d)) / sum;
                best = Math.min(best, Math.abs(along));
            }
        }
        return best;
    }

    private static double[] minus(float[] q, int i, float[] p, int j) {
        return new double[] {(double) q[i] - p[j], (double) q[i + 1] - p[j + 1], (double) q[i + 2] - p[j + 2]};
    }

    private static double blocked(Shape shape, double[] point, double[] normal) {
        int[] t = shape.triangles();
        float[] q = shape.positions();
        double total = 0;
        double[][] polygon = new double[5][];
        for (int i = 0; i < t.length; i += 3) {
            double[][] corner = new double[3][];
            for (int k = 0; k < 3; k++) {
                corner[k] = new double[] {q[3 * t[i + k]] - point[0], q[3 * t[i + k] + 1] - point[1], q[3 * t[i + k] + 2] - point[2]};
            }
            // Facing the point: seen from it, counter-clockwise.
            if (dot(cross(corner[0], corner[1]), corner[2]) >= 0) {
                continue;
            }
            int size = clip(corner, normal, polygon);
            for (int k = 0; k < size; k++) {
                double[] a = polygon[k];
                double[] b = polygon[(k + 1) % size];
                double[] across = cross(a, b);
                double sine = Math.sqrt(dot(across, across));
                if (sine > 0) {
                    total -= Math.atan2(sine, dot(a, b)) * dot(across, normal) / sine;
                }
            }
        }
        return total / (2 * Math.PI);
    }

    /** Keeps what lies above the horizon. */
    private static int clip(double[][] corner, double[] normal, double[][] dest) {
        int size = 0;
        for (int k = 0; k < 3; k++) {
            double[] a = corner[k];
            double[] b = corner[(k + 1) % 3];
            double ha = dot(a, normal);
            double hb = dot(b, normal);
            if (ha >= 0) {
                dest[size++] = a;
            }
            if (ha >= 0 != hb >= 0) {
                double w = ha / (ha - hb);
                dest[size++] = new double[] {a[0] + w * (b[0] - a[0]), a[1] + w * (b[1] - a[1]), a[2] + w * (b[2] - a[2])};
            }
        }
        return size;
    }

    private static double dot(double[] a, double[] b) {
        return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    }

    private static double[] cross(double[] a, double[] b) {
        return new double[] {a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]};
    }
}
