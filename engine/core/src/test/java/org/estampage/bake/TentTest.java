package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import org.estampage.cage.Cage;
import org.estampage.image.FloatImage;
import org.estampage.maps.CoverageMap;
import org.estampage.maps.EffortMap;
import org.estampage.maps.HeightMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Texels made of the samples around them, too. */
class TentTest {
    private static final int SIZE = 40;
    /** The chart fills the image but for four texels a side, and ends at texels' sides. */
    private static final int MARGIN = 4;
    private static final Mesh LOW = Patches.flat(2, (double) MARGIN / SIZE);
    /** Texels that lie wholly in the chart. */
    private static final int INSIDE = SIZE - 2 * MARGIN;
    private static final Mesh HILLS = Patches.grid(90, 0, (x, z) -> 0.05 * Math.sin(9 * x + 1) * Math.cos(11 * z));

    private static BakeJob.Builder job(Mesh high, int samples, SurfaceMap... maps) {
        return BakeJob.of(Cage.offset(LOW, 0.3), high).size(SIZE).samples(samples).padding(0).maps(maps);
    }

    private static FloatImage height(BakeJob.Builder job) {
        return Baker.create().bake(job.build(), Task.silent()).map("height");
    }

    /** The heights of single samples are had from a bake of one sample a texel at n times the size. */
    @ParameterizedTest
    @ValueSource(ints = {2, 3})
    void texel_isTheMeanUnderATent(int n) {
        FloatImage fine = height(job(HILLS, 1, HeightMap.create()).size(SIZE * n));
        FloatImage tent = height(job(HILLS, n, HeightMap.create()).filter(TexelFilter.TENT));
        for (int y = MARGIN + 1; y < SIZE - MARGIN - 1; y++) {
            for (int x = MARGIN + 1; x < SIZE - MARGIN - 1; x++) {
                double sum = 0, weights = 0;
                for (int j = -n; j < 2 * n; j++) {
                    for (int i = -n; i < 2 * n; i++) {
                        double weight = Math.max(0, 1 - Math.abs((i + 0.5) / n - 0.5)) * Math.max(0, 1 - Math.abs((j + 0.5) / n - 0.5));
                        sum += weight * fine.get(x * n + i, y * n + j, 0);
                        weights += weight;
                    }
                }
                // Rays of the two bakes start from places that differ in the last bits.
                assertThat(tent.get(x, y, 0)).as("texel %d, %d", x, y).isCloseTo((float) (sum / weights), within(1e-6f));
            }
        }
    }

    @Test
    void slopes_areExact_upToTheChartsBorder() {
        FloatImage tent = height(job(Patches.grid(1, 0, (x, z) -> 0.1 * x + 0.07 * z), 2, HeightMap.create()).filter(TexelFilter.TENT));
        for (int y = MARGIN; y < SIZE - MARGIN; y++) {
            for (int x = MARGIN; x < SIZE - MARGIN; x++) {
                double u = 2 * (x - MARGIN + 0.5) / INSIDE - 1, v = 2 * (y - MARGIN + 0.5) / INSIDE - 1;
                assertThat(tent.get(x, y, 0)).as("texel %d, %d", x, y).isCloseTo((float) (0.1 * u + 0.07 * v), within(1e-6f)); // float heights
            }
        }
        assertThat(tent.get(MARGIN - 1, SIZE / 2, 0)).as("beyond the chart").isZero();
    }

    @Test
    void chartsThatTouch_doNotMix() {
        // Two panels at different heights. Their charts meet in the middle of the image, at texels' sides, with edges that are apart on the mesh.
        Mesh panels = Patches.twoParts(0, 0, "left", "right");
        float[] uv = {0.1f, 0.1f, 0.5f, 0.1f, 0.5f, 0.9f, 0.1f, 0.9f, 0.9f, 0.9f, 0.5f, 0.9f, 0.5f, 0.1f, 0.9f, 0.1f};
        Mesh low = Mesh.builder(panels.positions(), panels.positionIndices()).uvSet(new Attribute("uv", 2, uv, panels.positionIndices()))
                .build();
        Mesh high = Patches.twoParts(0.1, -0.1, "left", "right");
        FloatImage tent = height(
                BakeJob.of(Cage.offset(low, 0.3), high).size(20).padding(0).filter(TexelFilter.TENT).maps(HeightMap.create()));
        for (int y = 2; y < 18; y++) {
            for (int x = 2; x < 18; x++) {
                assertThat(tent.get(x, y, 0)).as("texel %d, %d", x, y).isCloseTo(x < 10 ? 0.1f : -0.1f, within(1e-6f)); // float heights
            }
        }
    }

    @Test
    void values_areTheSame_forAnyBlocksAndThreads() {
        OcclusionMap open = OcclusionMap.create(64).error(0.05);
        BakeJob job = job(HILLS, 2, NormalMap.create(), open, EffortMap.rays(open), CoverageMap.create()).size(41, 37).edgeSamples(3)
                .filter(TexelFilter.TENT).build();
        BakeResult one = Baker.create().threads(1).blockSide(64).bake(job, Task.silent());
        assertThat(one.refinedTexelCount()).isPositive();
        assertThat(one.summary()).contains("2 × 2 samples under a tent");
        for (int side : new int[] {3, 8, 32}) {
            BakeResult other = Baker.create().threads(2).blockSide(side).bake(job, Task.silent());
            for (BakedMap map : one.maps()) {
                for (int y = 0; y < 37; y++) {
                    for (int x = 0; x < 41; x++) {
                        for (int c = 0; c < map.image().channels(); c++) {
                            assertThat(other.map(map.name()).get(x, y, c)).as(map.name()).isEqualTo(map.image().get(x, y, c));
                        }
                    }
                }
            }
        }
    }

    @Test
    void countsAndCoverage_areNotMixed_normalsKeepUnitLength_occlusionItsMean() {
        OcclusionMap open = OcclusionMap.create(256).error(0.05);
        SurfaceMap[] maps = {CoverageMap.create(), EffortMap.rays(open), NormalMap.create(), open};
        BakeResult box = Baker.create().bake(job(HILLS, 2, maps).build(), Task.silent());
        BakeResult tent = Baker.create().bake(job(HILLS, 2, maps).filter(TexelFilter.TENT).build(), Task.silent());
        double boxMean = 0, tentMean = 0;
        for (int y = 0; y < SIZE; y++) {
            for (int x = 0; x < SIZE; x++) {
                for (String name : new String[] {"coverage", "occlusion-rays"}) {
                    assertThat(tent.map(name).get(x, y, 0)).as(name).isEqualTo(box.map(name).get(x, y, 0));
                }
                double square = 0;
                for (int c = 0; c < 3; c++) {
                    square += Math.pow(tent.map("normal").get(x, y, c), 2);
                }
                assertThat(square).isCloseTo(1, within(1e-6)); // float channels; the background is a unit vector, too
                boxMean += box.map("occlusion").get(x, y, 0) / (SIZE * SIZE);
                tentMean += tent.map("occlusion").get(x, y, 0) / (SIZE * SIZE);
            }
        }
        // A tent moves light between neighbours, and only at the chart's border does not give back what it takes.
        assertThat(tentMean).isCloseTo(boxMean, within(0.002));
    }

    @Test
    void tentOfSingleSamples_isRefused() {
        assertThatThrownBy(() -> job(HILLS, 1, NormalMap.create()).filter(TexelFilter.TENT).build())
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("TENT").hasMessageContaining("samples = 1");
    }
}
