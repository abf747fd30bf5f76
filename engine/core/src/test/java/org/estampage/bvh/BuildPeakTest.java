package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.List;
import org.estampage.internal.kernel.Kernels;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/** The peak that a tracer tells is what building it took. */
class BuildPeakTest {
    @Test
    void tracer_canBeBuiltInThePeakThatItTells_andNotInLess() throws Exception {
        List<String> lines = FreshJvm.run(List.of("-Xmx48m", "-Xmn1m"), PeakProbe.class);
        assertThat(lines).hasSize(Kernels.areVectors() ? 4 : 2);
        for (String line : lines) {
            // The probe halves down to 5 %; small things that are not told, and the young generation's megabyte beside the heap, take the rest.
            assertThat(Double.parseDouble(line.substring(0, line.indexOf(' ')))).as(line).isCloseTo(1, within(0.11));
        }
    }

    @ParameterizedTest
    @MethodSource("org.estampage.bvh.TestStrategies#all")
    void peak_holdsTheListTheBoxesAndTheTracer_andOfARefittedOneTheTracer(Strategy strategy) {
        Mesh ball = TestMeshes.ball(40, 50, 0.02);
        Bvh tracer = Bvh.build(ball, strategy, Task.silent());
        int[] all = new int[ball.triangleCount()];
        for (int t = 0; t < all.length; t++) {
            all[t] = t;
        }
        BoxTree boxes = strategy.builder().build(ball, all, strategy.layout().leafRule(), Task.silent());
        assertThat(tracer.buildPeakBytes()).isGreaterThanOrEqualTo(4L * all.length + boxes.bytes() + tracer.bytes())
                .isGreaterThanOrEqualTo(4L * all.length + boxes.peakBytes);
        assertThat(tracer.refitted(ball, Task.silent()).buildPeakBytes()).isGreaterThanOrEqualTo(tracer.bytes())
                .isLessThan(tracer.buildPeakBytes());
    }
}
