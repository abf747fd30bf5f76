package org.estampage.examples.server;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.estampage.bake.Baker;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The commands of this module's README, run as they stand there. */
final class ReadmeTest {
    @TempDir
    private Path folder;

    @Test
    void commandsOfTheReadme_bakeABollard() throws Exception {
        if (System.getenv("CI") == null) {
            Assumptions.assumeTrue(canRun("curl"), "curl is not installed");
        }
        Meshes meshes = new Meshes(folder);
        String readme = Files.readString(Path.of("README.md"));
        int begin = readme.indexOf("```sh\n") + 6;
        String commands = readme.substring(begin, readme.indexOf("```", begin));
        assertThat(meshes.high).hasFileName("sculpt.ply");
        assertThat(meshes.low).hasFileName("game.obj");
        try (BakeServer server = BakeServer.start(BakeServer.loopback(0), Limits.usual(), Baker.create(), folder, List.of())) {
            assertThat(commands).contains("127.0.0.1:8080");
            Path out = folder.resolve("out.txt");

            Process shell = new ProcessBuilder("bash", "-euc", commands.replace("127.0.0.1:8080", "127.0.0.1:" + server.port()))
                    .directory(folder.toFile()).redirectErrorStream(true).redirectOutput(out.toFile()).start();

            assertThat(shell.waitFor(60, TimeUnit.SECONDS)).as("ended").isTrue();
            assertThat(shell.exitValue()).as(Files.readString(out)).isZero();
            assertThat(Files.readString(out)).contains("event: status", "\"state\":\"done\"");
            assertThat(Files.readAllBytes(folder.resolve("normal.png"))).startsWith(0x89, 'P', 'N', 'G'); // PNG, ISO/IEC 15948, 5.2
            assertThat(Files.readAllBytes(folder.resolve("model.glb"))).startsWith('g', 'l', 'T', 'F'); // glTF 2.0, 4.4.2
            assertThat(folder.resolve("occlusion.png")).isNotEmptyFile();
            assertThat(Files.readString(folder.resolve("manifest.json"))).contains("\"sha256\"");
        }
    }

    private static boolean canRun(String program) throws InterruptedException {
        try {
            return new ProcessBuilder(program, "--version").redirectErrorStream(true).redirectOutput(ProcessBuilder.Redirect.DISCARD)
                    .start()
                    .waitFor() == 0;
        } catch (IOException e) {
            return false;
        }
    }
}
