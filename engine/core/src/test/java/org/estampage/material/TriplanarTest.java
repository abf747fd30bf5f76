package org.estampage.material;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.SplittableRandom;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class TriplanarTest {
    private static final double ROUNDING = 1e-6;
    private static final Encoding VECTORS = Encoding.data(Range.SIGNED_UNIT, 3);

    private static FloatImage vectors(double... xyz) {
        return Images.of(xyz.length / 3, 1, VECTORS,
                (x, y) -> new float[] {(float) xyz[3 * x], (float) xyz[3 * x + 1], (float) xyz[3 * x + 2]});
    }

    /** A normal with slopes that differ to the right and upwards, on each side of a cube. */
    @ParameterizedTest
    @CsvSource({
            // side | right | up
            "1,0,0, 0,0,-1, 0,1,0", "-1,0,0, 0,0,1, 0,1,0", "0,1,0, 1,0,0, 0,0,-1", "0,-1,0, 1,0,0, 0,0,1", "0,0,1, 1,0,0, 0,1,0",
            "0,0,-1, -1,0,0, 0,1,0"})
    void cube_hasEachSideUpright_andNotMirrored(int nx, int ny, int nz, int rx, int ry, int rz, int ux, int uy, int uz) {
        FloatImage detail = Images.normal(2 / 7.0, 3 / 7.0, 6 / 7.0);
        FloatImage out = Triplanar.of(detail, 1, vectors(0.3, 0.2, 0.1), vectors(nx, ny, nz)).build();
        double[] expected = {(2 * rx + 3 * ux + 6 * nx) / 7.0, (2 * ry + 3 * uy + 6 * ny) / 7.0, (2 * rz + 3 * uz + 6 * nz) / 7.0};
        for (int c = 0; c < 3; c++) {
            assertThat((double) out.get(0, 0, c)).isCloseTo(expected[c], within(ROUNDING));
        }
        // A picture whose value rises to the right and, more, upwards.
        FloatImage ramp = Images.data(64, 64, (x, y) -> new float[] {(float) ((x + 0.5) / 64 + 2 * (1 - (y + 0.5) / 64)) / 4});
        double[] centre = {0.5 * rx + 0.5 * ux, 0.5 * ry + 0.5 * uy, 0.5 * rz + 0.5 * uz};
        double d = 0.125;
        FloatImage places = vectors(centre[0], centre[1], centre[2], centre[0] + d * rx, centre[1] + d * ry, centre[2] + d * rz,
                centre[0] + d * ux,
                centre[1] + d * uy, centre[2] + d * uz);
        FloatImage normals = vectors(nx, ny, nz, nx, ny, nz, nx, ny, nz);
        FloatImage values = Triplanar.of(ramp, 64, scaled(places, 64), normals).build(); // far apart: level 5 and more would blur the ramp
        assertThat(values.get(1, 0, 0)).isGreaterThan(values.get(0, 0, 0));
        assertThat(values.get(2, 0, 0)).isGreaterThan(values.get(1, 0, 0));
    }

    private static FloatImage scaled(FloatImage image, float factor) {
        return Images.of(image.width(), image.height(), VECTORS, (x, y) -> {
            float[] v = Images.texel(image, x, y);
            return new float[] {factor * v[0], factor * v[1], factor * v[2]};
        });
    }

    @Test
    void betweenSides_weightsArePowersOfTheNormal() {
        // Red where the side looks along x, green along y, blue along z, by a picture that differs by place.
        FloatImage image = Images.data(4, 4, (x, y) -> new float[] {x < 2 ? 0.25f : 0.75f});
        // At (0, 0, 4⁄8): on x right is −z: the last quarter; on z right is x.
        FloatImage place = vectors(0.25, 0, 0.25);
        for (int power : new int[] {1, 4, 9}) {
            double a = Math.pow(0.6, power), b = Math.pow(0.8, power), wx = a / (a + b);
            wx = Math.max(0, wx - 1 / 512.0) / (Math.max(0, wx - 1 / 512.0) + (1 - wx) - 1 / 512.0); // each less half a code
            float value = Triplanar.of(image, 1, place, vectors(0.6, 0, 0.8)).sharpness(power).build().get(0, 0, 0);
            // u = −0.25 is 0.75 on x; u = 0.25 on z: texels 2.5 and 0.5, halfway between two equal ones.
            assertThat((double) value).isCloseTo(wx * 0.75 + (1 - wx) * 0.25, within(ROUNDING));
        }
    }

    @Test
    void flatDetail_givesTheSurfacesNormalsBack_onASphere() {
        SplittableRandom random = new SplittableRandom(4);
        FloatImage normals = Images.of(30, 30, VECTORS, (x, y) -> {
            double a = random.nextDouble(-1, 1), b = random.nextDouble(-1, 1), c = random.nextDouble(-1, 1),
                    l = Math.sqrt(a * a + b * b + c * c);
            return new float[] {(float) (a / l), (float) (b / l), (float) (c / l)};
        });
        float[] out = Images.all(Triplanar.of(Images.normal(0, 0, 1), 0.3, normals, normals).build()), expected = Images.all(normals);
        for (int i = 0; i < out.length; i++) {
            assertThat((double) out[i]).isCloseTo(expected[i], within(ROUNDING));
        }
    }

    /** One surface in two charts, the second turned and mirrored: laid in each one's tangent space and decoded by its frame, both shade alike. */
    @Test
    void bothSidesOfASeam_agree() {
        SplittableRandom random = new SplittableRandom(8);
        FloatImage detail = Images.ofHeight(64, 64, (u, v) -> 0.02 * Math.sin(2 * Math.PI * 3 * u) * Math.cos(2 * Math.PI * 2 * v));
        FloatImage colour = Images.data(64, 64, (x, y) -> new float[] {HashNoise.hash(x, y, 0, 1) * 0x1p-32f + 0.5f});
        int count = 200;
        float[][] n = new float[count][], p = new float[count][], t = new float[count][], b = new float[count][], t2 = new float[count][],
                b2 = new float[count][], high = new float[count][];
        for (int i = 0; i < count; i++) {
            n[i] = unit(random.nextDouble(-1, 1), random.nextDouble(-1, 1), random.nextDouble(-1, 1));
            p[i] = new float[] {(float) random.nextDouble(), (float) random.nextDouble(), (float) random.nextDouble()};
            t[i] = cross(n[i], unit(random.nextDouble(-1, 1), random.nextDouble(-1, 1), random.nextDouble(-1, 1)));
            b[i] = cross(n[i], t[i]);
            double angle = random.nextDouble(6), cos = Math.cos(angle), sin = Math.sin(angle);
            t2[i] = mixed(t[i], cos, b[i], sin);
            b2[i] = mixed(t[i], sin, b[i], -cos); // mirrored
            high[i] = mixed(mixed(n[i], 0.9, t[i], random.nextDouble(-0.5, 0.5)), 1, b[i], random.nextDouble(-0.5, 0.5));
            high[i] = unit(high[i][0], high[i][1], high[i][2]);
        }
        FloatImage place = row(p), normals = row(n);
        assertThat(Images.all(Triplanar.of(colour, 0.4, place, normals).build()))
                .isEqualTo(Images.all(Triplanar.of(colour, 0.4, place, normals).build()));
        float[][] one = shaded(detail, place, n, t, b, high), two = shaded(detail, place, n, t2, b2, high);
        double moved = 0;
        for (int i = 0; i < count; i++) {
            for (int c = 0; c < 3; c++) {
                assertThat((double) one[i][c]).isCloseTo(two[i][c], within(5e-6)); // two frames' rounding, over z of 0.4 at the least
                moved = Math.max(moved, Math.abs(one[i][c] - high[i][c]));
            }
        }
        assertThat(moved).isGreaterThan(0.1); // it isn't that nothing was laid
    }

    private static float[][] shaded(FloatImage detail, FloatImage place, float[][] n, float[][] t, float[][] b, float[][] high) {
        int count = n.length;
        float[][] baked = new float[count][];
        for (int i = 0; i < count; i++) {
            baked[i] = new float[] {dot(high[i], t[i]), dot(high[i], b[i]), dot(high[i], n[i])};
        }
        FloatImage laid = LayNormals
                .of(row(baked).withEncoding(Encoding.normal()), Triplanar.of(detail, 0.4, place, row(n)).inTangentSpace(row(t), row(b)))
                .build();
        float[][] out = new float[count][];
        for (int i = 0; i < count; i++) {
            float[] d = Images.texel(laid, i, 0);
            out[i] = mixed(mixed(t[i], d[0], b[i], d[1]), 1, n[i], d[2]);
        }
        return out;
    }

    private static FloatImage row(float[][] vectors) {
        return Images.of(vectors.length, 1, VECTORS, (x, y) -> vectors[x]);
    }

    private static float dot(float[] a, float[] b) {
        return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    }

    private static float[] cross(float[] a, float[] b) {
        return unit((double) a[1] * b[2] - (double) a[2] * b[1], (double) a[2] * b[0] - (double) a[0] * b[2],
                (double) a[0] * b[1] - (double) a[1] * b[0]);
    }

    private static float[] mixed(float[] a, double s, float[] b, double t) {
        return new float[] {(float) (s * a[0] + t * b[0]), (float) (s * a[1] + t * b[1]), (float) (s * a[2] + t * b[2])};
    }

    private static float[] unit(double x, double y, double z) {
        double l = Math.sqrt(x * x + y * y + z * z);
        return new float[] {(float) (x / l), (float) (y / l), (float) (z / l)};
    }

    @Test
    void flatFrames_areFlat_andWrongArgumentsRefused() {
        FloatImage zero = vectors(0, 0, 0), place = vectors(0, 0, 0), up = vectors(0, 1, 0), detail = Images.normal(0.6, 0, 0.8);
        assertThat(Images.texel(Triplanar.of(detail, 1, place, up).inTangentSpace(zero, zero).build(), 0, 0)).containsExactly(0, 0, 1);
        assertThatThrownBy(() -> Triplanar.of(detail, 0, place, up)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("tileSize");
        assertThatThrownBy(() -> Triplanar.of(detail, 1, place, vectors(0, 1, 0, 0, 1, 0))).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("objectNormal");
        assertThatThrownBy(() -> Triplanar.of(detail, 1, place, up).sharpness(0)).isInstanceOf(IllegalArgumentException.class);
        FloatImage data = Images.data(2, 2, (x, y) -> new float[] {1});
        assertThatThrownBy(() -> Triplanar.of(data, 1, place, up).greenDown().build()).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("greenDown");
        assertThatThrownBy(() -> Triplanar.of(data, 1, place, data)).isInstanceOf(IllegalArgumentException.class);
    }
}
