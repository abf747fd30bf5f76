package org.estampage.raster;

import static org.assertj.core.api.Assertions.assertThat;

import java.math.BigDecimal;
import java.util.Arrays;
import java.util.Random;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.DoubleRange;
import net.jqwik.api.constraints.IntRange;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;

class UvRasterPropertyTest {
    /** Every sample of a triangulated square is held exactly once: none missed, none claimed twice. */
    private static void coveredOnce(Mesh mesh, int width, int height, int n) {
        UvRaster raster = UvRaster.of(mesh, width, height, n);
        TexelSamples samples = new TexelSamples();
        raster.rasterise(0, 0, width, height, samples);
        assertThat(samples.size()).isEqualTo(width * height * n * n);
        assertThat(raster.findings().ofKind("overlapping-uvs")).isEmpty();
        for (int texel = 0; texel < width * height; texel++) {
            assertThat(samples.kind[texel]).isEqualTo(TexelSamples.FULL);
        }
    }

    @Property(tries = 60)
    void everySampleOfAJitteredGrid_isHeldExactlyOnce(@ForAll @IntRange(min = 1, max = 40) int cells,
            @ForAll @DoubleRange(min = 0, max = 0.24) double jitter, @ForAll long seed, @ForAll @IntRange(min = 1, max = 70) int width,
            @ForAll @IntRange(min = 1, max = 70) int height, @ForAll @IntRange(min = 1, max = 3) int n) {
        coveredOnce(UvMeshes.grid(cells, jitter, seed), width, height, n);
        coveredOnce(UvMeshes.halfMirrored(UvMeshes.grid(cells, jitter, seed)), width, height, n);
    }

    /** Splitting triangles at random inner points makes ever thinner ones, down to slivers of a few float steps. */
    @Property(tries = 40)
    void everySampleOfARandomlySplitSquare_isHeldExactlyOnce(@ForAll long seed, @ForAll @IntRange(min = 1, max = 400) int splits,
            @ForAll @IntRange(min = 1, max = 60) int width, @ForAll @IntRange(min = 1, max = 60) int height) {
        coveredOnce(splitSquare(seed, splits), width, height, 2);
    }

    private static Mesh splitSquare(long seed, int splits) {
        Random random = new Random(seed);
        float[] uv = new float[8 + 2 * splits];
        System.arraycopy(new float[] {0, 0, 1, 0, 1, 1, 0, 1}, 0, uv, 0, 8);
        int[] indices = new int[6 + 6 * splits];
        System.arraycopy(new int[] {0, 1, 2, 0, 2, 3}, 0, indices, 0, 6);
        int triangles = 2;
        int vertices = 4;
        for (int k = 0; k < splits; k++) {
            int t = 3 * random.nextInt(triangles);
            int a = indices[t];
            int b = indices[t + 1];
            int c = indices[t + 2];
            double p = random.nextDouble();
            double q = random.nextDouble() * (1 - p);
            float u = (float) ((1 - p - q) * uv[2 * a] + p * uv[2 * b] + q * uv[2 * c]);
            float v = (float) ((1 - p - q) * uv[2 * a + 1] + p * uv[2 * b + 1] + q * uv[2 * c + 1]);
            // The rounded point must still be strictly inside, or the three parts would fold over.
            if (turn(uv, a, b, u, v) <= 0 || turn(uv, b, c, u, v) <= 0 || turn(uv, c, a, u, v) <= 0) {
                continue;
            }
            uv[2 * vertices] = u;
            uv[2 * vertices + 1] = v;
            indices[t + 2] = vertices;
            int at = 3 * triangles;
            for (int i : new int[] {b, c, vertices, c, a, vertices}) {
                indices[at++] = i;
            }
            triangles += 2;
            vertices++;
        }
        float[] corners = Arrays.copyOf(uv, 2 * vertices);
        int[] used = Arrays.copyOf(indices, 3 * triangles);
        return Mesh.builder(new float[3 * vertices], used).uvSet(new Attribute("uv", 2, corners, used)).build();
    }

    private static int turn(float[] uv, int a, int b, float u, float v) {
        BigDecimal left = exact(uv[2 * a], u).multiply(exact(uv[2 * b + 1], v));
        BigDecimal right = exact(uv[2 * a + 1], v).multiply(exact(uv[2 * b], u));
        return left.subtract(right).signum();
    }

    private static BigDecimal exact(float a, float b) {
        return new BigDecimal(a).subtract(new BigDecimal(b));
    }
}
