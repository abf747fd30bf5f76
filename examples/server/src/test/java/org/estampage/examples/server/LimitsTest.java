package org.estampage.examples.server;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import com.fasterxml.jackson.databind.JsonNode;
import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.Socket;
import java.net.http.HttpRequest.BodyPublishers;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.stream.Stream;
import org.estampage.examples.server.Client.Answer;
import org.junit.jupiter.api.Test;

/** What a server refuses, and how it says so. */
final class LimitsTest extends ServerSetup {
    @Test
    void description_thatIsWrong_isToldEveryField() throws Exception {
        try (BakeServer server = server(Limits.usual()); Client client = new Client(server.port())) {
            Answer answer = client.create("{\"size\": \"big\", \"samples\": 17, \"offset\": -1, \"colour\": 3, \"maps\": [\"normals\", "
                    + "{\"map\": \"normal\", \"rays\": 3}, {\"map\": \"occlusion\", \"rays\": 0}]}");

            assertProblem(client, answer, 422, "not-usable");
            assertThat(answer.json().path("points")).extracting(point -> point.path("where").asText()).containsExactlyInAnyOrder("/size",
                    "/samples", "/offset", "/colour", "/maps/0", "/maps/1", "/maps/2/rays");
            assertThat(answer.json().path("points")).allSatisfy(point -> {
                assertThat(point.path("what").asText()).isNotBlank();
                assertThat(point.path("remedy").asText()).isNotBlank();
            });
        }
    }

    @Test
    void description_thatIsNoJson_isToldThePlace() throws Exception {
        try (BakeServer server = server(Limits.usual()); Client client = new Client(server.port())) {
            for (String text : List.of("", "[]", "{", "{\"size\": NaN}", "{\"size\": 1, \"size\": 2}", "{} {}", "\u0000", "{\"maps\": []}",
                    "{\"maps\": [\"normal\", \"normal\"]}", "[".repeat(5_000))) {
                assertProblem(client, client.create(text), 422, "not-usable");
            }
            assertThat(client.create("{\n  \"size\": NaN}").json().path("points").path(0).path("where").asText()).startsWith("line 2");
            assertProblem(client, client.create(" ".repeat(1 << 17)), 413, "too-large");
            assertProblem(client, client.send(client.request("/jobs").POST(BodyPublishers.ofString(JOB))), 415, "unknown-type");
            assertThat(client.get("/jobs").json().path("jobs")).isEmpty();
        }
    }

    @Test
    void paths_outsideTheList_areNotFound_andMethodsAreNamed() throws Exception {
        try (BakeServer server = server(Limits.usual()); Client client = new Client(server.port())) {
            String job = client.create(JOB).header("Location");
            for (String path : List.of("/", "/jobs/", "/jobs/1", "/jobs/../jobs", "/problems/none", "/problems", job + "/", job + "/maps",
                    job + "/x", job + "/meshes/middle", job + "//events", "/jobs//" + job)) {
                assertProblem(client, client.get(path), 404, "not-found");
            }
            Answer wrong = client.send(client.request(job + "/start"));
            assertProblem(client, wrong, 405, "method-not-allowed");
            assertThat(wrong.header("Allow")).isEqualTo("POST");
            assertThat(client.delete("/jobs").header("Allow")).isEqualTo("GET, HEAD, POST");
        }
    }

    @Test
    void steps_outOfOrder_areRefused() throws Exception {
        try (BakeServer server = server(Limits.usual()); Client client = new Client(server.port())) {
            String job = client.create(JOB).header("Location");
            Answer early = client.start(job);
            assertProblem(client, early, 409, "wrong-state");
            assertThat(early.json().path("detail").asText()).contains("low and high", "none yet");
            client.put(job + "/meshes/low", Meshes.OBJ, meshes.lowBytes());
            assertProblem(client, client.start(job), 409, "wrong-state");
            assertProblem(client, client.get(job + "/maps/normal.png"), 409, "wrong-state");
            client.put(job + "/meshes/high", Meshes.BYTES, meshes.highBytes());
            assertThat(client.start(job).status()).isEqualTo(202);
            client.await(job, "done");
            assertProblem(client, client.start(job), 409, "wrong-state");
            assertProblem(client, client.put(job + "/meshes/low", Meshes.OBJ, meshes.lowBytes()), 409, "wrong-state");
        }
    }

