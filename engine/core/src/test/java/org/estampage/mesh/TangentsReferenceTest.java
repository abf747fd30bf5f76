package org.estampage.mesh;

import static org.assertj.core.api.Assertions.assertThat;

import com.jme3.util.mikktspace.MikkTSpaceContext;
import com.jme3.util.mikktspace.MikktspaceTangentGenerator;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.util.Random;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Tangents against two independent ports of the MikkTSpace reference: tables made with one, the other live. */
class TangentsReferenceTest {
    @ParameterizedTest
    @ValueSource(strings = {"bumpy16x8", "cube_hard", "cube_smooth", "degenerate_uv", "mirror_seam", "quad", "quad_mirrored",
            "quad_rot_shear",
            "sphere12x6", "sphere12x6_mirror"})
    void tables_ofThePortedReference_areMet(String name) throws IOException {
        // Source: npm mikktspace 1.1.1, a port of the reference; 1e-5 allows for another order of float additions.
        String json;
        try (InputStream in = TangentsReferenceTest.class.getResourceAsStream("/org/estampage/testresources/tangents/" + name + ".json")) {
            json = new String(in.readAllBytes(), StandardCharsets.UTF_8);
        }
        float[] expected = numbers(json, "tangents");
        float[] actual = corners(Tangents.mikkTSpace(mesh(numbers(json, "positions"), numbers(json, "normals"), numbers(json, "uvs"))));
        assertSame(expected, actual, 1e-5f);
    }

    @ParameterizedTest
    @ValueSource(ints = {1, 2, 3, 4, 5, 6})
    void generatedMeshes_asTheLiveReference(int seed) {
        // Source: jme3-core 3.6.1, its port of the reference. Bumpy grids, with mirrored halves, flat UVs and triangles without area among them.
        Mesh mesh = bumpy(40, seed);
        float[] actual = corners(Tangents.mikkTSpace(mesh));
        float[] expected = live(mesh);
        assertSame(expected, actual, 1e-5f);
    }

    @Test
    void mirroredBall_asTheLiveReference() { // poles with a wide fan, a seam, and halves that share their UVs
        Mesh ball = Normals.hardEdges(TestShapes.sphere(90, 45), 3.9);
        Attribute uv = ball.uvSets().get(0);
        float[] mirrored = uv.values().clone();
        for (int i = 0; i < mirrored.length; i += 2) {
            mirrored[i] = Math.min(mirrored[i], 1 - mirrored[i]);
        }
        Mesh mesh = ball.toBuilder().noUvSets().uvSet(new Attribute("uv", 2, mirrored, uv.indices())).build();
        assertSame(live(mesh), corners(Tangents.mikkTSpace(mesh)), 1e-5f);
    }

    @Test
    void triangleSoup_withoutSharedEdges_asTheLiveReference() {
        Random random = new Random(11);
        int triangles = 3000;
        float[] p = new float[9 * triangles], n = new float[9 * triangles], uv = new float[6 * triangles];
        // Few places and few normals, so that corners coincide often; in general position, so that no tangent runs along a normal and no triangle
        // is a line, where rounding alone would decide.
        float[] places = new float[3 * 60];
        for (int i = 0; i < places.length; i++) {
            places[i] = random.nextFloat();
        }
        float[][] few = new float[3][3];
        for (float[] normal : few) {
            double length = 0;
            for (int k = 0; k < 3; k++) {
                normal[k] = random.nextFloat() - 0.5f;
                length += normal[k] * normal[k];
            }
            for (int k = 0; k < 3; k++) {
                normal[k] /= (float) Math.sqrt(length);
            }
        }
        for (int i = 0; i < p.length; i += 3) {
            int place = random.nextInt(60);
            float[] normal = few[place % few.length];
            for (int k = 0; k < 3; k++) {
                p[i + k] = places[3 * place + k];
                n[i + k] = normal[k];
            }
        }
        for (int i = 0; i < uv.length; i++) {
            uv[i] = random.nextInt(4) / 4f;
        }
        Mesh mesh = mesh(p, n, uv);
        assertSame(live(mesh), corners(Tangents.mikkTSpace(mesh)), 1e-4f); // sums of nearly opposite directions lose digits
    }

    static void assertSame(float[] expected, float[] actual, float tolerance) {
        assertThat(actual).hasSameSizeAs(expected);
        int different = 0;
        StringBuilder first = new StringBuilder();
        for (int i = 0; i < expected.length; i++) {
            if (!(Math.abs(expected[i] - actual[i]) <= tolerance)) {
                if (different++ < 8) {
                    first.append("corner ").append(i / 4).append(" [").append(i % 4).append("]: ").append(expected[i]).append(" / ")
                            .append(actual[i])
                            .append('\n');
                }
            }
        }
        assertThat(different).as("different of %d:\n%s", expected.length, first).isZero();
    }

