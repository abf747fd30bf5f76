package org.estampage.io;

import org.estampage.io.format.MeshFormat;
import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Comparator;
import java.util.stream.Stream;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.lifecycle.AfterContainer;
import net.jqwik.api.lifecycle.BeforeContainer;
import org.estampage.finding.Findings;
import org.estampage.io.TestMeshes.Content;
import org.estampage.io.obj.ObjFormat;
import org.estampage.io.ply.PlyFormat;
import org.estampage.io.stl.StlFormat;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/** Write, then read: what a format can carry comes back bit by bit. */
class MeshFilesPropertyTest {
    @SuppressWarnings("NonFinalStaticField") // what happens once for all tries is static
    private static Path folder = Path.of("");

    @BeforeContainer
    static void makeFolder() throws IOException {
        folder = Files.createTempDirectory("mesh-files");
    }

    @AfterContainer
    static void removeFolder() throws IOException {
        try (Stream<Path> all = Files.walk(folder)) {
            for (Path path : all.sorted(Comparator.reverseOrder()).toList()) {
                Files.delete(path);
            }
        }
    }

    private static Mesh throughFile(MeshFormat format, Mesh mesh, String file, Findings[] lost) throws IOException {
        Path path = folder.resolve(file);
        lost[0] = format.write(mesh, path, Task.silent());
        return MeshFiles.read(path, Task.silent());
    }

    @Property(tries = 300)
    void obj_carriesEverything_butFurtherSets(@ForAll long seed) throws IOException {
        Mesh mesh = TestMeshes.random(seed, "a", Content.POLYGONS, Content.UVS, Content.NORMALS, Content.COLOURS, Content.PARTS,
                Content.GROUPS,
                Content.MATERIALS, Content.SMOOTHING, Content.OWN_INDICES);
        Findings[] lost = new Findings[1];
        Mesh back = throughFile(new ObjFormat(), mesh, "a.obj", lost);
        assertThat(lost[0]).isEmpty();
        assertThat(back.sameAs(mesh)).isTrue();
        assertSameLabels(mesh, back);
    }

    @Property(tries = 100)
    void obj_ofPlainTriangles_comesBack(@ForAll long seed) throws IOException {
        Mesh mesh = TestMeshes.random(seed, "a");
        assertThat(throughFile(new ObjFormat(), mesh, "plain.obj", new Findings[1]).name()).isEqualTo("plain");
        assertThat(throughFile(new ObjFormat(), mesh, "a.obj", new Findings[1]).sameAs(mesh)).isTrue();
    }

    private static void assertSameLabels(Mesh mesh, Mesh back) {
        for (int t = 0; t < mesh.triangleCount(); t++) {
            assertThat(back.parts().get(back.partLabels().of(t)).name()).isEqualTo(mesh.parts().get(mesh.partLabels().of(t)).name());
            int group = mesh.groupLabels().orElseThrow().of(t);
            int backGroup = back.groupLabels().isEmpty() ? -1 : back.groupLabels().get().of(t);
            assertThat(backGroup < 0 ? "" : back.groupLabels().orElseThrow().names().get(backGroup))
                    .isEqualTo(group < 0 ? "" : mesh.groupLabels().get().names().get(group));
            assertThat(back.materialLabels().orElseThrow().of(t)).isEqualTo(mesh.materialLabels().orElseThrow().of(t));
        }
    }

    @Property(tries = 200)
    void ply_carriesWhatIsByVertex(@ForAll long seed, @ForAll boolean ascii) throws IOException {
        Mesh mesh = TestMeshes.random(seed, "a", Content.POLYGONS, Content.UVS, Content.NORMALS,
                seed % 2 == 0 ? Content.COLOURS : Content.BYTE_COLOURS, Content.EXTRAS);
        Findings[] lost = new Findings[1];
        Mesh back = throughFile(ascii ? PlyFormat.ascii() : PlyFormat.binary(), mesh, "a.ply", lost);
        assertThat(lost[0]).isEmpty();
        assertThat(back.findings()).isEmpty();
        assertThat(back.sameAs(mesh)).isTrue();
        assertThat(back.colourSets().get(0).storage()).isEqualTo(mesh.colourSets().get(0).storage());
        assertThat(back.extras().get(1).storage()).isEqualTo(Attribute.Storage.UNSIGNED_BYTE);
        assertThat(back.extras().get(0).name()).isEqualTo("quality");
    }

