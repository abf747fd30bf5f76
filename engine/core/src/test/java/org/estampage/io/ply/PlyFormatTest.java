package org.estampage.io.ply;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.finding.Place;
import org.estampage.io.format.FormatException;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Header words and types: Turk, "The PLY Polygon File Format", 1994, from memory. */
class PlyFormatTest {
    private static final String XYZ = "property float x\nproperty float y\nproperty float z\n";
    private static final String FACES = "property list uchar int vertex_indices\n";

    @TempDir
    Path folder;

    private Mesh read(String text) throws IOException {
        return read(text.getBytes(StandardCharsets.ISO_8859_1));
    }

    private Mesh read(byte[] bytes) throws IOException {
        return PlyFormat.binary().read(Files.write(folder.resolve("a.ply"), bytes), Task.silent());
    }

    private void assertRefused(String text, String... words) {
        assertThatThrownBy(() -> read(text)).isInstanceOf(FormatException.class).hasMessageContainingAll(words);
    }

    private static String ascii(String vertexProperties, String body) {
        return "ply\nformat ascii 1.0\ncomment by hand\nobj_info none\nelement vertex 3\n" + vertexProperties + "element face 1\n" + FACES
                + "end_header\n"
                + body;
    }

    private static List<String> kinds(Mesh mesh) {
        return mesh.findings().stream().map(Finding::kind).toList();
    }

    @Test
    void text_isRead() throws IOException {
        Mesh mesh = read(ascii(XYZ, "0 0 0\n1 0 0.1\n\n1 1e0 -0\n3 0 1 2\n"));
        assertThat(mesh.positions()).containsExactly(0, 0, 0, 1, 0, 0.1f, 1, 1, -0f);
        assertThat(mesh.positionIndices()).containsExactly(0, 1, 2);
        assertThat(mesh.name()).isEqualTo("a");
        assertThat(mesh.parts().get(0).name()).isEqualTo("a");
        assertThat(mesh.findings()).isEmpty();
    }

    /** All types under both names, in an odd order, in both byte orders, written by the JDK's own buffers. */
    @ParameterizedTest
    @ValueSource(strings = {"LITTLE_ENDIAN", "BIG_ENDIAN"})
    void binary_ofAllTypesInAnyOrder_isRead(String orderName) throws IOException {
        ByteOrder order = orderName.equals("BIG_ENDIAN") ? ByteOrder.BIG_ENDIAN : ByteOrder.LITTLE_ENDIAN;
        String header = "ply\nformat binary_" + orderName.toLowerCase(java.util.Locale.ROOT)
                + " 1.0\nelement first 2\nproperty list uint16 float64 list\n"
                + "property int8 a\nelement face 3\nproperty uchar flag\nproperty list ushort uint vertex_index\nproperty list uchar float texcoord\n"
                + "element vertex 4\nproperty uint16 red\nproperty double y\nproperty int8 c1\nproperty uint8 c2\nproperty int16 x\nproperty ushort green\n"
                + "property uint c3\nproperty int32 z\nproperty ushort blue\nproperty float t\nproperty short c4\nproperty float32 s\nend_header\n";
        ByteBuffer b = ByteBuffer.allocate(1000).order(order);
        b.putShort((short) 1).putDouble(1).put((byte) 1).putShort((short) 0).put((byte) 2);
        int[][] faces = {{0, 1, 2}, {3, 2, 1, 0}, {0, 1}};
        for (int[] face : faces) {
            b.put((byte) 7).putShort((short) face.length);
            for (int v : face) {
                b.putInt(v);
            }
            b.put((byte) 2).putFloat(1).putFloat(2);
        }
        for (int v = 0; v < 4; v++) {
            b.putShort((short) 65535).putDouble(v + 0.1).put((byte) (v - 2)).put((byte) (253 + v)).putShort((short) -v)
                    .putShort((short) 0)
                    .putInt(-1 - v).putInt(v * 1000).putShort((short) 13107).putFloat(0.5f).putShort((short) -300).putFloat(v);
        }
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        out.write(header.getBytes(StandardCharsets.US_ASCII));
        out.write(b.array(), 0, b.position());
        Mesh mesh = read(out.toByteArray());
        assertThat(mesh.positions()).containsExactly(0, 0.1f, 0, -1, 1.1f, 1000, -2, 2.1f, 2000, -3, 3.1f, 3000);
        assertThat(mesh.uvSets().get(0).values()).containsExactly(0, 0.5f, 1, 0.5f, 2, 0.5f, 3, 0.5f);
        Attribute colours = mesh.colourSets().get(0);
        assertThat(colours.values()).startsWith(1, 0, 0.2f);
        assertThat(colours.storage()).isEqualTo(Attribute.Storage.UNIT_SHORT);
        assertThat(mesh.polygons().orElseThrow().count()).isEqualTo(2);
        assertThat(mesh.positionIndices()).hasSize(9).startsWith(0, 1, 2);
        assertThat(mesh.extras().stream().map(Attribute::name)).containsExactly("c1", "c2", "c3", "c4");
        assertThat(mesh.extras().get(0).values()).containsExactly(-2, -1, 0, 1);
        assertThat(mesh.extras().get(1).values()).containsExactly(253, 254, 255, 0);
        assertThat(mesh.extras().get(2).values()).containsExactly(4294967295f, 4294967294f, 4294967293f, 4294967292f);
        assertThat(mesh.extras().get(3).values()).containsOnly(-300);
        assertThat(kinds(mesh)).containsExactly("element-passed-over", "face-property-passed-over", "small-face", "rounded-to-float");
    }

