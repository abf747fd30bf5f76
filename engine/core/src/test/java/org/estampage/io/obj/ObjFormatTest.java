package org.estampage.io.obj;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.CancellationException;
import java.util.stream.Stream;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.finding.Place;
import org.estampage.io.format.FormatException;
import org.estampage.io.MeshFiles;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Material;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.mesh.Polygons;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Statements and their meaning: Wavefront's OBJ and MTL descriptions, from memory, unless a test says otherwise. */
class ObjFormatTest {
    private static final String SQUARE = "v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\n";

    @TempDir
    Path folder;

    private Mesh read(String text) throws IOException {
        return new ObjFormat().read(Files.writeString(folder.resolve("a.obj"), text, StandardCharsets.UTF_8), Task.silent());
    }

    private void assertRefused(String text, String... words) {
        assertThatThrownBy(() -> read(text)).isInstanceOf(FormatException.class).hasMessageContainingAll(words);
    }

    private static List<String> kinds(Mesh mesh) {
        return mesh.findings().stream().map(Finding::kind).toList();
    }

    private static List<String> partOfEachTriangle(Mesh mesh) {
        return java.util.stream.IntStream.range(0, mesh.triangleCount()).mapToObj(t -> mesh.parts().get(mesh.partLabels().of(t)).name())
                .toList();
    }

    @Test
    void faces_inAllCornerForms_readPositionsUvsAndNormals() throws IOException {
        Mesh mesh = read(SQUARE + "vt 0 0\nvt 1 0\nvt 1 1\nvn 0 0 1\nvn 0 1 0\nf 1/1/1 2/2/2 3/3/1\n");
        assertThat(mesh.positionIndices()).containsExactly(0, 1, 2);
        assertThat(mesh.uvSets().get(0).indices()).containsExactly(0, 1, 2);
        assertThat(mesh.normals().orElseThrow().indices()).containsExactly(0, 1, 0);
        assertThat(mesh.findings()).isEmpty();
        mesh = read(SQUARE + "vn 0 0 1\nf 1//1 2//1 3//1\n");
        assertThat(mesh.uvSets()).isEmpty();
        assertThat(mesh.normals().orElseThrow().indices()).containsExactly(0, 0, 0);
        mesh = read(SQUARE + "vt 0 0\nf 1/1 2/1 3/1\n");
        assertThat(mesh.normals()).isEmpty();
        mesh = read(SQUARE + "f 1/ 2// 3\n");
        assertThat(mesh.uvSets()).isEmpty();
        assertThat(mesh.normals()).isEmpty();
    }

    @Test
    void negativeNumbers_countFromTheLastOneSoFar() throws IOException {
        Mesh mesh = read(SQUARE + "vt 0 0\nvt 0 1\nvn 0 0 1\nf -4/-2/-1 -3/-1/-1 -2/-2/-1\nv 2 2 2\nvt 5 5\nf -1/-1/-1 1/1/1 2/2/1\n");
        assertThat(mesh.positionIndices()).containsExactly(0, 1, 2, 4, 0, 1);
        assertThat(mesh.uvSets().get(0).indices()).containsExactly(0, 1, 0, 2, 0, 1);
    }

    @Test
    void negativeNumbers_acrossTheReadersRuns_areTheSameAsPositiveOnes() throws IOException {
        StringBuilder relative = new StringBuilder();
        StringBuilder absolute = new StringBuilder();
        for (int i = 0; i < 60_000; i++) { // some megabytes: several runs
            String vertices = "v " + i + " 0 0.25\nv " + i + " 1 0.5\nv " + i + " 1 1.125\n";
            relative.append(vertices).append(i % 2 == 0 ? "f -3 -2 -1\n" : "f -3 -2 -1 -" + Math.min(3 * i + 3, 100_000) + "\n");
            absolute.append(vertices).append("f ").append(3 * i + 1).append(' ').append(3 * i + 2).append(' ').append(3 * i + 3);
            absolute.append(i % 2 == 0 ? "\n" : " " + (3 * i + 4 - Math.min(3 * i + 3, 100_000)) + "\n");
        }
        Mesh a = read(relative.toString());
        assertThat(relative.length()).isGreaterThan(3 << 20);
        assertThat(a.sameAs(read(absolute.toString()))).isTrue();
        assertThat(a.vertexCount()).isEqualTo(180_000);
    }

