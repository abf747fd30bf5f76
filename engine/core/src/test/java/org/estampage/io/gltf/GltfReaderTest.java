package org.estampage.io.gltf;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Base64;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.assertj.core.data.Offset;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.io.MeshFiles;
import org.estampage.io.format.FormatException;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.FacetNormals;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** Files written by hand, as the glTF 2.0 specification says (from memory), whole and broken. */
class GltfReaderTest {
    private static final Offset<Float> ROUNDING = within(1e-6f); // a few roundings of numbers near 1

    /** The smallest model: one triangle with indices, its buffer in the text (the published introduction's example, from memory). */
    private static final String TRIANGLE = """
            {
              "scene": 0, "scenes": [{"nodes": [0]}], "nodes": [{"mesh": 0}],
              "meshes": [{"primitives": [{"attributes": {"POSITION": 1}, "indices": 0}]}],
              "buffers": [{"uri": "data:application/octet-stream;base64,AAABAAIAAAAAAAAAAAAAAAAAAAAAAIA/AAAAAAAAAAAAAAAAAACAPwAAAAA=", "byteLength": 44}],
              "bufferViews": [{"buffer": 0, "byteOffset": 0, "byteLength": 6, "target": 34963}, {"buffer": 0, "byteOffset": 8, "byteLength": 36, "target": 34962}],
              "accessors": [
                {"bufferView": 0, "byteOffset": 0, "componentType": 5123, "count": 3, "type": "SCALAR", "max": [2], "min": [0]},
                {"bufferView": 1, "byteOffset": 0, "componentType": 5126, "count": 3, "type": "VEC3", "max": [1.0, 1.0, 0.0], "min": [0.0, 0.0, 0.0]}
              ],
              "asset": {"version": "2.0"}
            }
            """;

    @TempDir
    private Path folder;

    private Mesh read(String json) throws IOException {
        return MeshFiles.read(Files.writeString(folder.resolve("a.gltf"), json), Task.silent());
    }

    @Test
    void textOfBrackets_isRefusedForItsTree_beforeThatIsMade() throws IOException {
        // Nodes of some 80 bytes for three bytes of text each.
        String json = "{\"asset\": {\"version\": \"2.0\"}, \"extras\": [" + "{},".repeat(100_000) + "{}]}";
        Path file = Files.writeString(folder.resolve("a.gltf"), json);
        Task poor = new Task(Progress.none(), new Cancellation(), MemoryBudget.ofBytes(10L * json.length()));
        assertThatThrownBy(() -> MeshFiles.read(file, poor)).isInstanceOf(IOException.class).hasMessageContaining("of memory");
        assertThat(poor.memory().reserved()).isZero();
    }

    private static List<String> kinds(Findings findings) {
        return findings.stream().map(Finding::kind).toList();
    }

    /** Bytes in the making, every value where the next multiple of its size is. */
    private static final class Buffer {
        private final ByteBuffer bytes = ByteBuffer.allocate(4096).order(ByteOrder.LITTLE_ENDIAN);

        Buffer floats(double... values) {
            Arrays.stream(values).forEach(v -> bytes.putFloat((float) v));
            return this;
        }

        Buffer shorts(int... values) {
            Arrays.stream(values).forEach(v -> bytes.putShort((short) v));
            return this;
        }

        Buffer bytes(int... values) {
            Arrays.stream(values).forEach(v -> bytes.put((byte) v));
            return this;
        }

        Buffer ints(int... values) {
            Arrays.stream(values).forEach(bytes::putInt);
            return this;
        }

        byte[] array() {
            return Arrays.copyOf(bytes.array(), bytes.position());
        }
    }

    /** Returns a model of one buffer and one view of all of it. */
    private static String model(Buffer buffer, String accessors, String primitive, String nodes) {
        byte[] bytes = buffer.array();
        return String.format(Locale.ROOT,
                """
                        {"asset": {"version": "2.0"}, "buffers": [{"byteLength": %d, "uri": "data:;base64,%s"}], "bufferViews": [{"buffer": 0, "byteLength": %d}],
                         "accessors": [%s], "meshes": [{"name": "part", "primitives": [%s]}], "nodes": [%s], "scenes": [{"nodes": [0]}]}
                        """,
                bytes.length, Base64.getEncoder().encodeToString(bytes), bytes.length, accessors, primitive, nodes);
    }

