package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.Arrays;
import org.estampage.cage.Cage;
import org.estampage.cage.CageFit;
import org.estampage.image.FloatImage;
import org.estampage.maps.HeightMap;
import org.estampage.maps.PositionMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

class RayBlendTest {
    private static final int SIZE = 288;
    /** Texels across one face: a third of the map less a margin of 1/24 of a cell on either side. */
    private static final double ACROSS = SIZE / 3.0 * 11 / 12;
    private static final double OFFSET = 0.11;
    private static final double RISE = 0.05;

    /** The faces of a box [−1, 1]³: outward axis, and the two axes that u and v run along, so that normal = u × v. */
    private static final int[][] FACES = {{0, 1, 2}, {1, 2, 0}, {2, 0, 1}, {0, 2, 1}, {1, 0, 2}, {2, 1, 0}};

    private static float[] point(int face, double a, double b, double up) {
        int[] f = FACES[face];
        float[] p = new float[3];
        p[f[0]] = (float) (face < 3 ? up : -up);
        p[f[1]] = (float) a;
        p[f[2]] = (float) b;
        return p;
    }

    /** Returns a box of two triangles a face, its faces in a grid of 3 × 2 cells of the map. */
    private static Mesh box() {
        float[] p = new float[6 * 4 * 3], uv = new float[6 * 4 * 2];
        int[] t = new int[36];
        for (int f = 0; f < 6; f++) {
            for (int i = 0; i < 4; i++) {
                double a = i == 1 || i == 2 ? 1 : -1, b = i >= 2 ? 1 : -1;
                System.arraycopy(point(f, a, b, 1), 0, p, 3 * (4 * f + i), 3);
                uv[2 * (4 * f + i)] = (float) u(f, a);
                uv[2 * (4 * f + i) + 1] = (float) v(f, b);
            }
            System.arraycopy(new int[] {4 * f, 4 * f + 1, 4 * f + 2, 4 * f, 4 * f + 2, 4 * f + 3}, 0, t, 6 * f, 6);
        }
        return Mesh.builder(p, t).uvSet(new Attribute("uv", 2, uv, t)).build();
    }

    private static double u(int face, double a) {
        return (face % 3 + 0.5 + a * 11 / 24) / 3;
    }

    private static double v(int face, double b) {
        int row = face / 3;
        return (row + 0.5 + b * 11 / 24) / 3;
    }

    /** Returns the box with a square rivet of side 0.2 on each face, its middle at (0.5, 0.25) of the face. */
    private static Mesh riveted() {
        Mesh box = box();
        float[] p = Arrays.copyOf(box.positions(), box.positions().length + 6 * 8 * 3);
        int[] t = Arrays.copyOf(box.positionIndices(), 36 + 6 * 30);
        int[] sides = {4, 5, 6, 4, 6, 7, 0, 1, 5, 0, 5, 4, 1, 2, 6, 1, 6, 5, 2, 3, 7, 2, 7, 6, 3, 0, 4, 3, 4, 7};
        for (int f = 0; f < 6; f++) {
            int first = 24 + 8 * f;
            for (int i = 0; i < 8; i++) {
                double a = 0.5 + (i % 4 == 1 || i % 4 == 2 ? 0.1 : -0.1), b = 0.25 + (i % 4 >= 2 ? 0.1 : -0.1);
                System.arraycopy(point(f, a, b, i < 4 ? 1 : 1 + RISE), 0, p, 3 * (first + i), 3);
            }
            for (int c = 0; c < 30; c++) {
                t[36 + 30 * f + c] = first + sides[c];
            }
        }
        return Mesh.builder(p, t).build();
    }

    private static BakeResult bake(Cage cage, Mesh high, double blend) {
        return Baker.create().bake(
                BakeJob.of(cage, high).size(SIZE).padding(0).rayBlend(blend).maps(HeightMap.create(), PositionMap.create()).build(),
                Task.silent());
    }

    /** Returns how far the middle of the texels that show the rivet's top on a face lies from the rivet's own, in texels. */
    private static double shift(BakeResult result, int face) {
        FloatImage position = result.map("position");
        double x = 0, y = 0, sum = 0;
        for (int row = 0; row < SIZE; row++) {
            for (int column = 0; column < SIZE; column++) {
                double u = (column + 0.5) / SIZE, v = 1 - (row + 0.5) / SIZE;
                if ((int) (3 * u) == face % 3 && (int) (3 * v) == face / 3) {
                    // all four samples on the top; floats near 1 round to 1e-7
                    double weight = Math.abs(position.get(column, row, FACES[face][0])) > 1 + RISE - 1e-5 ? 1 : 0;
                    x += weight * u;
                    y += weight * v;
                    sum += weight;
                }
            }
        }
        return SIZE * Math.hypot(x / sum - u(face, 0.5), y / sum - v(face, 0.25));
    }

