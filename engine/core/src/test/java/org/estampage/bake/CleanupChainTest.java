package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Random;
import java.util.stream.IntStream;
import java.util.stream.Stream;
import org.estampage.cage.Cage;
import org.estampage.cage.CageFit;
import org.estampage.lowpoly.Decimate;
import org.estampage.maps.CoverageMap;
import org.estampage.mesh.Cleanup;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.DirtyShapes;
import org.estampage.testresources.Shape;
import org.estampage.testresources.Shapes;
import org.estampage.uv.Unwrap;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;

/** From a dirty scan to maps: clean up, decimate, lay flat, cage, bake. What a clean-up sets apart lies at the same places, which most rooms weld again. */
class CleanupChainTest {
    static Stream<Arguments> dirty() {
        Shape ball = Shapes.icosphere(1, 1);
        int[] edges = IntStream.range(0, 4).map(i -> 50 * i).toArray();
        int[] pairs = IntStream.range(0, 12).map(i -> 3 * i).toArray();
        Shape all = DirtyShapes.withOppositePairs(DirtyShapes.withCopies(DirtyShapes.withFins(ball, 0.1, edges), 5, 6, 7), pairs);
        Shape turned = new Shape(ball.positions(), ball.triangles().clone());
        for (int t = 0; t < turned.triangleCount(); t += 20) {
            turned.triangles()[3 * t] = ball.triangles()[3 * t + 1];
            turned.triangles()[3 * t + 1] = ball.triangles()[3 * t];
        }
        return Stream.of(Arguments.of("fins, copies, pairs", DirtyShapes.unwelded(all), false),
                Arguments.of("turned triangles", turned, false),
                Arguments.of("tip on tip", Shapes.together(DirtyShapes.tipOnTip(), ball), false),
                Arguments.of("cards", DirtyShapes.twoSided(Shapes.plane(2, 2, 6, 6)), true),
                Arguments.of("a random triangle in five", DirtyShapes.withTriangles(ball, new Random(7).ints(48, 0, 42).toArray()), false));
    }

    @ParameterizedTest(name = "{0}")
    @MethodSource("dirty")
    void dirtyScan_cleanedUp_goesAllTheWay(String name, Shape dirty, boolean cards) {
        Cleanup cleanup = Cleanup.of(Mesh.builder(dirty.positions(), dirty.triangles()).name(name).build());
        Mesh high = (cards ? cleanup.cards() : cleanup).build();
        Mesh small = Decimate.of(high).triangles(high.triangleCount() / 2).withoutWelding().build();
        Mesh low = Unwrap.of(small).size(64).gutterTexels(1).build();
        assertThat(low.triangleCount()).isEqualTo(small.triangleCount());
        Cage cage = CageFit.around(low, high).build();
        BakeResult result = Baker.create().bake(BakeJob.of(cage, high).size(16).maps(CoverageMap.create()).build(), Task.silent());
        assertThat(result.missedSampleCount()).isLessThan(result.sampleCount());
    }
}
