package org.estampage.testresources;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Closed forms: elementary geometry; inscribed polygons and polyhedra from their own formulas, smooth surfaces in the limit. */
class ShapesTest {
    // Float positions carry a relative error of 2⁻²⁴; sums over a few thousand triangles stay well below 1e-6.
    private static final double FLOAT = 1e-6;

    @Test
    void box_hasItsVolumeAndArea() {
        Shape box = Shapes.box(1, 2, 3);
        assertClosed(box, 2);
        assertThat(ShapeMeasures.volume(box)).isEqualTo(6);
        assertThat(ShapeMeasures.area(box)).isEqualTo(22);
    }

    @ParameterizedTest
    @CsvSource({"8, 0.0761204675", "16, 0.0192147196", "32, 0.0048152733"})
    void prism_keepsItsGapToTheCircle(int sides, double gap) {
        // Gap 1 − cos(π/n), elementary; the values are its evaluation to ten digits.
        Shape prism = Shapes.prism(sides, 1, 2);
        assertClosed(prism, 2);
        float[] p = prism.positions();
        double midX = (p[0] + (double) p[3]) / 2;
        double midZ = (p[2] + (double) p[5]) / 2;
        assertThat(1 - Math.hypot(midX, midZ)).isCloseTo(gap, within(1e-7));
        // Area of a regular n-gon in the unit circle: n/2 · sin(2π/n).
        double base = sides / 2.0 * Math.sin(2 * Math.PI / sides);
        assertThat(ShapeMeasures.volume(prism)).isCloseTo(2 * base, within(FLOAT));
        assertThat(ShapeMeasures.area(prism)).isCloseTo(2 * base + 2 * sides * 2 * Math.sin(Math.PI / sides), within(10 * FLOAT));
    }

    @Test
    void torus_approachesPappusVolumeAndArea_andHasOneHandle() {
        Shape torus = Shapes.torus(2, 0.5, 256, 128);
        assertClosed(torus, 0);
        // Inscribed polygons fall short by (π/n)²·2/3 of the circle's area each: 1e-3 covers 128 and 256 sides.
        assertThat(ShapeMeasures.volume(torus)).isCloseTo(2 * Math.PI * Math.PI * 2 * 0.25, within(1e-3 * 9.87));
        assertThat(ShapeMeasures.area(torus)).isCloseTo(4 * Math.PI * Math.PI * 2 * 0.5, within(1e-3 * 39.5));
        assertNormalsPointOut(torus);
    }

    @Test
    void spheres_areClosed_andApproachTheBall() {
        Shape uv = Shapes.uvSphere(2, 96, 48);
        assertClosed(uv, 2);
        assertNormalsPointOut(uv);
        assertThat(ShapeMeasures.volume(uv)).isCloseTo(32 * Math.PI / 3, within(0.005 * 33.5));
        Shape ico = Shapes.icosphere(2, 5);
        assertThat(ico.triangleCount()).isEqualTo(20 * 1024);
        assertThat(ico.vertexCount()).isEqualTo(10 * 1024 + 2);
        assertClosed(ico, 2);
        assertNormalsPointOut(ico);
        assertThat(ShapeMeasures.volume(ico)).isCloseTo(32 * Math.PI / 3, within(0.002 * 33.5));
        assertThat(ShapeMeasures.area(ico)).isCloseTo(16 * Math.PI, within(0.002 * 50.3));
    }

    @Test
    void icosahedron_hasItsExactVolume() {
        Shape ico = Shapes.icosphere(1, 0);
        assertClosed(ico, 2);
        // Edge a of the icosahedron in the unit sphere: 1 / sin(2π/5); volume 5/12 · (3 + √5) · a³ (elementary).
        double edge = 1 / Math.sin(2 * Math.PI / 5);
        assertThat(ShapeMeasures.volume(ico)).isCloseTo(5.0 / 12 * (3 + Math.sqrt(5)) * edge * edge * edge, within(FLOAT));
    }

    @Test
    void plane_facesUp_andItsUvsFillTheSquare() {
        Shape plane = Shapes.plane(4, 2, 8, 4);
        assertThat(ShapeMeasures.area(plane)).isEqualTo(8);
        float[] p = plane.positions();
        float[] uv = plane.uvs();
        assertThat(uv).isNotNull();
        for (int v = 0; v < plane.vertexCount(); v++) {
            assertThat(p[3 * v]).isEqualTo(4 * (uv[2 * v] - 0.5f));
            assertThat(p[3 * v + 2]).isEqualTo(-2 * (uv[2 * v + 1] - 0.5f));
        }
        assertThat(normalY(plane, 0)).isPositive();
        // A rectangle's boundary: 2 · (8 + 4) edges.
        assertThat(ShapeMeasures.openEdgeCount(plane)).isEqualTo(24);
    }