    @Test
    void rivetsOnTheFacesOfABox_shiftWithoutBlending_andStayWhereTheyAreWithIt() {
        Cage cage = Cage.offset(box(), OFFSET);
        Mesh high = riveted();
        BakeResult slanted = bake(cage, high, 0), straight = bake(cage, high, 1);
        assertThat(slanted.missedSampleCount()).isZero();
        assertThat(straight.missedSampleCount()).isZero();
        for (int f = 0; f < 6; f++) {
            // The cage's corners move along the space diagonal, so a ray through x of a face leans by the tangent x: it meets a top 0.05 high at 1.05 x.
            double expected = ACROSS / 2 * Math.hypot(0.5, 0.25) * (1 - 1 / (1 + RISE));
            // the same quarter of a texel as below
            assertThat(shift(slanted, f)).isCloseTo(expected, within(0.25)).isGreaterThan(0.9);
            // 2 × 2 samples a texel see an edge to a quarter of a texel; the rivet's two edges may err alike
            assertThat(shift(straight, f)).isLessThan(0.25);
        }
    }

    @Test
    void blendedRays_startInsideTheCage_andMissNothingOfAFittedOne() {
        Mesh low = box(), high = riveted();
        Cage fitted = CageFit.around(low, high).build();
        assertThat(fitted.conflicts()).isEmpty();
        for (double blend : new double[] {0, 0.5, 1}) {
            BakeResult result = bake(fitted, high, blend);
            assertThat(result.missedSampleCount()).isZero();
            // what sticks out farthest is seen: the ray is straight there, or longer by its slant, at most the space diagonal's
            float top = 0;
            for (int i = 0; i < SIZE * SIZE; i++) {
                top = Math.max(top, result.map("height").get(i % SIZE, i / SIZE, 0));
            }
            assertThat((double) top).isBetween(RISE * (1 - 1e-5), RISE * Math.sqrt(3));
        }
    }

    @Test
    void straightening_isNothingOnBentEdges_andHasNoStepOverFlatOnes() {
        Mesh low = box();
        RayBlend blend = new RayBlend(low, Cage.offset(low, OFFSET), 1, Double.NaN, Task.silent());
        // face 2 looks along +z; its triangles are 4 and 5, with x along u and y along v, and the diagonal x = y between them
        for (double s = -1; s <= 1; s += 0.125) {
            assertThat(blend.at(4, 1, s, 1)).isZero();
            assertThat(blend.at(5, s, 1, 1)).isZero();
            assertThat(blend.at(4, s, s, 1)).isEqualTo(blend.at(5, s, s, 1));
        }
        assertThat(blend.at(4, 0.1, 0, 1)).isEqualTo(1);
        // offset and reach 0.11, at 54.7° from the normal: twice 0.11 · √(2/3); at half of that, a smooth step is ½. Floats of the cage round to 1e-7.
        double width = 2 * OFFSET * Math.sqrt(2 / 3.0);
        assertThat(blend.at(4, 1 - width / 2, 0, 1)).isCloseTo(0.5, within(1e-5));
    }

    @Test
    void straightenedRays_keepTheirOrderOverAPanel() {
        Mesh low = box();
        Cage cage = Cage.offset(low, OFFSET);
        RayBlend blend = new RayBlend(low, cage, 1, Double.NaN, Task.silent());
        // along y = 0 from the middle of the +z face to its edge: where rays pass the heights of their ends
        for (double height : new double[] {-0.11, 0.06}) {
            double last = Double.NEGATIVE_INFINITY;
            for (double x = 0; x <= 1; x += 1e-3) {
                // corners lean by the same length along x, y and z, so the lean along x over the triangle of corners (±1, …) is x itself
                double[] d = {x, 0, 1};
                double length = Math.hypot(x, 1);
                d[0] /= length;
                d[2] /= length;
                blend.straighten(4, x, 0, 1, d);
                double at = x + height * d[0] / d[2];
                assertThat(at).isGreaterThan(last);
                last = at;
            }
        }
    }

    @Test
    void noBlend_changesNoBit_andAValueOutsideZeroToOneIsRefused() {
        Cage cage = Cage.offset(box(), OFFSET);
        Mesh high = riveted();
        BakeResult plain = Baker.create()
                .bake(BakeJob.of(cage, high).size(SIZE).padding(0).maps(HeightMap.create(), PositionMap.create()).build(),
                        Task.silent());
        BakeResult zero = bake(cage, high, 0);
        float[] a = new float[SIZE * SIZE], b = new float[SIZE * SIZE];
        assertThat(zero.map("height").read(0, 0, SIZE, SIZE, a)).containsExactly(plain.map("height").read(0, 0, SIZE, SIZE, b));
        for (double wrong : new double[] {-0.1, 1.1, Double.NaN}) {
            assertThatThrownBy(() -> BakeJob.of(cage, high).rayBlend(wrong)).isInstanceOf(IllegalArgumentException.class)
                    .hasMessageContaining("0 … 1");
        }
    }

    @Test
    void blendedMaps_areTheSame_forAnyThreadsAndBlocks() {
        BakeJob job = BakeJob.of(Cage.offset(box(), OFFSET), riveted()).size(SIZE).padding(0).rayBlend(0.7).maps(HeightMap.create())
                .build();
        float[] one = new float[SIZE * SIZE], two = new float[SIZE * SIZE];
        Baker.create().threads(1).blockSide(64).bake(job, Task.silent()).map("height").read(0, 0, SIZE, SIZE, one);
        Baker.create().threads(2).blockSide(17).bake(job, Task.silent()).map("height").read(0, 0, SIZE, SIZE, two);
        assertThat(two).containsExactly(one);
    }
}
