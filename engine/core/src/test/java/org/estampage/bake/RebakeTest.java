package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.RayTracer;
import org.estampage.cage.Cage;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Mask;
import org.estampage.image.Pixels;
import org.estampage.image.Range;
import org.estampage.maps.BentNormalMap;
import org.estampage.maps.ColourMap;
import org.estampage.maps.CurvatureMap;
import org.estampage.maps.CustomMap;
import org.estampage.maps.HeightMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** Bakes of single maps and regions: always what a bake of everything gives, to the bit. */
class RebakeTest {
    private static final Mesh LOW = Patches.flat(2, 0.1);
    private static final Mesh HIGH = Patches.grid(24, 0, (x, z) -> 0.1 * Math.sin(5 * x) * Math.cos(4 * z));
    private static final Cage CAGE = Cage.offset(LOW, 0.5);
    private static final SurfaceMap[] SIX = {NormalMap.create(), HeightMap.create(), OcclusionMap.create(16).reach(0.4),
            BentNormalMap.create(16), CurvatureMap.create(), OcclusionMap.create(24).error(0.05).sharingRays()};

    private static BakeJob.Builder job(Mesh high) {
        return BakeJob.of(CAGE, high).size(48);
    }

    private static BakeResult bake(BakeJob job) {
        return Baker.create().bake(job, Task.silent());
    }

    private static void assertSame(BakeResult actual, BakeResult expected) {
        assertThat(actual.job().maps().stream().map(SurfaceMap::name))
                .isEqualTo(expected.job().maps().stream().map(SurfaceMap::name).toList());
        for (BakedTile tile : expected.tiles()) {
            for (BakedMap map : tile.maps()) {
                BakedMap there = actual.tile(tile.number()).baked(map.name()).orElseThrow();
                assertThat(Arrays.mismatch(Pixels.toFloats(there.image()), Pixels.toFloats(map.image())))
                        .as(map.name() + " of " + tile.number()).isEqualTo(-1);
                assertThat(there.image().encoding()).isEqualTo(map.image().encoding());
                assertThat(there.details()).isEqualTo(map.details());
            }
            BakedTile there = actual.tile(tile.number());
            assertSame(there.covered(), tile.covered());
            assertSame(there.hit(), tile.hit());
            assertSame(there.full(), tile.full());
            assertThat(there.missCauses().isPresent()).isEqualTo(tile.missCauses().isPresent());
            tile.missCauses()
                    .ifPresent(causes -> assertThat(
                            Arrays.mismatch(Pixels.toFloats(there.missCauses().orElseThrow()), Pixels.toFloats(causes))).isEqualTo(-1));
        }
    }

    private static void assertSame(Mask actual, Mask expected) {
        int different = 0;
        for (int i = 0; i < expected.width() * expected.height(); i++) {
            different += actual.get(i % expected.width(), i / expected.width()) == expected.get(i % expected.width(), i / expected.width())
                    ? 0
                    : 1;
        }
        assertThat(different).isZero();
    }

    @Test
    void mapsBakedAloneAndJoined_areWhatTheyAreTogether() {
        SurfaceMap[] five = Arrays.copyOf(SIX, 5);
        BakeResult together = bake(job(HIGH).maps(five).build());
        List<BakeResult> alone = new ArrayList<>();
        for (SurfaceMap map : five) {
            alone.add(bake(job(HIGH).maps(map).build()));
        }
        BakeResult joined = Baker.create().bake(together.job(), alone, Task.silent());
        assertSame(joined, together);
        assertThat(joined.findings()).isEqualTo(together.findings());
        assertThat(joined.projectionRayCount()).isZero();
        assertThat(joined.summary()).contains("all maps are of earlier bakes");
        assertThat(joined.sampleCount()).isEqualTo(together.sampleCount());
    }

    @Test
    void jobWithOneMapChanged_bakesThatOneAlone() {
        BakeResult before = bake(job(HIGH).maps(NormalMap.create(), OcclusionMap.create(16)).build());
        BakeJob changed = before.job().toBuilder().map(OcclusionMap.create(32)).build();
        List<List<String>> baked = new ArrayList<>();
        BakeResult after = Baker.create().threads(1).blocks(block -> baked.add(block.maps())).bake(changed, List.of(before), Task.silent());
        assertSame(after, bake(changed));
        assertThat(baked).isNotEmpty().containsOnly(List.of("occlusion"));
        assertThat(after.map("normal")).isSameAs(before.map("normal"));
    }

