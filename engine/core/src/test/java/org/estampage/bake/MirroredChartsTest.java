package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.Arrays;
import java.util.List;
import org.estampage.cage.Cage;
import org.estampage.finding.Findings;
import org.estampage.image.FloatImage;
import org.estampage.maps.NormalMap;
import org.estampage.maps.ObjectNormalMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.task.Task;
import org.estampage.testresources.DisplacedSphere;
import org.estampage.uv.UvCharts;
import org.junit.jupiter.api.Test;

/** Mirrored and stacked charts, whose maps are decoded with frames computed from positions, normals and UVs alone. */
class MirroredChartsTest {
    private static final int SIZE = 256;
    /** In degrees: some steps of a 16-bit code, 1.7e-3° each. */
    private static final double MOST = 0.01;

    private interface Expected {
        void at(int x, int y, double[] dest);
    }

    /** Decodes the texels inside some triangles, and returns the sorted angles, in degrees, to what is expected. */
    private static double[] angles(BakeResult result, boolean[] triangles, Expected expected) {
        Mesh low = result.job().low();
        IndependentFrame frame = new IndependentFrame(low);
        FloatImage image = result.map("normal");
        double[] angles = new double[SIZE * SIZE];
        int n = 0;
        double[] wanted = new double[3];
        for (int t = 0; t < triangles.length; t++) {
            if (!triangles[t]) {
                continue;
            }
            for (int y = 0; y < SIZE; y++) {
                for (int x = 0; x < SIZE; x++) {
                    double[] weights = frame.weights(t, (x + 0.5) / SIZE, 1 - (y + 0.5) / SIZE);
                    // Away from the triangle's sides, where texels average frames of two triangles.
                    if (weights[0] < 0.05 || weights[1] < 0.05 || weights[2] < 0.05) {
                        continue;
                    }
                    expected.at(x, y, wanted);
                    angles[n++] = IndependentFrame.degrees(frame.decode(image, x, y, t, weights), wanted);
                }
            }
        }
        double[] sorted = Arrays.copyOf(angles, n);
        Arrays.sort(sorted);
        return sorted;
    }

    private static void decodes(double[] angles, int least) {
        assertThat(angles.length).isGreaterThan(least);
        assertThat(angles[angles.length - 1]).as("largest angle in degrees").isLessThanOrEqualTo(MOST);
    }

    private static Expected mapOf(BakeResult result, double signOfX) {
        FloatImage object = result.map("object-normal");
        return (x, y, dest) -> {
            dest[0] = signOfX * object.get(x, y, 0);
            dest[1] = object.get(x, y, 1);
            dest[2] = object.get(x, y, 2);
        };
    }

    @Test
    void mirroredCharts_decodedByAnIndependentFrame_giveTheHighPolysNormals() {
        Mesh sphere = BakeReferenceTest.mesh(DisplacedSphere.lowPoly(6, 1.0 / 64), "low");
        int[] charts = UvCharts.ofTriangles(sphere);
        float[] uv = sphere.uvSets().get(0).values().clone();
        int[] of = sphere.uvSets().get(0).indices();
        boolean[] mirrored = new boolean[charts.length];
        for (int chart = 0; chart < 6; chart += 2) {
            float least = 1, most = 0;
            boolean[] own = new boolean[uv.length / 2];
            for (int c = 0; c < of.length; c++) {
                if (charts[c / 3] == chart) {
                    own[of[c]] = true;
                    mirrored[c / 3] = true;
                    least = Math.min(least, uv[2 * of[c]]);
                    most = Math.max(most, uv[2 * of[c]]);
                }
            }
            for (int i = 0; i < own.length; i++) {
                uv[2 * i] = own[i] ? least + most - uv[2 * i] : uv[2 * i];
            }
        }
        Mesh low = sphere.toBuilder().noUvSets().uvSet(new Attribute("uv", 2, uv, of)).build();
        Mesh high = BakeReferenceTest.mesh(DisplacedSphere.highPoly(200_000), "high");
        BakeResult result = Baker.create().bake(BakeJob.of(Cage.imported(low, low.unit(1.2)), high).size(SIZE).samples(4).padding(0)
                .maps(NormalMap.create(), ObjectNormalMap.create()).build(), Task.silent());
        assertThat(result.findings().ofKind("uvs-mirrored").get(0).count()).isEqualTo(charts.length / 2);
        boolean[] plain = new boolean[charts.length];
        for (int t = 0; t < plain.length; t++) {
            plain[t] = !mirrored[t];
        }
        decodes(angles(result, mirrored, mapOf(result, 1)), 12_000);
        decodes(angles(result, plain, mapOf(result, 1)), 12_000);
    }

