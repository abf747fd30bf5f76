package org.estampage.examples.server;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import org.estampage.bake.Baker;
import org.estampage.examples.server.Client.Answer;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.io.TempDir;

/** What tests of a server begin with: the meshes that clients send, and a folder in which servers live. */
abstract class ServerSetup {
    /** The least there is to bake. */
    static final String JOB = "{\"size\": 32, \"maps\": [\"normal\"]}";
    /** More than any machine bakes while a test waits for it; the meshes' charts make it some 17 thousand million rays. */
    static final String LONG = "{\"size\": 2048, \"samples\": 1, \"maps\": [{\"map\": \"occlusion\", \"rays\": 4096}]}";

    @TempDir
    Path folder;
    Meshes meshes;

    @BeforeEach
    final void makeMeshes() throws IOException {
        meshes = new Meshes(Files.createDirectory(folder.resolve("meshes")));
    }

    final BakeServer server(Limits limits) throws IOException {
        return BakeServer.start(BakeServer.loopback(0), limits, Baker.create().threads(2), folder, List.of("bakes.museum.example"));
    }

    /** Returns the folders of all servers' jobs. */
    final List<Path> jobFolders() throws IOException {
        return folders("job-", 2);
    }

    /** Returns the folders of all meshes that servers have. */
    final List<Path> meshFolders() throws IOException {
        return folders("mesh-", 3);
    }

    private List<Path> folders(String beginning, int depth) throws IOException {
        try (Stream<Path> all = Files.walk(folder, depth)) {
            return all.filter(path -> path.getFileName().toString().startsWith(beginning)).toList();
        }
    }

    /** Checks that an answer is a problem as RFC 9457 has it, section 3.1, whose type can be looked up. */
    static void assertProblem(Client client, Answer answer, int status, String kind) throws IOException, InterruptedException {
        assertThat(answer.status()).as(answer.json().toString()).isEqualTo(status);
        assertThat(answer.header("Content-Type")).isEqualTo("application/problem+json");
        JsonNode problem = answer.json();
        assertThat(problem.path("type").asText()).isEqualTo("/problems/" + kind);
        assertThat(problem.path("status").asInt()).isEqualTo(status);
        assertThat(problem.path("title").asText()).isNotBlank();
        assertThat(problem.path("detail").asText()).isNotBlank();
        assertThat(problem.path("instance").asText()).startsWith("/");
        assertThat(client.get(problem.path("type").asText()).status()).isEqualTo(200);
    }
}
