package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.Arrays;
import java.util.List;
import org.estampage.cage.Cage;
import org.estampage.finding.Findings;
import org.estampage.finding.Place;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.maps.HeightMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.maps.ThicknessMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** Charts on UDIM tiles, and copies whole units aside. */
class UdimTest {
    private static final int SIZE = 48;

    /** Returns the two strips of {@link Patches#twoParts} with all UVs of each moved by whole units. */
    private static Mesh moved(Mesh parts, int leftU, int leftV, int rightU, int rightV) {
        float[] uv = parts.uvSets().get(0).values().clone();
        for (int i = 0; i < 8; i++) {
            uv[2 * i] += i < 4 ? leftU : rightU;
            uv[2 * i + 1] += i < 4 ? leftV : rightV;
        }
        return parts.toBuilder().noUvSets().uvSet(new Attribute("uv", 2, uv, parts.uvSets().get(0).indices())).build();
    }

    private static Mesh low() {
        return Patches.twoParts(0, 0, "left", "right");
    }

    /** Left of the middle a gentle relief, right of it one ten times as high; it reaches beyond the low poly on all sides. */
    private static Mesh high() {
        return Patches.grid(60, 0, (x, z) -> (x < 0.05 ? 0.01 : 0.1) * Math.cos(7 * z)).unit(1.2);
    }

    private static BakeJob.Builder job(Mesh low) {
        return BakeJob.of(Cage.offset(low, 0.4), high()).size(SIZE)
                .maps(NormalMap.create(), HeightMap.create(), OcclusionMap.create(16).sharingRays(), ThicknessMap.create(8));
    }

    private static BakeResult bake(BakeJob job) {
        return Baker.create().bake(job, Task.silent());
    }

    private static float[] all(FloatImage image) {
        return image.read(0, 0, image.width(), image.height(), new float[image.width() * image.height() * image.channels()]);
    }

    @Test
    void eachTile_isBakedLikeAMeshThatHasOnlyItsCharts() {
        // Whole units aside from multiples of a float step: the samples keep their barycentrics but for the rounding of moved UVs.
        BakeResult set = bake(job(moved(low(), 0, 0, 3, 1)).padding(0).udim().build());
        assertThat(set.tiles()).extracting(BakedTile::number).containsExactly(1001, 1014);
        BakeResult one = bake(job(low()).padding(0).build());
        assertThat(set.coveredCount()).isEqualTo(one.coveredCount());
        assertThat(set.tile(1001).coveredCount()).isEqualTo(set.tile(1014).coveredCount()).isEqualTo(one.coveredCount() / 2);
        FloatImage left = set.tile(1001).map("height"), right = set.tile(1014).map("height"), both = one.map("height");
        for (int y = 0; y < SIZE; y++) {
            for (int x = 0; x < SIZE; x++) {
                float there = x < SIZE / 2 ? left.get(x, y, 0) : right.get(x, y, 0);
                // UVs near 4 are rounded to 2.4e-7, and 0.35 of them are a unit; the relief rises by 7 · 0.1 a unit, its step at x = 0.06 by 2.7.
                assertThat((double) there).as("texel (%d, %d)", x, y).isCloseTo(both.get(x, y, 0),
                        org.assertj.core.data.Offset.offset(2e-6));
                assertThat(x < SIZE / 2 ? right.get(x, y, 0) : left.get(x, y, 0)).isZero();
            }
        }
        assertThat(set.findings().ofKind("uvs-outside")).isEmpty();
        assertThat(set.findings().ofKind("charts-across-tiles")).isEmpty();
    }

