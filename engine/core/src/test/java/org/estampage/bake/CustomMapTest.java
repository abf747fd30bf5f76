package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.List;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.cage.Cage;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.maps.CustomMap;
import org.estampage.maps.HeightMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.maps.PositionMap;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** Maps of one's own, and positions over the bounds. */
class CustomMapTest {
    private static final Mesh LOW = Patches.flat(2, 0.1);
    private static final Mesh HIGH = Patches.grid(12, 0.1, (x, z) -> 0.1 * x + 0.2 * x * x);

    private static BakeResult bake(SurfaceMap... maps) {
        return Baker.create().threads(2).bake(BakeJob.of(Cage.offset(LOW, 0.5), HIGH).size(16).maps(maps).build(), Task.silent());
    }

    private static void assertSame(FloatImage a, FloatImage b) {
        assertThat(a.encoding()).isEqualTo(b.encoding());
        for (int t = 0; t < 256; t++) {
            for (int c = 0; c < a.channels(); c++) {
                assertThat(a.get(t % 16, t / 16, c)).isEqualTo(b.get(t % 16, t / 16, c));
            }
        }
    }

    @Test
    void height_writtenAsAFunction_isTheHeightMap() {
        BakeResult result = bake(HeightMap.create(), CustomMap.of("mine", 1, (in, out) -> out[0] = in.height()));
        assertSame(result.map("mine"), result.map("height"));
        assertThat(result.maps().get(1).bits()).isEqualTo(16);
    }

    @Test
    void openness_writtenAsAFunction_isTheOcclusionMap() {
        HemisphereQuery query = new HemisphereQuery(HemisphereQuery.Distribution.COSINE, 32, Float.POSITIVE_INFINITY);
        BakeResult result = bake(OcclusionMap.create(32),
                CustomMap.of("mine", 1, (in, out) -> out[0] = in.openness(0)).range(0, 1).background(1).queries(query));
        for (int t = 0; t < 256; t++) {
            assertThat(result.map("mine").get(t % 16, t / 16, 0)).isCloseTo(result.map("occlusion").get(t % 16, t / 16, 0), within(1e-6f));
        }
    }

    @Test
    void sample_knowsBothSurfaces() {
        // Points rebuilt from triangles and barycentrics are those of the sample; the frame is a right-handed one along +X, −Z and +Y.
        BakeResult result = bake(CustomMap.of("off", 4, (in, out) -> {
            for (int k = 0; k < 3; k++) {
                out[0] += Math.abs(point(HIGH, in.highTriangle(), k, in.highBarycentric(0), in.highBarycentric(1), in.highBarycentric(2))
                        - in.position(k));
                out[1] += Math.abs(point(LOW, in.lowTriangle(), k, in.lowBarycentric(0), in.lowBarycentric(1), in.lowBarycentric(2))
                        - in.lowPosition(k));
            }
            out[2] = Math.abs(in.lowTangent(0) - 1) + Math.abs(in.lowBitangent(2) + 1) + Math.abs(in.lowNormal(1) - 1) + in.highMesh();
            out[3] = Math.abs(in.direction(1) + 1);
        }));
        for (int t = 0; t < 256; t++) {
            for (int c = 0; c < 4; c++) {
                // Rounding of sums of coordinates up to 1, and of the cage's directions.
                assertThat(result.map("off").get(t % 16, t / 16, c)).isCloseTo(0, within(2e-6f));
            }
        }
    }

    private static float point(Mesh mesh, int triangle, int k, float b0, float b1, float b2) {
        float[] p = mesh.positions();
        int[] c = mesh.positionIndices();
        return b0 * p[3 * c[3 * triangle] + k] + b1 * p[3 * c[3 * triangle + 1] + k] + b2 * p[3 * c[3 * triangle + 2] + k];
    }

