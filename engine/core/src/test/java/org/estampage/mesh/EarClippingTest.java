package org.estampage.mesh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.math.BigDecimal;
import java.util.Random;
import java.util.concurrent.CancellationException;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/**
 * The oracle: n − 2 triangles that are all counter-clockwise and whose areas add up to the polygon's shoelace area cover it once. (They are a disc glued
 * from positively oriented triangles with the polygon as its boundary; were a point covered twice, the sum would exceed the area.)
 */
class EarClippingTest {
    /** Doubles over a few thousand additions of float areas: relative 1e-12 is far above rounding, far below any lost triangle. */
    private static final double ROUNDING = 1e-12;

    private static int[] cut(float[] positions) {
        int n = positions.length / 3;
        int[] vertices = new int[n];
        for (int i = 0; i < n; i++) {
            vertices[i] = i;
        }
        int[] dest = new int[3 * (n - 2)];
        new EarClipping().triangulate(positions, vertices, 0, n, dest, 0);
        return dest;
    }

    private static double area(float[] p, int a, int b, int c) {
        return (((double) p[3 * b] - p[3 * a]) * ((double) p[3 * c + 1] - p[3 * a + 1])
                - ((double) p[3 * b + 1] - p[3 * a + 1]) * ((double) p[3 * c] - p[3 * a])) / 2;
    }

    private static double polygonArea(float[] p) {
        double sum = 0;
        for (int i = 1; i + 1 < p.length / 3; i++) {
            sum += area(p, 0, i, i + 1);
        }
        return sum;
    }

    private static void assertEveryCornerUsed(int[] triangles, int n) {
        boolean[] used = new boolean[n];
        for (int corner : triangles) {
            used[corner] = true;
        }
        for (int i = 0; i < n; i++) {
            assertThat(used[i]).as("corner %d", i).isTrue();
        }
    }

    /** For a polygon in the plane z = constant, seen from +z. */
    private static void assertCovered(float[] p) {
        int[] triangles = cut(p);
        double sum = 0;
        for (int t = 0; t < triangles.length; t += 3) {
            double area = area(p, triangles[t], triangles[t + 1], triangles[t + 2]);
            assertThat(area).as("triangle %d of a polygon of %d corners", t / 3, p.length / 3).isPositive();
            sum += area;
        }
        assertThat(sum).isCloseTo(polygonArea(p), within(Math.abs(polygonArea(p)) * ROUNDING));
        assertEveryCornerUsed(triangles, p.length / 3);
    }

    private static float[] flat(double... xy) {
        float[] p = new float[xy.length / 2 * 3];
        for (int i = 0; i < xy.length / 2; i++) {
            p[3 * i] = (float) xy[2 * i];
            p[3 * i + 1] = (float) xy[2 * i + 1];
        }
        return p;
    }

    @Test
    void quad_convex_takesTheDiagonalOfCorners0And2() {
        assertThat(cut(flat(0, 0, 1, 0, 1, 1, 0, 1))).containsExactly(0, 1, 2, 0, 2, 3);
    }

    @Test
    void quad_concaveAtEachCorner_takesTheDiagonalThatLiesInside() {
        double[] dart = {0, 0, 4, 0, 1, 1, 0, 4}; // reflex at (1, 1)
        for (int turn = 0; turn < 4; turn++) {
            double[] turned = new double[8];
            for (int i = 0; i < 8; i++) {
                turned[i] = dart[(i + 2 * turn) % 8];
            }
            assertCovered(flat(turned));
        }
    }

    @Test
    void quad_withAStraightCorner_leavesNoTriangleWithoutArea() {
        for (double[] quad : new double[][] {{0, 0, 1, 0, 2, 0, 0, 2}, {1, 0, 2, 0, 0, 2, 0, 0}, {2, 0, 0, 2, 0, 0, 1, 0},
                {0, 2, 0, 0, 1, 0, 2, 0}}) {
            assertCovered(flat(quad));
        }
    }

    @Test
    void convexPolygon_becomesAFan() {
        double[] xy = new double[24];
        for (int i = 0; i < 12; i++) {
            xy[2 * i] = Math.cos(i * Math.PI / 6);
            xy[2 * i + 1] = Math.sin(i * Math.PI / 6);
        }
        int[] triangles = cut(flat(xy));
        for (int t = 0; t < 10; t++) {
            assertThat(triangles[3 * t]).isZero();
            assertThat(triangles[3 * t + 1]).isEqualTo(t + 1);
            assertThat(triangles[3 * t + 2]).isEqualTo(t + 2);
        }
        assertCovered(flat(xy));
    }

