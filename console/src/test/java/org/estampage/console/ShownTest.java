package org.estampage.console;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.ByteArrayOutputStream;
import java.io.InputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.cage.Cage;
import org.estampage.finding.Findings;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.lowpoly.Decimate;
import org.estampage.maps.HeightMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.uv.Unwrap;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class ShownTest {
    @TempDir
    Path folder;

    /** A square of 2 × 1 units with UVs over the whole image. */
    @Test
    void meshWithoutAName_isTheMesh() {
        Mesh mesh = Mesh.builder(new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0}, new int[] {0, 1, 2}).build();
        assertThat(Shown.of(mesh)).startsWith("the mesh: 1 triangle, 3 vertices");
    }

    private static Mesh square() {
        float[] positions = {0, 0, 0, 2, 0, 0, 2, 1, 0, 0, 1, 0};
        int[] triangles = {0, 1, 2, 0, 2, 3};
        return Mesh.builder(positions, triangles).name("plate")
                .uvSet(new Attribute("uv", 2, new float[] {0, 0, 1, 0, 1, 1, 0, 1}, triangles))
                .build();
    }

    private static BakeResult bake() {
        Mesh mesh = square();
        BakeJob job = BakeJob.of(mesh, mesh).cage(Cage.offset(mesh, 0.1)).size(4).samples(1).maps(NormalMap.create(), HeightMap.create())
                .build();
        return Baker.create().threads(1).bake(job, Task.silent());
    }

    @Test
    void mesh_showsCountsSizeUvsAndWhatToDoAboutWhatIsMissing() {
        assertThat(Shown.of(square()).lines()).containsExactly("mesh plate: 2 triangles, 4 vertices",
                "  size       2 × 1 × 0, from (0, 0, 0) to (2, 1, 0)", "  normals    none; smooth(…), hardEdges(…) make some",
                "  UVs        uv");
        Mesh bare = square().toBuilder().noUvSets().build();
        assertThat(Shown.of(bare)).contains("UVs        none; unwrap(…) makes some");
    }

    @Test
    void descriptions_sayThatTheyWait_andWithWhat() {
        String text = Shown.of(Unwrap.of(Decimate.of(square()).triangles(500)).seamsByAngle(50).gutterTexels(4));
        assertThat(text).startsWith("Unwrap: described, not carried out; .build() gives a Mesh").contains("Decimate of plate")
                .containsPattern("angle degrees +50").containsPattern("gutter texels +4").doesNotContain("task").doesNotContain("@");
        assertThat(Shown.of(new OffsetCage(square()))).contains(".offset(…) gives a Cage").containsPattern("low +plate");
        assertThat(Shown.of(OcclusionMap.create(64))).startsWith("map occlusion: described").contains("1 channel of data, 8 bits");
        assertThat(Shown.of(SaveOption.of(o -> o))).isEqualTo("an option of save(…)");
    }

    @Test
    void cage_showsItsOffsetsAndConflicts() {
        assertThat(Shown.of(Cage.offset(square(), 0.25)).lines()).containsExactly("cage around mesh plate: 4 vertices",
                "  outwards   0.25 to 0.25, 0.25 on average", "  inwards    up to 0.25", "  conflicts  none");
    }

    @Test
    void result_isATable_withCoverageRaysAndFindings() {
        String text = Shown.of(bake());
        assertThat(text).startsWith("bake of plate onto plate: 4 × 4 texels, 1 × 1 samples")
                .contains("  normal  4 × 4  3 channels  16 bits  -1 to 1").containsPattern("height +4 × 4  1 channel   +16 bits")
                .contains("covered 16 texels, 100.0 %; missed 0 texels").containsPattern("\\d+ rays, ").contains("bake 0.");
    }

    @Test
    void image_showsEachChannelsRange_andCountsWhatIsNotFinite() {
        FloatImage image = FloatImage.create(2, 2, Encoding.data(new Range(0, 2), 2));
        image.write(0, 0, 2, 2, new float[] {0, -1, 1, Float.NaN, 2, 3, 1, Float.POSITIVE_INFINITY});
        assertThat(Shown.of(image).lines()).containsExactly("image 2 × 2, 2 channels, data stored from 0 to 2",
                "  value  0 to 2, 1 on average", "  second -1 to 3, 1 on average, 2 values not finite");
        assertThat(Shown.of(FloatImage.create(1, 1, Encoding.normal()))).contains("  x      0 to 0")
                .contains("normals stored from -1 to 1");
        image.write(0, 0, 1, 1, new float[] {Float.NaN, 0});
        FloatImage nothing = FloatImage.create(1, 1, Encoding.data(Range.UNIT, 1));
        nothing.set(0, 0, 0, Float.NaN);
        assertThat(Shown.of(nothing)).contains("no finite value");
    }

    @Test
    void listsAndTexts_areCutWithACount() throws Exception {
        assertThat(Shown.of(new float[5000])).isEqualTo("float[5000]: 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, … and 4,992 more");
        assertThat(Shown.of(Collections.nCopies(100, 7)).lines()).hasSize(21).endsWith("… and 80 more");
        assertThat(Shown.of("x".repeat(5000))).endsWith(" … (5,000 letters in all)\"").hasSizeLessThan(4100);
        assertThat(Shown.of(List.of(Files.write(folder.resolve("a.bin"), new byte[2048]), Path.of("gone"))).lines())
                .satisfiesExactly(a -> assertThat(a).endsWith("a.bin, 2.0 KiB"), b -> assertThat(b).isEqualTo("gone, not there"));
        assertThat(Shown.of(Findings.none())).isEqualTo("no findings");
        assertThat(Shown.of(Optional.of(List.of()))).isEqualTo("empty");
        assertThat(Shown.of(null)).isEqualTo("null");
        assertThat(Shown.of("short")).isEqualTo("\"short\"");
        assertThat(Shown.of("two\nlines\n")).isEqualTo("two\nlines");
        assertThat(Shown.of(Map.of("a", 1))).isEqualTo("a: 1");
    }

    @Test
    void numbers_haveFiveDigitsThatMatter() {
        assertThat(List.of(Shown.number(0), Shown.number(12345.678), Shown.number(0.5), Shown.number(1e-5), Shown.number(-3),
                Shown.number(1e9),
                Shown.number(1234567))).containsExactly("0", "12346", "0.5", "1.000e-05", "-3", "1.000e+09", "1,234,567");
        assertThat(List.of(Bytes.text(1), Bytes.text(1023), Bytes.text(1024), Bytes.text(10 << 20), Bytes.text(3L << 40)))
                .containsExactly("1 byte", "1023 bytes", "1.0 KiB", "10 MiB", "3.0 TiB");
    }

    @Test
    void valuesThatCantBeShown_leaveThePromptAlive() {
        Object angry = new Object() {
            @Override
            public String toString() {
                throw new IllegalStateException("not today");
            }
        };
        assertThat(Shown.of(angry)).contains("can't be shown").contains("not today");
    }

    /** The shell's own text of an array of 3 million numbers takes a second and 100 MB; here nothing is made of what nobody reads. */
    @Test
    void snippet_givesObjects_alsoLargeOnes_andItsOwnExceptions() {
        ByteArrayOutputStream said = new ByteArrayOutputStream();
        PrintStream stream = new PrintStream(said, true, StandardCharsets.UTF_8);
        Session.setCurrent(new Session(folder, Map.of(), new ProgressLine(stream, false), stream));
        try (Snippets snippets = new Snippets(InputStream.nullInputStream(), stream, stream)) {
            List<String> values = new ArrayList<>();
            for (String source : List.of("int x;", "x = 4", "x", "x + 1", "\"a\\tb\"", "var big = new float[3_000_000];", "void f() {}",
                    "f()",
                    "null")) {
                assertThat(snippets.run(source, null, values)).as(source).isEmpty();
            }
            assertThat(values).containsExactly("0", "4", "4", "5", "\"a\tb\"",
                    "float[3000000]: 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, … and 2,999,992 more",
                    "null");
            var failure = snippets.run("List.of(1, 2).get(7)", null, values);
            assertThat(failure.orElseThrow().message()).contains("Index");
            assertThat(failure.orElseThrow().exception()).isNotNull();
        } finally {
            Session.setCurrent(null);
        }
    }
}
