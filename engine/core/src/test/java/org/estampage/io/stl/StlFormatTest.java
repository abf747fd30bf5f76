package org.estampage.io.stl;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.io.format.FormatException;
import org.estampage.io.MeshFiles;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.FetchedMeshes;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The layout: 3D Systems' StereoLithography Interface Specification, 1988, from memory. */
class StlFormatTest {
    @TempDir
    Path folder;

    private Mesh read(byte[] bytes) throws IOException {
        return StlFormat.binary().read(Files.write(folder.resolve("a.stl"), bytes), Task.silent());
    }

    private Mesh read(String text) throws IOException {
        return read(text.getBytes(StandardCharsets.ISO_8859_1));
    }

    private void assertRefused(String text, String... words) {
        assertThatThrownBy(() -> read(text)).isInstanceOf(FormatException.class).hasMessageContainingAll(words);
    }

    private static List<String> kinds(Mesh mesh) {
        return mesh.findings().stream().map(Finding::kind).toList();
    }

    /** A square of two facets in z = 0; the second one's normal as given. */
    private static byte[] square(String title, float secondNormalZ) {
        ByteBuffer b = ByteBuffer.allocate(84 + 100).order(ByteOrder.LITTLE_ENDIAN);
        b.put(Arrays.copyOf(title.getBytes(StandardCharsets.US_ASCII), 80)).putInt(2);
        float[][] facets = {{0, 0, 1, 0, 0, 0, 1, 0, 0, 1, 1, 0}, {0, 0, secondNormalZ, -0f, 0, -0f, 1, 1, 0, 0, 1, 0}};
        for (float[] facet : facets) {
            for (float f : facet) {
                b.putFloat(f);
            }
            b.putShort((short) 0);
        }
        return b.array();
    }

    private static String facet(String normal, String a, String b, String c) {
        return "facet normal " + normal + "\nouter loop\nvertex " + a + "\nvertex " + b + "\nvertex " + c + "\nendloop\nendfacet\n";
    }

    private static final String ONE = facet("0 0 1", "0 0 0", "1 0 0", "1 1 0");
    private static final String TWO = facet("0 0 1", "0 0 0", "1 1 0", "0 1 0");

    @Test
    void binary_isWeldedInTheOrderOfItsCorners_withMinusZeroAsZero() throws IOException {
        Mesh mesh = read(square("made by hand", 1));
        assertThat(mesh.positions()).containsExactly(0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0);
        assertThat(mesh.positionIndices()).containsExactly(0, 1, 2, 0, 2, 3);
        assertThat(mesh.normals()).isEmpty();
        assertThat(mesh.parts().get(0).name()).isEqualTo("a");
        assertThat(mesh.findings()).isEmpty();
    }

    @Test
    void binary_thatBeginsWithSolid_isToldByItsSize() throws IOException {
        assertThat(read(square("solid facet endsolid", 1)).triangleCount()).isEqualTo(2);
        assertThat(MeshFiles.read(Files.write(folder.resolve("noending"), square("solid facet", 1)), Task.silent()).triangleCount())
                .isEqualTo(2);
    }

    @Test
    void facetNormals_thatPointToTheBack_areFound() throws IOException {
        Mesh mesh = read(square("", -1));
        assertThat(kinds(mesh)).containsExactly("normals-against-winding");
        assertThat(mesh.findings().get(0).places()).containsExactly(new Place.Element("triangle", 1));
        assertThat(mesh.positionIndices()).containsExactly(0, 1, 2, 0, 2, 3);
        assertThat(read(square("", 0)).findings()).isEmpty();
    }

    @Test
    void attributeBytes_areFound() throws IOException {
        byte[] bytes = square("", 1);
        bytes[84 + 49] = 1;
        assertThat(kinds(read(bytes))).containsExactly("facet-bytes");
    }

    @Test
    void binary_tooShortOrTooLong_isRefusedOrFound() throws IOException {
        byte[] whole = square("", 1);
        for (int length = 0; length < whole.length; length++) {
            byte[] part = Arrays.copyOf(whole, length);
            int end = length;
            assertThatThrownBy(() -> read(part)).isInstanceOfSatisfying(FormatException.class,
                    e -> assertThat(e.place()).contains(new Place.Byte("a.stl", end)));
        }
        Mesh mesh = read(Arrays.copyOf(whole, whole.length + 7));
        assertThat(kinds(mesh)).containsExactly("trailing-data");
        assertThat(mesh.findings().get(0).places()).containsExactly(new Place.Byte("a.stl", whole.length));
    }

    @Test
    void text_ofSeveralSolids_hasAPartForEachName() throws IOException {
        Mesh mesh = read(
                "solid post top\n" + ONE + "endsolid post top\nsolid empty\nendsolid\nSOLID\n  " + TWO.toUpperCase(java.util.Locale.ROOT)
                        + "ENDSOLID\nsolid post top\n" + TWO + "endsolid");
        assertThat(mesh.partLabels().names()).containsExactly("post top", "a");
        assertThat(new int[] {mesh.partLabels().of(0), mesh.partLabels().of(1), mesh.partLabels().of(2)}).containsExactly(0, 1, 0);
        assertThat(mesh.vertexCount()).isEqualTo(4);
        assertThat(kinds(mesh)).containsExactly("empty-part");
    }

    @Test
    void text_onFewLinesAndWithCarriageReturns_isRead() throws IOException {
        assertThat(read("solid\n" + (ONE + TWO).replace('\n', ' ') + "endsolid").triangleCount()).isEqualTo(2);
        assertThat(read(("solid x\n" + ONE + TWO + "endsolid x\n").replace("\n", "\r\n")).triangleCount()).isEqualTo(2);
    }

