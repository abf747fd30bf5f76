package org.estampage.uv;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.awt.geom.Line2D;
import java.util.Random;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Areas against samples, and gaps against all pairs of edges. */
class UvMeasuresDifferentialTest {
    private static final int GRID = 512;
    private static final int SIDE = 512;

    /** Loose triangles, each a chart: random ones that overlap, or one in each cell of a grid. */
    private static Mesh loose(long seed, int count, boolean apart) {
        Random random = new Random(seed);
        float[] xyz = new float[9 * count];
        float[] uv = new float[6 * count];
        int[] index = new int[3 * count];
        int cells = (int) Math.ceil(Math.sqrt(count));
        for (int t = 0; t < count; t++) {
            int row = t / cells;
            for (int k = 0; k < 3; k++) {
                index[3 * t + k] = 3 * t + k;
                for (int i = 0; i < 3; i++) {
                    xyz[9 * t + 3 * k + i] = random.nextFloat() + 2 * t;
                }
                double x = apart ? 0.05 + 0.9 * random.nextDouble() : random.nextDouble();
                double y = apart ? 0.05 + 0.9 * random.nextDouble() : random.nextDouble();
                uv[6 * t + 2 * k] = (float) (apart ? (t % cells + x) / cells : 0.35 + 0.3 * (x + random.nextInt(2) - 0.5));
                uv[6 * t + 2 * k + 1] = (float) (apart ? (row + y) / cells : 0.35 + 0.3 * (y + random.nextInt(2) - 0.5));
            }
        }
        return Mesh.builder(xyz, index).uvSet(new Attribute("uv", 2, uv, index)).build();
    }

    private static boolean holds(float[] uv, int t, double x, double y) {
        int sides = 0;
        for (int k = 0; k < 3; k++) {
            int a = 6 * t + 2 * k;
            int b = 6 * t + 2 * ((k + 1) % 3);
            sides += (uv[b] - uv[a]) * (y - uv[a + 1]) - (uv[b + 1] - uv[a + 1]) * (x - uv[a]) > 0 ? 1 : -1;
        }
        return Math.abs(sides) == 3;
    }

    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3})
    void areas_areThoseOfSamples(long seed) {
        int n = 12;
        Mesh mesh = loose(seed, n, false);
        UvMeasures uv = UvMeasures.of(mesh, SIDE, SIDE);
        float[] at = mesh.uvSets().get(0).values();
        long any = 0;
        long again = 0;
        long[] onOthers = new long[n];
        boolean[] overlapping = new boolean[n];
        for (int i = 0; i < GRID * GRID; i++) {
            int line = i / GRID;
            double x = (i % GRID + 0.5) / GRID;
            double y = (line + 0.5) / GRID;
            boolean[] held = new boolean[n];
            int count = 0;
            for (int t = 0; t < n; t++) {
                held[t] = holds(at, t, x, y);
                count += held[t] ? 1 : 0;
            }
            any += count > 0 ? 1 : 0;
            again += Math.max(0, count - 1);
            for (int t = 0; t < n; t++) {
                onOthers[t] += held[t] && count > 1 ? 1 : 0;
                overlapping[t] |= held[t] && count > 1;
            }
        }
        // A grid is off by about the cells on borders, about 2 · 512 for each of 12 outlines, that are halved at random: √12,000 / 2 = 55, and
        // six times that is 1.3e-3 of the image.
        double tolerance = 1.3e-3;
        assertThat(uv.fill()).isCloseTo((double) any / (GRID * GRID), within(tolerance));
        assertThat(uv.overlapInside()).isZero();
        // each later chart counts what the ones before cover of it: k of them on one place count k − 1 times
        assertThat(uv.overlapBetween() / (SIDE * SIDE)).isCloseTo((double) again / (GRID * GRID), within(tolerance));
        for (int t = 0; t < n; t++) {
            assertThat(uv.charts().get(t).overlapOutside() / (SIDE * SIDE)).isCloseTo((double) onOthers[t] / (GRID * GRID),
                    within(tolerance));
            assertThat(uv.overlapping[t] || !overlapping[t]).isTrue();
        }
    }

    @ParameterizedTest
    @ValueSource(ints = {1, 2, 3, 7, 40, 150})
    void gaps_areThoseOfAllPairs(int n) {
        Mesh mesh = loose(n, n, true);
        UvMeasures uv = UvMeasures.of(mesh, SIDE, SIDE);
        float[] at = mesh.uvSets().get(0).values();
        assertThat(uv.overlappingTriangles()).isZero();
        for (int s = 0; s < n; s++) {
            double least = Double.POSITIVE_INFINITY;
            for (int t = 0; t < n; t++) {
                for (int k = 0; k < 9 && t != s; k++) {
                    int p = 2 * (k % 3);
                    int q = 2 * (k / 3);
                    int r = 2 * ((k / 3 + 1) % 3);
                    least = Math.min(least, Line2D.ptSegDist(at[6 * t + q], at[6 * t + q + 1], at[6 * t + r], at[6 * t + r + 1],
                            at[6 * s + p], at[6 * s + p + 1]));
                    least = Math.min(least, Line2D.ptSegDist(at[6 * s + q], at[6 * s + q + 1], at[6 * s + r], at[6 * s + r + 1],
                            at[6 * t + p], at[6 * t + p + 1]));
                }
            }
            if (n > 1) {
                // that library computes a square as a difference of squares: 1e-16 of the coordinates', under a root
                assertThat(uv.charts().get(s).gap()).isCloseTo(least * SIDE, within(2e-7 * SIDE));
            } else {
                assertThat(uv.charts().get(s).gap()).isInfinite();
            }
        }
    }
}
