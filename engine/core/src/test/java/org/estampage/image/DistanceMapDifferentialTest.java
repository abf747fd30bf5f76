package org.estampage.image;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.SplittableRandom;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ForkJoinPool;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** The distance map against the definition: every texel compared with every set texel. */
class DistanceMapDifferentialTest {
    private static Mask randomMask(SplittableRandom random, int width, int height) {
        Mask mask = new Mask(width, height);
        double density = random.nextDouble() * random.nextDouble();
        for (int y = 0; y < height; y++) {
            for (int x = 0; x < width; x++) {
                if (random.nextDouble() < density) {
                    mask.set(x, y);
                }
            }
        }
        return mask;
    }

    /** The documented tie rule in its plainest form: columns from the left, in each from the top; only something nearer replaces. */
    private static int nearestByDefinition(Mask mask, int x, int y) {
        int best = -1;
        long bestDistance = Long.MAX_VALUE;
        for (int i = 0; i < mask.width(); i++) {
            for (int j = 0; j < mask.height(); j++) {
                long d = (long) (x - i) * (x - i) + (long) (y - j) * (y - j);
                if (mask.get(i, j) && d < bestDistance) {
                    bestDistance = d;
                    best = j * mask.width() + i;
                }
            }
        }
        return best;
    }

    @Test
    void nearest_onRandomMasks_isTheBruteForceOne_tiesIncluded() {
        SplittableRandom random = new SplittableRandom(2000);
        for (int round = 0; round < 400; round++) {
            // Every tenth mask is higher than two bands, so that bands hand rows on.
            int width = 1 + random.nextInt(24);
            int height = round % 10 == 0 ? 129 + random.nextInt(60) : 1 + random.nextInt(24);
            Mask mask = randomMask(random, width, height);
            DistanceMap map = DistanceMap.of(mask, Task.silent());
            for (int y = 0; y < height; y++) {
                for (int x = 0; x < width; x++) {
                    int expected = nearestByDefinition(mask, x, y);
                    if (map.nearest(x, y) != expected) {
                        assertThat(map.nearest(x, y)).as("mask %d, texel %d, %d", round, x, y).isEqualTo(expected);
                    }
                    long dx = (long) x - expected % width, dy = (long) y - expected / width;
                    assertThat(map.squaredDistance(x, y)).isEqualTo(expected < 0 ? Long.MAX_VALUE : dx * dx + dy * dy);
                }
            }
        }
    }

    @Test
    void nearest_inVeryLongImages_doesNotOverflow() {
        // 3,000,000² is above 2⁵³ and far above 2³¹; the expected place is plain.
        int length = 3_000_000;
        Mask row = new Mask(length, 1);
        row.set(length - 1, 0);
        assertThat(DistanceMap.of(row, Task.silent()).squaredDistance(0, 0)).isEqualTo((long) (length - 1) * (length - 1));
        Mask column = new Mask(1, length);
        column.set(0, 0);
        assertThat(DistanceMap.of(column, Task.silent()).squaredDistance(0, length - 1)).isEqualTo((long) (length - 1) * (length - 1));
    }

    @Test
    void nearest_withOneOrManyThreads_isTheSame() throws Exception {
        Mask mask = randomMask(new SplittableRandom(11), 333, 777);
        DistanceMap one = in(1, mask);
        DistanceMap five = in(5, mask);
        for (int y = 0; y < 777; y++) {
            for (int x = 0; x < 333; x++) {
                assertThat(five.nearest(x, y)).isEqualTo(one.nearest(x, y));
            }
        }
    }

    private static DistanceMap in(int threads, Mask mask) throws Exception {
        try (ForkJoinPool pool = new ForkJoinPool(threads)) {
            return pool.submit(() -> DistanceMap.of(mask, Task.silent())).get();
        }
    }

    @Test
    void of_withoutRoomOrCancelled_isRefused() {
        Mask mask = new Mask(100, 100);
        Task tight = new Task(Progress.none(), new Cancellation(), MemoryBudget.ofBytes(39_999));
        assertThatThrownBy(() -> DistanceMap.of(mask, tight)).isInstanceOf(IllegalStateException.class).hasMessageContaining("40000 bytes");
        Task cancelled = Task.silent();
        cancelled.cancellation().cancel();
        assertThatThrownBy(() -> DistanceMap.of(mask, cancelled)).isInstanceOf(CancellationException.class);
        assertThatThrownBy(() -> DistanceMap.of(mask, Task.silent()).nearest(100, 0)).isInstanceOf(IndexOutOfBoundsException.class);
    }
}
