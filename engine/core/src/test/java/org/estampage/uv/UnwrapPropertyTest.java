package org.estampage.uv;

import static org.assertj.core.api.Assertions.assertThat;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import java.util.Random;
import org.estampage.mesh.Mesh;
import org.estampage.testresources.Shape;
import org.estampage.testresources.Shapes;

class UnwrapPropertyTest {
    /** Rounding of UVs as floats; see UnwrapTest. */
    private static final double ROUNDING = 2e-6;

    /** Soups of triangles on few places: edges of many triangles, repeated, opposite, collapsed and flat ones. */
    @Property(tries = 60)
    void build_ofSoup_givesEveryTriangleAPlaceOfItsOwn(@ForAll long seed, @ForAll @IntRange(min = 1, max = 40) int triangles,
            @ForAll @IntRange(min = 3, max = 12) int vertices) {
        Random random = new Random(seed);
        float[] p = new float[3 * vertices];
        for (int i = 0; i < p.length; i++) {
            p[i] = random.nextInt(4);
        }
        int[] t = random.ints(3L * triangles, 0, vertices).toArray();
        check(Mesh.builder(p, t).build());
    }

    /** Terrain with torn and doubled triangles. */
    @Property(tries = 20)
    void build_ofTornTerrain_isSound(@ForAll long seed, @ForAll @IntRange(min = 2, max = 12) int side) {
        Random random = new Random(seed);
        float[] heights = new float[side * side];
        for (int i = 0; i < heights.length; i++) {
            heights[i] = random.nextFloat() * 2;
        }
        Shape terrain = Shapes.terrain(heights, side, side, 1);
        int[] t = terrain.triangles().clone();
        for (int i = 0; i < side; i++) {
            int from = random.nextInt(t.length / 3);
            int to = random.nextInt(t.length / 3);
            for (int k = 0; k < 3; k++) {
                t[3 * to + k] = t[3 * from + (random.nextBoolean() ? k : 2 - k)];
            }
        }
        check(Mesh.builder(terrain.positions(), t).build());
    }

    private static void check(Mesh mesh) {
        Mesh flat = Unwrap.of(mesh).packedInRows().build();
        UvOracle uv = new UvOracle(flat);
        assertThat(uv.flips()).isZero();
        assertThat(uv.overlaps(ROUNDING)).isZero();
        for (float value : flat.uvSets().get(0).values()) {
            assertThat(value).isBetween(0f, 1f);
        }
        for (int t = 0; t < mesh.triangleCount(); t++) {
            // What has an area keeps one. Coordinates are small integers, so an area that is not 0 is at least half.
            if (uv.area(t) > 0.1) {
                assertThat(uv.signed(t)).as("triangle %d", t).isPositive();
            }
        }
    }
}
