package org.estampage.mesh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.List;
import java.util.stream.IntStream;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.Size;
import org.estampage.finding.Finding;
import org.junit.jupiter.api.Test;

class MeshSubsetTest {
    private static final Finding TOLD = Finding.note("told", 1, "m", "r", List.of());

    /** A cube of six quads with a part a triangle, tagged corners and something said of it. */
    private static Mesh cube() {
        Mesh cube = TestShapes.cube();
        int[] corners = IntStream.range(0, 24).map(i -> i / 4 * 6 + new int[] {0, 1, 2, 5}[i % 4]).toArray();
        int[] t = IntStream.range(0, 12).toArray();
        return cube.toBuilder().polygons(new Polygons(IntStream.rangeClosed(0, 6).map(i -> 4 * i).toArray(), corners))
                .extra(CleanupTest.tagged("corner", 1, IntStream.range(0, 36).toArray()))
                .parts(IntStream.of(t).mapToObj(i -> new Part("p" + i)).toList(), t).findings(List.of(TOLD)).build();
    }

    @Test
    void allTriangles_areTheMeshItself() {
        Mesh cube = cube();
        assertThat(MeshSubset.of(cube, IntStream.range(0, 12).toArray())).isSameAs(cube);
    }

    @Test
    void someTriangles_keepTheirVerticesOnly_andWhatTheyCarry() {
        Mesh three = MeshSubset.of(cube(), new int[] {2, 3, 7});
        assertThat(three.triangleCount()).isEqualTo(3);
        assertThat(three.vertexCount()).isEqualTo(5); // the side x = 1, and one corner at x = −1
        assertThat(IntStream.of(three.extras().get(0).indices())).containsExactly(6, 7, 8, 9, 10, 11, 21, 22, 23);
        assertThat(IntStream.range(0, 3).map(three.partLabels()::of)).containsExactly(2, 3, 7);
        Polygons polygons = three.polygons().orElseThrow();
        assertThat(IntStream.range(0, polygons.count()).map(polygons::cornerCount)).containsExactly(4, 3);
        assertThat(three.findings()).containsExactly(TOLD);
    }

    @Test
    void noTriangles_makeAnEmptyMesh() {
        Mesh none = MeshSubset.of(cube(), new int[0]);
        assertThat(none.triangleCount()).isZero();
        assertThat(none.vertexCount()).isZero();
        assertThat(none.parts()).hasSize(12);
    }

    @Test
    void numbersThatDontRiseOrDontExist_areRefused() {
        assertThatThrownBy(() -> MeshSubset.of(cube(), new int[] {3, 3})).isInstanceOf(IllegalArgumentException.class)
                .hasMessage("triangles[1] = 3 must be 4 … 11");
        assertThatThrownBy(() -> MeshSubset.of(cube(), new int[] {12})).hasMessage("triangles[0] = 12 must be 0 … 11");
        assertThatThrownBy(() -> MeshSubset.of(cube(), new int[] {-1})).hasMessage("triangles[0] = -1 must be 0 … 11");
    }

    @Property(tries = 100)
    void subsetOfASubset_isASubset(@ForAll @Size(12) boolean[] first, @ForAll @Size(12) boolean[] second) {
        int[] one = IntStream.range(0, 12).filter(t -> first[t]).toArray();
        int[] inOne = IntStream.range(0, one.length).filter(i -> second[one[i]]).toArray();
        int[] both = IntStream.range(0, 12).filter(t -> first[t] && second[t]).toArray();
        Mesh steps = MeshSubset.of(MeshSubset.of(cube(), one), inOne), once = MeshSubset.of(cube(), both);
        assertThat(steps.positions()).containsExactly(once.positions());
        assertThat(steps.positionIndices()).containsExactly(once.positionIndices());
        assertThat(steps.extras().get(0).indices()).containsExactly(once.extras().get(0).indices());
        assertThat(IntStream.range(0, both.length).map(steps.partLabels()::of).toArray()).containsExactly(both);
    }
}
