package org.estampage.examples.server;

import com.fasterxml.jackson.databind.JsonNode;
import com.sun.net.httpserver.HttpExchange;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import org.estampage.examples.server.Deadlines.Deadline;

/**
 * One request and its answer, with a deadline for each step that waits for the client.
 *
 * @threads confined to the thread that answers
 */
final class Call {
    /** How much of a body that is refused is still read, so that a client that sends first and listens then gets its answer. */
    private static final long DRAINED_BYTES = 64L << 20;
    private static final Duration DRAIN_TIME = Duration.ofSeconds(2);
    private static final int CHUNK = 1 << 16;

    private final HttpExchange exchange;
    private final Deadline deadline;
    private final Duration silence;

    Call(HttpExchange exchange, Deadline deadline, Duration silence) {
        this.exchange = exchange;
        this.deadline = deadline;
        this.silence = silence;
        deadline.never();
    }

    /** Returns the method. */
    String method() {
        return exchange.getRequestMethod();
    }

    /** Returns the parts of the path, as they were sent: nothing is decoded, so that nothing can hide. */
    List<String> path() {
        String path = exchange.getRequestURI().getRawPath();
        return path == null || path.length() < 2 ? List.of() : List.of(path.substring(1).split("/", -1));
    }

    /** Returns a header of the request. */
    Optional<String> header(String name) {
        return Optional.ofNullable(exchange.getRequestHeaders().getFirst(name));
    }

    /** Returns the type of the body without parameters, in small letters; empty if none is given. */
    String type() {
        return header("Content-Type").orElse("").replaceAll(";.*", "").strip().toLowerCase(Locale.ROOT);
    }

    /** Returns whether the request was sent to a name of this machine's own, or one of those given. */
    boolean isFor(List<String> names) {
        String host = header("Host").orElse("").replaceAll(":[0-9]*$", "").replaceAll("^\\[|]$", "").toLowerCase(Locale.ROOT);
        var address = exchange.getLocalAddress().getAddress();
        String own = address.getHostAddress().replaceAll("%.*", "");
        return host.equals(own) || (address.isLoopbackAddress() && List.of("localhost", "::1", "127.0.0.1").contains(host))
                || names.contains(host);
    }

    /** Where parts of a body go. */
    interface Sink {
        /** Takes {@code length} bytes of a part. */
        void take(byte[] part, int length) throws IOException, ProblemException;
    }

    /**
     * Reads the body.
     *
     * @param most  how many bytes there may be
     * @param whole how long it may take
     * @return how many bytes there were
     * @throws ProblemException if there are more, said or found, or the sink takes no more
     * @throws IOException      if the client goes away, is silent or takes too long
     */
    long readBody(long most, Duration whole, Sink sink) throws ProblemException, IOException {
        Optional<String> said = header("Content-Length");
        if (said.isPresent() && Long.parseLong(said.get()) > most) { // the JDK's server has refused what is no number
            throw tooLong(most);
        }
        long until = System.nanoTime() + whole.toNanos();
        InputStream in = exchange.getRequestBody();
        byte[] part = new byte[CHUNK];
        long total = 0;
        while (true) {
            deadline.in(Duration.ofNanos(Math.min(silence.toNanos(), until - System.nanoTime())));
            int n = in.read(part);
            deadline.never();
            if (n < 0) {
                return total;
            }
            total += n;
            if (total > most) {
                throw tooLong(most);
            }
            sink.take(part, n);
        }
    }

    private static ProblemException tooLong(long most) {
        return new ProblemException(ProblemKind.TOO_LARGE, "the body is longer than the " + most + " bytes that are taken here");
    }

    /** Sets a header of the answer. */
    Call with(String name, String value) {
        exchange.getResponseHeaders().set(name, value);
        return this;
    }

    /** Answers with JSON. */
    void reply(int status, JsonNode body) throws IOException {
        reply(status, "application/json", body.toString().getBytes(StandardCharsets.UTF_8));
    }

