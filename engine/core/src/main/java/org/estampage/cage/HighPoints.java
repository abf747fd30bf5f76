package org.estampage.cage;

import java.util.Arrays;
import org.estampage.mesh.Mesh;

/**
 * The points of a high poly that a cage is fitted to: every vertex that a triangle uses, and points on triangles that are large beside those of the low
 * poly, since such a triangle can stand out where none of its corners does.
 *
 * @shape xyz: the mesh's positions, further points after them; numbers: the points in use, ascending
 * @threads immutable by contract
 */
final class HighPoints {
    /** Points on large triangles lie closer than this part of the low poly's mean edge. */
    private static final double SPACING = 0.5;
    /** So many further points at most; above, they stand farther apart. */
    private static final long MOST = 1_000_000;
    private static final int MOST_STEPS = 500;

    final float[] xyz;
    final int[] numbers;
    /** Points from this number on are none of the mesh's vertices. */
    final int vertexCount;

    private HighPoints(float[] xyz, int[] numbers, int vertexCount) {
        this.xyz = xyz;
        this.numbers = numbers;
        this.vertexCount = vertexCount;
    }

    static HighPoints of(Mesh high, double meanLowEdge) {
        int vertexCount = high.vertexCount();
        boolean[] used = new boolean[vertexCount];
        for (int v : high.positionIndices()) {
            used[v] = true;
        }
        double spacing = SPACING * meanLowEdge;
        long extra = meanLowEdge > 0 ? countExtra(high, spacing) : 0;
        while (extra > MOST) { // the number falls with the square of the spacing, until single points are left
            spacing *= Math.max(1.1, Math.sqrt((double) extra / MOST));
            extra = countExtra(high, spacing);
        }
        float[] xyz = extra == 0 ? high.positions() : Arrays.copyOf(high.positions(), Math.addExact(3 * vertexCount, 3 * (int) extra));
        int[] numbers = new int[vertexCount + (int) extra];
        int count = 0;
        for (int v = 0; v < vertexCount; v++) {
            if (used[v]) {
                numbers[count++] = v;
            }
        }
        if (extra > 0) {
            addExtra(high, spacing, xyz);
            for (int v = vertexCount; v < xyz.length / 3; v++) {
                numbers[count++] = v;
            }
        }
        return new HighPoints(xyz, Arrays.copyOf(numbers, count), vertexCount);
    }

    private static int steps(Mesh high, int t, double spacing) {
        float[] p = high.positions();
        int[] c = high.positionIndices();
        double longest = 0;
        for (int k = 0; k < 3; k++) {
            int a = 3 * c[3 * t + k], b = 3 * c[3 * t + (k + 1) % 3];
            double x = (double) p[b] - p[a], y = (double) p[b + 1] - p[a + 1], z = (double) p[b + 2] - p[a + 2];
            longest = Math.max(longest, x * x + y * y + z * z);
        }
        return (int) Math.max(1, Math.min(MOST_STEPS, Math.ceil(Math.sqrt(longest) / spacing)));
    }

    private static long countExtra(Mesh high, double spacing) {
        long count = 0;
        for (int t = 0; t < high.triangleCount(); t++) {
            long n = steps(high, t, spacing);
            count += (n + 1) * (n + 2) / 2 - 3;
        }
        return count;
    }

    private static void addExtra(Mesh high, double spacing, float[] xyz) {
        float[] p = high.positions();
        int[] c = high.positionIndices();
        int next = p.length;
        for (int t = 0; t < high.triangleCount(); t++) {
            int n = steps(high, t, spacing);
            for (int i = 0; i <= n; i++) {
                for (int j = 0; i + j <= n; j++) {
                    int rest = n - i - j;
                    if (i == n || j == n || rest == n) {
                        continue; // a corner
                    }
                    for (int k = 0; k < 3; k++) {
                        xyz[next++] = (float) (((double) rest * p[3 * c[3 * t] + k] + (double) i * p[3 * c[3 * t + 1] + k]
                                + (double) j * p[3 * c[3 * t + 2] + k]) / n);
                    }
                }
            }
        }
    }
}
