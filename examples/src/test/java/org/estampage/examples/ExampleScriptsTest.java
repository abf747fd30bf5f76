package org.estampage.examples;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.stream.Stream;
import org.estampage.console.ScriptRunner;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestInstance;
import org.junit.jupiter.api.io.TempDir;

/** Runs every script of this folder, at small sizes, from the repository's root as its caller. */
@TestInstance(TestInstance.Lifecycle.PER_CLASS)
class ExampleScriptsTest {
    private static final Path ROOT = Objects.requireNonNull(Path.of("").toAbsolutePath().getParent());

    private Outcome verbs = new Outcome(-1, "", "not run");
    /** What {@code verbs.jsh} writes, which several tests go on from. */
    private Path written = ROOT;

    @TempDir
    Path out;

    @BeforeAll
    void runVerbs(@TempDir Path folder) {
        written = folder;
        verbs = run("verbs.jsh", "out=" + written, "wordy=true");
    }

    private record Outcome(int code, String printed, String messages) {
    }

    private static Outcome run(String script, String... arguments) {
        Map<String, String> values = new LinkedHashMap<>();
        for (String argument : arguments) {
            values.put(argument.substring(0, argument.indexOf('=')), argument.substring(argument.indexOf('=') + 1));
        }
        ByteArrayOutputStream printed = new ByteArrayOutputStream(), messages = new ByteArrayOutputStream();
        PrintStream before = System.out;
        PrintStream stream = new PrintStream(printed, true, StandardCharsets.UTF_8);
        int code;
        try {
            System.setOut(stream); // IO.println prints there
            code = new ScriptRunner(ROOT, InputStream.nullInputStream(), stream, new PrintStream(messages, true, StandardCharsets.UTF_8),
                    false, true)
                    .run("examples/" + script, values);
        } finally {
            System.setOut(before);
        }
        return new Outcome(code, printed.toString(StandardCharsets.UTF_8), messages.toString(StandardCharsets.UTF_8));
    }

    private static Outcome succeeds(String script, String... arguments) {
        return succeeded(run(script, arguments));
    }

    private static Outcome succeeded(Outcome outcome) {
        assertThat(outcome.code).as(outcome.messages).isZero();
        assertThat(outcome.messages).doesNotContain("warning: the script does not read");
        return outcome;
    }

    private List<String> files(String ending) throws IOException {
        try (Stream<Path> files = Files.list(out)) {
            return files.map(file -> file.getFileName().toString()).filter(name -> name.endsWith(ending)).sorted().toList();
        }
    }

    @Test
    void bollard_doesTheWholeJob() throws IOException {
        Outcome outcome = succeeds("bollard.jsh", "size=128", "triangles=30000", "rays=8", "tile=64", "preview=64", "out=" + out);
        assertThat(files(".png")).containsExactly("bollard-coverage.png", "bollard-curvature.png", "bollard-finished-base-colour.png",
                "bollard-finished-normal.png", "bollard-finished-occlusion-roughness-metal.png", "bollard-height.png", "bollard-normal.png",
                "bollard-object-normal.png", "bollard-occlusion.png", "bollard-position.png", "bollard-preview.png");
        assertThat(files(".obj")).containsExactly("bollard-low.obj");
        assertThat(files(".glb")).containsExactly("bollard.glb");
        assertThat(files(".part")).isEmpty();
        assertThat(outcome.printed).contains("2304 triangles").contains("covered").contains("missed").contains("rays").contains("median");
        assertThat(Files.readString(out.resolve("bollard.html"))).contains("half of it within").contains("class=\"broad\"");
    }

    @Test
    void verbs_callsEveryVerb() throws IOException {
        succeeded(verbs);
        String script = Files.readString(ROOT.resolve("examples/verbs.jsh"));
        for (var method : org.estampage.console.Verbs.class.getDeclaredMethods()) {
            if (java.lang.reflect.Modifier.isPublic(method.getModifiers())) {
                assertThat(script).as("examples/verbs.jsh").containsPattern("\\b" + method.getName() + "\\(");
            }
        }
    }

    @Test
    void compare_isAGate_thatFailsAboveTheArgument() throws IOException {
        Outcome kept = succeeds("compare.jsh", "size=256", "triangles=30000", "pixels=96", "error=12", "out=" + out);
        assertThat(kept.printed).contains("error").contains("normals").contains("bare it would be").contains("with green turned");
        assertThat(files(".png")).containsExactly("angles-by-texel.png", "angles.png", "preview.png", "turned-normal.png",
                "turned-occlusion.png");
        Outcome broken = run("compare.jsh", "size=64", "triangles=20000", "pixels=64", "error=1", "out=" + out);
        assertThat(broken.code).isNotZero();
        assertThat(broken.messages).contains("may be 1.00°");
    }

    @Test
    void toy_isAFirstBake() throws IOException {
        assertThat(succeeds("toy.jsh", "size=64", "triangles=10000", "rays=4", "out=" + out).printed).contains("rays");
        assertThat(files(".png")).containsExactly("bollard-normal.png", "bollard-occlusion.png");
    }

