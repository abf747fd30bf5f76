package org.estampage.internal.kernel;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Arrays;
import java.util.Random;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** The vector loops against the scalar ones, and these against sums that are worked here. */
class BoxLoopsTest {
    private static final int BINS = BoxLoops.MOST_BINS;
    private static final float SCALE = 0.25f;

    // Around the lengths at which the vector loops change what they do: pairs, spare bins from 64 on, blocks of 64 and of 256.
    @ParameterizedTest
    @ValueSource(ints = {1, 2, 3, 15, 63, 64, 65, 127, 128, 129, 255, 256, 257, 600})
    @Tag("vector")
    void vectorLoops_leaveTheNumbersOfTheScalarOnes(int count) {
        float[] refs = refs(new Random(count), count);
        Work scalar = new Work(BoxLoops.scalar(), refs.clone(), count);
        Work vector = new Work(BoxLoops.vector(), refs.clone(), count);
        assertSame(vector.measures, scalar.measures, 2, 4);
        assertSame(vector.bins, scalar.bins, 3 * BINS, 4);
        assertThat(vector.counts).isEqualTo(scalar.counts);
        assertSame(vector.swept, scalar.swept, 2 * BINS, 8);
        assertThat(vector.middle).isEqualTo(scalar.middle);
        assertThat(vector.refs).isEqualTo(scalar.refs);
    }

    @Test
    void measure_givesTheBoxOfTheTriangles_andOfTheirCentres() {
        float[] positions = {0, 0, 0, 4, 0, 0, 0, 4, 0, -2, 1, 6, -1, 1, 6, -2, 3, 10};
        float[] refs = new float[BoxLoops.FIRST + 2 * BoxLoops.LANES];
        float[] box = new float[BoxLoops.LANES];
        BoxLoops.clear(box, 0, 1);
        BoxLoops.refer(positions, new int[] {0, 1, 2, 3, 4, 5}, new int[] {1, 0}, 0, 2, refs, box);
        assertThat(BoxLoops.number(refs, 0)).isEqualTo(1);
        assertThat(BoxLoops.number(refs, 1)).isZero();
        float[] m = new float[BoxLoops.MEASURES];
        BoxLoops.scalar().measure(refs, 0, 2, 0.5f, m, 0);
        // By hand: boxes (0 0 0)–(4 4 0) and (−2 1 6)–(−1 3 10); centres (2 2 0) and (−1.5 2 8), doubled and halved. Low planes are negated.
        assertThat(new float[] {m[0], m[1], m[2], m[4], m[5], m[6]}).containsExactly(2, 0, 0, 4, 4, 10);
        assertThat(new float[] {m[8], m[9], m[10], m[12], m[13], m[14]}).containsExactly(1.5f, -2, 0, 2, 2, 8);
        assertThat(new float[] {box[0], box[1], box[2], box[4], box[5], box[6]}).containsExactly(2, 0, 0, 4, 4, 10);
    }

    @Test
    void bins_countEveryReferenceOnceAnAxis_andPartAgreesWithThem() {
        int count = 500;
        float[] refs = refs(new Random(1), count);
        Work w = new Work(BoxLoops.scalar(), refs, count);
        for (int axis = 0; axis < 3; axis++) {
            assertThat(Arrays.stream(w.counts, axis * BINS, axis * BINS + BINS).sum()).isEqualTo(count);
        }
        assertThat(w.middle).isEqualTo(Arrays.stream(w.counts, BINS, BINS + 7).sum()); // parted on axis 1 at bin 7
        int[] numbers = new int[count];
        Arrays.setAll(numbers, i -> BoxLoops.number(refs, i));
        Arrays.sort(numbers);
        for (int i = 0; i < count; i++) {
            assertThat(numbers[i]).isEqualTo(i);
        }
    }

    @Test
    void swapRuns_exchangesNeighboursOneByOne() {
        for (BoxLoops loops : Kernels.areVectors()
                ? new BoxLoops[] {BoxLoops.scalar(), BoxLoops.vector()}
                : new BoxLoops[] {BoxLoops.scalar()}) {
            float[] refs = refs(new Random(2), 8);
            loops.swapRuns(refs, 1, 5, 3);
            int[] numbers = new int[8];
            Arrays.setAll(numbers, i -> BoxLoops.number(refs, i));
            assertThat(numbers).containsExactly(0, 5, 6, 7, 4, 1, 2, 3);
        }
    }

    @Test
    @Tag("vector")
    void vectorLoops_onceCompiled_allocateNothing() {
        int count = 256;
        Work w = new Work(BoxLoops.vector(), refs(new Random(3), count), count);
        int calls = 2000;
        double bytes = AllocatedBytes.perThing((long) calls * count, 1, () -> {
            for (int i = 0; i < calls; i++) {
                w.run(count);
            }
        });
        // A vector that is boxed takes 48 bytes a reference or more.
        assertThat(bytes).as("bytes a reference").isLessThan(1);
    }

    /** Compares the lanes that mean something, the first three of so many; zeros may differ in sign. */
    private static void assertSame(float[] actual, float[] expected, int boxes, int lanes) {
        for (int i = 0; i < BoxLoops.LANES * boxes; i++) {
            if (i % lanes < 3) {
                assertThat(actual[i] == expected[i]).as("float %d: %s, expected %s", i, actual[i], expected[i]).isTrue();
            }
        }
    }

    private static float[] refs(Random random, int count) {
        float[] refs = new float[BoxLoops.FIRST + BoxLoops.LANES * count];
        float[] positions = new float[9 * count];
        for (int t = 0; t < count; t++) {
            float size = (float) Math.pow(10, -3 * random.nextDouble());
            for (int i = 0; i < 9; i++) {
                positions[9 * t + i] = i < 3 ? 2 * random.nextFloat() - 1 : positions[9 * t + i % 3] + size * (random.nextFloat() - 0.5f);
            }
        }
        int[] corners = new int[3 * count];
        Arrays.setAll(corners, i -> i);
        int[] all = new int[count];
        Arrays.setAll(all, i -> i);
        BoxLoops.refer(positions, corners, all, 0, count, refs, new float[BoxLoops.LANES]);
        return refs;
    }

    /** Every loop once, as a builder calls them. */
    private static final class Work {
        final BoxLoops loops;
        final float[] refs;
        final float[] measures = new float[BoxLoops.MEASURES];
        final float[] bins = new float[BoxLoops.LANES * BoxLoops.BINS];
        final int[] counts = new int[BoxLoops.BINS];
        final int[] scratch = new int[BoxLoops.SCRATCH];
        final float[] swept = new float[BoxLoops.LANES * 2 * BINS];
        final float[] low = new float[3];
        final float[] factor = new float[3];
        int middle;

        Work(BoxLoops loops, float[] refs, int count) {
            this.loops = loops;
            this.refs = refs;
            run(count);
        }

        void run(int count) {
            loops.measure(refs, 0, count, SCALE, measures, 0);
            for (int axis = 0; axis < 3; axis++) {
                low[axis] = -measures[BoxLoops.LANES + axis];
                float extent = measures[BoxLoops.LANES + BoxLoops.HIGH + axis] - low[axis];
                factor[axis] = extent > 0 ? (BINS - 1) / extent : 0;
            }
            BoxLoops.clear(bins, 0, 3 * BINS);
            Arrays.fill(counts, 0);
            loops.bin(refs, 0, count, SCALE, low, factor, bins, counts, scratch);
            loops.sweep(bins, BINS, BINS, SCALE, swept);
            middle = loops.part(refs, 0, count, 1, SCALE, low[1], factor[1], 7);
        }
    }
}
