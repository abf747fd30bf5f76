package org.estampage.lowpoly;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.Arrays;
import java.util.stream.Stream;
import org.estampage.finding.Finding;
import org.estampage.mesh.Axis;
import org.estampage.mesh.Mesh;
import org.estampage.testresources.Bollard;
import org.joml.Quaterniond;
import org.joml.Vector3d;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.EnumSource;
import org.junit.jupiter.params.provider.MethodSource;
import org.junit.jupiter.params.provider.ValueSource;

/** The axis that is found: the known one of shapes that were made about it and moved. */
class LatheAxisTest {
    private static Mesh cylinder(double height, int sides) {
        return Revolved.about(Axis.Y, height, sides, 5, h -> 1);
    }

    private static Mesh vase() {
        return Revolved.about(Axis.Y, 2, 256, 401, h -> 0.5 + 0.25 * StrictMath.sin(3 * h) + 0.1 * h);
    }

    /** A bump of half the radius over an eighth of the way round. */
    private static Mesh handle() {
        return Revolved.of((h, angle) -> h > 0.8 && h < 1.2 && angle > 1 && angle < 1.8 ? 1.5 : 1, 2, 256, 201, Axis.Y, 0, 0, 0);
    }

    /** Grooves that wind up around a post. */
    private static Mesh rope() {
        return Revolved.of((h, angle) -> 1 + 0.05 * StrictMath.sin(2 * angle + 12 * h), 3, 256, 301, Axis.Y, 0, 0, 0);
    }

    private static Mesh bollard() {
        return LowPolyShapes.mesh(Bollard.generate(50_000));
    }

    /** The mesh without the triangles at one end. */
    private static Mesh withoutBottom(Mesh mesh) {
        float[] p = mesh.positions();
        int[] c = mesh.positionIndices();
        int[] kept = new int[c.length];
        int n = 0;
        for (int t = 0; t < c.length; t += 3) {
            if (p[3 * c[t] + 1] > 0 || p[3 * c[t + 1] + 1] > 0 || p[3 * c[t + 2] + 1] > 0) {
                System.arraycopy(c, t, kept, n, 3);
                n += 3;
            }
        }
        return Mesh.builder(p, Arrays.copyOf(kept, n)).name(mesh.name()).build();
    }

    static Stream<Arguments> shapes() {
        // Radians that the axis may be off. Points are spread evenly, but over facets that lean by up to π/sides: 2^16 of them leave π/sides/2^8 where
        // they are random, 2e−4 at 64 sides. Relief of a few degrees, without symmetry, leaves some tenths of it over 2^8: 1e−3.
        return Stream.of(Arguments.of("cylinder", cylinder(3, 64), 2e-4), Arguments.of("coin", cylinder(0.1, 64), 2e-4),
                Arguments.of("frustum", Revolved.about(Axis.Y, 2, 512, 3, h -> 1 - 0.4 * h), 2e-4), Arguments.of("vase", vase(), 2e-4),
                Arguments.of("open vase", withoutBottom(vase()), 2e-4), Arguments.of("handle", handle(), 2e-4),
                Arguments.of("rope", rope(), 1e-3),
                Arguments.of("bollard", bollard(), 1e-3), Arguments.of("open bollard", withoutBottom(bollard()), 1e-3));
    }

    private static double lean(AxisFrame frame, Vector3d truth) {
        return new Vector3d(frame.cx(), frame.cy(), frame.cz()).cross(truth).length();
    }

    @ParameterizedTest(name = "{0}")
    @MethodSource("shapes")
    void find_ofAMovedShape_isTheMovedAxis(String name, Mesh mesh, double tolerance) {
        Quaterniond turn = new Quaterniond().rotateAxis(0.7, new Vector3d(0.3, 0.2, 1).normalize());
        AxisSearch.Found found = new AxisSearch(Revolved.moved(mesh, turn, new Vector3d(70, -20, 30))).find();
        assertThat(found.clear()).isTrue();
        assertThat(lean(found.frame(), turn.transform(new Vector3d(0, 1, 0)))).isLessThan(tolerance);
    }

    @ParameterizedTest(name = "{0}")
    @MethodSource("shapes")
    void find_aboutACoordinateAxis_isExactlyIt(String name, Mesh mesh, double tolerance) {
        AxisSearch.Found found = new AxisSearch(mesh).find();
        assertThat(found.clear()).isTrue();
        assertThat(found.frame()).isEqualTo(AxisFrame.of(Axis.Y));
    }

    @ParameterizedTest
    @EnumSource(Axis.class)
    void find_ofALyingShape_isItsAxis(Axis axis) {
        Mesh mesh = Revolved.of((h, angle) -> 0.5 + 0.25 * StrictMath.sin(3 * h), 2, 256, 101, axis, 3, -4, 5);
        assertThat(new AxisSearch(mesh).find().frame()).isEqualTo(AxisFrame.of(axis));
        Mesh low = Lathe.around(mesh).rings(6).build();
        assertThat(low.sameAs(Lathe.around(mesh).axis(axis).rings(6).build())).isTrue();
        assertThat(low.findings()).isEmpty();
    }

    @ParameterizedTest
    @ValueSource(doubles = {0.25, 1, 5})
    void find_ofALeaningPost_isNotSnapped(double degrees) {
        Quaterniond turn = new Quaterniond().rotateX(Math.toRadians(degrees));
        AxisSearch.Found found = new AxisSearch(Revolved.moved(cylinder(3, 64), turn, new Vector3d())).find();
        assertThat(lean(found.frame(), turn.transform(new Vector3d(0, 1, 0)))).isLessThan(2e-4);
    }

