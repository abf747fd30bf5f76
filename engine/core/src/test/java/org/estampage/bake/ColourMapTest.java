package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.List;
import org.estampage.cage.Cage;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.image.Srgb;
import org.estampage.maps.ColourMap;
import org.estampage.maps.OpacityMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Material;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** Colours and opacity of the high poly, by vertices, textures and materials. */
class ColourMapTest {
    private static final Mesh LOW = Patches.flat(1, 0);

    private static BakeResult bake(int size, int samples, Mesh high, SurfaceMap... maps) {
        return Baker.create().bake(BakeJob.of(Cage.offset(LOW, 0.5), high).size(size).samples(samples).padding(0).maps(maps).build(),
                Task.silent());
    }

    private static Mesh painted(int components, float... values) {
        Mesh flat = Patches.flat(1, 0);
        return flat.toBuilder().colourSet(new Attribute("paint", components, values, flat.positionIndices())).build();
    }

    /** Returns an image of linear colour whose texel (x, y) is the number of its place, over all texels, in each channel. */
    private static FloatImage counted(int width, int height, Encoding encoding) {
        FloatImage image = FloatImage.create(width, height, encoding);
        for (int y = 0; y < height; y++) {
            for (int x = 0; x < width; x++) {
                for (int c = 0; c < image.channels(); c++) {
                    image.set(x, y, c, (y * width + x + 0.25f * c) / (width * height));
                }
            }
        }
        return image;
    }

    @Test
    void vertexColours_areDecodedAndMixedInLight() {
        // 128/255 and 200/255 decode to 0.2158605001 and 0.5775804404 by the curve of IEC 61966-2-1.
        Mesh high = painted(3, 128 / 255f, 0, 1, 200 / 255f, 0, 1, 128 / 255f, 0, 1, 200 / 255f, 0, 1);
        FloatImage image = bake(3, 1, high, ColourMap.create()).map("colour");
        // The middle texel's centre lies half way, the left one's a sixth of the way.
        assertThat((double) image.get(1, 1, 0)).isCloseTo((0.2158605001 + 0.5775804404) / 2, within(1e-6));
        assertThat((double) image.get(0, 1, 0)).isCloseTo(0.2158605001 + (0.5775804404 - 0.2158605001) / 6, within(1e-6));
        assertThat(image.get(1, 1, 1)).isZero();
        assertThat((double) image.get(1, 1, 2)).isCloseTo(1, within(1e-6));
        FloatImage light = bake(3, 1, high, ColourMap.create().linear()).map("colour");
        assertThat((double) light.get(1, 1, 0)).isCloseTo(164 / 255.0, within(1e-6));
    }

    @Test
    void centroid_isTheMeanOfTheCorners() {
        Mesh high = painted(4, 0.2f, 0.4f, 0.6f, 1, 0.8f, 0.1f, 0.3f, 0, 0.5f, 0.5f, 0.5f, 0.25f, 0.9f, 0.7f, 0, 0.5f);
        SurfaceHits hits = new SurfaceHits(1);
        hits.size = 1;
        hits.highTriangles[0] = 0; // corners 0, 1, 3
        hits.highB1[0] = hits.highB2[0] = 1 / 3f;
        BakeJob job = BakeJob.of(Cage.offset(LOW, 0.5), high).size(4).maps(ColourMap.create()).build();
        float[] dest = new float[3];
        ColourMap.create().linear().prepared(new Preparation(job, List.of(high), Task.silent())).evaluate(hits,
                new HemisphereAnswers(List.of()), dest);
        assertThat((double) dest[0]).isCloseTo((0.2 + 0.8 + 0.9) / 3, within(1e-6));
        assertThat((double) dest[1]).isCloseTo((0.4 + 0.1 + 0.7) / 3, within(1e-6));
        assertThat((double) dest[2]).isCloseTo((0.6 + 0.3 + 0.0) / 3, within(1e-6));
        OpacityMap.create().prepared(new Preparation(job, List.of(high), Task.silent())).evaluate(hits, new HemisphereAnswers(List.of()),
                dest);
        assertThat((double) dest[0]).isCloseTo((1 + 0 + 0.5) / 3, within(1e-6));
    }

    @Test
    void textureAsFineAsTheBake_comesOutTexelByTexel_theRightWayUp() {
        FloatImage texture = counted(8, 8, Encoding.colour(3));
        FloatImage image = bake(8, 1, Patches.flat(2, 0), ColourMap.create().texture(texture)).map("colour");
        for (int y = 0; y < 8; y++) {
            for (int x = 0; x < 8; x++) {
                for (int c = 0; c < 3; c++) {
                    // The rounding of UVs through barycentrics, times slopes of ½ between neighbouring columns, once around the edge.
                    assertThat(image.get(x, y, c)).isCloseTo(texture.get(x, y, c), within(1e-5f));
                }
            }
        }
    }

