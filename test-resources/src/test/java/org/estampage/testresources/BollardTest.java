package org.estampage.testresources;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.Arrays;
import java.util.concurrent.ForkJoinPool;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class BollardTest {
    private static final Shape SHAPE = Bollard.generate(200_000);

    @Test
    void surface_isOneClosedPieceWithoutHandles_outsideOut() {
        assertThat(ShapeMeasures.openEdgeCount(SHAPE)).isZero();
        assertThat(ShapeMeasures.doubtfulEdgeCount(SHAPE)).isZero();
        assertThat(ShapeMeasures.pieceCount(SHAPE)).isOne();
        // Euler characteristic of the sphere.
        assertThat(ShapeMeasures.eulerCharacteristic(SHAPE)).isEqualTo(2);
        assertThat(ShapeMeasures.volume(SHAPE)).isPositive();
    }

    @ParameterizedTest
    @ValueSource(ints = {2_000, 10_000, 65_432, 1_000_000})
    void triangleCount_isMetWithinTwoPercent(int wanted) {
        assertThat((double) Bollard.generate(wanted).triangleCount()).isBetween(0.98 * wanted, 1.02 * wanted);
    }

    @Test
    void fewestTriangles_stillMakeAClosedSurface() {
        Shape few = Bollard.generate(Bollard.FEWEST_TRIANGLES);
        assertThat(ShapeMeasures.openEdgeCount(few)).isZero();
        assertThat(ShapeMeasures.eulerCharacteristic(few)).isEqualTo(2);
        assertThatThrownBy(() -> Bollard.generate(199)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("199");
    }

    @Test
    void standsOnTheGround_andKeepsItsSize() {
        float[] p = SHAPE.positions();
        float lowest = Float.MAX_VALUE;
        float highest = 0;
        float widest = 0;
        for (int i = 0; i < p.length; i += 3) {
            lowest = Math.min(lowest, p[i + 1]);
            highest = Math.max(highest, p[i + 1]);
            widest = Math.max(widest, (float) Math.hypot(p[i], p[i + 2]));
        }
        assertThat(lowest).isZero();
        // The outline's own numbers, 0.7135 high and 0.275 in radius, with relief and barnacles of at most 15 mm on them.
        assertThat(highest).isBetween(0.7135f, 0.7285f);
        assertThat(widest).isBetween(0.275f, 0.290f);
    }

    @Test
    void triangles_haveNoNeedles_evenAtThePoles() {
        // An equilateral triangle scores 1. Steep relief stretches triangles by the slope, so a few are slim; none may be a needle.
        float[] p = SHAPE.positions();
        int[] t = SHAPE.triangles();
        double[] quality = new double[SHAPE.triangleCount()];
        for (int i = 0; i < quality.length; i++) {
            double a = side(p, t[3 * i], t[3 * i + 1]);
            double b = side(p, t[3 * i + 1], t[3 * i + 2]);
            double c = side(p, t[3 * i + 2], t[3 * i]);
            double half = (a + b + c) / 2;
            double area = Math.sqrt(Math.max(0, half * (half - a) * (half - b) * (half - c)));
            quality[i] = 4 * Math.sqrt(3) * area / (a * a + b * b + c * c);
        }
        // The first triangles are the bottom's fan, the last ones the top's.
        assertThat(Arrays.stream(quality, 0, 6).min().orElseThrow()).isGreaterThan(0.6);
        assertThat(Arrays.stream(quality, quality.length - 6, quality.length).min().orElseThrow()).isGreaterThan(0.6);
        assertThat(Arrays.stream(quality).average().orElseThrow()).isGreaterThan(0.85);
        // A 10 mm cliff over one 2.5 mm edge would score 0.4; the limit leaves a factor of ten.
        assertThat(Arrays.stream(quality).min().orElseThrow()).isGreaterThan(0.04);
    }

    private static double side(float[] p, int a, int b) {
        double x = p[3 * a] - p[3 * b];
        double y = p[3 * a + 1] - p[3 * b + 1];
        double z = p[3 * a + 2] - p[3 * b + 2];
        return Math.sqrt(x * x + y * y + z * z);
    }

    @Test
    void relief_staysWithinSixteenMillimetresOfTheOutline() {
        // What a cage of a lathed low poly must catch. The outline is sampled every 0.2 mm, so the distance is exact to 0.1 mm.
        float[] p = SHAPE.positions();
        int samples = (int) (BollardCarving.OUTLINE.length() / 0.0002);
        double[] radius = new double[samples + 1];
        double[] height = new double[samples + 1];
        double[] outline = new double[4];
        for (int i = 0; i <= samples; i++) {
            BollardCarving.OUTLINE.at(BollardCarving.OUTLINE.length() * i / samples, outline);
            radius[i] = outline[0];
            height[i] = outline[1];
        }
        double worst = 0;
        for (int v = 0; v < p.length; v += 3 * 97) {
            double r = Math.hypot(p[v], p[v + 2]);
            double best = Double.MAX_VALUE;
            for (int i = 0; i <= samples; i++) {
                double dr = r - radius[i];
                double dh = p[v + 1] - height[i];
                best = Math.min(best, dr * dr + dh * dh);
            }
            worst = Math.max(worst, best);
        }
        assertThat(Math.sqrt(worst)).isBetween(0.008, 0.016);
    }

    @Test
    void colours_showPaintRustAndShell() {
        byte[] c = SHAPE.colours();
        assertThat(c).isNotNull();
        int green = 0;
        int rust = 0;
        int pale = 0;
        for (int i = 0; i < c.length; i += 3) {
            int r = c[i] & 255;
            int g = c[i + 1] & 255;
            int b = c[i + 2] & 255;
            if (g > r + 10) {
                green++;
            } else if (r > 1.5 * g && g > b && r > 50) {
                rust++;
            } else if (r > 170 && b > 120) {
                pale++;
            }
        }
        int vertices = c.length / 3;
        assertThat(green / (double) vertices).isBetween(0.2, 0.8);
        assertThat(rust / (double) vertices).isBetween(0.03, 0.4);
        assertThat(pale / (double) vertices).isBetween(0.002, 0.2);
    }

    @Test
    void bits_areTheSame_forAnyNumberOfThreads() throws Exception {
        Shape again;
        try (ForkJoinPool one = new ForkJoinPool(1)) {
            again = one.submit(() -> Bollard.generate(200_000)).get();
        }
        assertThat(again.positions()).isEqualTo(SHAPE.positions());
        assertThat(again.triangles()).isEqualTo(SHAPE.triangles());
        assertThat(again.colours()).isEqualTo(SHAPE.colours());
    }
}
