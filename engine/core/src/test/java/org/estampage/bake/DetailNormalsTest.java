package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import org.estampage.cage.Cage;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.maps.NormalMap;
import org.estampage.maps.ObjectNormalMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Axis;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** A normal map that the high poly itself wears adds to what is baked. */
class DetailNormalsTest {
    private static final Mesh LOW = Patches.flat(1, 0);
    /** Slopes ¾ along u and ½ along v: the normal is (−¾, −½, 1) / √(9/16 + 1/4 + 1). */
    private static final double LENGTH = Math.sqrt(0.75 * 0.75 + 0.25 + 1);

    private static FloatImage slope() {
        FloatImage image = FloatImage.create(4, 4, Encoding.normal());
        image.fill((float) (-0.75 / LENGTH), (float) (-0.5 / LENGTH), (float) (1 / LENGTH));
        return image;
    }

    private static BakeResult bake(Mesh high) {
        return Baker.create().bake(BakeJob.of(Cage.offset(LOW, 0.5), high).size(8)
                .maps(NormalMap.create().detail(slope()), ObjectNormalMap.create().detail(slope())).build(), Task.silent());
    }

    private static void assertVector(FloatImage image, double x, double y, double z) {
        for (int t = 0; t < 64; t++) {
            // A float's rounding, a few times.
            assertThat((double) image.get(t % 8, t / 8, 0)).isCloseTo(x / LENGTH, within(1e-6));
            assertThat((double) image.get(t % 8, t / 8, 1)).isCloseTo(y / LENGTH, within(1e-6));
            assertThat((double) image.get(t % 8, t / 8, 2)).isCloseTo(z / LENGTH, within(1e-6));
        }
    }

    @Test
    void flatHighPoly_withANormalMap_bakesToThatMap() {
        BakeResult result = bake(Patches.flat(3, 0.2));
        assertVector(result.map("normal"), -0.75, -0.5, 1);
        // u runs along +X, v along −Z, up is +Y.
        assertVector(result.map("object-normal"), -0.75, 1, 0.5);
    }

    @Test
    void turnedUvs_turnTheDetail() {
        // The high poly's u runs where the low poly's v does, and its v against u: a quarter turn.
        Mesh flat = Patches.flat(1, 0);
        float[] uv = flat.uvSets().get(0).values(), turned = new float[uv.length];
        for (int i = 0; i < uv.length; i += 2) {
            turned[i] = uv[i + 1];
            turned[i + 1] = 1 - uv[i];
        }
        Mesh high = flat.toBuilder().noUvSets().uvSet(new Attribute("uv", 2, turned, flat.uvSets().get(0).indices())).build();
        assertVector(bake(high).map("normal"), 0.5, -0.75, 1);
    }

    @Test
    void mirroredUvs_mirrorTheDetail() {
        // In mirror writing the tangent runs against the low poly's u; v stays, so that w is −1.
        Mesh flat = Patches.flat(1, 0);
        float[] uv = flat.uvSets().get(0).values().clone();
        for (int i = 0; i < uv.length; i += 2) {
            uv[i] = 1 - uv[i];
        }
        Mesh high = flat.toBuilder().noUvSets().uvSet(new Attribute("uv", 2, uv, flat.uvSets().get(0).indices())).build();
        assertVector(bake(high).map("normal"), 0.75, -0.5, 1);
        assertVector(bake(flat.mirrored(Axis.X)).map("normal"), 0.75, -0.5, 1);
    }

    @Test
    void flatDetail_changesNothing() {
        FloatImage flat = FloatImage.create(2, 2, Encoding.normal());
        flat.fill(0, 0, 1);
        Mesh high = Patches.grid(16, 0, (x, z) -> 0.1 * Math.sin(3 * x) * Math.cos(2 * z));
        BakeResult result = Baker.create().bake(
                BakeJob.of(Cage.offset(LOW, 0.5), high).size(16).maps(NormalMap.create()).build(), Task.silent());
        BakeResult detailed = Baker.create().bake(
                BakeJob.of(Cage.offset(LOW, 0.5), high).size(16).maps(NormalMap.create().detail(flat)).build(), Task.silent());
        for (int t = 0; t < 256; t++) {
            for (int c = 0; c < 3; c++) {
                assertThat(detailed.map("normal").get(t % 16, t / 16, c)).isCloseTo(result.map("normal").get(t % 16, t / 16, c),
                        within(1e-6f));
            }
        }
    }

    @Test
    void mapsOfOneDetail_makeLevelsAndTangentsOnce() {
        Mesh high = org.estampage.mesh.Normals.smooth(Patches.flat(1, 0));
        FloatImage slope = slope();
        BakeJob job = BakeJob.of(Cage.offset(LOW, 0.5), high).maps(NormalMap.create()).build();
        Preparation preparation = new Preparation(job, java.util.List.of(high), Task.silent());
        NormalMap.create().detail(slope).prepared(preparation);
        ObjectNormalMap.create().detail(slope).prepared(preparation);
        assertThat(preparation.madeCount()).isEqualTo(2);
    }

    @Test
    void imageOfATile_addsOnThatTileAlone() {
        BakeResult result = Baker.create().bake(BakeJob.of(Cage.offset(LOW, 0.5), ColourMapTest.twoTiles(LOW)).size(8)
                .maps(NormalMap.create().detail(1012, slope())).build(), Task.silent());
        // The triangle above the diagonal lies on tile 1012, the other one on 1001.
        assertThat((double) result.map("normal").get(1, 1, 0)).isCloseTo(-0.75 / LENGTH, within(1e-6));
        assertThat(result.map("normal").get(6, 6, 0)).isCloseTo(0f, within(1e-6f));
        assertThatThrownBy(() -> NormalMap.create().detail(1000, slope())).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("1001 … 10000");
    }

    @Test
    void imagesOfOtherKinds_areRefused_andMissingUvsFound() {
        assertThatThrownBy(() -> NormalMap.create().detail(FloatImage.create(1, 1, Encoding.data(Range.UNIT, 3))))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("NORMAL");
        BakeResult result = bake(Patches.flat(1, 0).toBuilder().noUvSets().build());
        assertThat(result.findings().ofKind("texture-without-uvs")).hasSize(2);
        assertThat(result.map("object-normal").get(3, 3, 1)).isCloseTo(1f, within(1e-6f));
    }
}
