package org.estampage.io.gltf;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.stream.Stream;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.io.MeshFiles;
import org.estampage.io.TestMeshes;
import org.estampage.io.TestMeshes.Content;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Material;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.mesh.Tangents;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What goes out comes in again: geometry, names, sets, weights, materials. */
class GltfFormatTest {
    private static final Content[] CARRIED = {Content.UVS, Content.NORMALS, Content.BYTE_COLOURS, Content.EXTRAS, Content.PARTS,
            Content.MATERIALS, Content.OWN_INDICES};

    @TempDir
    private Path folder;

    private Mesh throughFile(Mesh mesh, String file) throws IOException {
        MeshFiles.write(mesh, folder.resolve(file), Task.silent());
        return MeshFiles.read(folder.resolve(file), Task.silent());
    }

    private static List<String> kinds(Findings findings) {
        return findings.stream().map(Finding::kind).toList();
    }

    /** A square of two triangles, 1 wide and 2 high, seen from +Z, u along x and v along y, with a seam along the diagonal. */
    static Mesh.Builder panel() {
        float[] positions = {0, 0, 0, 1, 0, 0, 1, 2, 0, 0, 2, 0};
        int[] corners = {0, 1, 2, 0, 2, 3};
        return Mesh.builder(positions, corners).name("panel").parts(List.of(new Part("panel")), null)
                .uvSet(new Attribute("uv", 2, new float[] {0, 0, 0.5f, 0, 0.5f, 0.75f, 0.5f, 0, 1, 0.75f, 0.5f, 0.75f},
                        new int[] {0, 1, 2, 3, 4, 5}))
                .normals(new Attribute("normal", 3, new float[] {0, 0, 1}, new int[6]));
    }

    @Test
    void randomMeshes_writtenReadAndWritten_giveTheSameBytes() throws IOException {
        for (String ending : List.of("glb", "gltf")) {
            for (int seed = 0; seed < 25; seed++) {
                Mesh back = throughFile(TestMeshes.random(seed, "a", CARRIED), "a." + ending);
                byte[] first = Files.readAllBytes(folder.resolve("a." + ending));
                byte[] firstBuffer = Files.readAllBytes(folder.resolve(ending.equals("glb") ? "a.glb" : "a.bin"));
                Mesh again = throughFile(back, "a." + ending);
                assertThat(Files.readAllBytes(folder.resolve("a." + ending))).as("seed %d", seed).isEqualTo(first);
                assertThat(Files.readAllBytes(folder.resolve(ending.equals("glb") ? "a.glb" : "a.bin"))).isEqualTo(firstBuffer);
                assertThat(again.sameAs(back)).isTrue();
            }
        }
        try (Stream<Path> files = Files.list(folder)) { // no temporary file stays
            assertThat(files.map(p -> p.getFileName().toString())).containsExactlyInAnyOrder("a.glb", "a.gltf", "a.bin");
        }
    }

    @Test
    void plainMesh_comesBackAsItWas() throws IOException {
        Mesh mesh = Mesh.builder(new float[] {0, 0, 0, 1e-30f, 0, 0, 0.1f, 3.4e38f, 0, 0, 0, -7.3f}, new int[] {0, 1, 2, 2, 1, 3}).name("a")
                .parts(List.of(new Part("a")), null).build();
        assertThat(throughFile(mesh, "a.glb").sameAs(mesh)).isTrue();
        assertThat(throughFile(mesh, "a.gltf").sameAs(mesh)).isTrue();
        assertThat(throughFile(mesh, "a.glb").findings()).isEmpty();
    }

