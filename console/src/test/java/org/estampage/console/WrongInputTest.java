package org.estampage.console;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.InputStream;
import java.io.OutputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What strangers type wrong, and what they must be told. */
class WrongInputTest {
    private static final List<String> PREPARED = List.of("var corners = new int[] {0, 1, 2, 0, 2, 3};",
            "var high = smooth(mesh(new float[] {0, 0, 0, 2, 0, 0, 2, 1, 0, 0, 1, 0}, corners).name(\"plate\")"
                    + ".uvSet(new Attribute(\"uv\", 2, new float[] {0, 0, 1, 0, 1, 1, 0, 1}, corners)));",
            "var low = high;",
            "var result = bake(low, high).cage(cage(low).offset(0.1)).size(4).samples(1).maps(normal(), height()).run();",
            "save(high, \"sculpt.obj\");", "int recurse(int n) { return recurse(n + 1); }");

    /** Input, and parts of what is said about it, in their order. */
    private static final List<String> WRONG = List.of(
            "laod(\"sculpt.obj\") | there is no verb laod(String) | did you mean load?",
            "lod(\"x\") | there is no verb lod(String) | did you mean load?",
            "bkae(low, high) | there is no verb bkae | did you mean bake?",
            "load(\"sclupt.obj\") | sclupt.obj does not exist | did you mean sculpt.obj?",
            "load(\"sculpt.ply\") | sculpt.ply does not exist | did you mean sculpt.obj?",
            "load(\"nofolder/x.obj\") | nofolder/x.obj does not exist | no folder nofolder | relative paths start at",
            "load(sculpt.obj) | there is no variable sculpt | in quotation marks: \"sculpt.obj\"",
            "load('sculpt.obj') | unclosed character literal | double quotation marks",
            "load(\"sculpt.obj) | unclosed string literal | second quotation mark is missing",
            "load() | load can't be called with () | it is load(String path)",
            "load(low) | a Mesh stands where a String is needed | it is load(String path)",
            "image(\"sculpt.obj\") | sculpt.obj is not an image file | PNG (.png)",
            "show(\"nothing.png\") | nothing.png does not exist",
            "result.map(\"nromal\") | no map is called \"nromal\" | did you mean \"normal\"?",
            "result.map(normal()) | a NormalMap stands where a String is needed | by its name: \"normal\"",
            "result.Map(\"normal\") | BakeResult has no Map(String) | did you mean .map(String name)?",
            "result.range(\"heihgt\") | no map is called \"heihgt\" | did you mean \"height\"?",
            "result.tile(1003) | number = 1003 must be a tile of this bake | 1001",
            "result.missedcount() | BakeResult has no missedcount() | did you mean .missedCount()?",
            "high.triangleCount | Mesh has no field triangleCount | .triangleCount()",
            "bake(low, high).sise(512) | BakeCall has no sise(int) | did you mean .size(int texels) or size(int width, int height)?",
            "bake(low, high).size(\"512\") | a String stands where an int is needed | without quotation marks",
            "bake(low, high).size(-1) | width = -1 must be 1",
            "bake(low, high).size(12.5) | lossy conversion | a whole number is needed",
            "bake(low, high).maps(nromal()) | there is no verb nromal() | did you mean normal?",
            "bake(low, high).maps(normal) | there is no variable normal | normal is a verb, which has brackets: normal()",
            "bake(low, high).maps(\"normal\") | maps can't be called with (String) | it is maps(SurfaceMap... maps)",
            "bake(low, high, size=512) | no arguments with names | options follow as calls: .size(",
            "bake(low, high).cage(low) | a Mesh stands where a CageSource is needed | cage(low).offset(0.02)",
            "bake(low) | at least one high poly is needed",
            "bake(\"low.obj\", \"high.obj\") | a String stands where a MeshSource is needed | load(\"…\") reads a mesh",
            "save(bake(low, high), \"out/a\") | save can't be called with (BakeCall, String) | save(BakeResult result, String base",
            "compare(low, bake(low, high), high) | a BakeCall stands where a BakeResult is needed | .run() gives the BakeResult",
            "decimate(high).build() | neither triangles nor error was set",
            "decimate(high, \"many\") | a String stands where an int is needed",
            "decimate(high, -5).build() | triangles = -5 must be at least 1",
            "decimate(hihg, 5) | there is no variable hihg | did you mean high?",
            "occlusion() | occlusion can't be called with () | it is occlusion(int rays)",
            "occlusion(64).error(2) | error = 2.0 must be 0",
            "unwrap(low).seamsByAngel(50) | Unwrap has no seamsByAngel(int) | did you mean .seamsByAngle(double degrees)?",
            "cage(low).offset(-1) | distance = -1.0 must be finite and not negative",
            "cage(low).build() | OffsetCage has no build() | offset(double distance)",
            "save(result) | save can't be called with 1 argument | save(BakeResult result, String base, SaveOption... options)",
            "save(result, \"\") | base = \"\" must end with",
            "save(low, \"low.xyz\") | low.xyz has no ending that names a mesh format | OBJ (.obj)",
            "save(result, \"out/a\", bits(12)) | bits = 12 must be 8 or 16",
            "save(result, \"out/a\", names(\"{mpa}\")) | has a place {mpa} | did you mean \"map\"?",
            "save(normal(), \"n.png\") | save can't be called with (NormalMap, String) | save(MeshSource mesh, String path)",
            "help(\"oclusion\") | there is no help about \"oclusion\" | did you mean occlusion?",
            "help(bake) | there is no variable bake | bake is a verb",
            "show(normal()) | the map normal is only described | .run()",
            "var x = null | cannot infer type | Mesh low = null",
            "int n = \"a\" | a String stands where an int is needed",
            "if (result.missedCount() = 0) { } | unexpected type | == compares",
            "FlotaImage.create(1, 1) | there is no class FlotaImage | did you mean FloatImage?",
            "Axis.W | Axis has no W",
            "hardEdges(low) | hardEdges can't be called with (Mesh) | it is hardEdges(MeshSource mesh, double degrees)",
            "arg(\"size\", \"a\", 3) | arg can't be called with (String, String, int) | or arg(String name, int otherwise)",
            "IO.prinln(\"x\") | IO has no prinln(String) | println",
            "List.of(1, 2).get(7) | IndexOutOfBoundsException | --stacktrace",
            "1 / 0 | ArithmeticException: / by zero | trace()",
            "((String) null).length() | something that is null was used",
            "throw new IllegalStateException(\"mine\") | mine",
            "new int[Integer.MAX_VALUE] | out of memory | ESTAMPAGE_JAVA_OPTIONS=-Xmx",
            "recurse(0) | a method goes on calling itself");

