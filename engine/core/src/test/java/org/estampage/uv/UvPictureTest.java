package org.estampage.uv;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import org.estampage.image.FloatImage;
import org.estampage.image.Srgb;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

class UvPictureTest {
    private static final int SIDE = 400;
    /** The room around the tiles: 2 % of the side. */
    private static final int INSET = 8;

    /** Two unit squares, each a chart, with the rectangles that they have in UV space. */
    private static Mesh squares(float[] one, float[] two) {
        float[] xyz = {0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0, 3, 0, 0, 4, 0, 0, 4, 1, 0, 3, 1, 0};
        int[] triangles = {0, 1, 2, 0, 2, 3, 4, 5, 6, 4, 6, 7};
        float[] uv = {one[0], one[1], one[2], one[1], one[2], one[3], one[0], one[3], two[0], two[1], two[2], two[1], two[2], two[3],
                two[0],
                two[3]};
        return Mesh.builder(xyz, triangles).uvSet(new Attribute("uv", 2, uv, triangles)).build();
    }

    private static FloatImage draw(Mesh mesh) {
        return UvPicture.draw(mesh, SIDE, 1024, 1024, Task.silent());
    }

    private static float[] at(FloatImage image, double u, double v) {
        int x = (int) (INSET + u * (SIDE - 2 * INSET));
        int y = (int) (INSET + (1 - v) * (SIDE - 2 * INSET));
        return new float[] {image.get(x, y, 0), image.get(x, y, 1), image.get(x, y, 2)};
    }

    /** Lightness of CIE 1976, 0 … 100, of a linear sRGB colour. */
    private static double lightness(float[] rgb) {
        double y = 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2];
        return y > 216.0 / 24389 ? 116 * Math.cbrt(y) - 16 : y * 24389 / 27;
    }

    @Test
    void charts_haveTheColourOfTheirDistortion_whereTheyLie() {
        FloatImage image = draw(squares(new float[] {0.1f, 0.1f, 0.3f, 0.3f}, new float[] {0.5f, 0.5f, 0.9f, 0.7f}));
        // away from the diagonals, which are drawn as edges
        assertThat(at(image, 0.25, 0.15)).containsExactly(UvPicture.colour(1), within(1e-5f));
        assertThat(at(image, 0.8, 0.55)).containsExactly(UvPicture.colour(1.25), within(1e-5f)); // 2 : 1
        assertThat(at(image, 0.1, 0.8)).isEqualTo(at(image, 0.9, 0.1));
        assertThat(image.height()).isGreaterThan(SIDE);
    }

    @Test
    void overlaps_areHatched_inBlackAndWhite_andNothingElseIs() {
        FloatImage bad = draw(squares(new float[] {0.1f, 0.1f, 0.5f, 0.5f}, new float[] {0.3f, 0.3f, 0.7f, 0.7f}));
        FloatImage good = draw(squares(new float[] {0.1f, 0.1f, 0.4f, 0.4f}, new float[] {0.5f, 0.5f, 0.8f, 0.8f}));
        assertThat(darkest(bad, 0.35, 0.45)).isLessThan(3);
        assertThat(darkest(good, 0.15, 0.2)).isGreaterThan(20);
        assertThat(darkest(good, 0.6, 0.62)).isGreaterThan(20);
    }

    /** The lightness of the darkest texel on a way through a chart, above the diagonal. */
    private static double darkest(FloatImage image, double from, double to) {
        double least = 100;
        for (double u = from; u < to; u += 0.001) {
            least = Math.min(least, lightness(at(image, u, from + 0.06 + (u - from) * 0.2)));
        }
        return least;
    }

    @Test
    void colours_growLighterEvenly() {
        double last = lightness(UvPicture.colour(1));
        for (int i = 1; i <= 8; i++) {
            double next = lightness(UvPicture.colour(1 + (UvPicture.WORST - 1) * i / 8));
            // whoever sees no colours reads a step of the scale by its lightness: 5 is told apart side by side (common practice, no source)
            assertThat(next - last).isBetween(5.0, 12.0);
            last = next;
        }
        assertThat(UvPicture.colour(100)).isEqualTo(UvPicture.colour(UvPicture.WORST));
        assertThat(UvPicture.colour(1)[2]).isCloseTo(Srgb.decode(0.55f), within(1e-6f));
    }

    @Test
    void tilesAndFarCopies_areShown_asFarAsTheyFit() {
        FloatImage two = draw(squares(new float[] {0, 0, 1, 1}, new float[] {1, 1, 2, 2}));
        assertThat(two.width()).isEqualTo(SIDE);
        FloatImage far = draw(squares(new float[] {0, 0, 1, 1}, new float[] {-9e8f, 9e8f, -8.9e8f, 9.1e8f}));
        assertThat(far.width()).isEqualTo(SIDE);
        FloatImage wide = UvPicture.draw(squares(new float[] {0, 0, 1, 1}, new float[] {0, 0, 1, 1}), SIDE, 2048, 512, Task.silent());
        assertThat(wide.height()).isLessThan(SIDE / 2);
    }

    @Test
    void whatCannotBeDrawn_isRefused() {
        Mesh mesh = squares(new float[] {0, 0, 1, 1}, new float[] {1, 1, 2, 2});
        assertThatThrownBy(() -> UvPicture.draw(mesh, 8, 64, 64, Task.silent())).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("side = 8").hasMessageContaining("64 … 8192");
        assertThatThrownBy(() -> draw(mesh.toBuilder().noUvSets().build())).isInstanceOf(InvalidMeshException.class);
    }
}
