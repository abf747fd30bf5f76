package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.Random;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;

@Tag("vector")
class WideLayoutTest {
    @Test
    void layoutOfAnyWidth_alsoOneWiderThanTheMachinesVectors_givesTheSameAnswers() {
        Random random = new Random(1);
        for (int lanes : new int[] {8, 16}) {
            for (int round = 0; round < 4; round++) {
                Mesh soup = TestMeshes.soup(random, 1 + random.nextInt(80), true);
                BvhDifferentialTest.assertBitEqual(Bvh.build(soup, new Strategy(new MortonBuilder(), WideLayout.of(lanes)), Task.silent()),
                        new BruteForceTracer(soup), BvhDifferentialTest.rays(random, soup, 60, 1, 0),
                        BvhDifferentialTest.points(random, 20, 1, 0));
            }
        }
    }

    @Test
    void layoutOfAnotherWidth_isRefused() {
        for (int lanes : new int[] {-8, 0, 1, 4, 7, 9, 32}) {
            assertThatThrownBy(() -> WideLayout.of(lanes)).isInstanceOf(IllegalArgumentException.class)
                    .hasMessageContaining("lanes = " + lanes).hasMessageContaining("8 or 16");
        }
        for (int rays : new int[] {-1, 0, 33}) {
            assertThatThrownBy(() -> WideLayout.of(8).raysTogether(rays)).isInstanceOf(IllegalArgumentException.class)
                    .hasMessageContaining("rays = " + rays).hasMessageContaining("1 … 32");
        }
    }
}