    @Test
    void namesSetsColoursAndWeights_comeBack() throws IOException {
        int[] corners = {0, 1, 2, 0, 2, 3};
        Mesh mesh = panel().uvSet(new Attribute("lightmap", 2, new float[] {0.25f, 0.5f}, new int[6]))
                .colourSet(new Attribute("dirt", 3, new float[] {0.1f, 0.2f, 0.3f}, new int[6]))
                .colourSet(new Attribute("wear", 4, new float[] {1, 0, 51 / 255f, 0.6f}, new int[6], Attribute.Storage.UNIT_BYTE))
                .extra(new Attribute("JOINTS_0", 4, new float[] {1, 2, 0, 0, 3, 2, 0, 0, 1, 7, 0, 0, 255, 0, 0, 0}, corners,
                        Attribute.Storage.UNSIGNED_BYTE))
                .extra(new Attribute("WEIGHTS_0", 4, new float[] {0.75f, 0.25f, 0, 0, 0.5f, 0.5f, 0, 0, 0.9f, 0.1f, 0, 0, 1, 0, 0, 0},
                        corners))
                .extra(new Attribute("scan quality", 1, new float[] {1, -2, 3, 300}, corners, Attribute.Storage.INTEGER))
                .parts(List.of(new Part("left \"wing\""), new Part("rechts é 木")), new int[] {0, 1}).build();
        Mesh back = throughFile(mesh, "wings.glb");
        assertThat(back.name()).isEqualTo("wings");
        assertThat(back.parts()).extracting(Part::name).containsExactly("left \"wing\"", "rechts é 木");
        assertThat(back.uvSets()).extracting(Attribute::name).containsExactly("uv", "lightmap");
        assertThat(back.colourSets()).extracting(Attribute::name).containsExactly("dirt", "wear");
        assertThat(back.colourSets()).extracting(Attribute::components).containsExactly(3, 4);
        assertThat(back.colourSets().get(1).storage()).isEqualTo(Attribute.Storage.UNIT_BYTE);
        assertThat(back.extras()).extracting(Attribute::name).containsExactlyInAnyOrder("JOINTS_0", "WEIGHTS_0", "scan quality");
        assertSameCorners(mesh, back);
    }

    private static void assertSameCorners(Mesh a, Mesh b) {
        assertThat(perCorner(new Attribute("p", 3, b.positions(), b.positionIndices())))
                .containsExactly(perCorner(new Attribute("p", 3, a.positions(), a.positionIndices())));
        for (int i = 0; i < a.uvSets().size(); i++) {
            assertThat(perCorner(b.uvSets().get(i))).containsExactly(perCorner(a.uvSets().get(i)));
        }
        for (int i = 0; i < a.colourSets().size(); i++) {
            assertThat(perCorner(b.colourSets().get(i))).containsExactly(perCorner(a.colourSets().get(i)));
        }
        for (Attribute extra : a.extras()) {
            Attribute its = b.extras().stream().filter(e -> e.name().equals(extra.name())).findFirst().orElseThrow();
            assertThat(its.storage()).isEqualTo(extra.storage());
            assertThat(perCorner(its)).containsExactly(perCorner(extra));
        }
    }

    static float[] perCorner(Attribute a) {
        float[] out = new float[a.components() * a.indices().length];
        for (int c = 0; c < a.indices().length; c++) {
            System.arraycopy(a.values(), a.components() * a.indices()[c], out, a.components() * c, a.components());
        }
        return out;
    }

    @Test
    void seams_doNotTearTheSurface() throws IOException {
        Mesh back = throughFile(panel().build(), "panel.glb");
        assertThat(back.vertexCount()).isEqualTo(4);
        assertThat(back.positionIndices()).containsExactly(0, 1, 2, 0, 2, 3);
        assertSameCorners(panel().build(), back);
        assertThat(kinds(back.findings())).containsExactly("welded-vertices");
    }

    @Test
    void tangentsComputedHere_comeBackWithTheirSigns_andFitTheUvsThatComeBack() throws IOException {
        // The right triangle's UVs are mirrored: u falls along x there.
        Mesh mirrored = panel().noUvSets()
                .uvSet(new Attribute("uv", 2, new float[] {0, 0, 0.5f, 0, 0.5f, 0.75f, 1, 0, 0.5f, 0.75f, 1, 0.75f},
                        new int[] {0, 1, 2, 3, 4, 5}))
                .build();
        Mesh mesh = mirrored.toBuilder().tangents(Tangents.mikkTSpace(mirrored)).build();
        Mesh back = throughFile(mesh, "panel.glb");
        assertThat(perCorner(back.tangents().orElseThrow())).containsExactly(perCorner(mesh.tangents().orElseThrow()));
        assertThat(perCorner(Tangents.mikkTSpace(back.toBuilder().tangents(null).build())))
                .as("v is up again, so the same tangents follow from it")
                .containsExactly(perCorner(mesh.tangents().orElseThrow()));
        assertThat(perCorner(mesh.tangents().orElseThrow())).contains(-1f, 1f);
    }

    @Test
    void materials_comeBack() throws IOException {
        Files.write(folder.resolve("rust map.png"), new byte[] {1});
        Material rust = new Material("rust", 0.25f, 0.1f, 1e-7f, 0.5f, Map.of("base-colour", "rust map.png"),
                Map.of("gltf",
                        "metallicFactor 0.25\nroughnessFactor 0.5\nemissiveFactor 1.0 0.5 0.0\nalphaMode MASK\nalphaCutoff 0.75\ndoubleSided true"));
        Mesh mesh = panel().materials(List.of(Material.named("plain"), rust, Material.named("unused")), new int[] {1, -1}).build();
        Mesh back = throughFile(mesh, "panel.gltf");
        assertThat(back.materials()).isEqualTo(mesh.materials());
        assertThat(back.materialLabels().orElseThrow().of(0)).isEqualTo(1);
        assertThat(back.materialLabels().orElseThrow().of(1)).isEqualTo(-1);
        assertThat(throughFile(throughFile(back, "b.obj"), "panel.gltf").materials()).as("through an MTL file").isEqualTo(mesh.materials());
    }

