package org.estampage.lowpoly;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Arrays;
import org.estampage.mesh.Adjacency;
import org.estampage.mesh.Cleanup;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Welding;
import org.estampage.testresources.DirtyShapes;
import org.estampage.testresources.Shape;
import org.estampage.testresources.Shapes;
import org.junit.jupiter.api.Test;

/** Decimation that takes vertices as triangles name them: of clean meshes, whose surfaces touch without hanging together. */
class DecimateUnweldedTest {
    private static final int FINS = 128;

    private static long own(Mesh mesh, int kind) {
        return Arrays.stream(Adjacency.of(mesh, Welding.unwelded(mesh)).opposite()).filter(o -> o == kind).count();
    }

    /** A ball of 1,280 triangles of which every tenth edge bears a fin. */
    private static Shape finned() {
        int[] edges = new int[FINS];
        for (int i = 0; i < edges.length; i++) {
            edges[i] = 30 * i;
        }
        return DirtyShapes.withFins(Shapes.icosphere(1, 3), 0.1, edges);
    }

    @Test
    void meshWithoutDoubledPlaces_isDecimatedAlike() {
        Mesh ball = LowPolyShapes.mesh(Shapes.icosphere(1, 3));
        Mesh welded = Decimate.of(ball).triangles(200).build();
        assertThat(Decimate.of(ball).triangles(200).withoutWelding().build().sameAs(welded)).isTrue();
    }

    @Test
    void surfaceUnderFins_isFreeOfThem() {
        Mesh clean = Cleanup.of(LowPolyShapes.mesh(finned())).build();
        int target = FINS + 150;
        Mesh held = Decimate.of(clean).triangles(target).build();
        Mesh free = Decimate.of(clean).triangles(target).withoutWelding().build();
        assertThat(held.findings().ofKind("decimation-stopped")).isNotEmpty(); // every end of a fin stays
        assertThat(held.triangleCount()).isGreaterThan(3 * target / 2);
        assertThat(free.triangleCount()).isLessThanOrEqualTo(target);
        assertThat(own(free, Adjacency.NON_MANIFOLD)).isZero();
        // Where fins share an end the ball is slit from one to the other; slits get fewer edges, fins stay.
        assertThat(own(free, Adjacency.BOUNDARY)).isBetween(3L * FINS, own(clean, Adjacency.BOUNDARY));
    }

    @Test
    void ballsThatTouchInAPoint_moveApart() {
        Shape ball = Shapes.icosphere(1, 3);
        float[] other = ball.positions().clone();
        for (int i = 0; i < other.length; i++) {
            other[i] = 2 * ball.positions()[i % 3] - ball.positions()[i]; // through vertex 0, which stays exactly where it is
        }
        int[] turned = ball.triangles().clone();
        for (int c = 0; c < turned.length; c += 3) {
            turned[c] = ball.triangles()[c + 1];
            turned[c + 1] = ball.triangles()[c];
        }
        Mesh clean = Cleanup.of(LowPolyShapes.mesh(Shapes.together(ball, new Shape(other, turned)))).build();
        assertThat(clean.vertexCount()).isEqualTo(2 * ball.vertexCount());
        Mesh held = Decimate.of(clean).triangles(200).build();
        Mesh free = Decimate.of(clean).triangles(200).withoutWelding().build();
        assertThat(free.triangleCount()).isLessThanOrEqualTo(200);
        assertThat(free.vertexCount() - free.triangleCount() / 2).isEqualTo(4); // two closed shells without handles: V − E + F = 2 each
        assertThat(held.vertexCount() - held.triangleCount() / 2).isEqualTo(3);
        assertThat(own(free, Adjacency.BOUNDARY)).isZero();
        assertThat(at(held, ball.positions())).isEqualTo(1); // nobody may move what both hold
        assertThat(at(free, ball.positions())).isZero();
    }

    private static int at(Mesh mesh, float[] place) {
        int count = 0;
        for (int i = 0; i < mesh.positions().length; i += 3) {
            count += Arrays.equals(mesh.positions(), i, i + 3, place, 0, 3) ? 1 : 0;
        }
        return count;
    }

    @Test
    void bothSidesOfACard_haveTheirOwnNormals() {
        Mesh card = Cleanup.of(LowPolyShapes.mesh(DirtyShapes.twoSided(Shapes.plane(2, 2, 8, 8)))).cards().build();
        Mesh low = Decimate.of(card).triangles(8).withoutWelding().build();
        assertThat(low.triangleCount()).isLessThanOrEqualTo(8);
        float[] n = low.normals().orElseThrow().values();
        int[] indices = low.normals().orElseThrow().indices();
        for (int c = 0; c < indices.length; c++) {
            double[] facet = LowPolyShapes.normal(low, c / 3);
            for (int k = 0; k < 3; k++) {
                assertThat((double) n[3 * indices[c] + k]).isEqualTo(facet[k]);
            }
        }
    }
}