    @Test
    void headerOfCarriageReturnsAndLineFeeds_endsBehindItsLineFeed() throws IOException {
        for (String end : new String[] {"\n", "\r\n", "\r"}) {
            String header = ("ply\nformat binary_little_endian 1.0\nelement vertex 3\nproperty uchar x\nproperty uchar y\nproperty uchar z\nelement face 1\n"
                    + FACES + "end_header\n").replace("\n", end);
            // The first coordinate is 10, a line feed.
            Mesh mesh = read(header + "\n\0\0" + "\1\0\0" + "\0\1\0" + "\3" + "\0\0\0\0" + "\1\0\0\0" + "\2\0\0\0");
            assertThat(mesh.positions()).startsWith(10, 0, 0, 1);
            assertThat(mesh.findings()).isEmpty();
        }
    }

    @Test
    void coloursNormalsAndUvs_areRecognisedByName() throws IOException { // the names: common practice, no source
        String v = " 255 51 0 127.5 0 0 1 0.25 0.75\n";
        Mesh mesh = read(ascii(
                XYZ + "property uchar red\nproperty uchar green\nproperty uchar blue\nproperty uchar alpha\nproperty float nx\n"
                        + "property float ny\nproperty float nz\nproperty float u\nproperty float v\n",
                ("0 0 0" + v + "1 0 0" + v + "0 1 0" + v + "3 0 1 2\n").replace("127.5", "102")));
        assertThat(mesh.colourSets().get(0).values()).startsWith(1, 0.2f, 0, 0.4f);
        assertThat(mesh.colourSets().get(0).storage()).isEqualTo(Attribute.Storage.UNIT_BYTE);
        assertThat(mesh.normals().orElseThrow().values()).startsWith(0, 0, 1);
        assertThat(mesh.uvSets().get(0).values()).startsWith(0.25f, 0.75f);
        assertThat(mesh.extras()).isEmpty();
        mesh = read(ascii(XYZ
                + "property float red\nproperty float green\nproperty float blue\nproperty float texture_u\nproperty float texture_v\nproperty float nx\n",
                "0 0 0 0.5 2 0 0 1 9\n1 0 0 0.5 0 0 0 1 9\n0 1 0 0.5 0 0 0 1 9\n3 0 1 2\n"));
        assertThat(mesh.colourSets().get(0).values()).startsWith(0.5f, 2, 0);
        assertThat(mesh.uvSets().get(0).values()).startsWith(0, 1);
        assertThat(mesh.normals()).isEmpty();
        assertThat(mesh.extras().get(0).name()).isEqualTo("nx");
    }

    @Test
    void doublesThatAreNoFloats_areRoundedWithAFinding() throws IOException {
        String doubles = XYZ.replace("float", "double");
        Mesh mesh = read(ascii(doubles, "500000.123456789 0 0\n1 0 0\n0 1 0\n3 0 1 2\n"));
        assertThat(mesh.positions()[0]).isEqualTo((float) 500000.123456789);
        assertThat(mesh.findings()).hasSize(1);
        assertThat(mesh.findings().get(0).remedy()).contains("0.00154 in x"); // 500000.125 − 500000.123456789, floats there are 1/32 apart
        assertThat(read(ascii(doubles, "0.5 0 0\n1 0 0\n0 1 0\n3 0 1 2\n")).findings()).isEmpty();
    }

