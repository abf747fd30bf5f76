package org.estampage.mesh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.Arrays;
import java.util.Random;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Example;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;

class TangentsPropertyTest {
    /**
     * Any small mesh: lattice points that often coincide, triangles without area or UV area, many triangles on an edge. Source: jme3-core 3.6.1, a
     * port of the MikkTSpace reference. Float arithmetic is exact to the bit in Java and both follow the same order, so they must be equal.
     */
    @Property(tries = 500)
    void anySoup_asTheLiveReference(@ForAll("soups") Mesh soup, @ForAll Random random) {
        Mesh mesh = dressed(soup, random);
        TangentsReferenceTest.assertSame(TangentsReferenceTest.live(mesh), TangentsReferenceTest.corners(Tangents.mikkTSpace(mesh)), 0);
    }

    /** Normals in general position, one of two at each point; UVs on a lattice; and a last triangle on its own, see {@link Tangents}. */
    private static Mesh dressed(Mesh soup, Random random) {
        int corners = soup.positionIndices().length;
        float[] p = Arrays.copyOf(soup.positions(), soup.positions().length + 9);
        int[] t = Arrays.copyOf(soup.positionIndices(), corners + 3);
        int[] n = new int[corners + 3], uv = new int[corners + 3];
        float[] normals = new float[3 * 20], uvs = new float[2 * 16 + 6];
        for (int i = 0; i < normals.length; i += 3) {
            double x = random.nextGaussian(), y = random.nextGaussian(), z = random.nextGaussian(),
                    length = Math.sqrt(x * x + y * y + z * z);
            normals[i] = (float) (x / length);
            normals[i + 1] = (float) (y / length);
            normals[i + 2] = (float) (z / length);
        }
        int[] uvOfPoint = new int[soup.vertexCount()];
        for (int v = 0; v < uvOfPoint.length; v++) {
            uvOfPoint[v] = random.nextInt(16);
        }
        for (int i = 0; i < 16; i++) {
            int column = i % 4, row = i / 4;
            uvs[2 * i] = column / 4f;
            uvs[2 * i + 1] = row / 4f;
        }
        for (int c = 0; c < corners; c++) {
            n[c] = t[c] % 20;
            uv[c] = random.nextInt(6) == 0 ? random.nextInt(16) : uvOfPoint[t[c]];
        }
        for (int k = 0; k < 3; k++) {
            t[corners + k] = soup.vertexCount() + k;
            uv[corners + k] = 16 + k;
            p[soup.positions().length + 3 * k + k] = 9;
            uvs[32 + 2 * k + k % 2] = k + 2;
        }
        return Mesh.builder(p, t).normals(new Attribute("n", 3, normals, n)).uvSet(new Attribute("uv", 2, uvs, uv)).build();
    }

    /** Closed form: where UVs are an affine map of a plane, tangents are its first direction, made unit. */
    @Property(tries = 200)
    void affineUvs_giveTheDirectionOfRisingU(@ForAll Random random) {
        double a = random.nextDouble() * 2 - 1, b = random.nextDouble() * 2 - 1, c = random.nextDouble() * 2 - 1,
                d = random.nextDouble() * 2 - 1;
        double det = a * d - b * c;
        if (Math.abs(det) < 0.1) {
            return; // nearly degenerate maps lose digits in float
        }
        Mesh sheet = TestShapes.sheet(6, 0);
        float[] uvs = sheet.uvSets().get(0).values().clone();
        for (int i = 0; i < uvs.length; i += 2) {
            float x = uvs[i], y = uvs[i + 1];
            uvs[i] = (float) (a * x + b * y);
            uvs[i + 1] = (float) (c * x + d * y);
        }
        Attribute uv = new Attribute("uv", 2, uvs, sheet.uvSets().get(0).indices());
        Attribute tangents = Tangents.mikkTSpace(Normals.smooth(sheet.toBuilder().noUvSets().uvSet(uv).build()));
        // (x, y) per u: the inverse's first column (d, −c)/det
        double length = Math.hypot(d, c), sign = Math.signum(det);
        for (int i = 0; i < tangents.count(); i++) {
            // UVs rounded to float over cells of 1/6, with a determinant down to 0.1
            assertThat(tangents.values()[4 * i]).isCloseTo((float) (sign * d / length), within(5e-5f));
            assertThat(tangents.values()[4 * i + 1]).isCloseTo((float) (-sign * c / length), within(5e-5f));
            assertThat(tangents.values()[4 * i + 3]).isEqualTo((float) sign);
        }
    }