    @Test
    void mapWithAnotherRange_isBakedAnew() {
        BakeResult before = bake(job(HIGH).maps(HeightMap.create()).build());
        BakeJob locked = before.job().toBuilder().range("height", new Range(-1, 1)).build();
        BakeResult after = Baker.create().bake(locked, List.of(before), Task.silent());
        assertThat(after.range("height")).isEqualTo(new Range(-1, 1));
        assertThat(after.projectionRayCount()).isPositive();
    }

    @Test
    void customMap_isTakenIfItIsTheSameOne_orOfTheSameVersion_neverByItsNameAlone() {
        CustomMap first = CustomMap.of("snow", 1, (in, out) -> out[0] = in.normal(1));
        CustomMap second = CustomMap.of("snow", 1, (in, out) -> out[0] = in.normal(0));
        BakeResult before = bake(job(HIGH).maps(first).build());
        Baker baker = Baker.create();
        BakeResult same = baker.bake(before.job(), List.of(before), Task.silent());
        assertThat(same.projectionRayCount()).isZero();
        BakeJob other = job(HIGH).maps(second).build();
        assertSame(baker.bake(other, List.of(before), Task.silent()), bake(other));
        BakeResult versioned = bake(job(HIGH).maps(first.version("1")).build());
        assertThat(baker.bake(job(HIGH).maps(second.version("1")).build(), List.of(versioned), Task.silent()).projectionRayCount())
                .isZero();
        assertThat(baker.bake(job(HIGH).maps(first.version("2")).build(), List.of(versioned), Task.silent()).projectionRayCount())
                .isPositive();
        assertThat(baker.bake(job(HIGH).maps(first.version("1").bits(8)).build(), List.of(versioned), Task.silent()).projectionRayCount())
                .isPositive();
        assertThatThrownBy(() -> first.version(" ")).hasMessageContaining("version");
    }

    @Test
    void earlierBakeOfAnotherJob_isRefused_withWhatDiffers() {
        BakeResult before = bake(job(HIGH).maps(NormalMap.create()).build());
        Baker baker = Baker.create();
        assertThatThrownBy(() -> baker.bake(before.job().toBuilder().samples(3).build(), List.of(before), Task.silent()))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("samples: 2 and 3");
        assertThatThrownBy(() -> baker.bake(job(Patches.flat(2, 0)).maps(NormalMap.create()).build(), List.of(before), Task.silent()))
                .hasMessageContaining("the high polys");
        assertThatThrownBy(() -> baker.bake(before.job().toBuilder().depth(0.2).build(), List.of(before), Task.silent()))
                .hasMessageContaining("depth: NaN and 0.2");
    }

    @Test
    void regionOfAChangedSculpt_isWhatAWholeBakeGives_whereTheSculptChangedOnlyThere() {
        Mesh bumped = Patches.grid(24, 0, (x, z) -> 0.1 * Math.sin(5 * x) * Math.cos(4 * z)
                + (Math.abs(x - 0.25) < 0.1 && Math.abs(z - 0.25) < 0.1 ? 0.05 : 0));
        // Maps that see no farther than their own texel, and one that shares rays with its neighbours.
        SurfaceMap[] maps = {NormalMap.create(), HeightMap.create(), OcclusionMap.create(16).reach(0.02).sharingRays()};
        BakeResult before = bake(job(HIGH).maps(maps).build());
        BakeJob now = job(bumped).maps(maps).build();
        BakeResult whole = bake(now);
        TexelRegion region = changed(before, whole);
        assertThat(region.width() * region.height()).isBetween(9, 48 * 48 / 4);
        for (int threads : new int[] {1, 3}) {
            BakeResult patched = Baker.create().threads(threads).blockSide(5).bakeRegion(now, before, region, Task.silent());
            assertSame(patched, whole);
            assertThat(patched.projectionRayCount()).isLessThan(whole.projectionRayCount() / 3);
            assertThat(patched.findings().ofKind("baked-in-part")).hasSize(1);
        }
        // One texel less on the left is not enough: the test sees what lies outside of a region.
        TexelRegion less = new TexelRegion(region.tile(), region.x() + 1, region.y(), region.width() - 1, region.height());
        BakeResult cut = Baker.create().bakeRegion(now, before, less, Task.silent());
        assertThat(cut.maps()).anyMatch(map -> !Arrays.equals(Pixels.toFloats(map.image()), Pixels.toFloats(whole.map(map.name()))));
    }