    private static String accessor(int offset, int componentType, int count, String type, String... more) {
        return "{\"bufferView\": 0, \"byteOffset\": " + offset + ", \"componentType\": " + componentType + ", \"count\": " + count
                + ", \"type\": \"" + type + "\"" + String.join("", more) + "}";
    }

    @Test
    void smallestModel_isRead() throws IOException {
        Mesh mesh = read(TRIANGLE);
        assertThat(mesh.positions()).containsExactly(0, 0, 0, 1, 0, 0, 0, 1, 0);
        assertThat(mesh.positionIndices()).containsExactly(0, 1, 2);
        assertThat(mesh.name()).isEqualTo("a");
        assertThat(mesh.parts()).extracting(Part::name).containsExactly("a");
        assertThat(mesh.findings()).isEmpty();
    }

    @Test
    void textAndBinary_areTheSame_whateverTheyAreCalled() throws IOException {
        byte[] json = TRIANGLE.getBytes(StandardCharsets.UTF_8);
        int padded = (json.length + 3) / 4 * 4;
        ByteBuffer glb = ByteBuffer.allocate(20 + padded).order(ByteOrder.LITTLE_ENDIAN);
        glb.put("glTF".getBytes(StandardCharsets.US_ASCII)).putInt(2).putInt(20 + padded).putInt(padded)
                .put("JSON".getBytes(StandardCharsets.US_ASCII)).put(json);
        while (glb.hasRemaining()) {
            glb.put((byte) ' ');
        }
        assertThat(MeshFiles.read(Files.write(folder.resolve("a.dat"), glb.array()), Task.silent()).sameAs(read(TRIANGLE))).isTrue();
    }

    @Test
    void sparseValues_standInPlaceOfOthers_orOfZeros() throws IOException {
        Buffer buffer = new Buffer().floats(0, 0, 0, 1, 0, 0, 0, 1, 0).floats(5, 6, 7, 8, 9, 10).shorts(1, 2);
        String sparse = ", \"sparse\": {\"count\": 2, \"indices\": {\"bufferView\": 0, \"byteOffset\": 60, \"componentType\": 5123},"
                + " \"values\": {\"bufferView\": 0, \"byteOffset\": 36}}";
        String primitive = "{\"attributes\": {\"POSITION\": 0}}";
        assertThat(read(model(buffer, accessor(0, 5126, 3, "VEC3", sparse), primitive, "{\"mesh\": 0}")).positions())
                .containsExactly(0, 0, 0, 5, 6, 7, 8, 9, 10);
        String zeros = "{\"componentType\": 5126, \"count\": 3, \"type\": \"VEC3\"" + sparse + "}";
        assertThat(read(model(buffer, zeros, primitive, "{\"mesh\": 0}")).positions()).containsExactly(0, 0, 0, 5, 6, 7, 8, 9, 10);
        String tooFar = sparse.replace("60", "58"); // the upper half of a float as an index
        assertThatThrownBy(() -> read(model(buffer, accessor(0, 5126, 3, "VEC3", tooFar), primitive, "{\"mesh\": 0}")))
                .isInstanceOf(FormatException.class).hasMessageContaining("at element 0 of accessors[0]");
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {"4 | 0 1 2 2 1 3", "5 | 0 1 2 1 3 2 2 3 4", "6 | 1 2 0 2 3 0 3 4 0"})
    void listsStripsAndFans_becomeTheTrianglesOfTheSpecification(int mode, String expected) throws IOException {
        Buffer buffer = new Buffer().floats(0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0, 0, 2, 1).bytes(0, 1, 2, 2, 1, 3);
        String indices = mode == 4 ? ", \"indices\": 1" : "";
        Mesh mesh = read(model(buffer, accessor(0, 5126, 5, "VEC3") + "," + accessor(60, 5121, 6, "SCALAR"),
                "{\"mode\": " + mode + ", \"attributes\": {\"POSITION\": 0}" + indices + "}", "{\"mesh\": 0}"));
        assertThat(mesh.positionIndices()).containsExactly(Arrays.stream(expected.split(" ")).mapToInt(Integer::parseInt).toArray());
    }