    @Test
    void build_ofALeaningVase_leansWithIt() {
        Quaterniond turn = new Quaterniond().rotateXYZ(0.4, 2, -0.9);
        Vector3d shift = new Vector3d(1, 2, 3);
        Mesh low = Lathe.around(Revolved.moved(vase(), turn, shift)).sides(24).heightFractions(0.3, 0.6).build();
        Mesh upright = Lathe.around(vase()).sides(24).heightFractions(0.3, 0.6).build();
        assertThat(low.findings()).isEmpty();
        // A lean of 2e−4 moves ends by 2e−4 and, where radii are 0.8, bounds by 2e−4 again; sectors begin elsewhere: 7.5e−5 of 256 sides.
        assertThat(LatheTest.volume(low)).isCloseTo(LatheTest.volume(upright), within(2e-3));
        int ends = 3 * (low.vertexCount() - 2);
        float[] p = low.positions();
        Vector3d a = new Vector3d(p[ends], p[ends + 1], p[ends + 2]);
        Vector3d b = new Vector3d(p[ends + 3], p[ends + 4], p[ends + 5]);
        Vector3d foot = turn.transform(new Vector3d()).add(shift);
        Vector3d head = turn.transform(new Vector3d(0, 2, 0)).add(shift);
        // The axis rises along the coordinate axis nearest to it, so it may run either way.
        assertThat(Math.min(a.distance(foot) + b.distance(head), a.distance(head) + b.distance(foot))).isLessThan(1e-3);
    }

    // ----------------------------------------------------------------------------------------------------------- findings

    static Stream<Arguments> unclear() {
        return Stream.of(
                Arguments.of("ball", Revolved.about(Axis.Y, 2, 256, 257, h -> Math.sqrt(Math.max(0, h * (2 - h))))),
                Arguments.of("cube", Revolved.about(Axis.Y, Math.sqrt(2), 4, 2, h -> 1)),
                Arguments.of("square post", Revolved.about(Axis.Y, 3, 4, 2, h -> 1)),
                Arguments.of("three-sided post", Revolved.about(Axis.Y, 3, 3, 2, h -> 1)));
    }

    @ParameterizedTest(name = "{0}")
    @MethodSource("unclear")
    void build_withoutAClearAxis_takesYAndSaysSo(String name, Mesh mesh) {
        Quaterniond turn = new Quaterniond().rotateXYZ(0.4, 0.2, -0.3);
        Mesh high = Revolved.moved(mesh, turn, new Vector3d());
        Mesh low = Lathe.around(high).heightFractions(0.5).build();
        Finding finding = low.findings().ofKind("lathe-axis-unclear").get(0);
        assertThat(finding.toString()).contains("Y was taken").contains("lathe(mesh).axis(Y)");
        Mesh told = Lathe.around(high).axis(Axis.Y).heightFractions(0.5).build();
        assertThat(told.sameAs(low)).isTrue();
        assertThat(told.findings()).isEmpty();
    }

    /** A closed ring around Y with a round section. */
    private static Mesh ring() {
        int around = 96, across = 48;
        float[] p = new float[3 * around * across];
        int[] c = new int[6 * around * across];
        for (int i = 0; i < around; i++) {
            for (int j = 0; j < across; j++) {
                double big = 2 * Math.PI * i / around, small = 2 * Math.PI * j / across;
                int v = i * across + j;
                double r = 2 + 0.7 * Math.cos(small);
                p[3 * v] = (float) (r * Math.sin(big));
                p[3 * v + 1] = (float) (0.7 * Math.sin(small));
                p[3 * v + 2] = (float) (r * Math.cos(big));
                int right = (i + 1) % around * across + j, up = i * across + (j + 1) % across;
                int both = (i + 1) % around * across + (j + 1) % across;
                System.arraycopy(new int[] {v, right, both, v, both, up}, 0, c, 6 * v, 6);
            }
        }
        return Mesh.builder(p, c).name("ring").build();
    }

    @Test
    void build_ofARing_saysThatItIsHollow() {
        assertThat(LatheTest.volume(ring())).as("faces outward").isPositive();
        Mesh low = Lathe.around(ring()).rings(5).build();
        assertThat(low.findings()).hasSize(1);
        Finding finding = low.findings().ofKind("lathe-hollow").get(0);
        // Of the section's circle the part with cos < −½, weighed with its distance from the axis: (2·2π/3 − 2·0.7·(√3/2)) / (2·2π) = 0.237.
        assertThat(finding.message()).startsWith("24 % of the surface of mesh ring");
    }

    @Test
    void solidShapes_areNotHollow() {
        assertThat(Lathe.around(bollard()).rings(4).build().findings()).isEmpty();
        assertThat(Lathe.around(rope()).rings(4).build().findings()).isEmpty();
    }

    // ---------------------------------------------------------------------------------------------------------- machinery

    @Test
    void eigen_ofAKnownMatrix_isExact() {
        // 2, −1 along a path of three: 2 − √2, 2, 2 + √2. (Textbook, from memory: 2 − 2 cos(kπ/4).)
        SymmetricEigen eigen = new SymmetricEigen(new double[] {2, -1, 0, -1, 2, -1, 0, -1, 2});
        for (int k = 0; k < 3; k++) {
            // A few roundings of values near 3.
            assertThat(eigen.value[k]).isCloseTo(2 - 2 * Math.cos((k + 1) * Math.PI / 4), within(2e-15));
            double x = eigen.vector[3 * k], y = eigen.vector[3 * k + 1], z = eigen.vector[3 * k + 2];
            assertThat(2 * x - y).isCloseTo(eigen.value[k] * x, within(4e-15));
            assertThat(2 * y - x - z).isCloseTo(eigen.value[k] * y, within(4e-15));
        }
    }
}