    @Test
    void textureCoarserThanTheBake_isBilinear() {
        FloatImage texture = counted(4, 4, Encoding.colour(3));
        FloatImage image = bake(16, 1, Patches.flat(1, 0), ColourMap.create().texture(texture)).map("colour");
        // Texel 7 of 16 has u = 7.5/16, which is x = 1.375 of the texture's centres; row 9 has y = 9.5/4 − ½ = 1.875: value (4y + x)/16.
        assertThat((double) image.get(7, 9, 0)).isCloseTo((4 * 1.875 + 1.375) / 16, within(1e-6));
    }

    @Test
    void textureMuchFinerThanTheBake_isItsMean_notSingleTexels() {
        // Stripes of one texel, black and white; a bake of 1/16 of its sides. Without filtering texels would be black or white.
        FloatImage texture = FloatImage.create(128, 128, Encoding.colour(3));
        for (int y = 0; y < 128; y++) {
            for (int x = 0; x < 128; x++) {
                for (int c = 0; c < 3; c++) {
                    texture.set(x, y, c, (x + y) % 2);
                }
            }
        }
        for (int samples : new int[] {1, 3}) {
            FloatImage image = bake(8, samples, Patches.flat(1, 0), ColourMap.create().texture(texture)).map("colour");
            for (int y = 0; y < 8; y++) {
                for (int x = 0; x < 8; x++) {
                    assertThat(image.get(x, y, 0)).isCloseTo(0.5f, within(1e-6f));
                }
            }
        }
    }

    @Test
    void materials_haveTexturesOfTheirOwn_thenTheOneForAll() {
        FloatImage red = FloatImage.create(1, 1, Encoding.colour(3)), grey = FloatImage.create(2, 2, Encoding.colour(1));
        red.fill(1, 0, 0);
        grey.fill(0.25f);
        Mesh high = Patches.flat(1, 0).toBuilder().materials(List.of(Material.named("iron"), Material.named("rope")), new int[] {0, 1})
                .build();
        BakeResult result = bake(8, 1, high, ColourMap.create().texture("iron", red).texture(grey));
        assertThat(result.map("colour").get(6, 6, 0)).isEqualTo(1);
        assertThat(result.map("colour").get(6, 6, 1)).isZero();
        assertThat(result.map("colour").get(1, 1, 2)).isEqualTo(0.25f);
        // Without one for all, the material's own colour: 0.8 unless the file says otherwise.
        assertThat(bake(8, 1, high, ColourMap.create().texture("iron", red)).map("colour").get(1, 1, 2)).isEqualTo(0.8f);
        assertThatThrownBy(() -> bake(8, 1, high, ColourMap.create().texture("irn", red))).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("\"irn\"").hasMessageContaining("iron, rope");
    }

    /** Returns a mesh whose second triangle, upper left, lies on tile 1012: one to the right, one up. */
    static Mesh twoTiles(Mesh flat) {
        Attribute uvs = flat.uvSets().get(0);
        float[] uv = new float[12];
        int[] indices = {0, 1, 2, 3, 4, 5};
        for (int c = 0; c < 6; c++) {
            for (int k = 0; k < 2; k++) {
                uv[2 * c + k] = uvs.values()[2 * uvs.indices()[c] + k] + (c < 3 ? 0 : 1);
            }
        }
        return flat.toBuilder().noUvSets().uvSet(new Attribute("uv", 2, uv, indices)).build();
    }

    private static FloatImage grey(double value) {
        FloatImage image = FloatImage.create(2, 2, Encoding.colour(1));
        image.fill((float) value);
        return image;
    }

    @Test
    void tiles_haveTexturesOfTheirOwn() {
        Mesh high = twoTiles(Patches.flat(1, 0));
        BakeResult result = bake(8, 1, high, ColourMap.create().texture(1001, grey(0.25)).texture(1012, grey(0.75)));
        assertThat(result.map("colour").get(6, 6, 0)).isEqualTo(0.25f);
        assertThat(result.map("colour").get(1, 1, 0)).isEqualTo(0.75f);
        // A tile without an image: that for all, else the vertices'.
        assertThat(bake(8, 1, high, ColourMap.create().texture(1012, grey(0.75)).texture(grey(0.5))).map("colour").get(6, 6, 0))
                .isEqualTo(0.5f);
        Mesh painted = high.toBuilder().colourSet(new Attribute("paint", 3, new float[] {1, 1, 1}, new int[6])).build();
        assertThat(bake(8, 1, painted, ColourMap.create().texture(1012, grey(0.75))).map("colour").get(6, 6, 0)).isEqualTo(1f);
        assertThatThrownBy(() -> ColourMap.create().texture(1000, grey(1))).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("tile = 1000 must be 1001 … 10000");
        assertThat(ColourMap.create().texture("iron", 1002, grey(1))).hasToString("colour().texture(\"iron\", 1002, …)");
    }

