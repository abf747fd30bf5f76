package org.estampage.report;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.awt.image.BufferedImage;
import java.io.BufferedReader;
import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.WebSocket;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Base64;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionStage;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.stream.Stream;
import javax.imageio.ImageIO;

/**
 * A Chromium without a window and one page in it, driven over the DevTools protocol.
 *
 * @source the protocol: Chrome DevTools Protocol, domains Target, Page, Runtime, Log, Network, Input, Emulation
 */
final class Chromium implements AutoCloseable {
    private static final long SECONDS = 60;
    private static final ObjectMapper JSON = new ObjectMapper();

    private final Process process;
    private final Path profile;
    private final WebSocket socket;
    private final String session;
    private final AtomicInteger number = new AtomicInteger();
    private final Map<Integer, CompletableFuture<JsonNode>> waiting = new ConcurrentHashMap<>();
    /** What the page said of errors: exceptions, the console, the log. */
    final List<String> complaints = new CopyOnWriteArrayList<>();
    /** What the page asked for, but for what it holds itself. */
    final List<String> requests = new CopyOnWriteArrayList<>();
    private volatile CompletableFuture<JsonNode> loaded = new CompletableFuture<>();

    /** Returns the browser's program, if it is installed. */
    static Optional<Path> program() {
        return Stream.of("/usr/bin/chromium", "/usr/bin/chromium-browser").map(Path::of).filter(Files::isExecutable).findFirst();
    }

    Chromium(Path program, String... more) throws Exception {
        profile = Files.createTempDirectory("chromium-profile");
        List<String> command = new ArrayList<>(List.of(program.toString(), "--headless=new", "--no-sandbox", "--remote-debugging-port=0",
                "--user-data-dir=" + profile, "--no-first-run", "--disable-extensions", "--disable-background-networking",
                "--disable-component-update", "--hide-scrollbars", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
                "--disable-dev-shm-usage"));
        command.addAll(List.of(more));
        command.add("about:blank");
        process = new ProcessBuilder(command).redirectOutput(ProcessBuilder.Redirect.DISCARD).start();
        socket = HttpClient.newHttpClient().newWebSocketBuilder().buildAsync(URI.create(address()), new Listener()).get(SECONDS,
                TimeUnit.SECONDS);
        String target = send("", "Target.createTarget", JSON.createObjectNode().put("url", "about:blank")).get("targetId").asText();
        session = send("", "Target.attachToTarget", JSON.createObjectNode().put("targetId", target).put("flatten", true)).get("sessionId")
                .asText();
        for (String domain : List.of("Page", "Runtime", "Log", "Network")) {
            send(domain + ".enable");
        }
    }

    /** Reads the address that the browser says, then goes on reading what it says so that it never waits for us. */
    private String address() throws IOException {
        BufferedReader lines = process.errorReader(StandardCharsets.UTF_8);
        String mark = "DevTools listening on ";
        StringBuilder before = new StringBuilder();
        for (String line = lines.readLine(); line != null; line = lines.readLine()) {
            if (line.startsWith(mark)) {
                Thread.ofPlatform().daemon().start(() -> lines.lines().forEach(ignored -> {
                }));
                return line.substring(mark.length()).strip();
            }
            before.append(line).append('\n');
        }
        throw new IOException("the browser did not start: " + before);
    }

    ObjectNode parameters() {
        return JSON.createObjectNode();
    }

    JsonNode send(String method) throws Exception {
        return send(method, JSON.createObjectNode());
    }

    JsonNode send(String method, ObjectNode parameters) throws Exception {
        return send(session, method, parameters);
    }

    private JsonNode send(String to, String method, ObjectNode parameters) throws Exception {
        int id = number.incrementAndGet();
        ObjectNode message = JSON.createObjectNode().put("id", id).put("method", method).set("params", parameters);
        if (!to.isEmpty()) {
            message.put("sessionId", to);
        }
        CompletableFuture<JsonNode> answer = new CompletableFuture<>();
        waiting.put(id, answer);
        socket.sendText(JSON.writeValueAsString(message), true).get(SECONDS, TimeUnit.SECONDS);
        JsonNode got = answer.get(SECONDS, TimeUnit.SECONDS);
        if (got.has("error")) {
            throw new IOException(method + ": " + got.get("error"));
        }
        return got.get("result");
    }

    private final class Listener implements WebSocket.Listener {
        private final StringBuilder text = new StringBuilder();

        @Override
        public CompletionStage<?> onText(WebSocket from, CharSequence part, boolean last) {
            text.append(part);
            if (last) {
                try {
                    take(JSON.readTree(text.toString()));
                } catch (IOException e) {
                    complaints.add(e.toString());
                }
                text.setLength(0);
            }
            from.request(1);
            return CompletableFuture.completedFuture(null);
        }
    }

