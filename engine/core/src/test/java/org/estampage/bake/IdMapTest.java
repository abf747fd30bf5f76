package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.Objects;
import org.estampage.cage.Cage;
import org.estampage.handover.MapFileOptions;
import org.estampage.handover.MapFiles;
import org.estampage.image.FloatImage;
import org.estampage.image.Palette;
import org.estampage.io.ImageFiles;
import org.estampage.io.format.StoredImage;
import org.estampage.maps.IdMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Material;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshSource;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Ids: flat, exact, stable. */
class IdMapTest {
    private static final Mesh LOW = Patches.flat(1, 0.1);

    private static BakeResult bake(IdMap map, MeshSource... highs) {
        return Baker.create().bake(BakeJob.of(Cage.offset(LOW, 0.5), highs).size(32).maps(map).build(), Task.silent());
    }

    private static int rgb(FloatImage image, int x, int y) {
        int rgb = 0;
        for (int c = 0; c < 3; c++) {
            int k = Math.round(255 * image.get(x, y, c));
            assertThat(image.get(x, y, c)).as("an exact k/255").isEqualTo(k / 255f);
            rgb = (rgb << 8) | k;
        }
        return rgb;
    }

    private static Mesh twoParts() {
        return Patches.twoParts(0.1, 0.2, "post", "rope");
    }

    @Test
    void parts_haveThePalettesColours_evenBetweenThem_andInThePadding() {
        BakeResult result = bake(IdMap.create(), twoParts());
        FloatImage image = result.map("ids");
        // The strips meet at x = 0, the middle of the image: no texel mixes them, and all 32² have a colour.
        for (int y = 0; y < 32; y++) {
            for (int x = 0; x < 32; x++) {
                assertThat(rgb(image, x, y)).isEqualTo(Palette.even().rgb(x < 16 ? 0 : 1));
            }
        }
        assertThat(result.findings().ofKind("ids-missing")).isEmpty();
        assertThat(result.maps().get(0).details()).containsEntry("Legend",
                String.format(Locale.ROOT, "#%06x post\n#%06x rope", Palette.even().rgb(0), Palette.even().rgb(1)));
    }

    @Test
    void texelOnABorder_takesTheMajority() {
        // The parts' border lies a third into texel 15: of its 3 × 3 samples a column is on the left, two are on the right.
        double border = -1 + 2 * ((15 + 1 / 3.0) / 32 - 0.1) / 0.8;
        float b = (float) border;
        float[] p = {-1, 0, 1, b, 0, 1, b, 0, -1, -1, 0, -1, b, 0, 1, 1, 0, 1, 1, 0, -1, b, 0, -1};
        int[] corners = {0, 1, 2, 0, 2, 3, 4, 5, 6, 4, 6, 7};
        Mesh high = Mesh.builder(p, corners).parts(twoParts().parts(), new int[] {0, 0, 1, 1}).build();
        BakeResult result = Baker.create().bake(
                BakeJob.of(Cage.offset(LOW, 0.5), high).size(32).samples(3).maps(IdMap.create()).build(), Task.silent());
        assertThat(rgb(result.map("ids"), 14, 16)).isEqualTo(Palette.even().rgb(0));
        assertThat(rgb(result.map("ids"), 15, 16)).isEqualTo(Palette.even().rgb(1));
    }

    @Test
    void materialsOfOneName_areOne_acrossHighPolys() {
        Mesh two = twoParts();
        Mesh left = two.toBuilder().materials(List.of(Material.named("unused"), Material.named("iron")), new int[] {1, 1, -1, -1}).build();
        Mesh right = Patches.flat(1, 0).toBuilder().positions(new float[] {0, 0.3f, 1, 1, 0.3f, 1, 0, 0.3f, -1, 1, 0.3f, -1})
                .materials(List.of(Material.named("hemp"), Material.named("iron")), new int[] {1, 0}).build();
        BakeResult result = bake(IdMap.create().materials(), left, right);
        FloatImage image = result.map("ids-materials");
        assertThat(rgb(image, 8, 16)).as("iron, the second in order").isEqualTo(Palette.even().rgb(1));
        // The right mesh covers the left one's nameless triangles: lower right iron again, upper left hemp.
        assertThat(List.of(rgb(image, 26, 26), rgb(image, 18, 5))).containsExactly(Palette.even().rgb(1), Palette.even().rgb(2));
        assertThat(result.findings().ofKind("ids-missing").get(0).count()).isEqualTo(2);
    }