    @Test
    void maps_underOtherNames_areNotFound_howeverTheyAreWritten() throws Exception {
        try (BakeServer server = server(Limits.usual()); Client client = new Client(server.port())) {
            String job = meshes.send(client, JOB);
            client.start(job);
            client.await(job, "done");
            for (String name : List.of("height.png", "..%2f..%2fmeshes%2fgame.obj", "%2e%2e/manifest.json", "..", "normal.png%00.txt",
                    "%2Fetc%2Fpasswd", "../../../etc/passwd", "..%5c..%5cx")) {
                assertProblem(client, client.get(job + "/maps/" + name), 404, "not-found");
            }
            assertThat(client.get(job + "/maps/normal.png").status()).isEqualTo(200);
        }
    }

    @Test
    void sizes_beyondTheLimits_areRefused() throws Exception {
        Limits small = Limits.usual().withSizes(1_000_000, 500, 10_000, 1 << 28);
        try (BakeServer server = server(small); Client client = new Client(server.port())) {
            Answer texels = client.create("{\"size\": 101, \"maps\": [\"normal\"]}");
            assertProblem(client, texels, 413, "too-large");
            assertThat(texels.json().path("detail").asText()).contains("10201", "10000");

            String job = client.create(JOB).header("Location");
            Answer triangles = client.put(job + "/meshes/high", Meshes.BYTES, meshes.highBytes());
            assertProblem(client, triangles, 413, "too-large");
            assertThat(triangles.json().path("detail").asText()).contains("500");

            // A body that says how long it is, and one that doesn't.
            byte[] long1 = new byte[3_000_000];
            assertProblem(client, client.put(job + "/meshes/high", Meshes.BYTES, long1), 413, "too-large");
            assertProblem(client,
                    client.put(job + "/meshes/high", Meshes.BYTES, BodyPublishers.ofInputStream(() -> new ByteArrayInputStream(long1))),
                    413,
                    "too-large");
            assertThat(client.get(job).json().path("meshes")).isEmpty();
            assertThat(meshFolders()).isEmpty();
        }
    }

    @Test
    void types_thatAreNotKnown_areRefused_withThoseThatAre() throws Exception {
        try (BakeServer server = server(Limits.usual()); Client client = new Client(server.port())) {
            String job = client.create(JOB).header("Location");

            Answer answer = client.put(job + "/meshes/low", "image/png", new byte[10]);

            assertProblem(client, answer, 415, "unknown-type");
            assertThat(answer.header("Accept")).contains("model/obj", "model/gltf-binary");
            assertThat(answer.json().path("detail").asText()).contains("image/png", "model/obj");
            assertProblem(client,
                    client.send(client.request(job + "/meshes/low").header("Content-Type", Meshes.OBJ).header("Content-Encoding", "gzip")
                            .PUT(BodyPublishers.ofByteArray(meshes.lowBytes()))),
                    415, "unknown-type");
        }
    }

    @Test
    void meshes_thatAreBroken_areToldThePlace_andLeaveNothing() throws Exception {
        try (BakeServer server = server(Limits.usual()); Client client = new Client(server.port())) {
            String job = client.create(JOB).header("Location");
            String low = job + "/meshes/low";
            Answer line = client.put(low, Meshes.OBJ, "v 0 0 0\nv 1 0 x\n".getBytes(StandardCharsets.UTF_8));
            assertProblem(client, line, 422, "not-usable");
            assertThat(line.json().path("points").path(0).path("where").asText()).isEqualTo("low.obj:2");

            byte[] ply = meshes.highBytes();
            byte[] cut = java.util.Arrays.copyOf(ply, ply.length / 2);
            assertProblem(client, client.put(low, Meshes.BYTES, cut), 422, "not-usable");
            assertProblem(client, client.put(low, Meshes.BYTES, new byte[0]), 422, "not-usable");
            assertProblem(client, client.put(low, Meshes.GLB, ply), 422, "not-usable"); // a whole mesh, but one without UVs
            assertProblem(client, client.put(low, Meshes.GLB, "glTF\2\0\0\0\u00ff\u00ff".getBytes(StandardCharsets.ISO_8859_1)), 422,
                    "not-usable");
            assertProblem(client, client.put(low, Meshes.OBJ, "v 0 0 0\nv 1 0 0\nv 0 nan 0\nf 1 2 3\n".getBytes(StandardCharsets.UTF_8)),
                    422, "not-usable");
            assertThat(client.get(job).json().path("meshes")).isEmpty();
            assertThat(meshFolders()).isEmpty();

            // The job is none the worse for it.
            assertThat(client.put(low, Meshes.OBJ, meshes.lowBytes()).status()).isEqualTo(201);
            client.put(job + "/meshes/high", Meshes.BYTES, ply);
            client.start(job);
            client.await(job, "done");
        }
    }