    /** Answers with text. */
    void reply(int status, String text) throws IOException {
        reply(status, "text/plain; charset=utf-8", text.getBytes(StandardCharsets.UTF_8));
    }

    /** Answers with a problem. */
    void reply(Problem problem) throws IOException {
        problem.retryAfter().ifPresent(time -> with("Retry-After", Long.toString(Math.max(1, time.toSeconds()))));
        String path = String.valueOf(exchange.getRequestURI().getRawPath());
        reply(problem.kind().status, "application/problem+json", Json.of(problem, path).toString().getBytes(StandardCharsets.UTF_8));
    }

    private void reply(int status, String type, byte[] body) throws IOException {
        if (isHead()) {
            replyEmpty(status, type, body.length);
            return;
        }
        try (OutputStream out = begin(status, type, body.length)) {
            out.write(body);
            out.flush();
            drain();
        }
    }

    /** Answers without a body. */
    void reply(int status) throws IOException {
        replyEmpty(status, "", 0);
    }

    /** Answers with a file. */
    void reply(Path file, String type) throws IOException {
        if (isHead()) {
            replyEmpty(200, type, Files.size(file));
            return;
        }
        try (InputStream in = Files.newInputStream(file); OutputStream out = begin(200, type, Files.size(file))) {
            byte[] part = new byte[CHUNK];
            for (int n = in.read(part); n >= 0; n = in.read(part)) {
                deadline.in(silence);
                out.write(part, 0, n);
                deadline.never();
            }
            deadline.in(silence); // for the last part's way out
        } finally {
            deadline.never();
        }
    }

    private boolean isHead() {
        return method().equals("HEAD");
    }

    /** Begins an answer; returns where its body goes. */
    private OutputStream begin(int status, String type, long length) throws IOException {
        headers(type);
        exchange.sendResponseHeaders(status, length);
        return exchange.getResponseBody();
    }

    /** Gives an answer without a body, or with one that is only told of. */
    private void replyEmpty(int status, String type, long length) throws IOException {
        headers(type);
        if (length > 0) {
            with("Content-Length", Long.toString(length));
        }
        exchange.sendResponseHeaders(status, -1);
    }

    private void headers(String type) {
        with("Cache-Control", "no-store").with("X-Content-Type-Options", "nosniff");
        if (!type.isEmpty()) {
            with("Content-Type", type);
        }
        deadline.in(silence);
    }

    private void drain() throws IOException {
        deadline.in(DRAIN_TIME);
        InputStream in = exchange.getRequestBody();
        byte[] part = new byte[CHUNK];
        long left = DRAINED_BYTES;
        for (int n = in.read(part); n >= 0 && left > 0; n = in.read(part)) {
            left -= n;
        }
        deadline.never();
    }

    /** Begins an answer that is a stream of events. */
    Events events() throws IOException {
        with("Cache-Control", "no-store").with("Content-Type", "text/event-stream");
        deadline.in(silence);
        exchange.sendResponseHeaders(200, 0);
        return new Events(exchange.getResponseBody());
    }

    /**
     * A stream of events.
     *
     * @source WHATWG, "HTML Living Standard", section 9.2, server-sent events
     */
    final class Events implements AutoCloseable {
        private final OutputStream out;

        private Events(OutputStream out) {
            this.out = out;
        }

        /** Sends an event with a number, by which a client that was cut off can go on. */
        void send(long id, String name, JsonNode data) throws IOException {
            write("id: " + id + "\nevent: " + name + "\ndata: " + data + "\n\n");
        }

        /** Sends a comment, which shows that both ends are there. */
        void beat() throws IOException {
            write(":\n\n");
        }

        private void write(String text) throws IOException {
            deadline.in(silence);
            out.write(text.getBytes(StandardCharsets.UTF_8));
            out.flush();
            deadline.never();
        }

        @Override
        public void close() throws IOException {
            deadline.in(silence);
            out.close();
            deadline.never();
        }
    }
}
