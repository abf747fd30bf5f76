package org.estampage.uv;

import static org.assertj.core.api.Assertions.assertThat;

import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshCheck;
import org.estampage.mesh.Normals;
import org.junit.jupiter.api.Test;

/** What {@code hard-edges-without-seam} says is to be done cures it. */
class HardEdgeSeamsTest {
    private static Mesh cube() {
        float[] p = new float[24];
        for (int v = 0; v < 8; v++) {
            p[3 * v] = v & 1;
            p[3 * v + 1] = v >> 1 & 1;
            p[3 * v + 2] = v >> 2;
        }
        int[] t = {0, 4, 6, 0, 6, 2, 1, 3, 7, 1, 7, 5, 0, 1, 5, 0, 5, 4, 2, 6, 7, 2, 7, 3, 0, 2, 3, 0, 3, 1, 4, 5, 7, 4, 7, 6};
        return Mesh.builder(p, t).build();
    }

    private static boolean isFound(Mesh mesh) {
        return !MeshCheck.check(mesh).ofKind("hard-edges-without-seam").isEmpty();
    }

    @Test
    void seamsAtHardEdges_cureIt() {
        Mesh hard = Normals.hardEdges(cube(), 30);
        Mesh unfolded = Unwrap.of(hard).size(256).seams(0, 1, 1, 3, 3, 2, 0, 4, 1, 5, 2, 6, 3, 7).build(); // a lid and the four sides, turned out
        assertThat(isFound(unfolded)).isTrue();
        assertThat(isFound(Unwrap.of(hard).size(256).seamsAtHardEdges().build())).isFalse();
    }

    @Test
    void normalsThatBreakAtTheSeams_cureIt() {
        Mesh unwrapped = Unwrap.of(Normals.hardEdges(cube(), 30)).size(256).seams(0, 1, 1, 3, 3, 2, 0, 4, 1, 5, 2, 6, 3, 7).build();
        assertThat(isFound(unwrapped)).isTrue();
        assertThat(isFound(Normals.hardAtUvBorders(unwrapped))).isFalse();
    }
}