    @Test
    void materialsOnTiles_comeBeforeMaterials_thenTiles() {
        Mesh high = twoTiles(Patches.flat(1, 0)).toBuilder()
                .materials(List.of(Material.named("iron"), Material.named("rope")), new int[] {0, 1})
                .build();
        ColourMap map = ColourMap.create().texture(1001, grey(0.25)).texture(1012, grey(0.25));
        assertThat(bake(8, 1, high, map).map("colour").get(6, 6, 0)).isEqualTo(0.25f);
        assertThat(bake(8, 1, high, map.texture("iron", grey(0.5))).map("colour").get(6, 6, 0)).isEqualTo(0.5f);
        BakeResult result = bake(8, 1, high, map.texture("iron", grey(0.5)).texture("iron", 1001, grey(0.75)));
        assertThat(result.map("colour").get(6, 6, 0)).isEqualTo(0.75f);
        assertThat(result.map("colour").get(1, 1, 0)).isEqualTo(0.25f);
    }

    @Test
    void sidesOfATile_showNothingOfTheOppositeOnes() {
        // Dark on the left, light on the right, in a texture coarser than the bake: one that repeats is mixed around its sides.
        FloatImage texture = FloatImage.create(2, 1, Encoding.colour(1));
        texture.set(1, 0, 0, 1);
        Mesh high = Patches.flat(1, 0);
        assertThat(bake(8, 1, high, ColourMap.create().texture(texture)).map("colour").get(0, 3, 0)).isGreaterThan(0.3f);
        FloatImage own = bake(8, 1, high, ColourMap.create().texture(1001, texture)).map("colour");
        assertThat(own.get(0, 3, 0)).isZero();
        assertThat(own.get(7, 3, 0)).isEqualTo(1f);
    }

    @Test
    void opacity_isTheTexturesAlpha_orOne() {
        FloatImage rgba = counted(8, 8, Encoding.colour(4)), mask = counted(8, 8, Encoding.data(Range.UNIT, 1)),
                rgb = counted(8, 8, Encoding.colour(3));
        assertThat((double) bake(8, 1, LOW, OpacityMap.create().texture(rgba)).map("opacity").get(3, 5, 0)).isCloseTo((43 + 0.75) / 64,
                within(1e-6));
        assertThat((double) bake(8, 1, LOW, OpacityMap.create().texture(mask)).map("opacity").get(3, 5, 0)).isCloseTo(43 / 64.0,
                within(1e-6));
        assertThat(bake(8, 1, LOW, OpacityMap.create().texture(rgb)).map("opacity").get(3, 5, 0)).isEqualTo(1);
        assertThat(bake(8, 1, LOW, OpacityMap.create()).map("opacity").get(3, 5, 0)).isEqualTo(1);
    }

    @Test
    void whatCantBeMeant_isRefused_orFound() {
        FloatImage stored = FloatImage.create(1, 1, Encoding.data(Range.UNIT, 3));
        assertThatThrownBy(() -> ColourMap.create().texture(stored)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("COLOUR");
        assertThatThrownBy(() -> OpacityMap.create().texture(FloatImage.create(1, 1, Encoding.colour(1))))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("sRGB");
        Mesh bare = Patches.flat(1, 0).toBuilder().noUvSets().build();
        BakeResult result = bake(4, 1, bare, ColourMap.create().texture(FloatImage.create(1, 1, Encoding.colour(3))));
        assertThat(result.findings().ofKind("texture-without-uvs")).hasSize(1);
        assertThat(result.findings().ofKind("no-colour")).hasSize(1);
        assertThat(result.map("colour").get(1, 1, 0)).isZero();
        Mesh odd = painted(3, Float.NaN, -1, 2, Float.NaN, -1, 2, Float.NaN, -1, 2, Float.NaN, -1, 2);
        FloatImage image = bake(4, 1, odd, ColourMap.create()).map("colour");
        assertThat(image.get(1, 1, 0)).isZero();
        assertThat(image.get(1, 1, 1)).isZero();
        assertThat(image.get(1, 1, 2)).isCloseTo(Srgb.decode(1f), within(1e-6f));
    }
}
