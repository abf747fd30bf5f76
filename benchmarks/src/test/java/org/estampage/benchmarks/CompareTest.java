package org.estampage.benchmarks;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.ByteArrayOutputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import org.estampage.bvh.RayBatch;
import org.estampage.mesh.Mesh;
import org.junit.jupiter.api.Test;

/** The command runs, also without the reference, and its pieces are right by themselves. */
class CompareTest {
    @Test
    void command_measuresAllWork_andEndsWithLinesForMachines() {
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        PrintStream print = new PrintStream(out, true, StandardCharsets.UTF_8);
        PrintStream nowhere = new PrintStream(new ByteArrayOutputStream(), true, StandardCharsets.UTF_8);
        int status = Compare.run(
                CompareOptions.of("sizes=5000", "scenes=column", "rounds=1", "warm=0", "side=32", "threads=2",
                        "strategies=usual,sah-binary"),
                print,
                nowhere);
        String said = out.toString(StandardCharsets.UTF_8);
        assertThat(status).as(said).isZero();
        for (String work : CompareOptions.WORK) {
            String line = work.equals("build") ? "BUILD size=5000 strategy=usual cpu=" : "RATIO work=" + work + " size=5000 ";
            assertThat(said).contains(line);
        }
        assertThat(said).contains("MEMORY size=5000 strategy=usual bytes=").contains("ALLOCATED work=projection size=5000 strategy=usual ")
                .contains("SCALING work=projection size=5000 strategy=usual threads=2 ratio=");
    }

    @Test
    void options_thatAreNotUnderstood_areNamed() {
        assertThatThrownBy(() -> CompareOptions.of("speed=1")).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("speed=1");
        assertThatThrownBy(() -> CompareOptions.of("rounds")).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("rounds");
        assertThatThrownBy(() -> CompareOptions.of("work=none")).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("projection");
        assertThatThrownBy(() -> CompareOptions.of("sizes=7")).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("1000");
        assertThatThrownBy(() -> CompareOptions.of("strategies=best")).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("usual");
        assertThat(CompareOptions.of("agreement", "rays=5").agreement()).isTrue();
    }

    @Test
    void median_ofAnEvenNumber_isTheMeanOfTheMiddleTwo() {
        assertThat(Ratios.of(new double[] {4, 1, 2, 8})).isEqualTo(new Ratios(1, 3, 8));
        assertThat(Ratios.median(new double[] {5, 1, 2})).isEqualTo(2);
    }

    @Test
    void exactTriangle_seesOneUnitInTheLastPlace() {
        // Two triangles of a square in the plane z = 0, corners 0 and 1 exactly; worked by hand.
        Mesh square = Mesh.builder(new float[] {0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0}, new int[] {0, 1, 2, 0, 2, 3}).build();
        RayBatch rays = new RayBatch(5);
        rays.add(0.5f, 0.5f, 3, 0, 0, -2, 0, Float.POSITIVE_INFINITY);
        rays.add(0.5f, Math.nextUp(0.5f), 3, 0, 0, -2, 0, Float.POSITIVE_INFINITY);
        rays.add(1, 0.25f, 3, 0, 0, -2, 0, 1.5f);
        rays.add(Math.nextUp(1f), 0.25f, 3, 0, 0, -2, 0, Float.POSITIVE_INFINITY);
        rays.add(0.75f, 0.25f, 3, 0, 0, -2, 0, Math.nextDown(1.5f));
        boolean[][] expected = {{true, true}, {false, true}, {true, false}, {false, false}, {false, false}};
        for (int i = 0; i < rays.size; i++) {
            for (int triangle = 0; triangle < 2; triangle++) {
                // The plane is 3 away and the direction 2 long: moving it by 3 moves t by 1.5.
                assertThat(ExactTriangle.of(square, triangle, rays, i)).isEqualTo(new ExactTriangle.Truth(expected[i][triangle], 1.5, 1.5));
            }
        }
    }
}
