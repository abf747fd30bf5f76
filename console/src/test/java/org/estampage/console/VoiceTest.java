package org.estampage.console;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.atomic.LongAdder;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.bvh.Bvh;
import org.estampage.cage.Cage;
import org.estampage.image.FloatImage;
import org.estampage.lowpoly.Lathe;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.Bollard;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class VoiceTest {
    private static final String BAKE = """
            float[] p = {-1, 0, 1, 1, 0, 1, 1, 0, -1};
            int[] t = {0, 1, 2};
            var m = mesh(p, t).uvSet(new Attribute("uv", 2, new float[] {0, 0, 1, 0, 1, 1}, t)).build();
            var result = bake(m, m).cage(cage(m).offset(0.1)).size(8).run();
            save(smooth(m), "a.stl");
            save(result, "out/a");
            """;

    @TempDir
    Path folder;

    private record Outcome(int code, String out, String err) {
        List<JsonNode> events() throws IOException {
            List<JsonNode> events = new ArrayList<>();
            for (String line : err.lines().toList()) {
                events.add(new ObjectMapper().readTree(line));
            }
            return events;
        }
    }

    private Outcome console(String... arguments) {
        ByteArrayOutputStream out = new ByteArrayOutputStream(), err = new ByteArrayOutputStream();
        int code = Main.run(arguments, folder, new ByteArrayInputStream(new byte[0]), new PrintStream(out, true, StandardCharsets.UTF_8),
                new PrintStream(err, true, StandardCharsets.UTF_8), false, false);
        return new Outcome(code, out.toString(StandardCharsets.UTF_8), err.toString(StandardCharsets.UTF_8));
    }

    @Test
    void json_tellsStagesFilesAndFindings_andEndsWithTheExitCode() throws IOException {
        Files.writeString(folder.resolve("s.jsh"), BAKE);
        Outcome outcome = console("--json", "s.jsh", "seize=3");
        List<JsonNode> events = outcome.events();
        assertThat(events).allSatisfy(event -> assertThat(event.path("event").asText()).isNotEmpty());
        assertThat(events.getFirst().toString()).isEqualTo("{\"event\":\"start\",\"script\":\"s.jsh\",\"arguments\":{\"seize\":\"3\"}}");
        assertThat(events.getLast().path("event").asText()).isEqualTo("end");
        assertThat(events.getLast().path("exitCode").asInt(-1)).isZero();
        assertThat(of(events, "warning").getFirst().path("message").asText()).contains("does not read the argument seize");
        assertThat(of(events, "stage")).extracting(event -> event.path("stage").asText()).contains("baking");
        assertThat(of(events, "file")).extracting(event -> event.path("path").asText()).containsExactly("a.stl", "out/a-normal.png",
                "out/a-manifest.json");
        assertThat(of(events, "file")).allSatisfy(event -> assertThat(event.path("bytes").asLong())
                .isEqualTo(Files.size(folder.resolve(event.path("path").asText()))));
        assertThat(of(events, "finding")).anySatisfy(event -> {
            assertThat(event.path("about").asText()).isEqualTo("a.stl");
            assertThat(event.path("severity").asText()).isIn("note", "warning");
            assertThat(event.path("remedy").asText()).isNotEmpty();
        });
    }

    private static List<JsonNode> of(List<JsonNode> events, String name) {
        return events.stream().filter(event -> event.path("event").asText().equals(name)).toList();
    }

    @Test
    void json_placesErrors_andQuietTellsNothingElse() throws IOException {
        Files.writeString(folder.resolve("s.jsh"), BAKE + "fail(\"the rope is missing\");\n");
        List<JsonNode> events = console("--json", "s.jsh").events();
        assertThat(of(events, "error")).singleElement().satisfies(event -> {
            assertThat(event.path("file").asText()).isEqualTo("s.jsh");
            assertThat(event.path("line").asInt()).isEqualTo(7);
            assertThat(event.path("column").asInt()).isEqualTo(1);
            assertThat(event.path("message").asText()).isEqualTo("the rope is missing");
        });
        assertThat(events.getLast().path("exitCode").asInt()).isEqualTo(ScriptRunner.FAILED);
        Outcome quiet = console("--quiet", "s.jsh", "seize=3");
        assertThat(quiet.err.lines().map(String::strip)).containsExactly("s.jsh:7:1: the rope is missing", "fail(\"the rope is missing\");",
                "^");
        assertThat(console("--json", "none.jsh").events()).extracting(event -> event.path("event").asText()).containsExactly("start",
                "error", "end");
        assertThat(console("--json", "--stacktrace", "s.jsh").events()).extracting(event -> event.path("event").asText()).contains("stack");
    }

    @Test
    void options_thatDoNotFit_areRefused() {
        assertThat(console("--jsn", "s.jsh"))
                .isEqualTo(new Outcome(ScriptRunner.USAGE, "", "estampage: --jsn is not an option; did you mean --json?"
                        + System.lineSeparator()));
        assertThat(console("--json", "--quiet", "s.jsh").err).contains("exclude each other");
        assertThat(console("--json").err).contains("--json needs a script");
        assertThat(console("--help").out).contains("--quiet").contains("--json").contains("130").contains("143");
    }

    @Test
    void json_tellsProgressAtMostTwiceASecond() throws IOException {
        ByteArrayOutputStream err = new ByteArrayOutputStream();
        JsonVoice voice = new JsonVoice(new PrintStream(err, true, StandardCharsets.UTF_8));
        LongAdder rays = new LongAdder();
        voice.countRays(rays::sum);
        for (int i = 0; i < 10_000; i++) {
            rays.add(100);
            voice.report("baking", i, 10_000);
        }
        voice.report("baking", 10_000, 10_000);
        List<JsonNode> events = new Outcome(0, "", err.toString(StandardCharsets.UTF_8)).events();
        // One at once, and another only on a machine that takes half a second for nothing.
        assertThat(of(events, "progress")).hasSizeBetween(1, 4);
        JsonNode stage = of(events, "stage").getFirst();
        assertThat(stage.path("rays").asLong()).isGreaterThan(999_000);
        assertThat(stage.path("raysPerSecond").asLong()).isPositive();
    }

    /** DECAWM keeps it on one line in a narrower terminal; this keeps it whole in the usual one. */
    @Test
    void progressLine_isNeverWiderThanATerminal() {
        for (String name : List.of("x", "reading a-very-long-name-of-a-sculpt-from-the-harbour.ply")) {
            for (long nanos : new long[] {0, 1, 1_000_000_000L, 99_499_999_999L, 99_999_999_999L, 5_999_000_000_000L, 6_001_000_000_000L,
                    Long.MAX_VALUE / 4}) {
                for (long rays : new long[] {0, 1, 1L << 30, 1L << 45}) {
                    for (long done : new long[] {0, 1, 3, 99, 100, 101}) {
                        assertThat(ProgressLine.line(name, done, 100, nanos, rays)).hasSizeLessThan(80);
                        assertThat(ProgressLine.line(name, done, -1, nanos, rays)).hasSizeLessThan(80);
                    }
                }
            }
        }
    }

    @Test
    void countedRays_areThoseOfTheResult_andChangeNothing() {
        var shape = Bollard.generate(4000);
        Mesh high = Verbs.smooth(Mesh.builder(shape.positions(), shape.triangles()));
        Mesh low = Lathe.around(high).sides(12).rings(4).size(64).build();
        BakeJob job = BakeJob.of(low, high).cage(Cage.offset(low, 0.05)).size(32).samples(1)
                .maps(NormalMap.create(), OcclusionMap.create(16)).build();
        LongAdder rays = new LongAdder();
        BakeResult counted = Baker.create().threads(2).tracer(high, new CountedTracer(Bvh.build(high, Task.silent()), rays)).bake(job,
                Task.silent());
        BakeResult plain = Baker.create().threads(2).bake(job, Task.silent());
        // Rays that look why others missed are not among the result's.
        assertThat(rays.sum()).isGreaterThanOrEqualTo(counted.projectionRayCount() + counted.hemisphereRayCount())
                .isLessThan(2 * (counted.projectionRayCount() + counted.hemisphereRayCount()));
        for (String map : List.of("normal", "occlusion")) {
            assertThat(texels(counted.map(map))).isEqualTo(texels(plain.map(map)));
        }
    }

    private static float[] texels(FloatImage image) {
        return image.read(0, 0, image.width(), image.height(), new float[image.width() * image.height() * image.channels()]);
    }
}
