package org.estampage.examples.server;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpRequest.BodyPublisher;
import java.net.http.HttpRequest.BodyPublishers;
import java.net.http.HttpResponse;
import java.net.http.HttpResponse.BodyHandlers;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;

/** A client of a server under test. */
final class Client implements AutoCloseable {
    /** Longer than any answer takes on a busy machine; a test that hangs ends. */
    private static final Duration LONGEST = Duration.ofSeconds(30);

    private final HttpClient http = HttpClient.newHttpClient();
    private final ObjectMapper json = new ObjectMapper();
    private final String base;

    Client(int port) {
        base = "http://localhost:" + port;
    }

    /** An answer. */
    record Answer(int status, HttpResponse<byte[]> response, JsonNode json) {
        String header(String name) {
            return response.headers().firstValue(name).orElse("");
        }
    }

    /** An event of a stream. */
    record Event(long id, String name, JsonNode data) {
    }

    HttpRequest.Builder request(String path) {
        return HttpRequest.newBuilder(URI.create(base + path)).timeout(LONGEST);
    }

    Answer send(HttpRequest.Builder request) throws IOException, InterruptedException {
        HttpResponse<byte[]> response = http.send(request.build(), BodyHandlers.ofByteArray());
        boolean isJson = response.headers().firstValue("Content-Type").orElse("").endsWith("json") && response.body().length > 0;
        return new Answer(response.statusCode(), response, isJson ? json.readTree(response.body()) : json.nullNode());
    }

    Answer get(String path) throws IOException, InterruptedException {
        return send(request(path));
    }

    Answer create(String description) throws IOException, InterruptedException {
        return send(request("/jobs").header("Content-Type", "application/json").POST(BodyPublishers.ofString(description)));
    }

    Answer put(String path, String type, byte[] body) throws IOException, InterruptedException {
        return put(path, type, BodyPublishers.ofByteArray(body));
    }

    Answer put(String path, String type, BodyPublisher body) throws IOException, InterruptedException {
        return send(request(path).header("Content-Type", type).PUT(body));
    }

    Answer start(String job) throws IOException, InterruptedException {
        return send(request(job + "/start").POST(BodyPublishers.noBody()));
    }

    Answer delete(String job) throws IOException, InterruptedException {
        return send(request(job).DELETE());
    }

    /** Returns the stream of a job's events, up to its end. */
    List<Event> events(String job) throws IOException, InterruptedException {
        try (Stream<String> lines = lines(job)) {
            List<Event> events = new ArrayList<>();
            long id = -1;
            String name = "";
            for (String line : (Iterable<String>) lines::iterator) {
                if (line.startsWith("id: ")) {
                    id = Long.parseLong(line.substring(4));
                } else if (line.startsWith("event: ")) {
                    name = line.substring(7);
                } else if (line.startsWith("data: ")) {
                    events.add(new Event(id, name, json.readTree(line.substring(6).getBytes(StandardCharsets.UTF_8))));
                }
            }
            return events;
        }
    }

    /** Returns the lines of a job's stream of events; closing them ends the connection. */
    Stream<String> lines(String job) throws IOException, InterruptedException {
        HttpResponse<Stream<String>> response = http.send(request(job + "/events").build(), BodyHandlers.ofLines());
        if (response.statusCode() != 200 || !response.headers().firstValue("Content-Type").orElse("").equals("text/event-stream")) {
            throw new IOException("no stream of events: " + response);
        }
        return response.body();
    }

    /** Returns the job once it is in a state. */
    JsonNode await(String job, String state) throws IOException, InterruptedException {
        long until = System.nanoTime() + LONGEST.toNanos();
        JsonNode now = get(job).json();
        while (!now.path("state").asText().equals(state)) {
            if (System.nanoTime() > until || now.path("state").asText().matches("done|failed|cancelled")) {
                throw new IOException("the job is not " + state + " but " + now);
            }
            Thread.sleep(10);
            now = get(job).json();
        }
        return now;
    }

    @Override
    public void close() {
        http.shutdownNow();
    }
}
