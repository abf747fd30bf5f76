package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import org.estampage.cage.Cage;
import org.estampage.image.FloatImage;
import org.estampage.maps.CoverageMap;
import org.estampage.maps.HeightMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** More samples where samples see an edge. */
class EdgeSamplesTest {
    private static final Mesh LOW = Patches.flat(2, 0.1);
    /** Flat ground, and roofs of a slope of 45° on a lattice that no texel follows. */
    private static final Mesh ROOFS = Patches.grid(240, 0,
            (x, z) -> Math.max(0, 0.07 - Math.abs(Math.floorMod((long) ((x + 0.37 * z + 3) * 1e6), 310_000L) * 1e-6
                    - 0.155)));

    private static BakeResult bake(int samples, int edgeSamples, Mesh high, SurfaceMap... maps) {
        BakeJob.Builder job = BakeJob.of(Cage.offset(LOW, 0.2), high).size(64).samples(samples).padding(0).maps(maps);
        return Baker.create().bake((edgeSamples > 0 ? job.edgeSamples(edgeSamples) : job).build(), Task.silent());
    }

    @Test
    void texelsAtEdges_comeCloser_theOthersStay() {
        // Source of the bounds: a plate of sharp edges gave 1.94° rms with 2 × 2 samples, 0.83° with 16 more at the edges, before this was built.
        FloatImage reference = bake(12, 0, ROOFS, NormalMap.create()).map("normal");
        FloatImage plain = bake(2, 0, ROOFS, NormalMap.create()).map("normal");
        BakeResult result = bake(2, 4, ROOFS, NormalMap.create());
        FloatImage better = result.map("normal");
        double before = 0, after = 0;
        int same = 0;
        for (int y = 8; y < 56; y++) {
            for (int x = 8; x < 56; x++) {
                before += square(plain, reference, x, y);
                after += square(better, reference, x, y);
                same += square(plain, better, x, y) == 0 ? 1 : 0;
            }
        }
        assertThat(Math.sqrt(after / before)).as("rms error, part of the one without").isLessThanOrEqualTo(0.5);
        assertThat(same).as("texels away from edges").isBetween(48 * 48 / 8, 48 * 48 * 7 / 8);
        assertThat(result.refinedTexelCount()).isBetween(200L, 64L * 64 * 7 / 8);
        assertThat(result.summary()).contains("4 × 4 samples");
        assertThat(bake(2, 4, Patches.grid(40, 0, (x, z) -> 0.01 * x), NormalMap.create()).refinedTexelCount()).as("a plane has no edges")
                .isZero();
    }

    private static double square(FloatImage a, FloatImage b, int x, int y) {
        double sum = 0;
        for (int c = 0; c < 3; c++) {
            double d = a.get(x, y, c) - b.get(x, y, c);
            sum += d * d;
        }
        return sum;
    }

    @Test
    void coverageOfAHole_isCountedBySixteenths() {
        // Half of the patch is missing; its border runs through the middle of texels, 0.7 of each covered: no half or whole, but 12 of 16.
        Mesh half = Patches.grid(1, 0, (x, z) -> 0);
        float[] p = half.positions().clone();
        for (int i = 0; i < p.length; i += 3) {
            // Texel 40 begins at u = 0.625, where x = (0.625 − 0.1)/0.8 · 2 − 1 = 0.3125, and is 0.0390625 wide.
            p[i] = p[i] > 0 ? (float) (0.3125 + 0.7 * 0.0390625) : p[i];
        }
        Mesh cut = Mesh.builder(p, half.positionIndices()).build();
        assertThat(bake(2, 0, cut, CoverageMap.create()).map("coverage").get(40, 32, 0)).isEqualTo(0.5f);
        BakeResult result = bake(2, 4, cut, CoverageMap.create(), HeightMap.create());
        assertThat(result.map("coverage").get(40, 32, 0)).isCloseTo(0.75f, within(1e-6f));
        assertThat(result.map("coverage").get(39, 32, 0)).isEqualTo(1f);
        assertThat(result.map("coverage").get(41, 32, 0)).isZero();
    }

    @Test
    void values_areTheSame_forAnyBlocksAndThreads() {
        BakeJob job = BakeJob.of(Cage.offset(LOW, 0.2), ROOFS).size(41, 37).edgeSamples(3).padding(0)
                .maps(NormalMap.create(), OcclusionMap.create(64).error(0.05).sharingRays(), CoverageMap.create()).build();
        BakeResult one = Baker.create().threads(1).blockSide(64).bake(job, Task.silent());
        for (int side : new int[] {3, 8, 32}) {
            BakeResult other = Baker.create().threads(2).blockSide(side).bake(job, Task.silent());
            assertThat(other.refinedTexelCount()).isEqualTo(one.refinedTexelCount()).isPositive();
            assertThat(other.sampleCount()).isEqualTo(one.sampleCount());
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
    void edgesWithoutMoreSamples_areRefused() {
        assertThatThrownBy(() -> bake(4, 3, ROOFS, NormalMap.create())).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("edgeSamples = 3")
                .hasMessageContaining("samples = 4");
        assertThatThrownBy(() -> bake(1, 4, ROOFS, NormalMap.create())).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("samples = 1");
        assertThatThrownBy(() -> BakeJob.of(LOW, ROOFS).edgeSamples(17)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("2 … 16");
    }
}