    @Property(tries = 100)
    void tangents_areUnitAndSquareToTheNormal(@ForAll("balls") Mesh ball) {
        Mesh mesh = Normals.smooth(ball);
        Attribute tangents = Tangents.mikkTSpace(mesh);
        for (int c = 0; c < mesh.positionIndices().length; c++) {
            int i = 4 * tangents.indices()[c];
            float[] n = TestShapes.normalAt(mesh, c), t = tangents.values();
            assertThat(t[i] * t[i] + t[i + 1] * t[i + 1] + t[i + 2] * t[i + 2]).isCloseTo(1, within(1e-6f)); // float rounding
            assertThat(t[i] * n[0] + t[i + 1] * n[1] + t[i + 2] * n[2]).isCloseTo(0, within(1e-5f)); // as sums of projected unit vectors
            assertThat(t[i + 3]).isEqualTo(1); // the balls' UVs are not mirrored
        }
    }

    @Example
    void scaleOfTheMesh_doesNotMatter() {
        Mesh ball = Normals.smooth(TestShapes.sphere(24, 12));
        float[] expected = Tangents.mikkTSpace(ball).values();
        assertThat(Tangents.mikkTSpace(ball.unit(0x1p20)).values()).containsExactly(expected); // powers of two round nothing
        assertThat(Tangents.mikkTSpace(ball.unit(0x1p-20)).values()).containsExactly(expected);
        for (double factor : new double[] {1000, 0.001}) { // positions rounded by 6e-8, edges at the poles 0.03 long
            assertThat(Tangents.mikkTSpace(ball.unit(factor)).values()).containsExactly(expected, within(1e-5f));
        }
    }

    @Example
    void cornersOfOneGroup_shareAnEntry() {
        Mesh sheet = Normals.smooth(TestShapes.sheet(10, 0.1));
        assertThat(Tangents.mikkTSpace(sheet).count()).isEqualTo(sheet.vertexCount());
    }

    @Example
    void fanOfVeryManyTriangles_isNotRecursedInto() { // a stack of 20,000 calls would be near the limit
        Mesh fan = Normals.smooth(TestShapes.sphere(20_000, 2));
        Attribute tangents = Tangents.mikkTSpace(fan);
        assertThat(tangents.indices()).hasSize(fan.positionIndices().length);
    }

    @Example
    void oneCap_ofVeryManyTriangles_isOneGroup() { // all directions agree, so no pairs need comparing
        int n = 50_000;
        float[] p = new float[3 * n + 3];
        int[] t = new int[3 * n];
        float[] uv = new float[2 * n + 2];
        for (int i = 0; i < n; i++) {
            p[3 * i] = uv[2 * i] = (float) StrictMath.cos(2 * Math.PI * i / n);
            p[3 * i + 1] = uv[2 * i + 1] = (float) StrictMath.sin(2 * Math.PI * i / n);
            t[3 * i] = n;
            t[3 * i + 1] = i;
            t[3 * i + 2] = (i + 1) % n;
        }
        Attribute tangents = Tangents.mikkTSpace(Normals.smooth(Mesh.builder(p, t).uvSet(new Attribute("uv", 2, uv, t)).build()));
        assertThat(tangents.count()).isEqualTo(n + 1);
        int centre = 4 * tangents.indices()[0];
        assertThat(tangents.values()[centre]).isCloseTo(1, within(1e-4f)); // the mean of directions that float rounds by up to 1e-3 each
        assertThat(tangents.values()[centre + 3]).isEqualTo(1);
    }

    @Example
    void notFiniteNumbers_giveFiniteTangents() {
        float[] p = {0, 0, 0, 1, 0, 0, 0, 1, 0, Float.NaN, 1, 0, 1, Float.POSITIVE_INFINITY, 0};
        int[] t = {0, 1, 2, 1, 3, 2, 1, 4, 2};
        float[] n = {0, 0, 1, Float.NaN, 0, 0};
        int[] normalOf = {0, 0, 1, 0, 0, 1, 0, 0, 1};
        float[] uv = {0, 0, 1, 0, 0, 1, 1, 1, Float.NaN, 0};
        Attribute tangents = Tangents.mikkTSpace(
                Mesh.builder(p, t).normals(new Attribute("n", 3, n, normalOf)).uvSet(new Attribute("uv", 2, uv, t)).build());
        for (float value : tangents.values()) {
            assertThat(value).isFinite();
        }
    }

    @Example
    void missingNormalsOrUvs_areNamed() {
        Mesh cube = TestShapes.cube();
        assertThatThrownBy(() -> Tangents.mikkTSpace(cube)).hasMessageContaining("cube has no normals");
        assertThatThrownBy(() -> Tangents.mikkTSpace(Normals.smooth(cube))).hasMessageContaining("cube has no UVs");
    }

    @Provide
    Arbitrary<Mesh> soups() {
        return TestShapes.soups();
    }

    @Provide
    Arbitrary<Mesh> balls() {
        return TestShapes.bumpyBalls();
    }
}