    @Test
    void stitchesOfStrips_areLeftOut() throws IOException {
        Buffer buffer = new Buffer().floats(0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0, 0, 2, 1, 3, 3, 3).ints(0, 1, 2, 2, 3, 3, 4, 5);
        Mesh mesh = read(model(buffer, accessor(0, 5126, 6, "VEC3") + "," + accessor(72, 5125, 8, "SCALAR"),
                "{\"mode\": 5, \"attributes\": {\"POSITION\": 0}, \"indices\": 1}", "{\"mesh\": 0}"));
        assertThat(mesh.positionIndices()).containsExactly(0, 1, 2, 3, 5, 4);
    }

    @Test
    void everyNumberType_isRead_alsoInterleavedAndNormalised() throws IOException {
        // A vertex: position of three floats, colour of four shorts, UV of two bytes, normal of three signed bytes, joints, weights: 32 bytes.
        Buffer buffer = new Buffer();
        for (int v = 0; v < 3; v++) {
            buffer.floats(v == 1 ? 1 : 0, v == 2 ? 1 : 0, 0).shorts(65535, 0, 13107, 65535).bytes(51, 255, 0, 0)
                    .bytes(0, -127, v == 0 ? -128 : 0, 0)
                    .bytes(v, 2, 0, 255, 255, 0, 0, 0).shorts(-7, 0);
        }
        String view = "{\"buffer\": 0, \"byteLength\": " + buffer.array().length + ", \"byteStride\": 40}";
        String accessors = accessor(0, 5126, 3, "VEC3") + "," + accessor(12, 5123, 3, "VEC4", ", \"normalized\": true") + ","
                + accessor(20, 5121, 3, "VEC2", ", \"normalized\": true") + "," + accessor(24, 5120, 3, "VEC3", ", \"normalized\": true")
                + ","
                + accessor(28, 5121, 3, "VEC4") + "," + accessor(32, 5121, 3, "VEC4", ", \"normalized\": true") + ","
                + accessor(36, 5122, 3, "SCALAR");
        Mesh mesh = read(model(buffer, accessors,
                "{\"attributes\": {\"POSITION\": 0, \"COLOR_0\": 1, \"TEXCOORD_0\": 2, \"NORMAL\": 3, \"JOINTS_0\": 4,"
                        + " \"WEIGHTS_0\": 5, \"_DEPTH\": 6}}",
                "{\"mesh\": 0}")
                .replace("{\"buffer\": 0, \"byteLength\": " + buffer.array().length + "}", view));
        assertThat(mesh.positions()).containsExactly(0, 0, 0, 1, 0, 0, 0, 1, 0);
        assertThat(mesh.colourSets().get(0).values()).startsWith(1, 0, 13107 / 65535f, 1);
        assertThat(mesh.colourSets().get(0).storage()).isEqualTo(Attribute.Storage.UNIT_SHORT);
        assertThat(mesh.uvSets().get(0).values()).startsWith(51 / 255f, 0);
        assertThat(mesh.normals().orElseThrow().values()).startsWith(0, -1, -1, 0, -1, 0);
        assertThat(mesh.extras()).extracting(Attribute::name).containsExactly("JOINTS_0", "WEIGHTS_0", "_DEPTH");
        assertThat(mesh.extras().get(0).values()).containsExactly(0, 2, 0, 255, 1, 2, 0, 255, 2, 2, 0, 255);
        assertThat(mesh.extras().get(1).values()).startsWith(1, 0, 0, 0);
        assertThat(mesh.extras().get(2).values()).containsExactly(-7, -7, -7);
    }

    /** A right-angled triangle in the plane z = 0 that is twice as high as wide, u along x, v up along y; normal +Z, tangent +X, w = 1. */
    private static String tangentModel(String node) {
        Buffer buffer = new Buffer().floats(0, 0, 0, 1, 0, 0, 0, 2, 0).floats(0, 1, 1, 1, 0, 0).floats(0, 0, 1, 0, 0, 1, 0, 0, 1)
                .floats(1, 0, 0, 1, 1, 0, 0, 1, 1, 0, 0, 1);
        return model(buffer, accessor(0, 5126, 3, "VEC3") + "," + accessor(36, 5126, 3, "VEC2") + "," + accessor(60, 5126, 3, "VEC3") + ","
                + accessor(96, 5126, 3, "VEC4"), "{\"attributes\": {\"POSITION\": 0, \"TEXCOORD_0\": 1, \"NORMAL\": 2, \"TANGENT\": 3}}",
                node);
    }