    @Test
    void terrain_standsOnItsHeights_facingUp() {
        Shape terrain = Shapes.terrain(new float[] {0, 1, 2, 3, 4, 5}, 3, 2, 10);
        assertThat(terrain.triangleCount()).isEqualTo(4);
        assertThat(terrain.positions()).containsExactly(0, 0, 0, 10, 1, 0, 20, 2, 0, 0, 3, 10, 10, 4, 10, 20, 5, 10);
        assertThat(normalY(terrain, 3)).isPositive();
        assertThatThrownBy(() -> Shapes.terrain(new float[5], 3, 2, 1)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("6 are needed");
    }

    @Test
    void carvedColumn_isClosed_atAboutTheWantedCount() {
        Shape column = Shapes.carvedColumn(200_000);
        assertClosed(column, 2);
        assertThat(ShapeMeasures.pieceCount(column)).isOne();
        assertThat(column.triangleCount()).isBetween(196_000, 204_000);
    }

    @Test
    void measures_noticeAHole_aFlippedTriangle_andTwoPieces() {
        int[] t = Shapes.cube(1).triangles().clone();
        float[] p = Shapes.cube(1).positions();
        assertThat(ShapeMeasures.openEdgeCount(new Shape(p, java.util.Arrays.copyOf(t, 33)))).isEqualTo(3);
        int swap = t[0];
        t[0] = t[1];
        t[1] = swap;
        // All three sides of the flipped triangle run the same way as their neighbours'.
        assertThat(ShapeMeasures.doubtfulEdgeCount(new Shape(p, t))).isEqualTo(3);
        Shape two = Shapes.together(Shapes.cube(1), Shapes.icosphere(1, 1));
        assertThat(ShapeMeasures.pieceCount(two)).isEqualTo(2);
        assertThat(ShapeMeasures.eulerCharacteristic(two)).isEqualTo(4);
    }

    @Test
    void shape_refusesIndicesOutsideItsVertices() {
        assertThatThrownBy(() -> new Shape(new float[9], new int[] {0, 1, 3})).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("0 … 2");
        assertThatThrownBy(() -> new Shape(new float[8], new int[0])).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> Shapes.cube(1).withNormals(new float[3])).isInstanceOf(IllegalArgumentException.class);
    }

    static void assertClosed(Shape shape, int euler) {
        assertThat(ShapeMeasures.openEdgeCount(shape)).isZero();
        assertThat(ShapeMeasures.doubtfulEdgeCount(shape)).isZero();
        assertThat(ShapeMeasures.eulerCharacteristic(shape)).isEqualTo(euler);
        assertThat(ShapeMeasures.volume(shape)).isPositive();
    }

    private static void assertNormalsPointOut(Shape shape) {
        float[] p = shape.positions();
        float[] n = shape.normals();
        assertThat(n).isNotNull();
        int[] t = shape.triangles();
        for (int i = 0; i < t.length; i += 3) {
            double[] a = edge(p, t[i], t[i + 1]);
            double[] b = edge(p, t[i], t[i + 2]);
            double dot = n[3 * t[i]] * (a[1] * b[2] - a[2] * b[1]) + n[3 * t[i] + 1] * (a[2] * b[0] - a[0] * b[2])
                    + n[3 * t[i] + 2] * (a[0] * b[1] - a[1] * b[0]);
            assertThat(dot).isPositive();
        }
    }

    private static double normalY(Shape shape, int triangle) {
        int[] t = shape.triangles();
        double[] a = edge(shape.positions(), t[3 * triangle], t[3 * triangle + 1]);
        double[] b = edge(shape.positions(), t[3 * triangle], t[3 * triangle + 2]);
        return a[2] * b[0] - a[0] * b[2];
    }

    private static double[] edge(float[] p, int from, int to) {
        return new double[] {p[3 * to] - p[3 * from], p[3 * to + 1] - p[3 * from + 1], p[3 * to + 2] - p[3 * from + 2]};
    }
}