    @Test
    void faces_beforeTheirVertices_areRead() throws IOException {
        assertThat(read("f 1 2 3\n" + SQUARE).positionIndices()).containsExactly(0, 1, 2);
    }

    @Test
    void polygons_becomeNeighbouringTriangles_andAreKept() throws IOException {
        Mesh mesh = read(SQUARE + "v 2 0.5 0\nf 1 2 3 4\nf 2 5 3\nf 1 2 5 3 4\n");
        Polygons polygons = mesh.polygons().orElseThrow();
        assertThat(mesh.triangleCount()).isEqualTo(6);
        assertThat(polygons.count()).isEqualTo(3);
        int[][] expected = {{0, 1, 2, 3}, {1, 4, 2}, {0, 1, 4, 2, 3}};
        for (int p = 0; p < 3; p++) {
            assertThat(polygons.cornerCount(p)).isEqualTo(expected[p].length);
            for (int c = 0; c < expected[p].length; c++) {
                assertThat(mesh.positionIndices()[polygons.corner(p, c)]).isEqualTo(expected[p][c]);
            }
        }
    }

    @Test
    void numbers_areTheNearestFloats() throws IOException {
        Mesh mesh = read("v 0.1 -1e-7 16777217\nv .5 5. +3\nv 123456.789012345678 0 0\nf 1 2 3\n");
        assertThat(mesh.positions()).containsExactly(0.1f, -1e-7f, 16777216f, 0.5f, 5f, 3f, 123456.789012345678f, 0, 0);
    }

    @Test
    void continuedLines_commentsBlanksAndBothLineEnds_areRead() throws IOException {
        Mesh mesh = read("\ufeff# made by hand\r\n\r\n  v 0 0 \\\r\n 0   \r\nv\t1 0 0 # right\nv 1 1 0\nf 1 \\\n  2 \\\n3\n\n#end");
        assertThat(mesh.positions()).containsExactly(0, 0, 0, 1, 0, 0, 1, 1, 0);
        assertThat(mesh.findings()).isEmpty();
        assertThat(read("v 0 0 0\rv 1 0 0\rv 1 1 0\rf 1 2 3").triangleCount()).isEqualTo(1);
    }

    @Test
    void lastLineInABackslash_endsTheFile() throws IOException {
        assertThat(read(SQUARE + "f 1 2 3\\\n").triangleCount()).isEqualTo(1);
        assertThat(read(SQUARE + "f 1 2 3\\").triangleCount()).isEqualTo(1);
        assertThat(read(SQUARE + "f 1 2 3\ng end\\\n").triangleCount()).isEqualTo(1);
    }

    @Test
    void vertexColours_areAColourSet_whiteWhereMissing() throws IOException { // common practice, no source
        Mesh mesh = read("v 0 0 0\nv 1 0 0 0.25 0.5 1\nv 1 1 0\nf 1 2 3\n");
        Attribute colours = mesh.colourSets().get(0);
        assertThat(colours.values()).containsExactly(1, 1, 1, 0.25f, 0.5f, 1, 1, 1, 1);
        assertThat(colours.indices()).isEqualTo(mesh.positionIndices());
    }

    @Test
    void vertexWeights_areAFindingUnlessTheyAreOne() throws IOException {
        assertThat(read("v 0 0 0 1.0\nv 1 0 0 1\nv 1 1 0 1\nf 1 2 3\n").findings()).isEmpty();
        Mesh mesh = read("v 0 0 0 2\nv 1 0 0 1\nv 1 1 0 1\nf 1 2 3\n");
        assertThat(kinds(mesh)).containsExactly("vertex-weight");
        assertThat(mesh.findings().get(0).places()).containsExactly(new Place.Line("a.obj", 1));
        assertThat(mesh.positions()).startsWith(0, 0, 0, 1);
    }

    @Test
    void textureCoordinates_ofOneAndThreeValues_areRead() throws IOException {
        Mesh mesh = read(SQUARE + "vt 0.5\nvt 0.25 0.75 0\nvt 1 1\nf 1/1 2/2 3/3\n");
        assertThat(mesh.uvSets().get(0).values()).containsExactly(0.5f, 0, 0.25f, 0.75f, 1, 1);
        assertThat(mesh.findings()).isEmpty();
        assertThat(kinds(read(SQUARE + "vt 0.5 0.5 0.5\nf 1/1 2/1 3/1\n"))).containsExactly("extra-values");
    }