    /** Holds that normals point out of triangles, tangents along rising u, and w · (normal × tangent) along rising v, which is up. */
    private static void assertFrameFits(Mesh mesh) {
        float[] p = GltfFormatTest.perCorner(new Attribute("p", 3, mesh.positions(), mesh.positionIndices()));
        float[] uv = GltfFormatTest.perCorner(mesh.uvSets().get(0));
        float[] n = GltfFormatTest.perCorner(mesh.normals().orElseThrow());
        float[] t = GltfFormatTest.perCorner(mesh.tangents().orElseThrow());
        float[] facet = FacetNormals.unit(mesh);
        assertThat(dot(facet, 0, n, 0)).as("out").isCloseTo(1, within(1e-6));
        float[] alongU = new float[3], alongV = new float[3];
        double du1 = uv[2] - uv[0], dv1 = uv[3] - uv[1], du2 = uv[4] - uv[0], dv2 = uv[5] - uv[1], det = du1 * dv2 - du2 * dv1;
        for (int k = 0; k < 3; k++) {
            double d1 = p[3 + k] - p[k], d2 = p[6 + k] - p[k];
            alongU[k] = (float) ((dv2 * d1 - dv1 * d2) / det);
            alongV[k] = (float) ((du1 * d2 - du2 * d1) / det);
        }
        float w = t[3];
        float[] bitangent = {w * (n[1] * t[2] - n[2] * t[1]), w * (n[2] * t[0] - n[0] * t[2]), w * (n[0] * t[1] - n[1] * t[0])};
        assertThat(dot(alongU, 0, t, 0) / Math.sqrt(dot(alongU, 0, alongU, 0))).as("u").isCloseTo(1, within(1e-6));
        assertThat(dot(alongV, 0, bitangent, 0) / Math.sqrt(dot(alongV, 0, alongV, 0))).as("v").isCloseTo(1, within(1e-6));
    }

    private static double dot(float[] a, int i, float[] b, int j) {
        return (double) a[i] * b[j] + (double) a[i + 1] * b[j + 1] + (double) a[i + 2] * b[j + 2];
    }

    @ParameterizedTest
    @ValueSource(strings = {"{\"mesh\": 0}", "{\"mesh\": 0, \"scale\": [-1, 1, 1]}", "{\"mesh\": 0, \"scale\": [1, -3, 1]}",
            "{\"mesh\": 0, \"scale\": [-2, -2, -2], \"rotation\": [0.6, 0, 0, 0.8], \"translation\": [5, 6, 7]}",
            "{\"mesh\": 0, \"matrix\": [0, 2, 0, 0,  3, 0, 0, 0,  0, 0, 1, 0,  9, 9, 9, 1]}"})
    void frames_fitTheUvs_underEveryTransform(String node) throws IOException {
        Mesh mesh = read(tangentModel(node));
        assertFrameFits(mesh);
        assertThat(mesh.tangents().orElseThrow().values()[3]).isEqualTo(node.contains("-") || node.contains("matrix") ? -1 : 1);
        assertThat(mesh.uvSets().get(0).values()).as("v down became v up").containsExactly(0, 0, 1, 0, 0, 1);
        MeshFiles.write(mesh, folder.resolve("again.glb"), Task.silent());
        assertFrameFits(MeshFiles.read(folder.resolve("again.glb"), Task.silent()));
    }

    @Test
    void normals_goByTheInverseTranspose() throws IOException {
        double h = Math.sqrt(0.5);
        Buffer buffer = new Buffer().floats(1, 0, 0, 0, 1, 0, 1, 0, 1).floats(h, h, 0, h, h, 0, h, h, 0);
        Mesh mesh = read(model(buffer, accessor(0, 5126, 3, "VEC3") + "," + accessor(36, 5126, 3, "VEC3"),
                "{\"attributes\": {\"POSITION\": 0, \"NORMAL\": 1}}", "{\"mesh\": 0, \"scale\": [2, 1, 1]}"));
        float[] n = mesh.normals().orElseThrow().values();
        assertThat(n[0]).isCloseTo((float) (1 / Math.sqrt(5)), ROUNDING); // (1/2, 1, 0) at unit length
        assertThat(n[1]).isCloseTo((float) (2 / Math.sqrt(5)), ROUNDING);
    }