    @TempDir
    Path folder;

    @Test
    void everyWrongInput_isToldWhatIsWrong_andWhatToDo() {
        PrintStream nowhere = new PrintStream(OutputStream.nullOutputStream(), true, StandardCharsets.UTF_8);
        Session.setCurrent(new Session(folder, Map.of(), new ProgressLine(nowhere, false), nowhere));
        List<String> wrong = new ArrayList<>();
        try (Snippets snippets = new Snippets(InputStream.nullInputStream(), nowhere, nowhere)) {
            for (String line : PREPARED) {
                assertThat(snippets.run(line, null, null)).as(line).isEmpty();
            }
            for (String row : WRONG) {
                List<String> parts = List.of(row.split(" \\| "));
                String input = snippets.first(parts.getFirst()).source();
                String source = input == null ? parts.getFirst() : input;
                Optional<Snippets.Failure> failure = snippets.run(source, null, null);
                String said = failure.map(f -> f.atPrompt(source)).orElse("nothing");
                int at = 0;
                for (String part : parts.subList(1, parts.size())) {
                    int found = said.indexOf(part, at);
                    if (found < 0) {
                        wrong.add(parts.getFirst() + " must say " + part + ", but says\n" + said);
                        break;
                    }
                    at = found + part.length();
                }
                assertThat(said).as(row).doesNotContain("org.estampage").doesNotContain("java.lang").doesNotContain("REPL")
                        .doesNotContain("\tat ");
            }
            assertThat(snippets.run("high.triangleCount()", null, wrong)).as("the prompt lives on").isEmpty();
        } finally {
            Session.setCurrent(null);
        }
        assertThat(wrong).containsExactly("2");
        assertThat(WRONG).hasSizeGreaterThan(60);
    }

    @Test
    void mark_standsUnderTheMistake_alsoBehindTabs() {
        assertThat(Place.of("var a = 1;\n\tint b = c;\n", 20).marked().replace("\r\n", "\n"))
                .isEqualTo("    \tint b = c;\n    \t        ^\n");
        assertThat(Place.of("x", 99).marked()).startsWith("    x");
    }

    @Test
    void messagesThatSayItThemselves_areLeftAlone() {
        assertThat(CompileErrors.of("';' expected", "int x", 5, List.of())).isEqualTo(new CompileErrors.Text("';' expected", ""));
        assertThat(CompileErrors.of("reached end of file while parsing", "{", 1, List.of()).advice()).contains("bracket");
    }
}
