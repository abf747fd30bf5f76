package org.estampage.console;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.io.PrintStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import org.jline.reader.Candidate;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestInstance;
import org.junit.jupiter.api.io.TempDir;

@TestInstance(TestInstance.Lifecycle.PER_CLASS)
class CompletionsTest {
    private Path folder;
    private Snippets snippets;
    private Completions completions;

    @BeforeAll
    void declareSomething(@TempDir Path shared) {
        folder = shared;
        PrintStream nowhere = new PrintStream(OutputStream.nullOutputStream());
        Session.setCurrent(new Session(folder, Map.of(), new ProgressLine(nowhere, false), nowhere));
        snippets = new Snippets(InputStream.nullInputStream(), nowhere, nowhere);
        completions = new Completions(snippets, folder);
        for (String line : List.of("float[] p = {-1, 0, 1, 1, 0, 1, 1, 0, -1};", "int[] t = {0, 1, 2};",
                "var shield = mesh(p, t).uvSet(new Attribute(\"uv\", 2, new float[] {0, 0, 1, 0, 1, 1}, t)).build();",
                "var baked = bake(shield, shield).cage(cage(shield).offset(0.1)).size(4).maps(normal(), height()).run();",
                "int shelves(int n) { return n; }")) {
            assertThat(snippets.run(line, null, null)).as(line).isEmpty();
        }
    }

    @AfterAll
    void end() {
        snippets.close();
        Session.setCurrent(null);
    }

    private Completions.Choice at(String text) {
        return completions.at(text, text.length());
    }

    private List<String> texts(String text) {
        return at(text).suggestions().stream().map(Completions.Suggestion::text).toList();
    }

    private Completions.Suggestion suggestion(String text, String wanted) {
        return at(text).suggestions().stream().filter(s -> s.text().equals(wanted)).findFirst().orElseThrow();
    }

    @Test
    void verbs_comeWithTheirParametersAndTheirLine() {
        assertThat(texts("bak")).containsExactly("baked", "bake(");
        assertThat(suggestion("ba", "bake(")).isEqualTo(new Completions.Suggestion("bake(", "bake(low, high…)", Help.line("bake")));
        assertThat(suggestion("var a = ca", "cage(").shown()).isEqualTo("cage(low | low, high)");
        assertThat(texts("norm")).containsExactlyInAnyOrder("normalsOf(", "normal()", "normalImage(");
    }

    @Test
    void emptyLine_offersTheSessionsNames_thenAllVerbs_andNothingElse() {
        List<String> all = texts("");
        assertThat(all).startsWith("baked", "p", "shelves(", "shield", "t");
        assertThat(all).hasSize(5 + Help.names().size());
    }

    @Test
    void otherJava_isOfferedWhereNoVerbFits_andAMistypedVerbIsMended() {
        assertThat(texts("SurfaceMa")).contains("SurfaceMask", "SurfaceMap");
        assertThat(texts("List.o")).contains("of(");
        assertThat(texts("baek")).containsExactly("bake(");
    }

    @Test
    void options_comeWithParametersAndTheirJavadoc_alsoInheritedOnes() {
        assertThat(suggestion("unwrap(shield).seamsBy", "seamsByAngle(")).satisfies(s -> {
            assertThat(s.shown()).isEqualTo("seamsByAngle(degrees)");
            assertThat(s.line()).isEqualTo("Puts seams where the surface turns by more than an angle");
        });
        // gutterTexels is one of a class that is not public itself.
        assertThat(suggestion("unwrap(shield).", "gutterTexels(").shown()).isEqualTo("gutterTexels(texels)");
        assertThat(suggestion("unwrap(shield).gutterTexels(4).", "seamsByAngle(").line()).isNotEmpty();
        assertThat(suggestion("bake(shield, shield).sam", "samples(").line()).startsWith("Sets n for n × n samples a texel");
        assertThat(texts("unwrap(shield).")).doesNotContain("hashCode()", "wait(");
    }