    @Test
    void parts_areTheObjectLines_andGroupLinesAreGroupsBesideThem() throws IOException {
        Mesh mesh = read(SQUARE + "o post\ng left\nf 1 2 3\no rope relief\nf 1 3 4\ng right side\nf 1 2 4\no post\nf 2 3 4\n");
        assertThat(partOfEachTriangle(mesh)).containsExactly("post", "rope relief", "rope relief", "post");
        assertThat(mesh.parts()).hasSize(2);
        assertThat(mesh.groupLabels().orElseThrow().names()).containsExactly("left", "right side");
        assertThat(mesh.groupLabels().get().of(1)).isZero();
        assertThat(mesh.groupLabels().get().of(3)).isEqualTo(1);
    }

    @Test
    void parts_withoutObjectLines_areTheGroupLines() throws IOException {
        Mesh mesh = read(SQUARE + "g post\nf 1 2 3\ng rope\nf 1 3 4\n");
        assertThat(partOfEachTriangle(mesh)).containsExactly("post", "rope");
        assertThat(mesh.groupLabels()).isEmpty();
    }

    @Test
    void parts_ofFacesBeforeTheFirstName_areNamedLikeTheFile_andEmptyOnesAreNoted() throws IOException {
        Mesh mesh = read(SQUARE + "f 1 2 3\no nothing\no post\nf 1 3 4\n");
        assertThat(partOfEachTriangle(mesh)).containsExactly("a", "post");
        assertThat(kinds(mesh)).containsExactly("empty-part");
        assertThat(partOfEachTriangle(read(SQUARE + "f 1 2 3\n"))).containsExactly("a");
    }

    @Test
    void smoothingGroups_areNumbersOrOff() throws IOException {
        Mesh mesh = read(SQUARE + "f 1 2 3\ns 4\nf 1 2 3\nf 1 2 3 4\ns off\nf 1 2 3\ns 0\nf 1 2 3\n");
        assertThat(mesh.smoothingGroups()).containsExactly(0, 4, 4, 4, 0, 0);
        assertThat(read(SQUARE + "f 1 2 3\n").smoothingGroups()).isNull();
        assertThat(kinds(read(SQUARE + "s often\nf 1 2 3\n"))).containsExactly("smoothing-group");
    }

    @Test
    void mixedFaces_getAPlaceForMissingUvsAndTheirOwnNormal_withFindings() throws IOException {
        Mesh mesh = read(SQUARE + "v 0 0 1\nvt 1 1\nvn 1 0 0\nf 1/1/1 2/1/1 3/1/1\nf 1 2 5\n");
        assertThat(kinds(mesh)).containsExactly("missing-uvs", "missing-normals");
        Attribute uvs = mesh.uvSets().get(0);
        assertThat(uvs.indices()).containsExactly(0, 0, 0, 1, 1, 1);
        assertThat(uvs.values()).containsExactly(1, 1, 0, 0);
        Attribute normals = mesh.normals().orElseThrow();
        assertThat(normals.indices()).containsExactly(0, 0, 0, 1, 1, 1);
        assertThat(normals.values()).containsExactly(1, 0, 0, 0, -1, 0); // (1,0,0) × (0,0,1)
    }

    @Test
    void valuesThatAreNotFinite_areReadAndFound() throws IOException {
        Mesh mesh = read("v nan 0 0\nv 1 inf 0\nv 1 1 0\nv 1e39 0 0\nf 1 2 3\n");
        assertThat(mesh.positions()[0]).isNaN();
        assertThat(mesh.positions()[4]).isEqualTo(Float.POSITIVE_INFINITY);
        assertThat(kinds(mesh)).containsExactly("not-finite");
        assertThat(mesh.findings().get(0).count()).isEqualTo(3);
        assertThat(mesh.findings().get(0).places()).first().isEqualTo(new Place.Element("vertex", 0));
    }