    @Property(tries = 2000)
    void starShapedPolygon_isCoveredOnce(@ForAll @IntRange(min = 5, max = 60) int n, @ForAll int seed) {
        Random random = new Random(seed);
        double[] xy = new double[2 * n];
        for (int i = 0; i < n; i++) {
            double r = 0.1 + random.nextDouble();
            double angle = 2 * Math.PI * (i + 0.9 * random.nextDouble()) / n;
            xy[2 * i] = 100 + r * Math.cos(angle);
            xy[2 * i + 1] = -50 + r * Math.sin(angle);
        }
        float[] p = flat(xy);
        assertCovered(p);
    }

    /** Rectilinear outlines on whole numbers: many straight corners, and corners exactly on cuts. */
    @Property(tries = 1000)
    void skyline_withStraightCorners_isCoveredOnce(@ForAll @IntRange(min = 2, max = 40) int columns, @ForAll int seed) {
        Random random = new Random(seed);
        java.util.List<Double> xy = new java.util.ArrayList<>();
        for (int i = 0; i <= columns; i++) { // along the ground, a corner at each column
            xy.add((double) i);
            xy.add(0.0);
        }
        for (int i = columns; i > 0; i--) {
            double height = 1 + random.nextInt(3);
            xy.add((double) i);
            xy.add(height);
            xy.add((double) i - 1);
            xy.add(height);
        }
        double[] all = new double[xy.size()];
        int size = 0;
        for (int i = 0; i < xy.size(); i += 2) { // equal neighbours would be corners without an edge
            if (size == 0 || all[size - 2] != xy.get(i) || all[size - 1] != xy.get(i + 1)) {
                all[size++] = xy.get(i);
                all[size++] = xy.get(i + 1);
            }
        }
        assertCovered(flat(java.util.Arrays.copyOf(all, size)));
    }

    @Property(tries = 300)
    void outlineWithAHoleJoinedByADoubleEdge_isCoveredOnce(@ForAll @IntRange(min = 3, max = 24) int outer,
            @ForAll @IntRange(min = 3, max = 24) int inner,
            @ForAll int seed) {
        Random random = new Random(seed);
        double turn = random.nextDouble();
        double[] xy = new double[2 * (outer + inner + 2)];
        int at = 0;
        for (int i = 0; i <= outer; i++) {
            double angle = 2 * Math.PI * (i % outer + turn) / outer;
            xy[at++] = 3 * Math.cos(angle);
            xy[at++] = 3 * Math.sin(angle);
        }
        for (int i = 0; i <= inner; i++) { // the hole, clockwise; the radius fits into a triangle of radius 3
            double angle = 2 * Math.PI * (turn / outer - (double) (i % inner) / inner);
            double r = i % inner == 0 ? 1.4 : 0.6 + 0.8 * new Random(seed + 31L * (i % inner)).nextDouble();
            xy[at++] = r * Math.cos(angle);
            xy[at++] = r * Math.sin(angle);
        }
        assertCovered(flat(xy));
    }

    @Test
    void comb_ofThousandsOfTeeth_isCoveredOnceInReasonableTime() {
        int teeth = 5000;
        double[] xy = new double[2 * (2 * teeth + 2)];
        int at = 0;
        for (int i = 0; i <= 2 * teeth - 1; i++) {
            xy[at++] = i;
            xy[at++] = i % 2 == 0 ? 1 : 0;
        }
        xy[at++] = 2 * teeth - 1;
        xy[at++] = 5;
        xy[at++] = 0;
        xy[at++] = 5;
        assertCovered(flat(java.util.Arrays.copyOf(xy, at)));
    }

    @Test
    void spiral_isCoveredOnce() {
        int turns = 200;
        double[] xy = new double[4 * turns];
        for (int i = 0; i < turns; i++) {
            double angle = i * 0.2, r = 1 + i * 0.1;
            int j = 2 * turns - 1 - i;
            xy[2 * i] = (r + 1) * Math.cos(angle);
            xy[2 * i + 1] = (r + 1) * Math.sin(angle);
            xy[2 * j] = r * Math.cos(angle);
            xy[2 * j + 1] = r * Math.sin(angle);
        }
        assertCovered(flat(xy));
    }