    @Test
    void polygons_areKept() throws IOException {
        Mesh mesh = read("ply\nformat ascii 1.0\nelement vertex 5\n" + XYZ + "element face 2\n" + FACES
                + "end_header\n0 0 0\n4 0 0\n4 4 0\n2 1 0\n0 4 0\n5 0 1 2 3 4\n3 0 1 3\n");
        assertThat(mesh.triangleCount()).isEqualTo(4);
        assertThat(mesh.polygons().orElseThrow().cornerCount(0)).isEqualTo(5);
        assertThat(mesh.polygons().get().firstTriangle(1)).isEqualTo(3);
    }

    @Test
    void valuesThatAreNotFinite_areReadAndFound() throws IOException {
        Mesh mesh = read(ascii(XYZ, "nan 0 0\n1 0 -inf\n0 1 0\n3 0 1 2\n"));
        assertThat(kinds(mesh)).containsExactly("not-finite");
        assertThat(mesh.findings().get(0).count()).isEqualTo(2);
    }

    @Test
    void whatFollowsTheLastElement_isAFinding() throws IOException {
        Mesh mesh = read(ascii(XYZ, "0 0 0\n1 0 0\n0 1 0\n3 0 1 2\n\n  \nmore\n"));
        assertThat(kinds(mesh)).containsExactly("trailing-data");
        assertThat(mesh.findings().get(0).places()).containsExactly(new Place.Line("a.ply", 18));
        byte[] binary = tetrahedron();
        mesh = read(Arrays.copyOf(binary, binary.length + 3));
        assertThat(mesh.findings().get(0).places()).containsExactly(new Place.Byte("a.ply", binary.length));
    }

