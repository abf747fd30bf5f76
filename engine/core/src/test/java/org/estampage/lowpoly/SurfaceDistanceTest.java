package org.estampage.lowpoly;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.Shapes;
import org.junit.jupiter.api.Test;

class SurfaceDistanceTest {
    @Test
    void parallelSquares_areTheirHeightApart() {
        Mesh square = LowPolyShapes.square(3, 5);
        SurfaceDistance d = SurfaceDistance.between(square, moved(square, 0.25f, 2));
        assertThat(d.mean()).isCloseTo(0.25, within(1e-6)); // floats of 0 … 1
        assertThat(d.rootMeanSquare()).isCloseTo(0.25, within(1e-6));
        assertThat(d.largest()).isCloseTo(0.25, within(1e-6));
        assertThat(d.points()).isEqualTo(SurfaceDistance.USUAL_POINTS + square.vertexCount());
    }

    @Test
    void slidSquares_haveTheMeanOfTheStripThatSticksOut() {
        // Closed form: the part x < 0.2 of the unit square is 0.2 − x from the one that starts at 0.2: mean 0.2²/2, mean square 0.2³/3, largest 0.2.
        Mesh square = LowPolyShapes.square(1, 1);
        SurfaceDistance d = SurfaceDistance.between(square, moved(square, 0.2f, 0));
        assertThat(d.mean()).isCloseTo(0.02, within(2e-5)); // an even sequence of 200,000 points errs by about log(n)/n
        assertThat(d.rootMeanSquare()).isCloseTo(Math.sqrt(0.008 / 3), within(1e-4));
        assertThat(d.largest()).isCloseTo(0.2, within(1e-6));
        assertThat(d.where().x()).isZero();
    }

    @Test
    void smallPatchOnALargeOne_isOneSided() {
        Mesh small = LowPolyShapes.square(4, 4);
        Mesh large = mesh(2);
        assertThat(SurfaceDistance.between(small, large).largest()).isLessThan(1e-6); // floats of 0 … 2
        SurfaceDistance back = SurfaceDistance.between(large, small);
        assertThat(back.largest()).isCloseTo(Math.sqrt(2), within(1e-6));
        assertThat(back.where()).extracting(p -> p.x(), p -> p.y()).containsExactly(2f, 2f);
        assertThat(SurfaceDistance.bothWays(small, large)).isEqualTo(back);
    }

    @Test
    void ballInBall_measuresTheGap() {
        // Vertices lie on the balls; facets of 5 splits cut in by less than (edge 0.039)²/6.
        Mesh inner = LowPolyShapes.mesh(Shapes.icosphere(1, 5));
        Mesh outer = LowPolyShapes.mesh(Shapes.icosphere(1.5, 5));
        SurfaceDistance d = SurfaceDistance.between(inner, outer);
        assertThat(d.mean()).isCloseTo(0.5, within(1e-3));
        assertThat(d.largest()).isCloseTo(0.5, within(1e-3));
    }

    @Test
    void meshesWithoutSurface_areRefused() {
        Mesh square = LowPolyShapes.square(1, 1);
        Mesh none = Mesh.builder(new float[0], new int[0]).build();
        Mesh line = Mesh.builder(new float[] {0, 0, 0, 1, 0, 0, 2, 0, 0}, new int[] {0, 1, 2}).name("line").build();
        assertThatThrownBy(() -> SurfaceDistance.between(square, none)).isInstanceOf(InvalidMeshException.class);
        assertThatThrownBy(() -> SurfaceDistance.between(none, square)).isInstanceOf(InvalidMeshException.class);
        assertThatThrownBy(() -> SurfaceDistance.between(square, line)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("line");
        assertThatThrownBy(() -> SurfaceDistance.between(line, square)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("line");
        assertThatThrownBy(() -> SurfaceDistance.between(square, square, 0, Task.silent())).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("points = 0");
    }

    private static Mesh mesh(float side) {
        Mesh square = LowPolyShapes.square(3, 3);
        float[] p = square.positions().clone();
        for (int i = 0; i < p.length; i++) {
            p[i] *= side;
        }
        return square.toBuilder().positions(p).build();
    }

    private static Mesh moved(Mesh mesh, float by, int component) {
        float[] p = mesh.positions().clone();
        for (int i = component; i < p.length; i += 3) {
            p[i] += by;
        }
        return mesh.toBuilder().positions(p).build();
    }
}
