package org.estampage.examples.server;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CompletableFuture;
import java.util.stream.Stream;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.examples.server.Client.Answer;
import org.estampage.examples.server.Client.Event;
import org.estampage.handover.Delivery;
import org.estampage.handover.MapFileOptions;
import org.estampage.handover.ModelFiles;
import org.estampage.io.MeshFiles;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

final class BakeServerTest extends ServerSetup {
    private static final Duration PROMISE = Duration.ofMillis(500);
    private static final String SMALL = "{\"name\": \"bollard\", \"size\": 64, \"maps\": [\"normal\", {\"map\": \"occlusion\", \"rays\": 8}]}";

    /** Returns the files that the engine writes of the same bake, by the paths that a server has them at. */
    private Map<String, byte[]> direct(String name) throws IOException {
        Path out = Files.createDirectories(folder.resolve("direct-" + name));
        // The meshes under the names that a server gives their files: names of meshes go into models.
        Path high = Files.copy(meshes.high, out.resolve("high.bin"));
        Path low = Files.copy(meshes.low, out.resolve("low.obj"));
        Mesh sculpt = MeshFiles.read(high, Task.silent());
        Mesh game = MeshFiles.read(low, Task.silent());
        BakeResult result = Baker.create()
                .bake(BakeJob.of(game, sculpt).size(64).maps(NormalMap.create(), OcclusionMap.create(8)).build(), Task.silent());
        Map<String, Path> inputs = new LinkedHashMap<>();
        inputs.put("low", low);
        inputs.put("high", high);
        Delivery delivery = Delivery.write(result, out.resolve("bake"), MapFileOptions.USUAL, inputs, Task.silent());
        Path model = out.resolve("model.glb");
        ModelFiles.of(result).write(model, Task.silent());
        return Map.of("/maps/normal.png", Files.readAllBytes(delivery.maps().get(0).file()), "/maps/occlusion.png",
                Files.readAllBytes(delivery.maps().get(1).file()), "/manifest.json", Files.readAllBytes(delivery.manifestFile()),
                "/model.glb", Files.readAllBytes(model));
    }

    private static void assertFiles(Client client, String job, Map<String, byte[]> expected) throws IOException, InterruptedException {
        for (Map.Entry<String, byte[]> file : expected.entrySet()) {
            Answer answer = client.get(job + file.getKey());
            assertThat(answer.status()).as(file.getKey()).isEqualTo(200);
            assertThat(answer.response().body()).as(file.getKey()).isEqualTo(file.getValue());
        }
    }

    @Test
    void wholeJob_givesTheFilesOfADirectBake_bitForBit() throws Exception {
        try (BakeServer server = server(Limits.usual()); Client client = new Client(server.port())) {
            String job = meshes.send(client, SMALL);
            assertThat(client.get(job).json().path("meshes").path("high").path("triangles").asInt()).isBetween(5_800, 6_200);

            assertThat(client.start(job).status()).isEqualTo(202);
            JsonNode done = client.await(job, "done");

            assertThat(done.path("files").path("maps").path("normal").asText()).isEqualTo(job + "/maps/normal.png");
            assertThat(done.path("seconds").asDouble()).isPositive();
            assertThat(done.path("findings").isArray()).isTrue();
            assertFiles(client, job, direct("whole"));
            assertThat(client.get("/jobs").json().path("jobs")).hasSize(1);
            Answer head = client.send(client.request(job + "/maps/normal.png").HEAD());
            assertThat(head.header("Content-Type")).isEqualTo("image/png");
            assertThat(head.response().body()).isEmpty();
        }
    }

    @Test
    void files_tellNothingOfTheServersFolders() throws Exception {
        try (BakeServer server = server(Limits.usual()); Client client = new Client(server.port())) {
            String job = meshes.send(client, SMALL);
            client.start(job);
            client.await(job, "done");

            for (String file : List.of("/maps/normal.png", "/manifest.json", "/model.glb", "")) {
                assertThat(new String(client.get(job + file).response().body(), java.nio.charset.StandardCharsets.ISO_8859_1)).as(file)
                        .doesNotContain(folder.toString(), "estampage-server-");
            }
        }
    }

    @Test
    void twoJobsAtOnce_giveWhatTheyGiveAlone() throws Exception {
        try (BakeServer server = server(Limits.usual().withJobs(2, 2, 8)); Client client = new Client(server.port())) {
            Map<String, byte[]> alone = direct("two");
            String first = meshes.send(client, SMALL);
            String second = meshes.send(client, SMALL);

            client.start(first);
            client.start(second);

            client.await(first, "done");
            client.await(second, "done");
            assertFiles(client, first, alone);
            assertFiles(client, second, alone);
        }
    }

