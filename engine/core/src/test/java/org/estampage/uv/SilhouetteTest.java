package org.estampage.uv;

import static org.assertj.core.api.Assertions.assertThat;

import org.junit.jupiter.api.Test;

class SilhouetteTest {
    /** Strips a cell; if there are others one day, this test looks at heights of no meaning, and finds none. */
    private static final int STRIPS = 4;

    private static boolean touches(Silhouette s, int row, int column) {
        for (int i = 0; i < s.runs.length; i += 3) {
            if (s.runs[i] == row && s.runs[i + 1] <= column && column < s.runs[i + 1] + s.runs[i + 2]) {
                return true;
            }
        }
        return false;
    }

    /** A U, 30 cells wide and 40 high, its notch 10 wide from 10 up; the left side has a vertex at a height. */
    private static Chart letterU(double cell, double height) {
        double[] cells = {0, 0, 30, 0, 30, 40, 20, 40, 20, 10, 10, 10, 10, 40, 0, 40, 0, 0, 0, 10, 30, 10};
        double[] uv = new double[cells.length];
        for (int i = 0; i < cells.length; i++) {
            uv[i] = cells[i] * cell;
        }
        uv[17] = height;
        return new Chart(uv, new int[] {0, 1, 10, 0, 10, 4, 0, 4, 5, 0, 5, 9, 9, 5, 8, 8, 5, 6, 8, 6, 7, 4, 10, 2, 4, 2, 3}, 1);
    }

    @Test
    void notch_staysFree_whereAVertexLiesOnAStrip_andDividingRoundsBelowIt() {
        int looked = 0;
        for (int n = 300; n < 400; n++) {
            double cell = 1000.0 / n;
            double step = cell / STRIPS;
            for (int strip = 15 * STRIPS; strip < 35 * STRIPS; strip++) {
                double height = strip * step;
                if ((int) (height / step) == strip) {
                    continue;
                }
                looked++;
                Silhouette u = new Silhouette(letterU(cell, height), 1, 0, 1, cell, cell, 0);
                int row = strip / STRIPS;
                assertThat(touches(u, row, 5)).isTrue();
                assertThat(touches(u, row, 15)).as("cell %s, strip %d", cell, strip).isFalse();
                assertThat(touches(u, row, 25)).isTrue();
            }
        }
        assertThat(looked).isGreaterThan(100);
    }

    @Test
    void foldedChart_isDrawnWhole() {
        // A square of 20 whose lower right half lies on the upper left one a second time, and one that lies twice: nothing inside is free.
        double[] uv = {0, 0, 20, 0, 20, 20, 0, 20};
        for (int[] triangles : new int[][] {{0, 1, 2, 0, 2, 3, 2, 0, 1}, {0, 1, 2, 0, 2, 3, 0, 2, 1, 0, 3, 2}}) {
            Silhouette s = new Silhouette(new Chart(uv, triangles, 1), 1, 0, 1, 1, 1, 0);
            for (int row = 0; row < 20; row++) {
                for (int column = 0; column < 20; column++) {
                    assertThat(touches(s, row, column)).as("row %d, column %d", row, column).isTrue();
                }
            }
        }
    }

    @Test
    void trianglesWithoutArea_areDrawnAsLines() {
        // A line of two triangles that run through it in opposite directions.
        Silhouette s = new Silhouette(new Chart(new double[] {0, 0, 10, 10, 20, 20}, new int[] {0, 1, 2, 0, 2, 1}, 1), 1, 0, 1, 1, 1, 0);
        for (int row = 0; row < 20; row++) {
            assertThat(touches(s, row, row)).isTrue();
        }
        assertThat(touches(s, 2, 12)).isFalse();
    }
}