    @Test
    void arguments_areOfferedByTheirType_ownNamesFirst_underTheCallsParameters() {
        assertThat(at("bake(").heading()).isEqualTo("bake(MeshSource low, MeshSource… high)");
        assertThat(texts("bake(")).startsWith("shield").contains("load(", "lathe(").doesNotContain("arg(", "t", "String");
        assertThat(texts("lathe(shield).axis(")).containsExactly("X", "Y", "Z");
        assertThat(at("lathe(shield).sides(").heading()).startsWith("sides(int ");
        // Any number would do: nothing is put in of itself.
        assertThat(texts("occlusion(")).doesNotContain("arg(");
    }

    @Test
    void paths_areTheFoldersFiles_ofAKindThatTheVerbTakes() throws IOException {
        Files.createDirectories(folder.resolve("maps/old"));
        Files.writeString(folder.resolve("bollard.ply"), "x".repeat(2345));
        Files.writeString(folder.resolve("bell \"1\".obj"), "");
        Files.writeString(folder.resolve("mask.png"), "");
        Files.writeString(folder.resolve("maps/.hidden.png"), "");
        Files.writeString(folder.resolve("maps/worn.png"), "");
        assertThat(texts("load(\"")).containsExactly("maps/", "bell \\\"1\\\".obj\"", "bollard.ply\"");
        assertThat(suggestion("load(\"bo", "bollard.ply\"").line()).isEqualTo("2.3 kB");
        assertThat(texts("image(\"ma")).containsExactly("maps/", "mask.png\"");
        assertThat(texts("image(\"maps/")).containsExactly("old/", "worn.png\"");
        assertThat(texts("save(shield, \"b")).containsExactly("bell \\\"1\\\".obj\"", "bollard.ply\"");
        assertThat(texts("load(\"nowhere/")).isEmpty();
        assertThat(texts("load(\"a\0")).isEmpty();
        assertThat(texts("IO.println(\"b")).isEmpty();
        // What follows the cursor stays: no second quotation mark.
        assertThat(completions.at("load(\"bo\")", 8).suggestions()).extracting(Completions.Suggestion::text).containsExactly("bollard.ply");
    }

    @Test
    void helpAndMaps_areNamedWithinTheirQuotationMarks() {
        assertThat(texts("help(\"bak")).containsExactly("bake\")");
        assertThat(texts("baked.map(\"")).containsExactly("normal\")", "height\")");
        assertThat(texts("save(baked.map(\"n")).containsExactly("normal\")");
        assertThat(texts("shield.map(\"")).isEmpty();
        // An expression that is not a variable is not run to see what it gives.
        assertThat(texts("bake(shield, shield).run().map(\"")).isEmpty();
    }

    @Test
    void commentsAndBrokenText_giveNothing() {
        for (String text : List.of("// ba", "/* ba", "\"\"\"\nba", "'b")) {
            assertThat(at(text)).as(text).isEqualTo(Completions.Choice.NONE);
        }
        for (String text : List.of(")))", "}.", "..", "class {", "\"\\", "@", "a[", "λ.", "new ", "#")) {
            completions.at(text, text.length()); // whatever it gives, it gives it
        }
    }

    @Test
    void list_isRowsOfTheScreensWidth_orNamesWhereRowsAreTooMany() {
        List<Candidate> rows = new ArrayList<>(), names = new ArrayList<>(), heading = new ArrayList<>();
        SuggestionList.add(at("b"), "b", 60, 30, rows);
        assertThat(rows).isNotEmpty().allSatisfy(row -> assertThat(row.displ()).hasSize(59));
        assertThat(rows.get(1).displ()).startsWith("bake(low, high…)  carries the high poly's detail");
        SuggestionList.add(at(""), "", 60, 30, names);
        assertThat(names).extracting(Candidate::displ).contains("bake", "normal", "shield").hasSize(5 + Help.names().size());
        SuggestionList.add(at("occlusion("), "", 60, 30, heading);
        assertThat(heading).extracting(Candidate::group).containsOnly("occlusion(int rays)");
    }
}