    @Test
    void hierarchy_multipliesTransforms_andEachNodeIsAPart() throws IOException {
        String nodes = "{\"translation\": [10, 0, 0], \"children\": [1, 2]}, {\"name\": \"left\", \"mesh\": 0, \"scale\": [2, 2, 2]},"
                + " {\"mesh\": 0, \"rotation\": [0, 0, 0.7071067811865476, 0.7071067811865476]}";
        Mesh mesh = read(model(new Buffer().floats(0, 0, 0, 1, 0, 0, 0, 1, 0), accessor(0, 5126, 3, "VEC3"),
                "{\"attributes\": {\"POSITION\": 0}}", nodes));
        assertThat(mesh.parts()).extracting(Part::name).containsExactly("left", "part");
        assertThat(mesh.partLabels().of(1)).isEqualTo(1);
        float[] expected = {10, 0, 0, 12, 0, 0, 10, 2, 0, 10, 0, 0, 10, 1, 0, 9, 0, 0};
        for (int i = 0; i < expected.length; i++) {
            assertThat(mesh.positions()[i]).isCloseTo(expected[i], within(2e-6f)); // an ulp of 10
        }
        assertThat(mesh.vertexCount()).as("parts that touch stay apart").isEqualTo(6);
    }

    @Test
    void primitivesWithoutNormals_besideOthersWith_getFlatOnes() throws IOException {
        Buffer buffer = new Buffer().floats(0, 0, 0, 1, 0, 0, 0, 1, 0).floats(0, 1, 0, 0, 1, 0, 0, 1, 0);
        Mesh mesh = read(model(buffer, accessor(0, 5126, 3, "VEC3") + "," + accessor(36, 5126, 3, "VEC3"),
                "{\"attributes\": {\"POSITION\": 0, \"NORMAL\": 1}}, {\"attributes\": {\"POSITION\": 0}}", "{\"mesh\": 0}"));
        assertThat(GltfFormatTest.perCorner(mesh.normals().orElseThrow())).containsExactly(0, 1, 0, 0, 1, 0, 0, 1, 0, 0, 0, 1, 0, 0, 1, 0,
                0, 1);
        assertThat(kinds(mesh.findings())).contains("flat-normals");
    }

    @Test
    void pointsAndLines_areAFinding_besideTriangles() throws IOException {
        Mesh mesh = read(TRIANGLE.replace("\"primitives\": [", "\"primitives\": [{\"attributes\": {\"POSITION\": 1}, \"mode\": 0}, "));
        assertThat(mesh.triangleCount()).isEqualTo(1);
        assertThat(kinds(mesh.findings())).containsExactly("lines-or-points");
    }

    @Test
    void texturesThatAreMissingRefusedOrEmbedded_areFindingsAndNames() throws IOException {
        Files.write(folder.resolve("rust map.png"), new byte[] {1});
        String text = TRIANGLE.replace("\"indices\": 0}", "\"indices\": 0, \"material\": 0}").replace("\"asset\"",
                """
                        "materials": [{"name": "iron", "normalTexture": {"index": 0}, "occlusionTexture": {"index": 1}, "emissiveTexture": {"index": 3},
                          "pbrMetallicRoughness": {"baseColorFactor": [0.5, 0.25, 0.125, 0.1], "baseColorTexture": {"index": 2}}}],
                        "textures": [{"source": 0}, {"source": 1}, {"source": 2}, {"source": 3}],
                        "images": [{"uri": "rust%20map.png"}, {"uri": "gone.png"}, {"bufferView": 0, "mimeType": "image/png"}, {"uri": "../x.png"}],
                        "asset\"""");
        Mesh mesh = read(text);
        assertThat(mesh.materials()).hasSize(1);
        assertThat(mesh.materials().get(0).textures()).containsOnly(Map.entry("normal", "rust map.png"),
                Map.entry("occlusion", "gone.png"), Map.entry("base-colour", "a.gltf#images/2"));
        assertThat(mesh.materials().get(0).opacity()).as("opaque by its mode").isEqualTo(1);
        assertThat(mesh.materials().get(0).green()).isEqualTo(0.25f);
        assertThat(kinds(mesh.findings())).containsExactlyInAnyOrder("missing-texture", "refused-texture");
        assertThat(kinds(read(text.replace("[0.5, 0.25, 0.125, 0.1]", "\"white\"")).findings())).contains("material");
    }