    static float[] corners(Attribute tangents) {
        float[] out = new float[4 * tangents.indices().length];
        for (int c = 0; c < tangents.indices().length; c++) {
            System.arraycopy(tangents.values(), 4 * tangents.indices()[c], out, 4 * c, 4);
        }
        return out;
    }

    static Mesh mesh(float[] p, float[] n, float[] uv) {
        int[] corners = new int[p.length / 3];
        for (int i = 0; i < corners.length; i++) {
            corners[i] = i;
        }
        return Mesh.builder(p, corners).normals(new Attribute("normal", 3, n, corners)).uvSet(new Attribute("uv", 2, uv, corners)).build();
    }

    private static Mesh bumpy(int side, int seed) {
        Random random = new Random(seed);
        // The reference leaves the edges of its last vertex unsorted and may miss neighbours there; a last triangle of its own keeps that out.
        int alone = side * side;
        float[] p = new float[3 * alone + 9], uv = new float[2 * alone + 6];
        for (int i = 0; i < 3; i++) {
            p[3 * (alone + i) + i] = -9;
            uv[2 * (alone + i) + i % 2] = 1 + i;
        }
        for (int y = 0; y < side; y++) {
            for (int x = 0; x < side; x++) {
                int i = y * side + x;
                p[3 * i] = x + random.nextFloat() * 0.3f;
                p[3 * i + 1] = y + random.nextFloat() * 0.3f;
                p[3 * i + 2] = random.nextFloat();
                float u = seed % 2 == 0 ? Math.abs(x - side / 2) : x; // mirrored about the middle
                uv[2 * i] = (u + random.nextFloat() * 0.2f) / side;
                uv[2 * i + 1] = (y + random.nextFloat() * 0.2f) / side;
            }
        }
        int[] corners = new int[6 * (side - 1) * (side - 1) + 3];
        int c = 0;
        for (int y = 0; y + 1 < side; y++) {
            for (int x = 0; x + 1 < side; x++) {
                int a = y * side + x, b = a + 1, d = a + side, e = d + 1;
                for (int v : new int[] {a, b, e, a, e, d}) {
                    corners[c++] = v;
                }
            }
        }
        for (int i = 0; i < 3; i++) {
            corners[c++] = alone + i;
        }
        int[] uvCorners = corners.clone();
        for (int t = 0; t < corners.length / 3 - 1; t++) {
            int what = random.nextInt(60);
            if (what == 0) {
                uvCorners[3 * t + 1] = uvCorners[3 * t]; // no UV area
            } else if (what == 1) {
                corners[3 * t + 1] = corners[3 * t]; // no area
            }
        }
        return Normals.smooth(Mesh.builder(p, corners).uvSet(new Attribute("uv", 2, uv, uvCorners)).build());
    }

    static float[] live(Mesh mesh) {
        float[] out = new float[12 * mesh.triangleCount()];
        Attribute normals = mesh.normals().orElseThrow();
        Attribute uvs = mesh.uvSets().get(0);
        MikktspaceTangentGenerator.genTangSpaceDefault(new MikkTSpaceContext() {
            @Override
            public int getNumFaces() {
                return mesh.triangleCount();
            }

            @Override
            public int getNumVerticesOfFace(int face) {
                return 3;
            }

            @Override
            public void getPosition(float[] dest, int face, int corner) {
                System.arraycopy(mesh.positions(), 3 * mesh.positionIndices()[3 * face + corner], dest, 0, 3);
            }

            @Override
            public void getNormal(float[] dest, int face, int corner) {
                System.arraycopy(normals.values(), 3 * normals.indices()[3 * face + corner], dest, 0, 3);
            }

            @Override
            public void getTexCoord(float[] dest, int face, int corner) {
                System.arraycopy(uvs.values(), 2 * uvs.indices()[3 * face + corner], dest, 0, 2);
            }

            @Override
            public void setTSpaceBasic(float[] tangent, float sign, int face, int corner) {
                System.arraycopy(tangent, 0, out, 12 * face + 4 * corner, 3);
                out[12 * face + 4 * corner + 3] = sign;
            }

            @Override
            public void setTSpace(float[] tangent, float[] bitangent, float magS, float magT, boolean preserving, int face, int corner) {
                // the basic form says it all
            }
        });
        return out;
    }

    private static float[] numbers(String json, String key) {
        Matcher m = Pattern.compile("\"" + key + "\"\\s*:\\s*\\[([^\\]]*)\\]").matcher(json);
        assertThat(m.find()).as(key).isTrue();
        String[] parts = m.group(1).split(",");
        float[] out = new float[parts.length];
        for (int i = 0; i < parts.length; i++) {
            out[i] = Float.parseFloat(parts[i].trim());
        }
        return out;
    }
}