    /** Returns the least rectangle around all texels in charts whose values differ. */
    private static TexelRegion changed(BakeResult a, BakeResult b) {
        int left = 48, top = 48, right = -1, bottom = -1;
        for (BakedMap map : a.maps()) {
            for (int y = 0; y < 48; y++) {
                for (int x = 0; x < 48; x++) {
                    boolean differs = false;
                    for (int c = 0; c < map.image().channels() && a.hit().get(x, y); c++) {
                        differs |= map.image().get(x, y, c) != b.map(map.name()).get(x, y, c);
                    }
                    if (differs) {
                        left = Math.min(left, x);
                        right = Math.max(right, x);
                        top = Math.min(top, y);
                        bottom = Math.max(bottom, y);
                    }
                }
            }
        }
        return TexelRegion.of(left, top, right - left + 1, bottom - top + 1);
    }

    @Test
    void regionWithMisses_keepsTheCausesOfAllOthers() {
        Mesh small = Patches.grid(8, 0, (x, z) -> Math.abs(x) > 0.6 ? 9 : 0); // out of the cage at its sides
        BakeResult before = bake(job(small).maps(HeightMap.create()).build());
        assertThat(before.missedCount()).isPositive();
        BakeResult patched = Baker.create().bakeRegion(before.job(), before, TexelRegion.of(3, 4, 9, 8), Task.silent());
        assertSame(patched, before);
        assertThat(patched.findings().ofKind("missed-texels")).isEqualTo(before.findings().ofKind("missed-texels"));
    }

    @Test
    void regionThatDoesNotFit_isRefused() {
        BakeResult before = bake(job(HIGH).maps(NormalMap.create()).build());
        Baker baker = Baker.create();
        assertThatThrownBy(() -> baker.bakeRegion(before.job(), before, TexelRegion.of(40, 0, 9, 9), Task.silent()))
                .hasMessageContaining("48 × 48");
        assertThatThrownBy(
                () -> baker.bakeRegion(job(HIGH).maps(HeightMap.create()).build(), before, TexelRegion.of(0, 0, 9, 9), Task.silent()))
                .hasMessageContaining("has no height");
        assertThatThrownBy(
                () -> baker.bakeRegion(before.job().toBuilder().size(64).build(), before, TexelRegion.of(0, 0, 9, 9), Task.silent()))
                .hasMessageContaining("64 × 64");
        assertThatThrownBy(() -> TexelRegion.of(0, -1, 4, 4)).hasMessageContaining("negative");
    }

    @Test
    void tracerThatIsGiven_servesTheMissingMaps_too() {
        RayTracer tracer = Bvh.build(HIGH, Task.silent());
        BakeResult before = bake(job(HIGH).maps(NormalMap.create()).build());
        BakeJob more = before.job().toBuilder().maps(OcclusionMap.create(16)).build();
        assertSame(Baker.create().tracer(HIGH, tracer).bake(more, List.of(before), Task.silent()), bake(more));
    }

    @Test
    void mapsOfOtherTextures_areBakedAnew_thoughTheyPrintAlike() {
        FloatImage dark = FloatImage.create(4, 4, Encoding.colour(3)), light = FloatImage.create(4, 4, Encoding.colour(3));
        light.set(3, 3, 2, 0.5f);
        SurfaceMap first = ColourMap.create().texture(dark), second = ColourMap.create().texture(light);
        assertThat(first).hasToString(second.toString());
        assertThat(first.recipe()).isEqualTo(ColourMap.create().texture(dark).recipe()).isNotEqualTo(second.recipe());
        assertThat(NormalMap.create().detail(dark.withEncoding(Encoding.normal())).recipe())
                .isNotEqualTo(NormalMap.create().detail(light.withEncoding(Encoding.normal())).recipe());
        BakeResult before = bake(job(HIGH).maps(first).build());
        assertThat(Baker.create().bake(job(HIGH).maps(second).build(), List.of(before), Task.silent()).projectionRayCount()).isPositive();
    }
}