    private void take(JsonNode message) {
        if (message.has("id")) {
            Objects.requireNonNull(waiting.remove(message.get("id").asInt())).complete(message);
            return;
        }
        JsonNode details = message.path("params");
        switch (message.path("method").asText()) {
            case "Runtime.exceptionThrown" -> complaints.add(details.toString());
            case "Runtime.consoleAPICalled" -> {
                if (List.of("error", "warning", "assert").contains(details.path("type").asText())) {
                    complaints.add(details.toString());
                }
            }
            case "Log.entryAdded" -> {
                if (List.of("error", "warning").contains(details.path("entry").path("level").asText())) {
                    complaints.add(details.toString());
                }
            }
            case "Network.requestWillBeSent" -> {
                String url = details.path("request").path("url").asText();
                if (!url.startsWith("data:") && !url.startsWith("about:")) {
                    requests.add(url);
                }
            }
            case "Page.loadEventFired" -> loaded.complete(details);
            default -> {
            }
        }
    }

    /** Opens a file and waits until it is loaded, decoded and drawn. */
    void open(Path file) throws Exception {
        loaded = new CompletableFuture<>();
        complaints.clear();
        requests.clear();
        send("Page.navigate", parameters().put("url", file.toUri().toString()));
        loaded.get(SECONDS, TimeUnit.SECONDS);
        settle();
    }

    /** Waits until pictures are decoded and two frames were drawn after that. */
    void settle() throws Exception {
        run("Promise.all([...document.images].map(i => i.decode().catch(() => 0)))"
                + ".then(() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done, 0)))))");
    }

    /** Runs a script, waits for its promise, and returns its value. */
    JsonNode run(String script) throws Exception {
        JsonNode got = send("Runtime.evaluate",
                parameters().put("expression", script).put("awaitPromise", true).put("returnByValue", true));
        if (got.has("exceptionDetails")) {
            throw new IOException(script + ": " + got.get("exceptionDetails"));
        }
        return got.path("result").path("value");
    }

    /** Sets the window's size; what is drawn follows with the next {@link #settle}. */
    void size(int width, int height) throws Exception {
        send("Emulation.setDeviceMetricsOverride",
                parameters().put("width", width).put("height", height).put("deviceScaleFactor", 1).put("mobile", false));
    }

    /** Sets the colours that the user likes, {@code light} or {@code dark}; what is drawn follows with the next {@link #settle}. */
    void scheme(String name) throws Exception {
        ObjectNode parameters = parameters();
        parameters.putArray("features").addObject().put("name", "prefers-color-scheme").put("value", name);
        send("Emulation.setEmulatedMedia", parameters);
    }

    /** Presses a key, with Shift for modifiers 8. */
    void key(String name, int code, int modifiers) throws Exception {
        for (String type : List.of("rawKeyDown", "keyUp")) {
            send("Input.dispatchKeyEvent", parameters().put("type", type).put("key", name).put("code", name)
                    .put("windowsVirtualKeyCode", code).put("modifiers", modifiers));
        }
    }

    void mouse(String type, double x, double y, int buttons) throws Exception {
        send("Input.dispatchMouseEvent",
                parameters().put("type", type).put("x", x).put("y", y).put("button", buttons == 0 ? "none" : "left")
                        .put("buttons", buttons).put("clickCount", type.equals("mouseMoved") ? 0 : 1));
    }

    /** Returns a picture of what is in sight, or of the whole page. */
    BufferedImage picture(boolean whole) throws Exception {
        settle();
        ObjectNode parameters = parameters().put("format", "png").put("captureBeyondViewport", whole);
        if (whole) {
            JsonNode size = send("Page.getLayoutMetrics").get("cssContentSize");
            parameters.putObject("clip").put("x", 0).put("y", 0).put("width", size.get("width").asDouble())
                    .put("height", size.get("height").asDouble()).put("scale", 1);
        }
        return image(parameters);
    }

    /** Returns a picture of an element, brought into sight. */
    BufferedImage picture(String selector) throws Exception {
        JsonNode box = run("(e => { e.scrollIntoView({block: 'center', behavior: 'instant'}); const b = e.getBoundingClientRect();"
                + " return [b.x + scrollX, b.y + scrollY, b.width, b.height]; })(document.querySelector('" + selector + "'))");
        settle();
        ObjectNode parameters = parameters().put("format", "png");
        parameters.putObject("clip").put("x", box.get(0).asDouble()).put("y", box.get(1).asDouble()).put("width", box.get(2).asDouble())
                .put("height", box.get(3).asDouble()).put("scale", 1);
        return image(parameters);
    }

    private BufferedImage image(ObjectNode parameters) throws Exception {
        byte[] bytes = Base64.getDecoder().decode(send("Page.captureScreenshot", parameters).get("data").asText());
        return ImageIO.read(new ByteArrayInputStream(bytes));
    }

    @Override
    public void close() throws IOException {
        List<ProcessHandle> children = process.descendants().toList();
        socket.abort();
        process.destroyForcibly().onExit().join();
        children.forEach(ProcessHandle::destroyForcibly); // those that outlive it
        children.forEach(child -> child.onExit().join()); // they write to the profile's folder till the end
        try (Stream<Path> files = Files.walk(profile)) {
            files.sorted(java.util.Comparator.reverseOrder()).forEach(file -> file.toFile().delete());
        }
    }
}