    @Test
    void ranges_areTheSameOnAllTiles() {
        BakeResult set = bake(job(moved(low(), 0, 0, 1, 0)).udim().build());
        BakeResult one = bake(job(low()).build());
        for (String name : List.of("height", "thickness")) {
            List<Range> ranges = set.tile(1001).map(name).encoding().ranges();
            assertThat(set.tile(1002).map(name).encoding().ranges()).isEqualTo(ranges);
            assertThat(set.range(name)).isEqualTo(ranges.get(0));
        }
        // The gentle half alone would have a tenth of it.
        assertThat(set.range("height").atOne()).isBetween(0.11f, 0.1201f);
        assertThat((double) set.range("height").atOne()).isCloseTo(one.range("height").atOne(), org.assertj.core.data.Offset.offset(2e-6));
    }

    @Test
    void tiles_areTheSameForAnyThreadsAndBlocks() {
        BakeJob job = job(moved(low(), 2, 0, 0, 1)).udim().build();
        BakeResult a = Baker.create().threads(1).bake(job, Task.silent()),
                b = Baker.create().threads(2).blockSide(7).bake(job, Task.silent());
        for (BakedTile tile : a.tiles()) {
            for (BakedMap map : tile.maps()) {
                assertThat(all(b.tile(tile.number()).map(map.name()))).as(tile.tile() + " " + map.name()).containsExactly(all(map.image()));
            }
        }
        assertThat(b.findings()).isEqualTo(a.findings());
    }

    @Test
    void padding_keepsToItsTile() {
        BakeResult set = bake(job(moved(low(), 0, 0, 1, 0)).udim().build());
        // Everywhere: the gentle relief's heights fill the whole of tile 1001, the other ones the whole of tile 1002.
        assertThat(Arrays.stream(toDoubles(all(set.tile(1001).map("height")))).map(Math::abs).max().orElseThrow()).isLessThan(0.05);
        assertThat(Arrays.stream(toDoubles(all(set.tile(1002).map("height")))).map(Math::abs).max().orElseThrow()).isGreaterThan(0.11);
    }

    private static double[] toDoubles(float[] values) {
        double[] doubles = new double[values.length];
        for (int i = 0; i < values.length; i++) {
            doubles[i] = values[i];
        }
        return doubles;
    }

    @Test
    void imagesOfAllTiles_countTowardsTheBudget_andSpill() {
        BakeJob job = BakeJob.of(Cage.offset(moved(low(), 0, 0, 1, 0), 0.4), high()).size(64).maps(HeightMap.create()).udim().build();
        MemoryBudget budget = MemoryBudget.ofBytes(1L << 40);
        Baker.create().bake(job, new Task(Progress.none(), new Cancellation(), budget));
        assertThat(budget.reserved()).isEqualTo(2 * 128 * 128 * 4L); // an image takes a store of 128 × 128 floats
        BakeResult spilled = Baker.create().bake(job, new Task(Progress.none(), new Cancellation(), MemoryBudget.ofBytes(0)));
        for (BakedTile tile : bake(job).tiles()) {
            assertThat(all(spilled.tile(tile.number()).map("height"))).containsExactly(all(tile.map("height")));
        }
    }

