package org.estampage.image;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ForkJoinPool;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class MipsTest {
    private static FloatImage noise(int width, int height, Encoding encoding) {
        SplittableRandom random = new SplittableRandom(31L * width + height);
        FloatImage image = FloatImage.create(width, height, encoding);
        float[] all = new float[width * height * image.channels()];
        for (int i = 0; i < all.length; i++) {
            all[i] = (float) random.nextDouble(-1, 1);
        }
        image.write(0, 0, width, height, all);
        return image;
    }

    private static FloatImage row(Encoding encoding, float... values) {
        FloatImage image = FloatImage.create(values.length / encoding.channels(), 1, encoding);
        image.write(0, 0, image.width(), 1, values);
        return image;
    }

    private static float[] all(FloatImage image) {
        return image.read(0, 0, image.width(), image.height(), new float[image.width() * image.height() * image.channels()]);
    }

    private static double mean(FloatImage image) {
        double sum = 0;
        for (float v : all(image)) {
            sum += v;
        }
        return sum / ((double) image.width() * image.height() * image.channels());
    }

    @ParameterizedTest
    @CsvSource({"8,8,3", "7,5,2", "1,6,2", "300,1,8", "129,257,8", "1,1,0"})
    void levels_haveHalfTheSidesRoundedDown_andTheWholeImagesMean(int width, int height, int last) {
        FloatImage image = noise(width, height, Encoding.data(Range.UNIT, 2));
        List<FloatImage> levels = Mips.of(image).build();
        assertThat(levels).hasSize(last + 1);
        assertThat(levels.get(0)).isSameAs(image);
        for (int level = 1; level <= last; level++) {
            // The sides of OpenGL 4.6, section 8.14.3: max(1, ⌊side / 2^level⌋).
            assertThat(levels.get(level).width()).isEqualTo(Math.max(1, width >> level));
            assertThat(levels.get(level).height()).isEqualTo(Math.max(1, height >> level));
            // Each level rounds to floats, by 2⁻²⁵ of values up to 1 a level.
            assertThat(mean(levels.get(level))).isCloseTo(mean(image), within(1e-6));
        }
    }

    /** The area under a texel of half the size, cut out of the finer image as a continuous function. */
    @ParameterizedTest
    @CsvSource({"8,6", "7,5", "9,4", "3,3", "1,5"})
    void texel_isTheMeanOfTheAreaUnderIt(int width, int height) {
        FloatImage image = noise(width, height, Encoding.data(Range.UNIT, 1));
        FloatImage half = Mips.of(image).build().get(1);
        double stepX = (double) width / half.width(), stepY = (double) height / half.height();
        for (int y = 0; y < half.height(); y++) {
            for (int x = 0; x < half.width(); x++) {
                double sum = 0;
                for (int j = 0; j < height; j++) {
                    for (int i = 0; i < width; i++) {
                        sum += image.get(i, j, 0) * overlap(i, x * stepX, stepX) * overlap(j, y * stepY, stepY);
                    }
                }
                assertThat(half.get(x, y, 0)).isCloseTo((float) (sum / (stepX * stepY)), within(1e-6f)); // float rounding
            }
        }
    }

    private static double overlap(int texel, double from, double length) {
        return Math.max(0, Math.min(texel + 1, from + length) - Math.max(texel, from));
    }

    @Test
    void identifiers_takeTheMostFrequent_theSmallestOfEquals() {
        assertThat(all(Mips.of(row(Encoding.idNumbers(1), 7, 7, 3, 5)).build().get(1))).containsExactly(7, 3);
        // Of three texels for one, the middle one counts like each of the others: 1, 1 and 1 thirds.
        assertThat(all(Mips.of(row(Encoding.idNumbers(1), 8, 4, 4)).build().get(1))).containsExactly(4);
        // Of five for two the left one's weights are 2, 2, 1: the seldom 3 wins only by being smaller.
        assertThat(all(Mips.of(row(Encoding.idNumbers(1), 9, 3, 1, 6, 6)).build().get(1))).containsExactly(3, 6);
        assertThat(all(Mips.of(row(Encoding.idNumbers(2), 1, 5, 1, 4)).build().get(1))).containsExactly(1, 4);
    }

    @Test
    void colours_areAveragedAsLight_notAsStored() {
        // Black and white give half the light, stored as 188 of 255 by the curve of IEC 61966-2-1; a mean of stored values would be 128.
        FloatImage half = Mips.of(row(Encoding.colour(3), 0, 0, 0, 1, 1, 1)).build().get(1);
        assertThat(half.encoding().quantise(0, half.get(0, 0, 0), 8)).isEqualTo(188);
    }

    @Test
    void unitLength_isTakenOfTheMeans_notHandedOn() {
        FloatImage image = row(Encoding.normal(), 1, 0, 0, 0, 0, 1, 0, 0, 1, 0, 0, 1);
        List<FloatImage> means = Mips.of(image).build();
        List<FloatImage> units = Mips.of(image).unitLength().build();
        assertThat(all(means.get(1))).containsExactly(0.5f, 0, 0.5f, 0, 0, 1);
        assertThat(all(means.get(2))).containsExactly(0.25f, 0, 0.75f);
        assertThat(units.get(0)).isSameAs(image);
        // (1, 0, 3)/√10: of unit vectors a level before it would lean by 22.5° instead of 18.4°.
        assertThat(units.get(2).get(0, 0, 0)).isCloseTo((float) (1 / Math.sqrt(10)), within(1e-7f));
        assertThat(units.get(2).get(0, 0, 2)).isCloseTo((float) (3 / Math.sqrt(10)), within(1e-7f));
        assertThat(all(Mips.of(row(Encoding.normal(), 1, 0, 0, -1, 0, 0)).unitLength().build().get(1))).containsExactly(0, 0, 0);
    }

    @Test
    void chain_endsWhereItIsTold() {
        FloatImage image = noise(40, 20, Encoding.data(Range.UNIT, 1));
        assertThat(Mips.of(image).downTo(10).build()).hasSize(3);
        assertThat(Mips.of(image).downTo(11).build()).hasSize(3);
        assertThat(Mips.of(image).downTo(40).build()).containsExactly(image);
    }

    @Test
    void values_areTheSame_forAnyThreadsAndMemory() throws Exception {
        FloatImage image = noise(301, 277, Encoding.normal());
        Task tight = new Task(Progress.none(), new Cancellation(), MemoryBudget.ofBytes(0));
        List<List<FloatImage>> chains = new ArrayList<>();
        for (int threads : new int[] {1, 5}) {
            try (ForkJoinPool pool = new ForkJoinPool(threads)) {
                chains.add(pool.submit(() -> Mips.of(image).unitLength().task(threads == 1 ? tight : Task.silent()).build()).get());
            }
        }
        for (int level = 0; level < chains.get(0).size(); level++) {
            assertThat(all(chains.get(1).get(level))).isEqualTo(all(chains.get(0).get(level)));
        }
    }

    @Test
    void mistakes_areRefused() {
        FloatImage grey = noise(4, 4, Encoding.data(Range.UNIT, 1));
        assertThatThrownBy(() -> Mips.of(grey).unitLength()).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("DATA");
        assertThatThrownBy(() -> Mips.of(grey).downTo(0)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("texels = 0");
        Task cancelled = Task.silent();
        cancelled.cancellation().cancel();
        assertThatThrownBy(() -> Mips.of(grey).task(cancelled).build()).isInstanceOf(CancellationException.class);
    }
}