    @Test
    void events_arriveInOrder_andEndWithTheJob() throws Exception {
        try (BakeServer server = server(Limits.usual()); Client client = new Client(server.port())) {
            String job = meshes.send(client, SMALL);
            CompletableFuture<List<Event>> following = CompletableFuture.supplyAsync(() -> {
                try {
                    return client.events(job);
                } catch (IOException | InterruptedException e) {
                    throw new IllegalStateException(e);
                }
            });
            client.start(job);

            List<Event> events = following.get();

            assertThat(events).extracting(Event::name).containsOnly("status");
            assertThat(events).extracting(Event::id).isSorted().doesNotHaveDuplicates();
            assertThat(events.getLast().data().path("state").asText()).isEqualTo("done");
            assertThat(events.getLast().data().path("files").path("model").asText()).isEqualTo(job + "/model.glb");
            List<String> order = List.of("waiting", "queued", "baking", "done");
            assertThat(events).extracting(event -> order.indexOf(event.data().path("state").asText())).isSorted();
            for (int i = 1; i < events.size(); i++) {
                JsonNode before = events.get(i - 1).data();
                JsonNode after = events.get(i).data();
                // Other stages can come again, as a cage is fitted in rounds; this one comes once.
                if (before.path("stage").asText().equals("baking") && after.path("stage").asText().equals("baking")) {
                    assertThat(after.path("percent").asInt()).isGreaterThanOrEqualTo(before.path("percent").asInt());
                }
            }
            // A client that comes again with the last number is told to stop asking.
            Answer again = client.send(client.request(job + "/events").header("Last-Event-ID", Long.toString(events.getLast().id())));
            assertThat(again.status()).isEqualTo(204);
        }
    }

    @Test
    void delete_stopsABakeWithinHalfASecond_andLeavesNoFile() throws Exception {
        try (BakeServer server = server(Limits.usual()); Client client = new Client(server.port())) {
            Duration shortest = Duration.ofDays(1);
            // The best of several: a machine may be busy with other things at one moment.
            for (int attempt = 0; attempt < 5 && shortest.compareTo(PROMISE) > 0; attempt++) {
                String job = meshes.send(client, LONG);
                client.start(job);
                client.await(job, "baking");
                while (!client.get(job).json().path("stage").asText().equals("baking")) {
                    Thread.sleep(5);
                }
                long begin = System.nanoTime();

                Answer gone = client.delete(job);

                Duration took = Duration.ofNanos(System.nanoTime() - begin);
                shortest = took.compareTo(shortest) < 0 ? took : shortest;
                assertThat(gone.status()).isEqualTo(204); // nothing is left: so no clock is needed to say that it has stopped
                assertThat(client.get(job).status()).isEqualTo(404);
                assertThat(jobFolders()).isEmpty();
            }
            assertThat(shortest).isLessThan(PROMISE);
        }
    }

    @Test
    void clientThatGoesAway_leavesNoRequestBehind_andItsJobGoesOn() throws Exception {
        Limits quick = Limits.usual().withClientTimes(Duration.ofSeconds(5), Duration.ofSeconds(5), Duration.ofMillis(20));
        try (BakeServer server = server(quick); Client client = new Client(server.port())) {
            String job = meshes.send(client, SMALL);
            try (Client other = new Client(server.port()); Stream<String> lines = other.lines(job)) {
                assertThat(lines.findFirst()).isPresent();
                assertThat(server.requestCount()).isEqualTo(1);
            }

            // Its next heartbeat finds nobody.
            long until = System.nanoTime() + Duration.ofSeconds(10).toNanos();
            while (server.requestCount() > 0 && System.nanoTime() < until) {
                Thread.sleep(5);
            }
            assertThat(server.requestCount()).isZero();
            client.start(job);
            client.await(job, "done");
        }
    }

    @Test
    void stop_letsABakeUnderWayFinish_andDeletesAllFiles() throws Exception {
        BakeServer server = server(Limits.usual());
        try (Client client = new Client(server.port())) {
            String job = meshes.send(client, SMALL);
            client.create(SMALL);
            CompletableFuture<List<Event>> following = CompletableFuture.supplyAsync(() -> {
                try {
                    return client.events(job);
                } catch (IOException | InterruptedException e) {
                    throw new IllegalStateException(e);
                }
            });
            client.start(job);
            while (client.get(job).json().path("state").asText().equals("queued")) {
                Thread.sleep(1);
            }

            server.stop(Duration.ofSeconds(20));

            assertThat(following.get().getLast().data().path("state").asText()).isEqualTo("done");
            try (Stream<Path> left = Files.list(folder)) {
                assertThat(left.filter(path -> path.getFileName().toString().startsWith("estampage-server-"))).isEmpty();
            }
        }
    }

    @Test
    void job_isRemoved_whenNobodyHasUsedItForAWhile() throws Exception {
        Limits brief = Limits.usual().withJobTimes(Duration.ofSeconds(10), Duration.ofMillis(200));
        try (BakeServer server = server(brief); Client client = new Client(server.port())) {
            String job = client.create(SMALL).header("Location");
            long until = System.nanoTime() + Duration.ofSeconds(10).toNanos();
            while (client.get(job).status() == 200 && System.nanoTime() < until) {
                Thread.sleep(20);
            }

            assertThat(client.get(job).status()).isEqualTo(404);
            assertThat(jobFolders()).isEmpty();
        }
    }
}
