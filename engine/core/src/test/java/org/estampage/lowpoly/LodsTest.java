package org.estampage.lowpoly;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.HashSet;
import java.util.List;
import java.util.Set;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.testresources.Bollard;
import org.junit.jupiter.api.Test;

class LodsTest {
    private static Mesh low() {
        return Lathe.around(LowPolyShapes.mesh(Bollard.generate(20_000))).sides(48).rings(24).build();
    }

    @Test
    void levels_haveAskedCountsAndNames() {
        Mesh low = low();
        List<Lod> levels = Lods.of(low).triangles(1000, 500, 250).build();
        assertThat(levels).extracting(level -> level.mesh().name()).containsExactly(low.name() + "-lod1", low.name() + "-lod2",
                low.name() + "-lod3");
        assertThat(levels.get(0).mesh().triangleCount()).isBetween(999, 1000);
        assertThat(levels.get(1).mesh().triangleCount()).isBetween(499, 500);
        assertThat(levels.get(2).mesh().triangleCount()).isBetween(249, 250);
        assertThat(Lods.of(low).factors(0.5, 0.25).build()).extracting(level -> level.mesh().triangleCount())
                .allSatisfy(count -> assertThat(count).isGreaterThan(100)).hasSize(2);
    }

    @Test
    void levels_getFartherAwayAndSayHowFar() {
        List<Lod> levels = Lods.of(low()).build();
        assertThat(levels).hasSize(3);
        double last = 0;
        for (Lod level : levels) {
            assertThat(level.distance().mean()).isGreaterThan(last);
            last = level.distance().mean();
            // The shift holds the distance: a point that is off the surface is off the point with its UVs, too. Both are means of the same kind of points;
            // the distance is the worse of two directions, which differ by a few percent.
            assertThat(level.shift().mean()).isGreaterThan(0.8 * last);
        }
        // A hundredth of the diagonal for an eighth of the triangles; GEOMETRY of a lathe with 48 sides would cut 0.2 % by itself.
        assertThat(levels.get(2).shift().mean()).isLessThan(0.01 * low().bounds().diagonal());
    }

    @Test
    void seamVertices_keepPlacesAndUvsOfTheFirstMesh() {
        Mesh low = low();
        Set<List<Float>> seam = seamCorners(low);
        for (Lod level : Lods.of(low).build()) {
            Set<List<Float>> kept = seamCorners(level.mesh());
            assertThat(kept).isNotEmpty();
            assertThat(seam).containsAll(kept); // xyz and uv, bit by bit
            assertThat(DecimateTest.mirroredUvs(level.mesh())).isZero();
        }
    }

    @Test
    void options_areCheckedAtTheDoor() {
        Lods lods = Lods.of(low());
        assertThatThrownBy(lods::triangles).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> lods.triangles(100, 100)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("triangles[1]");
        assertThatThrownBy(() -> lods.factors(1.5)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("factors[0]");
    }

    /** Place and UV of every corner that stands where another corner has other UVs. */
    private static Set<List<Float>> seamCorners(Mesh mesh) {
        Attribute uv = mesh.uvSets().get(0);
        float[][] first = new float[mesh.vertexCount()][];
        boolean[] split = new boolean[mesh.vertexCount()];
        int[] indices = mesh.positionIndices();
        for (int c = 0; c < indices.length; c++) {
            int i = 2 * uv.indices()[c];
            float[] here = {uv.values()[i], uv.values()[i + 1]};
            float[] known = first[indices[c]];
            if (known == null) {
                first[indices[c]] = here;
            } else if (known[0] != here[0] || known[1] != here[1]) {
                split[indices[c]] = true;
            }
        }
        Set<List<Float>> corners = new HashSet<>();
        for (int c = 0; c < indices.length; c++) {
            if (split[indices[c]]) {
                int p = 3 * indices[c];
                int i = 2 * uv.indices()[c];
                corners.add(
                        List.of(mesh.positions()[p], mesh.positions()[p + 1], mesh.positions()[p + 2], uv.values()[i], uv.values()[i + 1]));
            }
        }
        return corners;
    }
}