    @Test
    void whatIsPassedOver_isFoundWithItsLine() throws IOException {
        Mesh mesh = read(SQUARE + "f 1 2 3\nl 1 2\np 1\nf 1 2\nf\ncstype bezier\n");
        assertThat(kinds(mesh)).containsExactly("lines-or-points", "small-face", "statement-passed-over");
        assertThat(mesh.findings().stream().map(Finding::count)).containsExactly(2L, 2L, 1L);
        assertThat(mesh.findings().get(0).places()).containsExactly(new Place.Line("a.obj", 6), new Place.Line("a.obj", 7));
        assertThat(mesh.findings().get(2).places()).containsExactly(new Place.Line("a.obj", 10));
    }

    @Test
    void brokenLines_areRefusedWithTheirLine() {
        assertRefused("v 0 0\n", "a.obj:1", "end of the line", "v x y z");
        assertRefused("v 0 0 0\nv 0,5 0 0\n", "a.obj:2", "\"0,5\"");
        assertRefused("v 0 0 0 1 2\n", "a.obj:1");
        assertRefused(SQUARE + "f 1 2 3x\n", "a.obj:5", "face corner");
        assertRefused(SQUARE + "f 1 2 3/4/5/6\n", "a.obj:5");
        assertRefused(SQUARE + "f 1 2 3.5\n", "a.obj:5");
        assertRefused(SQUARE + "# \\\n\nvt a 0\n", "a.obj:7");
        assertRefused(SQUARE + "vn 0 0\n", "a.obj:5", "vn x y z");
    }

    @Test
    void indicesOutOfRange_areRefusedWithTheirLine() {
        assertRefused(SQUARE + "f 1 2 3\nf 1 2 5\n", "a.obj:6", "index 5", "1 … 4");
        assertRefused(SQUARE + "\n\nf 1 2 3 4\nf 1 2 3 -5\n", "a.obj:8", "before the first v");
        assertRefused(SQUARE + "f 1 2 3\n\nf 1 2 3\nf 1 2 9\n\n\nf 1 2 3\n", "a.obj:8", "index 9");
        assertRefused(SQUARE + "f 1 2 0\n", "a.obj:5", "index 0");
        assertRefused(SQUARE + "f 1/1 2/1 3/1\n", "a.obj:5", "index 1", "vt");
        assertRefused(SQUARE + "vn 0 0 1\nf 1//1 2//1 3//2\n", "a.obj:6", "index 2", "vn");
        assertRefused(SQUARE + "f 1 2 99999999999\n", "a.obj:5");
        assertRefused(SQUARE + "f 1 2 -2147483647\n", "a.obj:5");
    }

    @Test
    void indicesOutOfRange_farDownInAFile_areRefusedWithTheirLine() {
        StringBuilder text = new StringBuilder();
        for (int i = 0; i < 200_000; i++) {
            text.append("v ").append(i).append(" 0.5 0.25\n");
        }
        for (int i = 0; i < 100_000; i++) {
            text.append("f 1 2 ").append(i % 7 == 0 ? "3 4\n" : "3\n").append(i % 11 == 0 ? "# note\n" : "");
        }
        String lines = text.toString();
        long count = lines.chars().filter(c -> c == '\n').count();
        assertRefused(lines + "f 1 2 200001\n", "a.obj:" + (count + 1), "index 200001");
        assertRefused(lines + "f 1 2 3\n\nf 1 2 -200001\nf 1 2 3\n", "a.obj:" + (count + 3));
    }

    @Test
    void filesWithoutFaces_sayWhatToDo() {
        for (String text : new String[] {SQUARE, "", "# nothing\n", SQUARE + "l 1 2 3\n"}) {
            assertRefused(text, "a.obj has no faces: export the mesh with faces");
        }
    }

    @Test
    void missingFile_saysThatItDoesNotExist() {
        Path path = folder.resolve("nowhere.obj");
        assertThatThrownBy(() -> new ObjFormat().read(path, Task.silent())).isInstanceOf(NoSuchFileException.class)
                .hasMessage(path + ": does not exist");
        assertThatThrownBy(() -> new ObjFormat().read(folder, Task.silent())).isInstanceOf(IOException.class)
                .hasMessageContaining("is a folder");
    }