    @Property(tries = 200)
    void ply_ofAttributesByCorner_keepsEveryCornersValuesAndTheFirstVertices(@ForAll long seed) throws IOException {
        Mesh mesh = TestMeshes.random(seed, "a", Content.POLYGONS, Content.UVS, Content.NORMALS, Content.OWN_INDICES, Content.EXTRAS);
        Findings[] lost = new Findings[1];
        Mesh back = throughFile(PlyFormat.binary(), mesh, "b.ply", lost);
        assertThat(back.vertexCount() - mesh.vertexCount())
                .isEqualTo((int) lost[0].ofKind("split-vertices").stream().mapToLong(f -> f.count()).sum());
        assertThat(Arrays.copyOf(back.positions(), mesh.positions().length)).isEqualTo(mesh.positions());
        assertThat(back.polygons().orElseThrow().count()).isEqualTo(mesh.polygons().orElseThrow().count());
        for (int i = 0; i < mesh.positionIndices().length; i++) {
            assertThat(value(back.positions(), back.positionIndices(), 3, i))
                    .isEqualTo(value(mesh.positions(), mesh.positionIndices(), 3, i));
            assertThat(value(back.uvSets().get(0), i)).isEqualTo(value(mesh.uvSets().get(0), i));
            assertThat(value(back.normals().orElseThrow(), i)).isEqualTo(value(mesh.normals().orElseThrow(), i));
            assertThat(value(back.extras().get(0), i)).isEqualTo(value(mesh.extras().get(0), i));
        }
    }

    private static float[] value(Attribute a, int corner) {
        return value(a.values(), a.indices(), a.components(), corner);
    }

    private static float[] value(float[] values, int[] indices, int components, int corner) {
        return Arrays.copyOfRange(values, components * indices[corner], components * (indices[corner] + 1));
    }

    @Property(tries = 200)
    void stl_keepsFacetsInOrder_andASecondTripChangesNothing(@ForAll long seed, @ForAll boolean ascii) throws IOException {
        Mesh mesh = TestMeshes.random(seed, "a", Content.PARTS);
        StlFormat format = ascii ? StlFormat.ascii() : StlFormat.binary();
        Mesh back = throughFile(format, mesh, "a.stl", new Findings[1]);
        assertThat(back.triangleCount()).isEqualTo(mesh.triangleCount());
        for (int i = 0; i < mesh.positionIndices().length; i++) {
            float[] expected = value(mesh.positions(), mesh.positionIndices(), 3, i);
            for (int k = 0; k < 3; k++) {
                expected[k] += 0f; // −0 is read as 0
            }
            assertThat(value(back.positions(), back.positionIndices(), 3, i)).isEqualTo(expected);
        }
        if (ascii) {
            assertThat(back.partLabels().names()).isEqualTo(mesh.partLabels().names());
        }
        assertThat(throughFile(format, back, "a.stl", new Findings[1]).sameAs(back)).isTrue();
    }

    @Property(tries = 100)
    void stl_welds_equalPositionsAndOnlyThose(@ForAll long seed) throws IOException {
        Mesh back = throughFile(StlFormat.binary(), TestMeshes.random(seed, "a"), "w.stl", new Findings[1]);
        java.util.Set<String> seen = new java.util.HashSet<>();
        for (int v = 0; v < back.vertexCount(); v++) {
            assertThat(seen.add(Arrays.toString(Arrays.copyOfRange(back.positions(), 3 * v, 3 * v + 3)))).isTrue();
        }
        int highest = -1;
        for (int index : back.positionIndices()) { // numbered in the order of first use
            assertThat(index).isLessThanOrEqualTo(highest + 1);
            highest = Math.max(highest, index);
        }
    }
}