    @ParameterizedTest
    @ValueSource(strings = {"../a.bin", "%2e%2e/a.bin", "..%5Ca.bin", "/etc/hostname", "https://example.org/a.bin", "file:a.bin",
            "//host/a.bin", "a.bin?x",
            "sub/../../a.bin", "link/a.bin", "", "%00"})
    void buffersOutsideTheFolder_areRefused(String uri) throws IOException {
        Path own = Files.createDirectories(folder.resolve("own"));
        Files.createSymbolicLink(own.resolve("link"), folder);
        Files.write(folder.resolve("a.bin"), new byte[44]);
        Path path = Files.writeString(own.resolve("a.gltf"), TRIANGLE.replaceAll("data:[^\"]*", uri));
        assertThatThrownBy(() -> MeshFiles.read(path, Task.silent())).isInstanceOf(FormatException.class)
                .hasMessageStartingWith("a.gltf at buffers[0].uri: found ").hasMessageContaining("in the folder of the model");
    }

    @Test
    void buffersInTheFolder_areRead() throws IOException {
        Files.createDirectories(folder.resolve("my data"));
        Files.write(folder.resolve("my data/a.bin"), new Buffer().shorts(0, 1, 2, 0).floats(0, 0, 0, 1, 0, 0, 0, 1, 0).array());
        assertThat(read(TRIANGLE.replaceAll("data:[^\"]*", "my%20data/a.bin")).sameAs(read(TRIANGLE))).isTrue();
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', quoteCharacter = '`', value = {
            "\"version\": \"2.0\" | \"version\": \"1.0\" | asset.version: found \"1.0\", expected 2.0",
            "\"version\": \"2.0\" | \"version\": \"2.1\", \"minVersion\": \"2.1\" | asset.minVersion",
            "\"asset\": | \"asset\": [], \"x\": | asset: found a list of 0, expected an object",
            "\"asset\": {\"version\": \"2.0\"} | \"asset\": {} | asset.version: found nothing, expected text",
            "\"asset\": | \"extensionsRequired\": [\"XX_packed\"], \"asset\": | requires extensions that are not known here: XX_packed",
            "\"nodes\": [0] | \"nodes\": [1] | scenes[0].nodes[0]: found 1, expected a whole number, 0 … 0",
            "\"mesh\": 0 | \"mesh\": 7 | nodes[0].mesh: found 7",
            "{\"mesh\": 0} | {\"mesh\": 0, \"children\": [0]} | twice in the hierarchy",
            "{\"mesh\": 0} | {\"mesh\": 0, \"matrix\": [1, 2]} | nodes[0].matrix: found a list of 2, expected a list of 16 numbers",
            "{\"mesh\": 0} | {\"mesh\": 0, \"scale\": [1, 1e999, 1]} | nodes[0].scale[1]",
            "{\"mesh\": 0} | {\"mesh\": 0, \"rotation\": [0, 0, 0, 0]} | nodes[0].rotation",
            "\"POSITION\": 1 | \"POSITION\": 0 | accessors[0].type: found \"SCALAR\", expected VEC3",
            "\"POSITION\": 1 | \"POSITION\": 1, \"NORMAL\": 0 | accessors[0].type",
            "\"indices\": 0 | \"indices\": 1 | accessors[1].type: found \"VEC3\", expected SCALAR",
            "\"indices\": 0 | \"indices\": 0, \"mode\": 9 | primitives[0].mode: found 9",
            "\"indices\": 0 | \"indices\": 0, \"mode\": 1 | has no faces",
            "\"indices\": 0 | \"indices\": 0, \"material\": 0 | primitives[0].material: found 0, expected nothing, since there is no such list",
            "\"byteLength\": 44 | \"byteLength\": 45 | buffers[0].byteLength: found 45, expected at most the 44 bytes that are there",
            "\"byteLength\": 36 | \"byteLength\": 37 | bufferViews[1].byteLength: found 37, expected at most 36",
            "\"byteLength\": 36 | \"byteLength\": 35 | accessors[1].count: found 3, expected at most 2 elements of 12 bytes",
            "\"byteOffset\": 8 | \"byteOffset\": -8 | bufferViews[1].byteOffset: found -8",
            "\"byteLength\": 36 | \"byteLength\": 36, \"byteStride\": 16 | accessors[1].count",
            "5126 | 5124 | accessors[1].componentType: found 5124",
            "\"count\": 3, \"type\": \"VEC3\" | \"count\": 3.5, \"type\": \"VEC3\" | accessors[1].count: found 3.5",
            "\"count\": 3, \"type\": \"VEC3\" | \"count\": 2000000000, \"type\": \"VEC3\" | accessors[1].count",
            "\"count\": 3, \"type\": \"VEC3\" | \"count\": 1e300, \"type\": \"VEC3\" | accessors[1].count",
            "\"count\": 3, \"type\": \"VEC3\" | \"count\": 2, \"type\": \"VEC3\" | at element 2 of accessors[0]: found 2, expected 0 … 1",
            "\"type\": \"VEC3\" | \"type\": \"VEC9\" | accessors[1].type: found \"VEC9\"",
            "\"bufferView\": 1, | \"bufferView\": 2, | accessors[1].bufferView: found 2",
            "\"bufferView\": 1, \"byteOffset\": 0, \"componentType\": 5126, \"count\": 3 | \"componentType\": 5126, \"count\": 400000000 | without a bufferView",
            "base64,AAAB | base64,A*AB | buffers[0].uri: found \"data:application/octet-stream",
            ";base64,AAAB | ,AAAB | buffers[0].uri",
            "data:application/octet-stream;base64, | x.bin?, | buffers[0].uri",
            "\"primitives\" | \"primitives\": 5, \"others\" | meshes[0].primitives: found 5, expected a list",
            "\"scene\": 0 | \"scene\": 0, \"scene\": 1 | no valid JSON",
            "\"scene\": 0, | \"scene\": 0,, | a.gltf:2: found no valid JSON"})
    void damage_isNamed(String what, String by, String message) {
        assertThat(TRIANGLE).contains(what.strip());
        assertThatThrownBy(() -> read(TRIANGLE.replace(what.strip(), by.strip()))).isInstanceOf(FormatException.class)
                .hasMessageStartingWith("a.gltf")
                .hasMessageContaining(message.strip());
    }

    @Test
    void missingBuffer_isNamed() {
        assertThatThrownBy(() -> read(TRIANGLE.replaceAll("data:[^\"]*", "gone.bin"))).isInstanceOf(FormatException.class)
                .hasMessage("a.gltf at buffers[0].uri: found \"gone.bin\", expected a file that is there: copy it beside the model");
    }

    private byte[] binary() throws IOException {
        MeshFiles.write(GltfFormatTest.panel().build(), folder.resolve("panel.glb"), Task.silent());
        return Files.readAllBytes(folder.resolve("panel.glb"));
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {"4 | 1 | byte 4: found version 1, expected version 2", "8 | 100000 | 100000 bytes, as byte 8 says",
            "12 | 100000 | byte 12: found a chunk of 100000 bytes", "16 | 5 | byte 16: found chunk type 5, expected JSON",
            "8 | 12 | found no chunk",
            "8 | 16 | a chunk's header of 8 bytes", "20 | 1482184792 | found no valid JSON"})
    void damagedBinary_isNamed(int offset, int value, String message) throws IOException {
        byte[] bytes = binary();
        ByteBuffer.wrap(bytes).order(ByteOrder.LITTLE_ENDIAN).putInt(offset, value);
        Path path = Files.write(folder.resolve("broken.glb"), bytes);
        assertThatThrownBy(() -> MeshFiles.read(path, Task.silent())).isInstanceOf(FormatException.class)
                .hasMessageStartingWith("broken.glb at byte ")
                .hasMessageContaining(message);
    }

    @Test
    void binaryCutOffAnywhere_isRefused() throws IOException {
        byte[] bytes = binary();
        for (int length = 4; length < bytes.length; length += 1 + length % 7) {
            Path path = Files.write(folder.resolve("cut.glb"), Arrays.copyOf(bytes, length));
            assertThatThrownBy(() -> MeshFiles.read(path, Task.silent())).isInstanceOf(FormatException.class)
                    .hasMessageContaining("end of the file");
        }
    }
}