    @Test
    void whatGltfCannotHold_isSaid() throws IOException {
        Mesh mesh = TestMeshes.random(5, "a", Content.POLYGONS, Content.GROUPS, Content.SMOOTHING, Content.NORMALS, Content.MATERIALS,
                Content.UVS);
        Findings findings = MeshFiles.write(mesh, folder.resolve("a.glb"), Task.silent());
        assertThat(kinds(findings)).contains("not-carried", "polygons-cut", "made-unit", "texture-left-out");
        assertThat(findings.toString()).contains("groups", "smoothing groups", "textures for bump: b.png", "rust map.png");
    }

    @Test
    void numbersThatAreNotFinite_areWrittenAs0_andSaid() throws IOException {
        Mesh mesh = Mesh.builder(new float[] {0, 0, Float.NaN, 1, 0, 0, 0, Float.POSITIVE_INFINITY, 0}, new int[] {0, 1, 2}).build();
        Findings findings = MeshFiles.write(mesh, folder.resolve("a.glb"), Task.silent());
        assertThat(kinds(findings)).containsExactly("not-finite");
        assertThat(MeshFiles.read(folder.resolve("a.glb"), Task.silent()).positions()).containsExactly(0, 0, 0, 1, 0, 0);
    }

    @Test
    void meshesBeyondShortIndices_areWrittenWithInts() throws IOException {
        for (int vertices : new int[] {65535, 65536}) {
            float[] positions = new float[3 * vertices];
            int[] corners = new int[3 * (vertices - 2)];
            for (int v = 0; v < vertices; v++) {
                positions[3 * v] = v;
                positions[3 * v + 1] = v % 2;
            }
            for (int t = 0; t < vertices - 2; t++) {
                corners[3 * t] = t;
                corners[3 * t + 1] = t + 1;
                corners[3 * t + 2] = t + 2;
            }
            Mesh mesh = Mesh.builder(positions, corners).name("band").parts(List.of(new Part("band")), null).build();
            assertThat(throughFile(mesh, "band.glb").sameAs(mesh)).isTrue();
            long perCorner = (Files.size(folder.resolve("band.glb")) - 12L * vertices) / corners.length;
            assertThat(perCorner).isEqualTo(vertices == 65535 ? 2 : 4);
        }
    }

    @Test
    void meshWithoutTriangles_isRefused() {
        Mesh none = Mesh.builder(new float[] {0, 0, 0}, new int[0]).name("dust").build();
        assertThatThrownBy(() -> GltfModel.of(none)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("dust has no triangles");
    }

    @Test
    void levelsOfDetail_areNamedByTheFinest_andPassedOverWhenRead() throws IOException {
        Mesh low = Mesh.builder(new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0}, new int[] {0, 1, 2}).name("far")
                .parts(List.of(new Part("far")), null).build();
        Path path = folder.resolve("levels.gltf");
        GltfModel.of(panel(), low).write(path, Task.silent());
        assertThat(Files.readString(path)).contains("\"MSFT_lod\"");
        Mesh back = MeshFiles.read(path, Task.silent());
        assertThat(back.triangleCount()).isEqualTo(2);
        assertThat(kinds(back.findings())).contains("coarser-levels");
    }

    @Test
    void normalTexture_bringsTangents() throws IOException {
        byte[] png = {(byte) 0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n'};
        GltfMaterial material = GltfMaterial.named("paint").texture(GltfTextureUse.NORMAL, GltfTexture.png("panel-normal", png));
        Path path = folder.resolve("panel.glb");
        GltfModel.of(panel()).material(material).write(path, Task.silent());
        Mesh back = MeshFiles.read(path, Task.silent());
        assertThat(perCorner(back.tangents().orElseThrow())).containsExactly(perCorner(Tangents.mikkTSpace(panel().build())));
        assertThat(back.materials().get(0).textures()).containsEntry("normal", "panel.glb#images/0");
        assertThatThrownBy(() -> GltfModel.of(panel().normals(null)).material(material).write(path, Task.silent()))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("has no normals");
        assertThatThrownBy(() -> GltfModel.of(panel().noUvSets()).material(material).write(path, Task.silent()))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("has no UVs");
    }
}