    @Test
    void kinds_bringTheirRangesAndReductions() {
        CustomMap ids = CustomMap.of("ids", 1, (in, out) -> out[0] = in.highTriangle() % 7 / 255f).kind(Encoding.Kind.ID);
        assertThat(ids.reduction()).isEqualTo(Reduction.MAJORITY);
        BakeResult result = bake(ids, CustomMap.of("up", 3, (in, out) -> out[1] = 1).kind(Encoding.Kind.NORMAL).background(0, 0, 1),
                CustomMap.of("both", 2, (in, out) -> out[1] = -3).range(-4, 4).bits(8));
        assertThat(result.range("ids")).isEqualTo(Range.UNIT);
        assertThat(result.range("up")).isEqualTo(Range.SIGNED_UNIT);
        assertThat(result.range("both")).isEqualTo(new Range(-4, 4));
        // What a function doesn't set is the background, never what the sample before had: (0, 1, 1) at unit length.
        assertThat(result.map("up").get(8, 8, 1)).isCloseTo(0.70710677f, within(1e-6f));
        assertThat(result.map("up").get(8, 8, 2)).isCloseTo(0.70710677f, within(1e-6f));
    }

    @Test
    void failures_failTheBake_andNameTheMap() {
        assertThatThrownBy(() -> bake(CustomMap.of("broken", 1, (in, out) -> out[1] = 0))).isInstanceOf(IllegalStateException.class)
                .hasMessageContaining("broken").hasMessageContaining("triangle").hasCauseInstanceOf(IndexOutOfBoundsException.class);
        assertThatThrownBy(() -> bake(CustomMap.of("nan", 1, (in, out) -> out[0] = 0f / 0f))).isInstanceOf(IllegalStateException.class)
                .hasMessageContaining("nan").hasMessageContaining("finite");
        assertThatThrownBy(() -> bake(CustomMap.of("axis", 1, (in, out) -> out[0] = in.normal(3))))
                .isInstanceOf(IllegalStateException.class).hasMessageContaining("axis");
        assertThatThrownBy(() -> bake(CustomMap.of("Not A Name", 1, (in, out) -> out[0] = 1))).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("Not A Name");
    }

    @Test
    void optionsThatContradict_areRefused() {
        CustomMap map = CustomMap.of("mine", 1, (in, out) -> out[0] = 1);
        assertThatThrownBy(() -> CustomMap.of("mine", 5, (in, out) -> out[0] = 1)).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> map.kind(Encoding.Kind.NORMAL)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("3");
        assertThatThrownBy(() -> map.range(0, 5).kind(Encoding.Kind.ID)).isInstanceOf(IllegalStateException.class);
        assertThatThrownBy(() -> map.kind(Encoding.Kind.ID).reduction(Reduction.MEAN)).isInstanceOf(IllegalStateException.class);
        assertThatThrownBy(() -> map.range(1, 1)).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> map.background(1, 2)).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> map.background(Float.NaN)).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> map.bits(12)).isInstanceOf(IllegalArgumentException.class);
    }

    @Test
    void normalisedPositions_areWhatIntegerFilesHoldOfThoseInUnits() {
        BakeResult units = bake(PositionMap.create()), normalised = bake(PositionMap.create().normalised());
        List<Range> bounds = units.map("position").encoding().ranges();
        for (int t = 0; t < 256; t++) {
            for (int c = 0; c < 3; c++) {
                float raw = normalised.map("position").get(t % 16, t / 16, c);
                // The mean of a linear function: a float's rounding apart.
                if (t % 16 > 1 && t % 16 < 14 && t / 16 > 1 && t / 16 < 14) { // wholly in the chart; beyond, slopes are continued
                    assertThat(raw).isCloseTo(bounds.get(c).store(units.map("position").get(t % 16, t / 16, c)), within(1e-6f));
                }
            }
        }
        assertThat(normalised.maps().get(0).details()).containsEntry("Position at 0", "-1.0 " + bounds.get(1).atZero() + " -1.0")
                .containsEntry("Position at 1", "1.0 " + bounds.get(1).atOne() + " 1.0");
        BakeResult flat = Baker.create().bake(
                BakeJob.of(Cage.offset(LOW, 0.5), LOW).size(4).maps(PositionMap.create().normalised()).build(), Task.silent());
        assertThat(flat.map("position").get(2, 2, 1)).isEqualTo(0.5f);
    }
}
