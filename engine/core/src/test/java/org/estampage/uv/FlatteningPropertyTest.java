package org.estampage.uv;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.data.Offset.offset;

import java.util.Arrays;
import java.util.SplittableRandom;
import java.util.concurrent.CancellationException;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class FlatteningPropertyTest {
    /** Part of the extent that overlaps may be deep: {@link Outline} does not see less than twice its depth. */
    private static final double UNSEEN = 3 * Outline.DEPTH;

    /** A place in space for a place in a grid. */
    private interface Shape {
        double[] at(double x, double y);
    }

    private static Patch grid(int across, int along, Shape shape) {
        double[] xyz = new double[3 * (across + 1) * (along + 1)];
        int[] triangles = new int[6 * across * along];
        int at = 0;
        for (int j = 0; j <= along; j++) {
            for (int i = 0; i <= across; i++) {
                int a = j * (across + 1) + i;
                System.arraycopy(shape.at(i, j), 0, xyz, 3 * a, 3);
                if (i < across && j < along) {
                    int b = a + across + 1;
                    for (int corner : new int[] {a, a + 1, b + 1, a, b + 1, b}) {
                        triangles[at++] = corner;
                    }
                }
            }
        }
        return new Patch(xyz, triangles);
    }

    /** A disk that grows triangle by triangle: on a border edge a new tip, or between two border edges one without. */
    private static Patch grown(SplittableRandom random, int count, double wild) {
        double[] xyz = new double[3 * (count + 3)];
        int[] triangles = new int[3 * count];
        int[] border = new int[count + 3];
        int length = 3;
        int vertices = 3;
        for (int i = 0; i < 9; i++) {
            xyz[i] = random.nextDouble();
        }
        for (int i = 0; i < 3; i++) {
            triangles[i] = i;
            border[i] = i;
        }
        for (int t = 1; t < count; t++) {
            int i = random.nextInt(length);
            int a = border[i];
            int b = border[(i + 1) % length];
            int c = border[(i + 2) % length];
            // Closing a corner must make no second edge between the same vertices.
            if (length > 4 && random.nextDouble() < 0.45 && !joined(triangles, t, a, c)) {
                System.arraycopy(new int[] {a, c, b}, 0, triangles, 3 * t, 3);
                int gone = (i + 1) % length;
                System.arraycopy(border, gone + 1, border, gone, length - gone - 1);
                length--;
                continue;
            }
            for (int k = 0; k < 3; k++) {
                xyz[3 * vertices + k] = (xyz[3 * a + k] + xyz[3 * b + k]) / 2 + wild * (random.nextDouble() - 0.5);
            }
            System.arraycopy(new int[] {a, vertices, b}, 0, triangles, 3 * t, 3);
            System.arraycopy(border, i + 1, border, i + 2, length - i - 1);
            border[i + 1] = vertices++;
            length++;
        }
        return new Patch(Arrays.copyOf(xyz, 3 * vertices), triangles);
    }

    private static boolean joined(int[] triangles, int count, int a, int b) {
        for (int t = 0; t < count; t++) {
            boolean hasA = false;
            boolean hasB = false;
            for (int k = 0; k < 3; k++) {
                hasA |= triangles[3 * t + k] == a;
                hasB |= triangles[3 * t + k] == b;
            }
            if (hasA && hasB) {
                return true;
            }
        }
        return false;
    }

    private static void assertSound(Patch patch, Flat flat) {
        assertThat(flat.distortion).isFinite().isGreaterThanOrEqualTo(1 - 1e-12);
        assertThat(FlatOracle.flips(patch, flat.uv)).isZero();
        double low = Double.POSITIVE_INFINITY;
        double high = Double.NEGATIVE_INFINITY;
        for (double x : flat.uv) {
            low = Math.min(low, x);
            high = Math.max(high, x);
        }
        assertThat(FlatOracle.overlaps(patch, flat.uv, UNSEEN * (high - low))).isZero();
    }

    @Property(tries = 60)
    void flatten_ofGrownDisk_neverFlipsOrOverlaps(@ForAll @IntRange(min = 1, max = 120) int count, @ForAll long seed,
            @ForAll boolean rough) {
        Patch patch = grown(new SplittableRandom(seed), count, rough ? 2 : 0.3);
        Flat quick = Flattening.flatten(patch, Effort.QUICK, Task.silent());
        Flat full = Flattening.flatten(patch, Effort.FULL, Task.silent());
        assertSound(patch, quick);
        assertSound(patch, full);
        // More effort never ends worse, but for rounding of sums.
        assertThat(full.distortion).isLessThanOrEqualTo(quick.distortion * (1 + 1e-12));
    }

    @ParameterizedTest
    @ValueSource(doubles = {0.5, 1, 2})
    void flatten_ofDeepFolds_neverFlipsOrOverlaps(double depth) {
        Patch folded = grid(24, 12, (x, y) -> new double[] {x, y, depth * ((int) (x + y) % 2 == 0 ? 1 : -1)});
        assertSound(folded, Flattening.flatten(folded, Effort.FULL, Task.silent()));
    }

    @Test
    void flatten_ofWindingRamp_keepsItsTurnsApart() {
        // One and a half turns of a flat ramp: laid flat without stretching, its ends lie on each other.
        Patch band = grid(120, 2, (x, y) -> {
            double turn = 3 * Math.PI * x / 120;
            double radius = 1.3 - 0.15 * y;
            return new double[] {radius * Math.cos(turn), radius * Math.sin(turn), 0.05 * turn};
        });
        // That it would cross itself otherwise, or this showed nothing.
        Net net = new Net(band, band.border());
        Outline outline = new Outline(net.border);
        double[] free = Start.circle(net, Task.silent());
        assertThat(free).isNotNull();
        new Descent(net, outline, Task.silent()).run(free, Effort.FULL, false, free.clone());
        assertThat(outline.crosses(free)).isTrue();
        assertSound(band, Flattening.flatten(band, Effort.FULL, Task.silent()));
    }

    @Test
    void flatten_ofSheetWithSlit_leavesTheSlitsSidesTouching() {
        // A flat grid of 8 × 4, cut from the middle of its lower side to its middle: the vertices at (4, 0) and (4, 1) are doubled.
        Patch whole = grid(8, 4, (x, y) -> new double[] {x, y, 0});
        double[] xyz = Arrays.copyOf(whole.xyz, whole.xyz.length + 6);
        int[] triangles = whole.triangles.clone();
        for (int row = 0; row < 2; row++) {
            int old = 9 * row + 4;
            int made = whole.vertexCount + row;
            System.arraycopy(whole.xyz, 3 * old, xyz, 3 * made, 3);
            for (int t = 0; t < triangles.length; t += 3) {
                boolean right = xyz[3 * triangles[t]] + xyz[3 * triangles[t + 1]] + xyz[3 * triangles[t + 2]] > 12;
                for (int k = 0; k < 3; k++) {
                    triangles[t + k] = right && triangles[t + k] == old ? made : triangles[t + k];
                }
            }
        }
        Patch slit = new Patch(xyz, triangles);
        Flat flat = Flattening.flatten(slit, Effort.FULL, Task.silent());
        assertSound(slit, flat);
        // A flat sheet is its own isometry.
        assertThat(flat.distortion).isLessThan(1 + 1e-9);
    }

    @Test
    void flatten_ofNeedlesAndZeroAreas_staysSound() {
        // Every third row has no height, every fourth column next to none.
        Patch patch = grid(12, 12,
                (x, y) -> new double[] {x - (x % 4 == 1 ? 0.999999 : 0), y - (y % 3 == 1 ? 1 : 0), 0.3 * Math.sin(x) * Math.cos(y)});
        for (Effort effort : Effort.values()) {
            Flat flat = Flattening.flatten(patch, effort, Task.silent());
            assertThat(flat.distortion).isFinite();
            assertThat(FlatOracle.flips(patch, flat.uv)).isZero();
        }
        Patch point = grid(2, 2, (x, y) -> new double[] {1, 1, 1});
        assertThat(FlatOracle.flips(point, Flattening.flatten(point, Effort.FULL, Task.silent()).uv)).isZero();
    }

    @Test
    void flatten_turnedMovedAndScaled_changesOnlyUnits() {
        Shape hill = (x, y) -> new double[] {x, y, 3 * Math.exp(-((x - 8) * (x - 8) + (y - 7) * (y - 7)) / 20)};
        Patch patch = grid(16, 16, hill);
        double[] moved = new double[patch.xyz.length];
        for (int v = 0; v < moved.length; v += 3) {
            // A third of a turn about (1, 1, 1), then ×8 and a step: exact but for the step.
            for (int k = 0; k < 3; k++) {
                moved[v + k] = 8 * patch.xyz[v + (k + 1) % 3] + 5;
            }
        }
        Flat a = Flattening.flatten(patch, Effort.FULL, Task.silent());
        Flat b = Flattening.flatten(new Patch(moved, patch.triangles), Effort.FULL, Task.silent());
        double[] scaled = Arrays.stream(b.uv).map(x -> x / 8).toArray();
        // The descent ends where the energy is flat to 1e-9, so places are good to its root, times the size of 16.
        assertThat(scaled).containsExactly(a.uv, offset(5e-4));
        assertThat(b.distortion).isCloseTo(a.distortion, offset(1e-9));
    }

    @Test
    void flatten_twice_givesTheSameBits() {
        Patch patch = grown(new SplittableRandom(7), 300, 1);
        assertThat(Flattening.flatten(patch, Effort.FULL, Task.silent()).uv)
                .containsExactly(Flattening.flatten(patch, Effort.FULL, Task.silent()).uv);
    }

    @Test
    void flatten_fromItsOwnResult_staysThere() {
        Patch patch = grid(12, 12, (x, y) -> new double[] {x, y, 2 * Math.sin(x / 4) * Math.sin(y / 3)});
        Flat first = Flattening.flatten(patch, Effort.FULL, Task.silent());
        Flat again = Flattening.flatten(patch, first.uv, Effort.QUICK, Task.silent());
        // Converged to 1e-9 of the energy.
        assertThat(again.distortion).isCloseTo(first.distortion, offset(1e-8));
    }

    @Test
    void flatten_cancelled_throws() {
        Cancellation cancellation = new Cancellation();
        cancellation.cancel();
        Patch patch = grid(2, 2, (x, y) -> new double[] {x, y, 0});
        assertThatThrownBy(() -> Flattening.flatten(patch, Effort.FULL, new Task(Progress.none(), cancellation, MemoryBudget.ofHeap())))
                .isInstanceOf(CancellationException.class);
    }

    @Test
    void border_ofWhatIsNoDisk_isEmpty() {
        // A closed tetrahedron; two triangles that share a vertex only; a triangle beside a loose vertex; one the wrong way round.
        assertThat(new Patch(new double[12], new int[] {0, 1, 2, 0, 2, 3, 0, 3, 1, 1, 3, 2}).border()).isEmpty();
        assertThat(new Patch(new double[15], new int[] {0, 1, 2, 2, 3, 4}).border()).isEmpty();
        assertThat(new Patch(new double[12], new int[] {0, 1, 2}).border()).isEmpty();
        assertThat(new Patch(new double[12], new int[] {0, 1, 2, 0, 1, 3}).border()).isEmpty();
        assertThat(new Patch(new double[12], new int[] {0, 1, 2, 0, 2, 3}).border()).containsExactly(0, 1, 2, 3);
    }

    @Test
    void crosses_seesABowTie_andNotASquare() {
        Outline outline = new Outline(new int[] {0, 1, 2, 3});
        assertThat(outline.crosses(new double[] {0, 0, 1, 0, 1, 1, 0, 1})).isFalse();
        assertThat(outline.crosses(new double[] {0, 0, 1, 1, 1, 0, 0, 1})).isTrue();
    }
}
