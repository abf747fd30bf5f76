package org.estampage.console;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.ByteArrayOutputStream;
import java.io.InputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class HelpTest {
    /** What stands for the user's own meshes, images and results in the examples. */
    private static final List<String> PREPARED = List.of("var shape = org.estampage.testresources.Bollard.generate(6000);",
            "var high = smooth(mesh(shape.positions(), shape.triangles()).name(\"bollard\"));", "var scan = high;",
            "var low = lathe(high).sides(12).rings(4).capped().size(64).build();", "var plinth = low;",
            "var c = cage(low).offset(0.05);",
            "save(high, \"sculpt.ply\"); save(low, \"low.obj\"); save(c, \"cage.obj\");",
            "var result = bake(low, high).cage(c).size(64).samples(1).maps(normal(), objectNormal(), height(), occlusion(4), position(), coverage()).run();",
            "save(result.map(\"normal\"), \"plaster-normal.png\"); save(result.map(\"object-normal\"), \"paint.png\"); save(result.map(\"occlusion\"), \"mask.png\");",
            "var iron = LayerMaterial.even(0.2, 0.2, 0.2, 0.5, 1); var rust = LayerMaterial.even(0.4, 0.2, 0.1, 0.9, 0);",
            "var finish = layers(result.map(\"normal\"), iron).build();",
            "save(low, \"props/post-low.obj\"); save(high, \"props/post-high.ply\");",
            "Files.writeString(path(\"props.csv\"), \"asset,low,high,size\\npost,props/post-low.obj,props/post-high.ply,32\\n\");");

    @TempDir
    Path folder;

    @Test
    void everyExample_runs() {
        ByteArrayOutputStream said = new ByteArrayOutputStream();
        PrintStream stream = new PrintStream(said, true, StandardCharsets.UTF_8);
        ProgressLine progress = new ProgressLine(stream, false);
        Session.setCurrent(new Session(folder, Map.of("size", "64"), progress, stream));
        List<String> broken = new ArrayList<>();
        int run = 0;
        try (Snippets snippets = new Snippets(InputStream.nullInputStream(), stream, stream)) {
            PREPARED.forEach(line -> {
                String rest = line;
                while (!rest.isBlank()) {
                    var info = snippets.first(rest);
                    assertThat(snippets.run(info.source(), null, null)).as(line).isEmpty();
                    rest = info.remaining();
                }
            });
            for (String verb : Help.names()) {
                assertThat(Help.examples(verb)).as(verb).isNotEmpty();
                for (String example : Help.examples(verb)) {
                    // An example may declare what others use: they go on with the prepared one.
                    String snippet = example.replaceFirst("^var (\\w+) = ", "var $1Again = ");
                    if (verb.equals("watch")) { // would wait for Ctrl-C: it is only compiled
                        snippet = "void watching() throws Exception { " + snippet + "; }";
                    }
                    snippet = snippets.first(snippet).source();
                    Optional<Snippets.Failure> failure = snippets.run(snippet, null, null);
                    failure.ifPresent(f -> broken.add(example + " → " + f.message()));
                    assertThat(Masked.find(example, verb)).as("%s in %s", verb, example).isNotNegative();
                    run++;
                }
            }
        } finally {
            Session.setCurrent(null);
        }
        assertThat(broken).isEmpty();
        assertThat(run).isGreaterThan(Help.names().size());
        assertThat(folder.resolve("out/bollard-normal.png")).exists();
    }

    @Test
    void list_goesByStages_andFitsATerminal() {
        String all = Help.all();
        int at = 0;
        for (Help.Stage stage : Help.Stage.values()) {
            int next = all.indexOf(stage.title + ": ", at);
            assertThat(next).as(stage.title).isNotNegative();
            at = next;
        }
        for (String verb : Help.names()) {
            assertThat(all).contains("  " + verb + " ");
        }
        assertThat(all.lines()).allSatisfy(line -> assertThat(line.length()).as(line).isLessThanOrEqualTo(100));
    }

    @Test
    void verb_hasSignatures_whatItGives_andOptionsFromTheCode() {
        assertThat(Help.of("bake")).contains("bake(MeshSource low, MeshSource... high)").contains("gives a BakeCall")
                .contains(".size(int width, int height)").contains(".run() → BakeResult").contains("MeshSource is a mesh");
        // Options that a class inherits from one that is not public, and generic ones, have their names, too.
        assertThat(Help.of("unwrap")).contains(".gutterTexels(int ").contains(".seamsByAngle(double degrees)");
        assertThat(Help.of("occlusion")).contains(".error(double standardError)").contains(".fadingReach(double length)");
        assertThat(Help.of("save").lines().filter(line -> line.startsWith("    save(")).count()).isGreaterThan(5);
        assertThat(Help.of("layers")).contains("    layers()").contains("gives a Layers").doesNotContain("SaveOption");
    }

    @Test
    void stage_option_andCallAsTyped_areFound() {
        assertThat(Help.of("maps")).startsWith("maps: ").contains("  occlusion ").doesNotContain("  bake ");
        assertThat(Help.of("seamsByAngle")).contains("unwrap(…).seamsByAngle(double degrees)");
        assertThat(Help.of(".seamsByAngle(40)")).isEqualTo(Help.of("seamsByAngle"));
        assertThat(Help.of("bake(low, high)")).isEqualTo(Help.of("bake"));
    }

    @Test
    void unknownName_suggestsTheNearest() {
        assertThatThrownBy(() -> Help.of("oclusion")).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("did you mean occlusion?");
        assertThatThrownBy(() -> Help.of("seamByAngle")).hasMessageContaining("did you mean seamsByAngle?");
        assertThatThrownBy(() -> Help.of("handover")).hasMessageContaining("did you mean hand over?");
        assertThatThrownBy(() -> Help.of("qqqqqq")).hasMessageContaining("help() lists the verbs");
    }

    @Test
    void value_tellsWhatItCanDo() throws Exception {
        Files.createDirectories(folder);
        String mesh = Help.ofValue(org.estampage.mesh.Mesh.builder(new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0}, new int[] {0, 1, 2}).build());
        assertThat(mesh).startsWith("Mesh").contains(".mirrored(Axis axis)").contains(".triangleCount() → int").contains("bake(…)")
                .contains("decimate(…)").doesNotContain("mips(…)");
        assertThat(Help.ofValue(List.of(folder))).startsWith("List");
    }
}