    @Test
    void materials_comeFromTheLibrary_withTexturesAndTheRestAsStatements() throws IOException {
        Files.writeString(folder.resolve("my iron.mtl"),
                "# c\nnewmtl rusty iron\n Ns 90\nKd 0.5 0.25 0.125\nTr 0.25\nmap_Kd -s 2 2 1 -clamp on rust map.png\nbump -bm 0.5 bumps.png\n"
                        + "norm n.png\nmap_d holes.png\nrefl -type sphere s.png\nKa spectral x.rfl\nnewmtl other\nKd 0.5\nd -halo 0.5\n");
        Mesh mesh = read("mtllib my iron.mtl\n" + SQUARE + "usemtl other\nf 1 2 3\nusemtl rusty iron\nf 1 2 4\nusemtl lost\nf 2 3 4\n");
        assertThat(mesh.materials()).containsExactly(
                new Material("rusty iron", 0.5f, 0.25f, 0.125f, 0.75f,
                        java.util.Map.of("base-colour", "rust map.png", "bump", "bumps.png", "normal", "n.png", "opacity", "holes.png"),
                        java.util.Map.of("Ns", "90", "refl", "-type sphere s.png", "Ka", "spectral x.rfl", "options of base-colour",
                                "-s 2 2 1 -clamp on", "options of bump", "-bm 0.5")),
                new Material("other", 0.5f, 0.5f, 0.5f, 1, java.util.Map.of(), java.util.Map.of("d", "-halo 0.5")), Material.named("lost"));
        assertThat(java.util.stream.IntStream.range(0, 3).map(t -> mesh.materialLabels().orElseThrow().of(t))).containsExactly(1, 0, 2);
        assertThat(kinds(mesh)).containsExactly("missing-material");
    }

    @Test
    void missingLibrary_isAFinding() throws IOException {
        Mesh mesh = read("mtllib none.mtl\n" + SQUARE + "usemtl iron\nf 1 2 3\n");
        assertThat(kinds(mesh)).containsExactly("missing-material-file", "missing-material");
        assertThat(mesh.materials()).containsExactly(Material.named("iron"));
    }

    @ParameterizedTest
    @CsvSource({"../secret.mtl", "sub/../../secret.mtl", "ABSOLUTE", "..\\secret.mtl", "link.mtl", "linked/secret.mtl"})
    void librariesOutsideTheFolder_areRefusedAsAFinding(String name) throws IOException {
        Path inner = folder.resolve("models");
        Files.createDirectories(inner.resolve("sub"));
        Path secret = Files.writeString(folder.resolve("secret.mtl"), "newmtl secret\n");
        Files.createSymbolicLink(inner.resolve("link.mtl"), secret);
        Files.createSymbolicLink(inner.resolve("linked"), folder);
        String shown = name.equals("ABSOLUTE") ? secret.toString() : name;
        Path obj = Files.writeString(inner.resolve("a.obj"), "mtllib " + shown + "\n" + SQUARE + "f 1 2 3\n");
        Mesh mesh = new ObjFormat().read(obj, Task.silent());
        assertThat(mesh.materials()).isEmpty();
        assertThat(kinds(mesh)).containsExactly("refused-material-file");
    }

    @Test
    void libraryInASubfolder_isRead() throws IOException {
        Files.createDirectories(folder.resolve("materials"));
        Files.writeString(folder.resolve("materials/a.mtl"), "newmtl iron\nKd 1 0 0\n");
        assertThat(read("mtllib materials\\a.mtl\n" + SQUARE + "usemtl iron\nf 1 2 3\n").materials().get(0).red()).isEqualTo(1);
    }

    @Test
    void badLibraryLines_areFindings() throws IOException {
        Files.writeString(folder.resolve("a.mtl"), "Kd 1 0 0\nnewmtl iron\nKd red\nnewmtl iron\n");
        Mesh mesh = read("mtllib a.mtl a.mtl\n" + SQUARE + "f 1 2 3\n");
        assertThat(kinds(mesh)).containsExactly("material-statement", "repeated-material");
        assertThat(mesh.findings().get(0).count()).isEqualTo(2);
    }

    @Test
    void namesInOlderEncodings_areReadAsLatin1() throws IOException {
        byte[] text = (SQUARE + "o caf\u00e9\nf 1 2 3\n").getBytes(StandardCharsets.ISO_8859_1);
        Path path = Files.write(folder.resolve("a.obj"), text);
        assertThat(new ObjFormat().read(path, Task.silent()).parts().get(0).name()).isEqualTo("café");
    }

