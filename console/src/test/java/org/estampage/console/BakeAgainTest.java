package org.estampage.console;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What maps and manifests print is run by the console and gives the same again. */
class BakeAgainTest {
    private static final String MESHES = """
            float[] p = {-1, 0, 1, 1, 0, 1, 1, 0, -1, -1, 0, -1};
            int[] t = {0, 1, 2, 0, 2, 3};
            float[] uv = {0, 0, 1, 0, 1, 1, 0, 1};
            save(mesh(p, t).name("plate").uvSet(new Attribute("uv", 2, uv, t)), "plate.obj");
            float[] q = {-1, -0.2f, 1, 1, 0, 1, 1, 0.1f, -1, -1, 0.3f, -1};
            save(mesh(q, t).name("rough"), "rough.obj");
            """;

    @TempDir
    Path folder;

    private String runs(String script, String... arguments) {
        ByteArrayOutputStream out = new ByteArrayOutputStream(), err = new ByteArrayOutputStream();
        String[] all = Stream.concat(Stream.of(script), Stream.of(arguments)).toArray(String[]::new);
        int code = Main.run(all, folder, new ByteArrayInputStream(new byte[0]), new PrintStream(out, true, StandardCharsets.UTF_8),
                new PrintStream(err, true, StandardCharsets.UTF_8), false, false);
        String messages = err.toString(StandardCharsets.UTF_8);
        return code == 0 ? "" : messages;
    }

    @Test
    void whatAMapPrints_makesThatMap() throws IOException {
        List<String> calls = List.of("normal()", "normal().greenDown()", "objectNormal()", "height()", "height().alongNormal().range(0.25)",
                "occlusion(64)", "occlusion(64).reach(0.1)", "occlusion(1024).uniform().error(0.015625).ownPart().oneSided().ground(Y)",
                "occlusion(16).fadingReach(0.1).ground(Z, -0.5).sharingRays()", "bentNormal(16).reach(0.25).objectSpace().keepingLength()",
                "thickness(16)", "thickness(16).cone(45.0).uniform().reach(3.0)", "curvature()",
                "curvature().over(0.01).range(3.0).convex()",
                "curvature().concave()", "position()", "position().normalised()", "ids()", "ids().materials()", "ids().colours()",
                "ids().pieces()", "colour()", "colour().linear()", "opacity()", "coverage()", "raysOf(occlusion(64).error(0.03125))",
                "errorOf(bentNormal(64).error(0.03125))");
        StringBuilder script = new StringBuilder("String seen = \"\";\n");
        calls.forEach(call -> script.append("seen += ").append(call).append(" + \"\\n\";\n"));
        script.append("Files.writeString(path(\"seen.txt\"), seen);\n");
        Files.writeString(folder.resolve("calls.jsh"), script);
        assertThat(runs("calls.jsh")).isEmpty();
        assertThat(Files.readString(folder.resolve("seen.txt"))).isEqualTo(String.join("\n", calls) + "\n");
    }

    @Test
    void aManifestsScript_bakesTheSameMapsAgain() throws IOException {
        Files.writeString(folder.resolve("first.jsh"),
                MESHES + """
                        var low = load("plate.obj");
                        var high = load("rough.obj");
                        var c = cage(low).offset(0.5).build();
                        save(c, "cage.obj");
                        var result = bake(low, high).cage(c).size(24, 16).samples(3).edgeSamples(4).filter(TexelFilter.TENT).padding(2).rayBlend(0.5)
                                .frame(org.estampage.bake.FrameRule.RENORMALISED).hits(org.estampage.bake.HitRule.NEAREST_FACE).stacked()
                                .maps(normal().greenDown(), height().range(0.4), occlusion(16).fadingReach(0.1), position().normalised()).run();
                        save(result, "first/plate");
                        Files.writeString(path("again.jsh"), manifest(result).script());
                        """);
        assertThat(runs("first.jsh")).isEmpty();
        assertThat(runs("again.jsh", "low=plate.obj", "high=rough.obj", "cage=cage.obj", "out=again/plate")).isEmpty();
        try (Stream<Path> files = Files.list(folder.resolve("first"))) {
            List<Path> maps = files.sorted().toList();
            assertThat(maps).hasSizeGreaterThanOrEqualTo(4);
            for (Path map : maps) {
                assertThat(folder.resolve("again").resolve(String.valueOf(map.getFileName()))).hasSameBinaryContentAs(map);
            }
        }
        Files.writeString(folder.resolve("plate2.obj"), Files.readString(folder.resolve("plate.obj")).replaceFirst("v -1", "v -1.5"));
        assertThat(runs("again.jsh", "low=plate2.obj", "high=rough.obj")).contains("low is not the mesh that was baked");
        assertThat(runs("again.jsh", "low=plate2.obj", "high=rough.obj", "changed=true", "out=changed/plate")).isEmpty();
    }
}