    @Test
    void meshes_cantNameFilesOfTheMachine() throws Exception {
        Path secret = Files.writeString(folder.resolve("secret.mtl"), "newmtl stolen\nKd 1 0 0\n");
        Path bin = Files.write(folder.resolve("secret.bin"), new byte[60]);
        try (BakeServer server = server(Limits.usual()); Client client = new Client(server.port())) {
            String job = client.create(JOB).header("Location");
            String obj = "mtllib " + secret + "\nmtllib ../../../secret.mtl\nusemtl stolen\nv 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n";
            Answer taken = client.put(job + "/meshes/high", Meshes.OBJ, obj.getBytes(StandardCharsets.UTF_8));
            assertThat(taken.status()).isEqualTo(201);
            assertThat(taken.json().path("findings").toString()).contains("mtl"); // said, not read
            for (String uri : List.of(bin.toString(), bin.toUri().toString(), "../../../secret.bin")) {
                String gltf = "{\"asset\": {\"version\": \"2.0\"}, \"buffers\": [{\"uri\": \"" + uri + "\", \"byteLength\": 36}], "
                        + "\"bufferViews\": [{\"buffer\": 0, \"byteLength\": 36}], \"accessors\": [{\"bufferView\": 0, \"componentType\": 5126, "
                        + "\"count\": 3, \"type\": \"VEC3\"}], \"meshes\": [{\"primitives\": [{\"attributes\": {\"POSITION\": 0}}]}], "
                        + "\"nodes\": [{\"mesh\": 0}], \"scenes\": [{\"nodes\": [0]}], \"scene\": 0}";
                assertProblem(client, client.put(job + "/meshes/high", "model/gltf+json", gltf.getBytes(StandardCharsets.UTF_8)), 422,
                        "not-usable");
            }
        }
    }

    @Test
    void jobs_beyondTheQueue_areToldToComeAgain() throws Exception {
        Limits few = Limits.usual().withJobs(1, 1, 3);
        try (BakeServer server = server(few); Client client = new Client(server.port())) {
            String running = meshes.send(client, LONG);
            String queued = meshes.send(client, LONG);
            String third = meshes.send(client, JOB);
            Answer fourth = client.create(JOB);
            assertProblem(client, fourth, 429, "too-many-jobs");
            assertThat(fourth.header("Retry-After")).matches("[1-9][0-9]*");

            client.start(running);
            client.await(running, "baking");
            client.start(queued);
            Answer full = client.start(third);
            assertProblem(client, full, 429, "too-many-jobs");
            assertThat(full.header("Retry-After")).matches("[1-9][0-9]*");
            assertThat(client.get(third).json().path("state").asText()).isEqualTo("waiting");

            // A place in the queue is free as soon as a job that waits is removed.
            assertThat(client.delete(queued).status()).isEqualTo(204);
            assertThat(client.start(third).status()).isEqualTo(202);
            client.delete(running);
            client.await(third, "done");
        }
    }

    @Test
    void bake_thatTakesTooLong_isStopped() throws Exception {
        Limits brief = Limits.usual().withJobTimes(Duration.ofMillis(300), Duration.ofMinutes(1));
        try (BakeServer server = server(brief); Client client = new Client(server.port())) {
            String job = meshes.send(client, LONG);
            client.start(job);

            JsonNode failed = client.await(job, "failed");

            assertThat(failed.path("problem").path("type").asText()).isEqualTo("/problems/took-too-long");
            assertThat(failed.path("files").isMissingNode()).isTrue();
        }
    }

    @Test
    void bake_ofMeshesThatDontFit_failsWithEveryReason() throws Exception {
        try (BakeServer server = server(Limits.usual()); Client client = new Client(server.port())) {
            String job = meshes.send(client, JOB);
            client.put(job + "/meshes/cage", Meshes.BYTES, meshes.highBytes());
            client.start(job);

            JsonNode failed = client.await(job, "failed");

            assertThat(failed.path("problem").path("status").asInt()).isEqualTo(422);
            assertThat(failed.path("problem").path("points").path(0).path("what").asText()).contains("the cage has");
        }
    }