    @Test
    void polygonInAnyPlane_isCutAsInItsOwn() {
        float[] p = flat(0, 0, 4, 0, 4, 4, 2, 1, 0, 4);
        int[] expected = cut(p);
        for (int axis = 0; axis < 3; axis++) {
            for (int offset = 0; offset <= 1_000_000; offset += 1_000_000) {
                float[] q = new float[p.length];
                for (int i = 0; i < p.length; i += 3) {
                    q[i + axis] = p[i] + offset;
                    q[i + (axis + 1) % 3] = p[i + 1] + offset;
                    q[i + (axis + 2) % 3] = 0.01f * (i % 2); // nearly a plane
                }
                assertThat(cut(q)).isEqualTo(expected);
            }
        }
    }

    @Test
    void clockwiseFromAbove_keepsItsWinding() {
        float[] p = flat(0, 4, 2, 1, 4, 4, 4, 0, 0, 0);
        int[] triangles = cut(p);
        for (int t = 0; t < triangles.length; t += 3) {
            assertThat(area(p, triangles[t], triangles[t + 1], triangles[t + 2])).isNegative();
        }
    }

    @Property(tries = 2000)
    void anyPolygon_evenBroken_givesTrianglesThatUseEveryCorner(@ForAll @IntRange(min = 3, max = 30) int n, @ForAll int seed) {
        Random random = new Random(seed);
        float[] p = new float[3 * n];
        int range = 1 + random.nextInt(4);
        for (int i = 0; i < p.length; i++) {
            p[i] = random.nextInt(50) == 0
                    ? new float[] {Float.NaN, Float.POSITIVE_INFINITY, 3e38f, 1e-45f}[random.nextInt(4)]
                    : random.nextInt(range);
        }
        int[] triangles = cut(p);
        assertThat(triangles).hasSize(3 * (n - 2));
        assertEveryCornerUsed(triangles, n);
    }

    /**
     * Corner 1 lies within an ulp or two of the line from corner 0 to corner 2, at sizes where double products can't tell: the diagonal 0–2 is right
     * exactly when decimal arithmetic finds corner 1 to the right of it.
     */
    @Property(tries = 5000)
    void sides_thatRoundingCantTell_areToldAsByDecimalArithmetic(@ForAll int seed) {
        Random random = new Random(seed);
        float x = 1 + random.nextFloat(), y = 1 + random.nextFloat();
        float one = (float) Math.scalb(1.0, 20 + random.nextInt(20)), two = (float) (one * Math.scalb(1.0, 1 + random.nextInt(5)));
        float ulp = Math.ulp(1f);
        float[] p = flat(x + ulp * (random.nextInt(5) - 2), y + ulp * (random.nextInt(5) - 2), x * one, y * one, x * two, y * two,
                -4 * y * two,
                4 * x * two);
        BigDecimal left = difference(p, 3, 0).multiply(difference(p, 7, 1));
        BigDecimal right = difference(p, 4, 1).multiply(difference(p, 6, 0));
        assertThat(cut(p)[0]).as("first corner of the first triangle").isEqualTo(left.compareTo(right) > 0 ? 0 : 1);
    }

    private static BigDecimal difference(float[] p, int i, int j) {
        return new BigDecimal(p[i]).subtract(new BigDecimal(p[j]));
    }

    @Test
    void polygonThatCrossesItself_endsWhenItIsCancelled() {
        // A thousand corners anywhere: no corner is an ear for long, and each step looks at all that are left.
        Random random = new Random(7);
        int n = 1000;
        float[] positions = new float[3 * n];
        int[] vertices = new int[n];
        for (int i = 0; i < n; i++) {
            positions[3 * i] = random.nextFloat();
            positions[3 * i + 1] = random.nextFloat();
            vertices[i] = i;
        }
        Cancellation cancellation = new Cancellation();
        EarClipping clipping = new EarClipping(new Task(Progress.none(), cancellation, MemoryBudget.ofHeap()));
        clipping.triangulate(positions, vertices, 0, n, new int[3 * (n - 2)], 0);
        cancellation.cancel();
        assertThatThrownBy(() -> clipping.triangulate(positions, vertices, 0, n, new int[3 * (n - 2)], 0))
                .isInstanceOf(CancellationException.class);
    }

    @Test
    void fewerThanThreeCorners_areRefused() {
        assertThatThrownBy(() -> new EarClipping().triangulate(new float[6], new int[] {0, 1}, 0, 2, new int[3], 0))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("count = 2");
    }
}