    @Test
    void withoutMaterialsOrColours_allIsBlack_andAFindingSaysSo() {
        BakeResult result = bake(IdMap.create().materials(), twoParts());
        assertThat(rgb(result.map("ids-materials"), 8, 16)).isZero();
        assertThat(result.findings().ofKind("ids-missing").get(0).count()).isEqualTo(4);
        BakeResult painted = bake(IdMap.create().colours(), twoParts());
        assertThat(rgb(painted.map("ids-colours"), 8, 16)).isZero();
        assertThat(painted.findings().ofKind("ids-missing").get(0).message()).contains("no vertex colours");
    }

    @Test
    void paintedColours_areThoseOfTheNearestCorner_neverBetween() {
        float[] colours = {1, 0, 0, 0, 1, 0, 0, 0, 1, 2, Float.NaN, 0.5f};
        Mesh flat = Patches.flat(1, 0);
        Mesh high = flat.toBuilder().colourSet(new Attribute("paint", 3, colours, flat.positionIndices())).build();
        FloatImage image = bake(IdMap.create().colours(), high).map("ids-colours");
        assertThat(rgb(image, 5, 26)).isEqualTo(0xff0000);
        assertThat(rgb(image, 26, 26)).isEqualTo(0x00ff00);
        assertThat(rgb(image, 5, 5)).isEqualTo(0x0000ff);
        // Above 1 is 1, what is no number is 0, and ½ is 128/255.
        assertThat(rgb(image, 26, 5)).isEqualTo(0xff0080);
        for (int y = 0; y < 32; y++) {
            for (int x = 0; x < 32; x++) {
                assertThat(rgb(image, x, y)).isIn(0xff0000, 0x00ff00, 0x0000ff, 0xff0080);
            }
        }
    }

    @Test
    void pieces_hangTogetherOverPlaces_notOverVertexNumbers() {
        // Two triangles of one square with vertices of their own are a piece; a strip that only lies higher is another.
        float[] p = {-1, 0, 1, 0, 0, 1, 0, 0, -1, -1, 0, 1, 0, 0, -1, -1, 0, -1, 0, 0.1f, 1, 1, 0.1f, 1, 1, 0.1f, -1, 0, 0.1f, -1};
        Mesh high = Mesh.builder(p, new int[] {0, 1, 2, 3, 4, 5, 6, 7, 8, 6, 8, 9}).build();
        FloatImage image = bake(IdMap.create().pieces(), high).map("ids-pieces");
        for (int y = 4; y < 28; y++) {
            assertThat(rgb(image, 8, y)).isEqualTo(Palette.even().rgb(0));
            assertThat(rgb(image, 24, y)).isEqualTo(Palette.even().rgb(1));
        }
    }

    @Test
    void morePiecesThanColours_repeat_andAFindingSaysSo() {
        int count = Palette.even().size() + 3;
        float[] p = new float[9 * count];
        int[] corners = new int[3 * count];
        for (int i = 0; i < count; i++) {
            // Small triangles far below, and the last one over all of the low poly.
            float y = i == count - 1 ? 0 : -10 - i, size = i == count - 1 ? 9 : 0.01f;
            System.arraycopy(new float[] {-size, y, size, 3 * size, y, size, -size, y, -3 * size}, 0, p, 9 * i, 9);
            corners[3 * i] = 3 * i;
            corners[3 * i + 1] = 3 * i + 1;
            corners[3 * i + 2] = 3 * i + 2;
        }
        BakeResult result = bake(IdMap.create().pieces(), Mesh.builder(p, corners).build());
        assertThat(rgb(result.map("ids-pieces"), 16, 16)).isEqualTo(Palette.even().rgb(2));
        assertThat(result.findings().ofKind("ids-repeat").get(0).count()).isEqualTo(3);
    }

    @Test
    void files_holdIdsExactly_andSayWhichIsWhich(@TempDir Path folder) throws IOException {
        BakeResult result = bake(IdMap.create(), twoParts());
        for (int bits : new int[] {8, 16}) {
            Path file = MapFiles.write(result, folder.resolve("a" + bits), MapFileOptions.USUAL.withBits(bits), Task.silent()).get(0)
                    .file();
            StoredImage stored = ImageFiles.readStored(file);
            assertThat(stored.bits()).isEqualTo(bits);
            assertThat(Objects.requireNonNull(stored.text().get("Legend"))).endsWith(" rope").contains(" post\n");
            for (int y = 0; y < 32; y++) {
                for (int x = 0; x < 32; x++) {
                    for (int c = 0; c < 3; c++) {
                        assertThat(stored.image().get(x, y, c)).isEqualTo(result.map("ids").get(x, y, c));
                    }
                }
            }
        }
    }
}
