package org.estampage.raster;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Random;
import org.estampage.mesh.Mesh;
import org.junit.jupiter.api.Test;

/** {@link UvRaster} against {@link UvOracle}. */
class UvRasterDifferentialTest {
    private static void compare(Mesh mesh, int width, int height, int n) {
        UvOracle oracle = new UvOracle(mesh, width, height, n);
        TexelSamples samples = new TexelSamples();
        UvRaster.of(mesh, width, height, n).rasterise(0, 0, width, height, samples);
        float[] uv = mesh.uvSets().get(0).values();
        int[] indices = mesh.uvSets().get(0).indices();
        for (int y = 0; y < height; y++) {
            for (int x = 0; x < width; x++) {
                int texel = y * width + x;
                int at = samples.start[texel];
                int held = 0;
                for (int s = 0; s < n * n; s++) {
                    int column = x * n + s % n;
                    int row = y * n + s / n;
                    int holder = oracle.foremostHolder(column, row);
                    if (holder < 0) {
                        continue;
                    }
                    held++;
                    assertThat(samples.sample[at]).as("texel (%d, %d) sample %d", x, y, s).isEqualTo((short) s);
                    assertThat(samples.triangle[at]).as("texel (%d, %d) sample %d", x, y, s).isEqualTo(holder);
                    double b1 = samples.b1[at];
                    double b2 = samples.b2[at];
                    double b0 = 1 - b1 - b2;
                    double u = b0 * uv[2 * indices[3 * holder]] + b1 * uv[2 * indices[3 * holder + 1]]
                            + b2 * uv[2 * indices[3 * holder + 2]];
                    double v = b0 * uv[2 * indices[3 * holder] + 1] + b1 * uv[2 * indices[3 * holder + 1] + 1]
                            + b2 * uv[2 * indices[3 * holder + 2] + 1];
                    // Two weights, each rounded to float (2⁻²⁵ at most, being ≤ 1), times UV differences of at most 2.
                    assertThat(Math.abs(u - (column + 0.5) / (width * n))).isLessThan(2.4e-7);
                    assertThat(Math.abs(v - (1 - (row + 0.5) / (height * n)))).isLessThan(2.4e-7);
                    at++;
                }
                byte kind = samples.kind[texel];
                if (held > 0) {
                    assertThat(kind).isEqualTo(held == n * n ? TexelSamples.FULL : TexelSamples.PARTIAL);
                } else {
                    boolean touched = false;
                    for (int t = 0; t < oracle.triangleCount(); t++) {
                        touched |= oracle.touches(t, x, y);
                    }
                    assertThat(kind).as("texel (%d, %d)", x, y).isEqualTo(touched ? TexelSamples.NEAREST : TexelSamples.EMPTY);
                    at += touched ? 1 : 0;
                }
                assertThat(samples.start[texel + 1]).isEqualTo(at);
            }
        }
    }

    @Test
    void randomSoup_overlappingMirroredAndPartlyOutside_agrees() {
        Random random = new Random(1);
        for (int round = 0; round < 12; round++) {
            float[] uv = new float[6 * 7];
            for (int i = 0; i < uv.length; i++) {
                uv[i] = random.nextFloat() * 1.6f - 0.3f;
            }
            compare(UvMeshes.soup(uv), 5 + random.nextInt(40), 5 + random.nextInt(40), 1 + random.nextInt(3));
        }
    }

    @Test
    void smallAndThinTriangles_agree() {
        Random random = new Random(2);
        for (int round = 0; round < 4; round++) {
            float[] uv = new float[6 * 12];
            for (int t = 0; t < 12; t++) {
                float u = random.nextFloat();
                float v = random.nextFloat();
                float du = (random.nextFloat() - 0.5f) * 0.4f;
                float dv = (random.nextFloat() - 0.5f) * 0.4f;
                uv[6 * t] = u;
                uv[6 * t + 1] = v;
                uv[6 * t + 2] = u + du;
                uv[6 * t + 3] = v + dv;
                uv[6 * t + 4] = u + du / 2 + random.nextFloat() * 0.004f;
                uv[6 * t + 5] = v + dv / 2;
            }
            compare(UvMeshes.soup(uv), 33, 47, 1 + round % 3);
        }
    }

    @Test
    void cornersAndEdgesExactlyOnSamples_agree() {
        // 12 × 12 texels of 1 sample: the samples are at odd 24ths; 16 × 16: at odd 32nds, which floats hold exactly.
        Random random = new Random(3);
        for (int round = 0; round < 12; round++) {
            float[] uv = new float[6 * 6];
            for (int i = 0; i < uv.length; i++) {
                uv[i] = random.nextInt(33) / 32f;
            }
            compare(UvMeshes.soup(uv), 16, 16, 1);
            compare(UvMeshes.soup(uv), 8, 16, 2);
        }
    }

    @Test
    void gridsOnAndOffSamples_agree() {
        compare(UvMeshes.grid(8, 0, 4), 20, 20, 2);
        compare(UvMeshes.grid(5, 0, 5), 16, 24, 1);
        compare(UvMeshes.halfMirrored(UvMeshes.grid(6, 0.24, 6)), 19, 31, 2);
    }
}