    @Test
    void text_thatIsBroken_isRefusedWithItsLine() {
        assertRefused("solid a\n" + ONE + "facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nendloop\n", "a.stl:13",
                "\"endloop\"", "vertex");
        assertRefused("solid a\n" + ONE.replace("endloop", "vertex 5 5 5\nendloop"), "a.stl:7", "three vertices");
        assertRefused("solid a\n" + ONE.replace("1 1 0", "1 1 z"), "a.stl:6", "\"z\"", "three numbers");
        assertRefused("solid a\n" + ONE.substring(0, ONE.indexOf("vertex")), "the end of the file", "vertex");
        assertRefused("solid a\nendsolid a\n", "a.stl has no faces: export the mesh with faces");
    }

    @Test
    void text_withoutAnEndsolid_isReadWithAFinding() throws IOException {
        Mesh mesh = read("solid a\n" + ONE + TWO);
        assertThat(mesh.triangleCount()).isEqualTo(2);
        assertThat(kinds(mesh)).containsExactly("unfinished-solid");
    }

    /** The bunny is a closed surface of genus 0 but for five holes (of this scan, from memory), so V − E + F = 2 − 5 (Euler). */
    @Test
    void bunny_isWeldedIntoOneSurfaceWithFiveHoles() throws IOException {
        Path path = FetchedMeshes.bunny().orElse(null);
        if (path == null) { // throws in CI
            return;
        }
        Mesh mesh = MeshFiles.read(path, Task.silent());
        assertThat(mesh.triangleCount()).isEqualTo(69_451);
        assertThat(mesh.findings()).isEmpty();
        Set<Long> edges = new HashSet<>();
        int[] v = mesh.positionIndices();
        for (int i = 0; i < v.length; i++) {
            int a = v[i], b = v[i % 3 == 2 ? i - 2 : i + 1];
            edges.add((long) Math.min(a, b) << 32 | Math.max(a, b));
        }
        assertThat(mesh.vertexCount() - edges.size() + mesh.triangleCount()).isEqualTo(2 - 5);
    }

    @Test
    void text_thatGoesOn_isFound() throws IOException {
        Mesh mesh = read("solid a\n" + ONE + "endsolid a\nhello\n");
        assertThat(kinds(mesh)).containsExactly("trailing-data");
        assertThat(mesh.findings().get(0).places()).containsExactly(new Place.Line("a.stl", 10));
    }

    @Test
    void valuesThatAreNotFinite_areReadAndFound() throws IOException {
        Mesh mesh = read("solid a\n" + ONE + facet("0 0 0", "nan 0 0", "0 0 0", "1 1 0") + "endsolid\n");
        assertThat(kinds(mesh)).containsExactly("not-finite");
        assertThat(mesh.vertexCount()).isEqualTo(4);
    }

    @Test
    void write_givesUnitNormalsOfTheWinding_andSaysWhatIsLost() throws IOException {
        Mesh mesh = Mesh.builder(new float[] {0, 0, 0, 0, 2, 0, 0, 0, 2, 5, 5, 5}, new int[] {0, 1, 2, 0, 0, 3}).name("a")
                .smoothingGroups(new int[2]).build();
        assertThat(MeshFiles.write(mesh, folder.resolve("a.stl"), Task.silent()).get(0).message()).contains("smoothing groups");
        ByteBuffer b = ByteBuffer.wrap(Files.readAllBytes(folder.resolve("a.stl"))).order(ByteOrder.LITTLE_ENDIAN);
        assertThat(b.capacity()).isEqualTo(184);
        assertThat(b.getInt(80)).isEqualTo(2);
        assertThat(new float[] {b.getFloat(84), b.getFloat(88), b.getFloat(92)}).containsExactly(1, 0, 0);
        assertThat(new float[] {b.getFloat(134), b.getFloat(138), b.getFloat(142)}).containsExactly(0, 0, 0); // no area, no direction
        StlFormat.ascii().write(mesh, folder.resolve("a.stl"), Task.silent());
        assertThat(Files.readString(folder.resolve("a.stl")))
                .startsWith("solid a\nfacet normal 1 0 0\nouter loop\nvertex 0 0 0\nvertex 0 2 0\n");
    }

    @Test
    void manyVertices_areWeldedThroughGrowingTables() throws IOException {
        int n = 300;
        float[] positions = new float[3 * (n + 1) * (n + 1)];
        int[] indices = new int[6 * n * n];
        int at = 0;
        for (int i = 0; i < positions.length / 3; i++) {
            int column = i % (n + 1), row = i / (n + 1);
            positions[3 * i] = column;
            positions[3 * i + 1] = row / 7f;
        }
        for (int i = 0; i < n * n; i++) {
            int v = i / n * (n + 1) + i % n;
            for (int corner : new int[] {v, v + 1, v + n + 2, v, v + n + 2, v + n + 1}) {
                indices[at++] = corner;
            }
        }
        Mesh mesh = Mesh.builder(positions, indices).name("a").build();
        for (StlFormat format : List.of(StlFormat.binary(), StlFormat.ascii())) {
            format.write(mesh, folder.resolve("a.stl"), Task.silent());
            Mesh back = format.read(folder.resolve("a.stl"), Task.silent());
            assertThat(back.vertexCount()).isEqualTo(mesh.vertexCount());
            assertThat(back.triangleCount()).isEqualTo(mesh.triangleCount());
            assertThat(back.findings()).isEmpty();
        }
    }
}
