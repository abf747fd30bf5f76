package org.estampage.mesh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import java.util.Arrays;
import org.estampage.testresources.DirtyShapes;
import org.estampage.testresources.Shape;
import org.junit.jupiter.api.Test;

class AdjacencyTest {
    private static Mesh triangles(int... indices) {
        float[] p = {0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0, 0, 0, 1, 0, 0, -1};
        return Mesh.builder(p, indices).build();
    }

    @Test
    void twoTriangles_faceEachOtherAcrossTheirEdge() {
        assertThat(Adjacency.of(triangles(0, 1, 2, 2, 1, 3)).opposite()).containsExactly(-1, 3, -1, 1, -1, -1);
    }

    @Test
    void sameDirection_isNotPaired() {
        assertThat(Adjacency.of(triangles(0, 1, 2, 1, 2, 3)).opposite()).containsExactly(-1, -2, -1, -2, -1, -1);
    }

    @Test
    void threeTriangles_areNotPaired() {
        int[] opposite = Adjacency.of(triangles(0, 1, 2, 1, 0, 4, 0, 1, 5)).opposite();
        assertThat(opposite[0]).isEqualTo(Adjacency.NON_MANIFOLD);
        assertThat(opposite[3]).isEqualTo(Adjacency.NON_MANIFOLD);
        assertThat(opposite[6]).isEqualTo(Adjacency.NON_MANIFOLD);
    }

    @Test
    void triangleOnOneVertexTwice_isLeftOut() {
        assertThat(Adjacency.of(triangles(0, 1, 2, 1, 1, 2, 2, 1, 3)).opposite()).containsExactly(-1, 6, -1, -2, -2, -2, 1, -1, -1);
    }

    @Test
    void splitVertices_areWelded() {
        Mesh cube = TestShapes.cube();
        assertThat(Adjacency.of(TestShapes.exploded(cube)).opposite()).isEqualTo(Adjacency.of(cube).opposite());
    }

    @Test
    void closedMesh_hasNoBoundary() {
        assertThat(Adjacency.of(TestShapes.sphere(9, 5)).opposite()).doesNotContain(-1, -2);
    }

    @Test
    void fanOfManyTriangles_isPairedAllAround() { // more edges at one vertex than the insertion sort takes
        Mesh sphere = TestShapes.sphere(500, 2);
        assertThat(Adjacency.of(sphere).opposite()).isEqualTo(slowly(sphere)).doesNotContain(-1, -2);
    }

    @Test
    void welding_ofAnotherMesh_isRefused() {
        assertThatThrownBy(() -> Adjacency.of(TestShapes.cube(), new int[3])).hasMessageContaining("3 numbers").hasMessageContaining("8");
    }

    @Property(tries = 300)
    void anySoup_agreesWithAMapOfEdges(@ForAll("soups") Mesh mesh) {
        assertThat(Adjacency.of(mesh).opposite()).isEqualTo(slowly(mesh));
    }

    @Provide
    Arbitrary<Mesh> soups() {
        return TestShapes.soups();
    }

    /** The oracle: a map from unordered pairs to the edges that join them. */
    private static int[] slowly(Mesh mesh) {
        int[] canonical = Welding.canonicalVertices(mesh);
        int[] t = mesh.positionIndices();
        Map<List<Integer>, List<Integer>> edges = new HashMap<>();
        int[] opposite = new int[t.length];
        for (int e = 0; e < t.length; e++) {
            int base = e / 3 * 3;
            int a = canonical[t[e]], b = canonical[t[base + (e + 1) % 3]], c = canonical[t[base + (e + 2) % 3]];
            opposite[e] = -2;
            if (a != b && b != c && c != a) {
                edges.computeIfAbsent(List.of(Math.min(a, b), Math.max(a, b)), k -> new ArrayList<>()).add(e);
            }
        }
        edges.values().forEach(list -> {
            if (list.size() == 1) {
                opposite[list.get(0)] = -1;
            } else if (list.size() == 2 && canonical[t[list.get(0)]] != canonical[t[list.get(1)]]) {
                opposite[list.get(0)] = list.get(1);
                opposite[list.get(1)] = list.get(0);
            }
        });
        return opposite;
    }

    @Test
    void fans_areNumberedByTheirFirstCorners_andPassOverTrianglesOnOneVertexTwice() {
        Shape tips = DirtyShapes.withTriangles(DirtyShapes.tipOnTip(), 1, 1, 2);
        Adjacency adjacency = Adjacency.of(Mesh.builder(tips.positions(), tips.triangles()).build());
        int[] fan = new int[adjacency.edgeCount()];
        assertThat(adjacency.fans(adjacency.borders(), fan)).isEqualTo(10); // nine vertices, the tip with two fans
        assertThat(Arrays.copyOf(fan, 6)).containsExactly(0, 1, 2, 0, 3, 1);
        assertThat(Arrays.copyOfRange(fan, 36, 39)).containsExactly(-1, -1, -1);
        boolean[] all = new boolean[fan.length];
        Arrays.fill(all, true);
        assertThat(adjacency.fans(all, fan)).isEqualTo(36);
    }
}
