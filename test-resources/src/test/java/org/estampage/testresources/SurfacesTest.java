package org.estampage.testresources;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.List;
import org.junit.jupiter.api.Test;

class SurfacesTest {
    private static List<Surfaces> all(int size) {
        return List.of(Surfaces.castIron(size), Surfaces.paint(size), Surfaces.rust(size));
    }

    @Test
    void borders_differNoMoreThanNeighbours() {
        for (Surfaces surface : all(128)) {
            double inside = 0, across = 0;
            for (int i = 0; i < 128; i++) {
                for (int j = 0; j + 1 < 128; j++) {
                    inside = Math.max(inside, step(surface, i, j, i, j + 1));
                    inside = Math.max(inside, step(surface, j, i, j + 1, i));
                }
                across = Math.max(across, step(surface, i, 127, i, 0));
                across = Math.max(across, step(surface, 127, i, 0, i));
            }
            assertThat(across).isPositive().isLessThanOrEqualTo(inside);
        }
    }

    private static double step(Surfaces s, int y, int x, int otherY, int otherX) {
        return Math.abs((double) s.height()[y * s.size() + x] - s.height()[otherY * s.size() + otherX]);
    }

    @Test
    void values_areColoursRoughnessAndUnitNormals() {
        for (Surfaces surface : all(64)) {
            for (float c : surface.colour()) {
                assertThat(c).isBetween(0f, 1f);
            }
            for (float r : surface.roughness()) {
                assertThat(r).isBetween(0.1f, 1f);
            }
            float[] n = surface.normals();
            double tilted = 0;
            for (int i = 0; i < n.length; i += 3) {
                assertThat(Math.sqrt((double) n[i] * n[i] + (double) n[i + 1] * n[i + 1] + (double) n[i + 2] * n[i + 2])).isCloseTo(1,
                        within(1e-6));
                tilted = Math.max(tilted, Math.hypot(n[i], n[i + 1]));
            }
            assertThat(tilted).isBetween(0.02, 0.95);
        }
        assertThat(Surfaces.rust(64).height()).isEqualTo(Surfaces.rust(64).height());
    }

    @Test
    void sizes_outOfRange_areRefused() {
        assertThatThrownBy(() -> Surfaces.rust(8)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("8");
    }
}