    @Test
    void custom_bakesFunctionsOfOnesOwn() throws IOException {
        succeeds("custom.jsh", "size=64", "triangles=10000", "out=" + out);
        assertThat(files(".png")).containsExactly("bollard-normal.png", "bollard-snow.png", "bollard-tide.png");
    }

    @Test
    void many_seesBothHighPolys() {
        String printed = succeeds("many.jsh", "size=64", "triangles=10000", "out=" + out).printed;
        assertThat(printed).containsPattern("[1-9]\\d* texels show the bollard, [1-9]\\d* the ring");
    }

    @Test
    void udim_bakesEachTile() throws IOException {
        assertThat(succeeds("udim.jsh", "size=64", "triangles=10000", "rays=4", "out=" + out).printed).contains("1001: ")
                .contains("1002: ");
        assertThat(files(".png")).contains("bollard-normal.1001.png", "bollard-normal.1002.png", "layout.png");
    }

    @Test
    void bake_takesFilesOfOnesOwn() throws IOException {
        succeeded(verbs);
        succeeds("bake.jsh", "high=" + written.resolve("bollard.ply"), "low=" + written.resolve("low.obj"), "size=64", "rays=4",
                "out=" + out.resolve("a"), "cage=" + written.resolve("cage.obj"));
        assertThat(files(".png")).contains("a-normal.png", "a-occlusion.png");
    }

    @Test
    void firstBake_embedsTheEngine() throws IOException {
        succeeded(verbs);
        var result = FirstBake.bake(written.resolve("bollard.ply"), written.resolve("low.obj"), out);
        assertThat(result.missedCount()).isZero();
        assertThat(out.resolve("maps/thing-normal.png")).isNotEmptyFile();
        assertThat(out.resolve("maps/thing-occlusion.png")).isNotEmptyFile();
    }

    @Test
    void bake_saysInOneLineWhatIsWrong() throws IOException {
        assertThat(run("bake.jsh").messages).contains("name both meshes");
        assertThat(run("bake.jsh", "high=nowhere.ply", "low=nowhere.obj").messages).contains("nowhere.ply").contains("does not exist");
        Path points = Files.writeString(out.resolve("points.obj"), "v 0 0 0\nv 1 0 0\nv 0 1 0\n");
        assertThat(run("bake.jsh", "high=" + points, "low=" + points).messages).contains("points.obj").contains("no faces");
        Path bare = Files.writeString(out.resolve("bare.obj"), "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n");
        Outcome noUvs = run("bake.jsh", "high=" + bare, "low=" + bare, "out=" + out.resolve("b"), "offset=0.1");
        assertThat(noUvs.code).isEqualTo(ScriptRunner.FAILED);
        assertThat(noUvs.messages).contains("has no UVs");
        assertThat(files(".png")).isEmpty();
    }

    @Test
    void terrain_bakesOpenElevationData() throws IOException {
        fetched("jacksboro_fault_dem.npz");
        Outcome outcome = succeeds("terrain.jsh", "size=256", "rays=8", "out=" + out.resolve("terrain"));
        assertThat(outcome.printed).contains("275772 triangles").containsPattern("missed\\s+0 texels, 0 of");
        assertThat(files(".png")).hasSize(6);
    }

    @Test
    void scan_bakesAnOpenScan() throws IOException {
        fetched("bunny.stl");
        Outcome outcome = succeeds("scan.jsh", "size=256", "rays=8", "out=" + out.resolve("scan"));
        assertThat(outcome.printed).contains("69451 triangles");
        assertThat(files(".png")).hasSize(5);
    }

    /** Goes on only if a fetched file is there; in continuous integration it must be. */
    private static void fetched(String name) {
        boolean there = Files.exists(ROOT.resolve("test-resources/fetched/" + name));
        if (System.getenv("CI") != null) {
            assertThat(there).as("test-resources/fetch must have brought " + name).isTrue();
        }
        Assumptions.assumeTrue(there, "test-resources/fetch brings " + name);
    }

    @Test
    void sets_bakesEachAsset_andPassesOverWhatIsDone() throws IOException {
        Outcome first = succeeds("sets.jsh", "out=" + out, "size=32", "triangles=3000");
        assertThat(first.printed).contains("quay: done").contains("slip: done");
        assertThat(out.resolve("pier-normal.png")).exists();
        assertThat(Files.readAllLines(out.resolve("set.csv"))).hasSize(4);
        Outcome second = succeeds("sets.jsh", "out=" + out, "size=32", "triangles=3000");
        assertThat(second.printed).contains("quay: unchanged").doesNotContain(": done");
    }

    @Test
    void setWithABrokenAsset_bakesTheOthers_andSaysSoByItsExitCode() {
        Outcome outcome = run("sets.jsh", "out=" + out, "size=32", "triangles=3000", "broken=true");
        assertThat(outcome.code).as(outcome.messages).isEqualTo(ScriptRunner.FAILED);
        assertThat(outcome.printed).contains("quay: done").contains("pier: failed").contains("slip: done");
    }
}