    @Test
    void clients_thatAreSilent_areCutOff() throws Exception {
        Limits quick = Limits.usual().withClientTimes(Duration.ofMillis(200), Duration.ofMillis(600), Duration.ofSeconds(5));
        try (BakeServer server = server(quick); Client client = new Client(server.port())) {
            String job = client.create(JOB).header("Location");
            String put = "PUT " + job
                    + "/meshes/low HTTP/1.1\r\nHost: localhost\r\nContent-Type: model/obj\r\nContent-Length: 1000\r\n\r\nv 0";
            for (String start : List.of("G", "GET /jobs HTTP/1.1\r\nHost: loc", put)) {
                assertThat(secondsUntilCutOff(server, start, Duration.ofSeconds(8))).isBetween(0.1, 5.0);
            }
            // One byte now and then is not silence, but the whole takes too long.
            assertThat(secondsUntilCutOff(server, put, Duration.ofMillis(50))).isBetween(0.5, 5.0);
            while (server.requestCount() > 0) {
                Thread.sleep(5); // the server's thread may be a moment behind
            }
            assertThat(client.put(job + "/meshes/low", Meshes.OBJ, meshes.lowBytes()).status()).isEqualTo(201);
        }
    }

    private static double secondsUntilCutOff(BakeServer server, String start, Duration pause) throws Exception {
        long begin = System.nanoTime();
        try (Socket socket = new Socket(InetAddress.getLoopbackAddress(), server.port())) {
            OutputStream out = socket.getOutputStream();
            out.write(start.getBytes(StandardCharsets.US_ASCII));
            out.flush();
            Thread.ofVirtual().start(() -> {
                try {
                    while (true) {
                        Thread.sleep(pause);
                        out.write(' ');
                    }
                } catch (IOException | InterruptedException e) {
                    // cut off, as it should be
                }
            });
            socket.setSoTimeout(10_000);
            try {
                socket.getInputStream().readAllBytes(); // whatever the JDK's server has to say to half a request, and the end
            } catch (java.net.SocketException e) {
                assertThat(e).hasMessageContaining("reset"); // bytes were under way
            }
        }
        return (System.nanoTime() - begin) * 1e-9;
    }

    @Test
    void requests_beyondTheLimit_areToldToComeAgain() throws Exception {
        try (BakeServer server = server(Limits.usual().withRequests(1)); Client client = new Client(server.port())) {
            String job = client.create(JOB).header("Location");
            try (Stream<String> lines = client.lines(job)) {
                assertThat(lines.findFirst()).isPresent();
                Answer busy = client.get("/jobs");
                assertThat(busy.status()).isEqualTo(503);
                assertThat(busy.header("Retry-After")).isEqualTo("1");
            }
        }
    }

    @Test
    void hosts_ofOtherSites_areRefused() throws Exception {
        try (BakeServer server = server(Limits.usual())) {
            assertThat(statusFor(server, "localhost:" + server.port())).isEqualTo(200);
            assertThat(statusFor(server, "127.0.0.1")).isEqualTo(200);
            assertThat(statusFor(server, "Bakes.Museum.example:80")).isEqualTo(200);
            assertThat(statusFor(server, "evil.example")).isEqualTo(421);
            assertThat(statusFor(server, "localhost.evil.example")).isEqualTo(421);
            assertThat(statusFor(server, "")).isEqualTo(421);
        }
    }

    private static int statusFor(BakeServer server, String host) throws IOException {
        try (Socket socket = new Socket(InetAddress.getLoopbackAddress(), server.port())) {
            socket.setSoTimeout(10_000);
            socket.getOutputStream()
                    .write(("GET /jobs HTTP/1.1\r\nHost: " + host + "\r\nConnection: close\r\n\r\n").getBytes(StandardCharsets.US_ASCII));
            String answer = new String(socket.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
            return Integer.parseInt(answer.substring(9, 12));
        }
    }

    @Test
    void limits_thatMakeNoSense_areRefused() {
        assertThatThrownBy(() -> Limits.usual().withJobs(0, 1, 1)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("jobsAtOnce");
        assertThatThrownBy(() -> Limits.usual().withJobs(1, -1, 1)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("queued");
        assertThatThrownBy(() -> Limits.usual().withRequests(0)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("requests");
    }
}