    /** A vault over [−1, 1]² whose left half lies mirrored on its right half in UV space. */
    private static Mesh vault(int cells, double bumps) {
        Mesh flat = Patches.grid(cells, 0.1, (x, z) -> 0.5 * (1 - x * x) + bumps * Math.cos(6 * x) * Math.cos(5 * z));
        float[] uv = flat.uvSets().get(0).values().clone();
        int[] of = flat.positionIndices();
        for (int v = 0; v < uv.length / 2; v++) {
            uv[2 * v] = 0.1f + 0.8f * Math.abs(flat.positions()[3 * v]);
        }
        int[] part = new int[flat.triangleCount()];
        for (int t = 0; t < part.length; t++) {
            float middle = flat.positions()[3 * of[3 * t]] + flat.positions()[3 * of[3 * t + 1]] + flat.positions()[3 * of[3 * t + 2]];
            part[t] = middle < 0 ? 0 : 1;
        }
        return flat.toBuilder().noUvSets().uvSet(new Attribute("uv", 2, uv, of)).parts(List.of(new Part("left"), new Part("right")), part)
                .build();
    }

    private static boolean[] half(Mesh low, int part) {
        boolean[] half = new boolean[low.triangleCount()];
        for (int t = 0; t < half.length; t++) {
            half[t] = low.partLabels().of(t) == part;
        }
        return half;
    }

    private static BakeJob.Builder vaultJob() {
        return BakeJob.of(Cage.offset(vault(8, 0), 0.2), vault(200, 0.03)).size(SIZE).samples(4)
                .maps(NormalMap.create(), ObjectNormalMap.create());
    }

    @Test
    void stackedHalves_areBakedFromTheUnmirroredOne_andDecodeOnBoth() {
        BakeResult result = Baker.create().bake(vaultJob().stacked().build(), Task.silent());
        Mesh low = result.job().low();
        // On the right the normals lean to the right.
        assertThat(mean(result.map("object-normal"))).isPositive();
        decodes(angles(result, half(low, 1), mapOf(result, 1)), 12_000);
        // On the left the same texels show the mirror image, as the left half of this high poly is.
        decodes(angles(result, half(low, 0), mapOf(result, -1)), 12_000);
        assertThat(result.findings().ofKind("overlapping-uvs")).isEmpty();
        assertThat(result.findings().ofKind("stacked-uvs").get(0).message()).contains("the unmirrored side for");
    }

    @Test
    void stackedFromThePartOfTheMirroredHalf_bakesThatHalf() {
        BakeResult result = Baker.create().bake(vaultJob().stackedFrom("left").build(), Task.silent());
        assertThat(mean(result.map("object-normal"))).isNegative();
        decodes(angles(result, half(result.job().low(), 0), mapOf(result, 1)), 12_000);
        Findings findings = result.findings();
        assertThat(findings.ofKind("stacked-uvs").get(0).message()).contains("the declared part for");
        assertThatThrownBy(() -> vaultJob().stackedFrom("middle").build()).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("stackedFrom = \"middle\"").hasMessageContaining("left");
    }

    private static double mean(FloatImage image) {
        double sum = 0;
        for (int y = 0; y < SIZE; y++) {
            for (int x = 0; x < SIZE; x++) {
                sum += image.get(x, y, 0);
            }
        }
        return sum / (SIZE * SIZE);
    }
}