    private byte[] tetrahedron() throws IOException {
        Mesh mesh = Mesh.builder(new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1}, new int[] {0, 2, 1, 0, 1, 3, 1, 2, 3, 2, 0, 3}).name("t")
                .build();
        Path path = folder.resolve("t.ply");
        PlyFormat.binary().write(mesh, path, Task.silent());
        return Files.readAllBytes(path);
    }

    @Test
    void everyTruncation_isRefusedWithTheByteWhereTheFileEnds() throws IOException {
        byte[] whole = tetrahedron();
        int body = new String(whole, StandardCharsets.ISO_8859_1).indexOf("end_header\n") + 11;
        for (int length = body; length < whole.length; length++) {
            byte[] part = Arrays.copyOf(whole, length);
            int end = length;
            assertThatThrownBy(() -> read(part)).isInstanceOfSatisfying(FormatException.class,
                    e -> assertThat(e.place()).contains(new Place.Byte("a.ply", end)));
        }
        for (int length = 0; length < body; length++) {
            byte[] part = Arrays.copyOf(whole, length);
            assertThatThrownBy(() -> read(part)).isInstanceOf(FormatException.class);
        }
    }

    @Test
    void truncatedText_isRefused() {
        assertRefused(ascii(XYZ, "0.0 0.0 0.0\n1.0 0.0 0.0\n"), "the end of the file", "vertex 2");
        assertRefused(ascii(XYZ, "0 0 0\n1 0 0\n0 1 0\n"), "the end of the file", "face 0");
        assertRefused(ascii(XYZ, "0 0 0\n1 0\n0 1 0\n3 0 1 2\n"), "a.ply:13", "end of the line", "a number for z");
        assertRefused(ascii(XYZ, "0 0 0\n1 0 0 0\n0 1 0\n3 0 1 2\n"), "a.ply:13", "\"0\"", "end of the line");
        assertRefused(ascii(XYZ, "0 0 0\n1 x 0\n0 1 0\n3 0 1 2\n"), "a.ply:13", "\"x\"", "a number for y");
    }

    @Test
    void vertexNumbersOutOfRange_areRefusedWithTheirPlace() throws IOException {
        assertRefused(ascii(XYZ, "0 0 0\n1 0 0\n0 1 0\n3 0 1 3\n"), "a.ply:15", "vertex number 3", "0 … 2");
        assertRefused(ascii(XYZ, "0 0 0\n1 0 0\n0 1 0\n3 0 -1 2\n"), "a.ply:15", "vertex number -1");
        byte[] bytes = tetrahedron();
        bytes[bytes.length - 4] = 9;
        assertThatThrownBy(() -> read(bytes)).isInstanceOf(FormatException.class).hasMessageContaining("vertex number 9 in face 3");
    }

    @Test
    void brokenHeaders_areRefusedWithTheirLine() {
        assertRefused("ply\nformat binary 1.0\n", "a.ply:2");
        assertRefused("ply\nformat ascii 2.0\n", "a.ply:2");
        assertRefused("ply\nformat ascii 1.0\nelement vertex -1\n", "a.ply:3");
        assertRefused("ply\nformat ascii 1.0\nproperty float x\n", "a.ply:3", "an element before it");
        assertRefused("ply\nformat ascii 1.0\nelement vertex 1\nproperty real x\n", "a.ply:4", "\"real\"");
        assertRefused("ply\nformat ascii 1.0\nelement vertex 1\nproperty list float int x\n", "a.ply:4", "whole number");
        assertRefused("ply\nelement vertex 0\nend_header\n", "a.ply:3", "format");
        assertRefused("ply\nformat ascii 1.0\nhello\n", "a.ply:3", "\"hello\"");
        assertRefused("ply\nformat ascii 1.0\nelement vertex 1\nelement vertex 1\nelement face 1\nend_header\n", "second element vertex");
        assertRefused(ascii("property float x\nproperty float y\n", "0 0\n0 0\n0 0\n3 0 1 2\n"), "without x, y and z");
        assertRefused(ascii(XYZ + "property float x\n", "0 0 0 0\n1 0 0 0\n0 1 0 0\n3 0 1 2\n"), "second vertex property");
        assertRefused(ascii(XYZ, "").replace("uchar int", "uchar float") + "0 0 0\n0 0 0\n0 0 0\n3 0 1 2\n",
                "vertex numbers of type float");
    }

    @Test
    void filesWithoutFaces_sayWhatToDo() {
        assertRefused("ply\nformat ascii 1.0\nelement vertex 1\n" + XYZ + "end_header\n0 0 0\n",
                "a.ply has no faces: export the mesh with faces");
        assertRefused("ply\nformat ascii 1.0\nelement vertex 1\n" + XYZ + "element face 0\n" + FACES + "end_header\n0 0 0\n",
                "has no faces");
        assertRefused(ascii(XYZ, "0 0 0\n1 0 0\n0 1 0\n2 0 1\n"), "has no faces");
    }

    @Test
    void write_ofASeam_repeatsOnlyItsVertices_behindTheOthers() throws IOException {
        // Two triangles on an edge (1, 2) whose corners have other UVs on each side; vertex 4 is not used.
        float[] positions = {0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0, 9, 9, 9};
        int[] indices = {0, 1, 2, 2, 1, 3};
        Mesh mesh = Mesh.builder(positions, indices).name("a")
                .uvSet(new Attribute("uv", 2, new float[] {0, 0, 1, 0, 0, 1, 5, 5, 6, 6, 7, 7}, new int[] {0, 1, 2, 3, 4, 5}))
                .parts(List.of(new Part("left"), new Part("right")), new int[] {0, 1}).build();
        Findings lost = PlyFormat.binary().write(mesh, folder.resolve("a.ply"), Task.silent());
        assertThat(lost.stream().map(Finding::kind)).containsExactly("not-carried", "split-vertices");
        assertThat(lost.get(0).message()).isEqualTo("PLY does not carry these parts: left, right");
        assertThat(lost.get(1).count()).isEqualTo(2);
        Mesh back = PlyFormat.binary().read(folder.resolve("a.ply"), Task.silent());
        assertThat(back.positionIndices()).containsExactly(0, 1, 2, 5, 6, 3);
        assertThat(back.positions()).startsWith(positions).endsWith(0, 1, 0, 1, 0, 0);
        assertThat(back.uvSets().get(0).values()).containsExactly(0, 0, 1, 0, 0, 1, 7, 7, 0, 0, 5, 5, 6, 6);
    }

    @Test
    void write_ofAFaceWithHundredsOfCorners_usesLongLists() throws IOException {
        int n = 300;
        StringBuilder text = new StringBuilder("ply\nformat ascii 1.0\nelement vertex " + n + "\n" + XYZ
                + "element face 1\nproperty list int int vertex_index\nend_header\n");
        for (int i = 0; i < n; i++) {
            text.append((float) Math.cos(2 * Math.PI * i / n)).append(' ').append((float) Math.sin(2 * Math.PI * i / n)).append(" 0\n");
        }
        text.append(n);
        for (int i = 0; i < n; i++) {
            text.append(' ').append(i);
        }
        Mesh mesh = read(text + "\n");
        for (PlyFormat format : List.of(PlyFormat.binary(), PlyFormat.ascii())) {
            format.write(mesh, folder.resolve("a.ply"), Task.silent());
            assertThat(format.read(folder.resolve("a.ply"), Task.silent()).sameAs(mesh)).isTrue();
        }
    }
}