    @Test
    void whatHasSeveralImages_saysHowToAskForOne() {
        BakeResult set = bake(job(moved(low(), 0, 0, 1, 0)).udim().build());
        assertThatThrownBy(() -> set.map("normal")).isInstanceOf(IllegalStateException.class).hasMessageContaining("1001, 1002")
                .hasMessageContaining("tile(1001)");
        assertThatThrownBy(set::maps).isInstanceOf(IllegalStateException.class);
        assertThatThrownBy(set::hit).isInstanceOf(IllegalStateException.class);
        assertThatThrownBy(() -> set.tile(1003)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("number = 1003")
                .hasMessageContaining("1001, 1002");
        assertThatThrownBy(() -> set.tile(1001).map("hight")).hasMessageContaining("height");
        assertThat(set.summary()).contains("tile 1001 ").contains("tile 1002 ").contains("of the images");
        BakeResult alone = bake(job(low()).udim().build());
        assertThat(alone.map("normal")).isSameAs(alone.tile(1001).map("normal"));
    }

    @Test
    void chartsThatLieOnNoTileAlone_areFound() {
        // The left strip reaches from 0.1 down to −0.4 on tile 1001 and below; the right one lies on none at all.
        Mesh low = low();
        float[] uv = low.uvSets().get(0).values().clone();
        for (int i = 0; i < 4; i++) {
            uv[2 * i + 1] -= 0.5f;
            uv[2 * (i + 4)] -= 4;
        }
        Mesh off = low.toBuilder().noUvSets().uvSet(new Attribute("uv", 2, uv, low.uvSets().get(0).indices())).build();
        Findings findings = bake(job(off).udim().build()).findings();
        assertThat(findings.ofKind("charts-across-tiles").get(0).count()).isEqualTo(1);
        assertThat(findings.ofKind("charts-across-tiles").get(0).places()).containsExactly(new Place.Element("triangle", 0));
        assertThat(findings.ofKind("uvs-outside-tiles").get(0).count()).isEqualTo(2);
    }

    @Test
    void chartWhoseTrianglesAllKeepToATile_isFoundWhereTheyDontKeepToOne() {
        // A grid of 2 × 2 cells whose middle line is the border of two tiles.
        Mesh grid = Patches.flat(2, 0);
        float[] uv = grid.uvSets().get(0).values().clone();
        for (int i = 0; i < uv.length; i += 2) {
            uv[i] *= 2;
        }
        Mesh low = grid.toBuilder().noUvSets().uvSet(new Attribute("uv", 2, uv, grid.uvSets().get(0).indices())).build();
        BakeResult result = bake(job(low).udim().build());
        assertThat(result.tiles()).extracting(BakedTile::number).containsExactly(1001, 1002);
        assertThat(result.findings().ofKind("charts-across-tiles").get(0).count()).isEqualTo(1);
    }

    @Test
    void findingsOfATile_nameIt() {
        Mesh half = Patches.grid(20, 0, (x, z) -> x < 0.5 ? 0 : 10);
        BakeJob job = BakeJob.of(Cage.offset(moved(low(), 0, 0, 1, 0), 0.4), half).size(SIZE).maps(HeightMap.create()).udim().build();
        Findings missed = bake(job).findings().ofKind("missed-texels");
        assertThat(missed).hasSize(1);
        assertThat(missed.get(0).message()).startsWith("tile 1002: ");
    }

    @Test
    void copies_areNotBaked_andNoFinding_unlessNothingIsCopied() {
        BakeResult result = bake(job(moved(Patches.twoParts(0, 0, "left", "right"), 0, 0, 3, -1)).copies().build());
        // The right strip's copy lies over u from 0.55 to 0.9, where nothing is baked.
        assertThat(result.findings().ofKind("copies-of-nothing").get(0).count()).isEqualTo(2);
        assertThat(result.findings().ofKind("uvs-outside")).isEmpty();
        Mesh low = low();
        float[] uv = low.uvSets().get(0).values().clone();
        for (int i = 0; i < 8; i++) {
            uv[8 + i] = uv[i] + (i % 2 == 0 ? 2 : 0);
        }
        Mesh copied = low.toBuilder().noUvSets().uvSet(new Attribute("uv", 2, uv, low.uvSets().get(0).indices())).build();
        BakeResult good = bake(job(copied).copies().build());
        assertThat(good.findings().stream().map(finding -> finding.kind()).filter(kind -> kind.startsWith("uv") || kind.contains("cop")))
                .isEmpty();
        assertThat(good.coveredCount()).isEqualTo(bake(job(low).build()).coveredCount() / 2);
        assertThat(bake(job(copied).build()).findings().ofKind("uvs-outside")).as("undeclared").isNotEmpty();
        assertThatThrownBy(() -> job(copied).copies().udim()).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("copies()");
        assertThatThrownBy(() -> job(copied).udim().copies()).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("udim()");
    }
}
