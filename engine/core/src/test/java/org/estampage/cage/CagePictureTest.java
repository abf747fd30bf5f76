package org.estampage.cage;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import org.estampage.image.FloatImage;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

class CagePictureTest {
    private static final Mesh SPHERE = Shapes.star(5, (x, y, z) -> 1);
    /** A ball with a knob towards +x, +y, which the views along z and y show at their rim. */
    private static final Mesh KNOB = Shapes.star(20, (x, y, z) -> x + y > 1.4 ? 1.3 : 1.01);
    private static final int SIZE = 256;

    private static int[] reds(FloatImage image) {
        int[] counts = new int[4];
        for (int y = 0; y < image.height(); y++) {
            for (int x = 0; x < image.width(); x++) {
                if (image.get(x, y, 0) > 3 * image.get(x, y, 1)) {
                    counts[2 * (2 * y / image.height()) + 2 * x / image.width()]++;
                }
            }
        }
        return counts;
    }

    @Test
    void whatStandsOut_isRedInEveryViewOfIt_andNothingIsAroundAFittedCage() {
        FloatImage bad = CagePicture.draw(SPHERE, KNOB, Cage.offset(SPHERE, 0.1), SIZE, 60, Task.silent());
        assertThat(reds(bad)).doesNotContain(0);
        FloatImage good = CagePicture.draw(SPHERE, KNOB, CageFit.around(SPHERE, KNOB), SIZE, 60, Task.silent());
        assertThat(reds(good)).containsOnly(0);
    }

    @Test
    void firstView_hasTheKnobOnItsRightAbove() {
        FloatImage bad = CagePicture.draw(SPHERE, KNOB, Cage.offset(SPHERE, 0.1), SIZE, 60, Task.silent());
        // seen along −z, +x is on the right and +y above
        for (int y = 0; y < SIZE / 2; y++) {
            for (int x = 0; x < SIZE / 2; x++) {
                if (bad.get(x, y, 0) > 3 * bad.get(x, y, 1)) {
                    assertThat(x).isGreaterThan(SIZE / 4);
                    assertThat(y).isLessThan(SIZE / 4);
                }
            }
        }
    }

    @Test
    void size_outsideItsRange_isRefused() {
        assertThatThrownBy(() -> CagePicture.draw(SPHERE, KNOB, Cage.offset(SPHERE, 0.1), 8, 60, Task.silent()))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("64 … 8192");
    }
}