    @Test
    void write_givesPolygonsNamesAndMaterialsBesideIt() throws IOException {
        Files.writeString(folder.resolve("a.mtl"), "newmtl iron\nKd 1 0 0\n");
        Mesh mesh = read("mtllib a.mtl\n" + SQUARE + "vt 0 0\no post\nusemtl iron\ns 1\nf 1/1 2/1 3/1 4/1\n");
        Path target = folder.resolve("out/b.obj");
        assertThat(MeshFiles.write(mesh, target, Task.silent())).isEmpty();
        assertThat(target)
                .hasContent("mtllib b.mtl\nv 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nvt 0 0\no post\nusemtl iron\ns 1\nf 1/1 2/1 3/1 4/1\n");
        assertThat(folder.resolve("out/b.mtl")).hasContent("newmtl iron\nKd 1 0 0\nd 1\n\n");
        assertThat(MeshFiles.read(target, Task.silent()).sameAs(mesh)).isTrue();
    }

    @Test
    void write_saysWhatObjDoesNotCarry() throws IOException {
        Mesh mesh = read(SQUARE + "f 1 2 3\n");
        int[] indices = mesh.positionIndices();
        Mesh rich = mesh.toBuilder().uvSet(new Attribute("first", 2, new float[8], indices))
                .uvSet(new Attribute("second", 2, new float[8], indices))
                .tangents(new Attribute("tangent", 4, new float[16], indices)).extra(new Attribute("weights", 4, new float[16], indices))
                .colourSet(new Attribute("paint", 3, new float[9], new int[] {0, 1, 2})).build();
        Findings lost = new ObjFormat().write(rich, folder.resolve("b.obj"), Task.silent());
        assertThat(lost.stream().map(Finding::message)).containsExactly("OBJ does not carry these UV sets: second",
                "OBJ does not carry these tangents: tangent", "OBJ does not carry these attributes: weights");
        Mesh painted = read(SQUARE + "f 1 2 3\nf 1 2 4\n").toBuilder()
                .colourSet(new Attribute("paint", 3, new float[] {0, 0, 0, 1, 1, 1}, new int[] {0, 0, 0, 1, 0, 0})).build();
        assertThat(new ObjFormat().write(painted, folder.resolve("b.obj"), Task.silent()).get(0).message())
                .contains("paint: a vertex has several");
    }

    @Test
    void write_ofNamesThatWouldBreakLines_keepsOneLine() throws IOException {
        Mesh mesh = read(SQUARE + "f 1 2 3\n").toBuilder().parts(List.of(new Part(" a\nf 9 9 9\\")), null).build();
        new ObjFormat().write(mesh, folder.resolve("b.obj"), Task.silent());
        assertThat(new ObjFormat().read(folder.resolve("b.obj"), Task.silent()).parts().get(0).name()).isEqualTo("a f 9 9 9\\");
    }

    @Test
    void write_whenCancelled_leavesNothing() throws IOException {
        StringBuilder text = new StringBuilder(SQUARE);
        text.append("f 1 2 3\n".repeat(50_000));
        Mesh mesh = read(text.toString());
        Files.delete(folder.resolve("a.obj"));
        Task[] task = new Task[1];
        task[0] = Task.reporting((stage, done, total) -> {
            if (done > 0) {
                task[0].cancellation().cancel();
            }
        });
        assertThatThrownBy(() -> new ObjFormat().write(mesh, folder.resolve("b.obj"), task[0])).isInstanceOf(CancellationException.class);
        try (Stream<Path> list = Files.list(folder)) {
            assertThat(list).isEmpty();
        }
    }

    @Test
    void read_reportsProgressUpToTheFilesSize_andCanBeCancelled() throws IOException {
        Path path = Files.writeString(folder.resolve("a.obj"), SQUARE + "f 1 2 3\n".repeat(400_000));
        long[] last = new long[2];
        new ObjFormat().read(path, Task.reporting((stage, done, total) -> {
            assertThat(stage).isEqualTo("reading a.obj");
            assertThat(done).isBetween(last[0], total);
            last[0] = done;
            last[1] = total;
        }));
        assertThat(last[0]).isEqualTo(Files.size(path)).isEqualTo(last[1]);
        Task[] task = new Task[1];
        task[0] = Task.reporting((stage, done, total) -> {
            if (done > 0) {
                task[0].cancellation().cancel();
            }
        });
        assertThatThrownBy(() -> new ObjFormat().read(path, task[0])).isInstanceOf(CancellationException.class);
    }
}
