package org.estampage.examples.server;

import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.JsonNodeFactory;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.Semaphore;
import java.util.function.Function;

/**
 * What a server answers to which path.
 *
 * @threads safe for concurrent calls
 */
final class Routes {
    private static final int LONGEST_DESCRIPTION = 1 << 16;
    /** How long an answer to a removal waits for the bake to let go. */
    private static final Duration LETTING_GO = Duration.ofSeconds(5);
    private static final Duration RETRY = Duration.ofSeconds(1);
    /** The shortest time between two events of a stream. */
    private static final Duration EVENT_PAUSE = Duration.ofMillis(100);

    private final Jobs jobs;
    private final Uploads uploads;
    private final Limits limits;
    private final Semaphore longRequests;

    Routes(Jobs jobs, Room room, Limits limits, ScheduledExecutorService timer) {
        this.jobs = jobs;
        this.uploads = new Uploads(limits, room, timer);
        this.limits = limits;
        longRequests = new Semaphore(limits.longRequests());
    }

    /** What a path with one method does. */
    private interface Action {
        void answer(Call call) throws ProblemException, IOException, InterruptedException;
    }

    /** Answers a call. */
    void answer(Call call) throws ProblemException, IOException, InterruptedException {
        List<String> path = call.path();
        String first = path.isEmpty() ? "" : path.get(0);
        if (first.equals("problems") && path.size() == 2) {
            ProblemKind kind = ProblemKind.of(path.get(1)).orElseThrow(Routes::nothing);
            only(call, "GET", c -> c.reply(200, kind.title + " (" + kind.status + ")\n\n" + kind.explanation + "\n"));
        } else if (first.equals("jobs") && path.size() == 1) {
            switch (call.method()) {
                case "GET", "HEAD" -> list(call);
                case "POST" -> create(call);
                default -> throw wrongMethod(call, "GET, HEAD, POST");
            }
        } else if (first.equals("jobs")) {
            Job job = jobs.find(path.get(1)).orElseThrow(Routes::nothing);
            answer(call, job, path.subList(2, path.size()));
        } else {
            throw nothing();
        }
    }

    private void answer(Call call, Job job, List<String> path) throws ProblemException, IOException, InterruptedException {
        switch (path.isEmpty() ? "" : path.size() == 1 ? "/" + path.get(0) : "/" + path.get(0) + "/…") {
            case "" -> {
                switch (call.method()) {
                    case "GET", "HEAD" -> call.reply(200, Json.of(job, job.status()));
                    case "DELETE" -> remove(call, job);
                    default -> throw wrongMethod(call, "GET, HEAD, DELETE");
                }
            }
            case "/start" -> only(call, "POST", c -> {
                jobs.start(job);
                c.with("Location", "/jobs/" + job.id()).reply(202, Json.of(job, job.status()));
            });
            case "/events" -> only(call, "GET", c -> inTurn(() -> follow(c, job)));
            case "/manifest.json" -> only(call, "GET", c -> file(c, job, Outcome::manifest, "application/json"));
            case "/model.glb" -> only(call, "GET", c -> file(c, job, Outcome::model, "model/gltf-binary"));
            case "/meshes/…" -> {
                MeshRole role = MeshRole.of(last(path)).orElseThrow(Routes::nothing);
                only(call, "PUT", c -> inTurn(() -> c.reply(201, Json.of(uploads.take(job, role, c)))));
            }
            case "/maps/…" -> {
                String name = last(path);
                only(call, "GET", c -> file(c, job, outcome -> outcome.maps().get(name.replaceAll("\\.png$", "")), "image/png"));
            }
            default -> throw nothing();
        }
    }

    /** Something that takes long. */
    private interface Lasting {
        void run() throws ProblemException, IOException, InterruptedException;
    }

    /** Does what takes long, unless so many do already that short requests would find no place. */
    private void inTurn(Lasting lasting) throws ProblemException, IOException, InterruptedException {
        if (!longRequests.tryAcquire()) {
            throw new ProblemException(Problem.later(ProblemKind.BUSY,
                    limits.longRequests() + " meshes are being sent or jobs followed; ask for the job's state from time to time instead",
                    RETRY));
        }
        try {
            lasting.run();
        } finally {
            longRequests.release();
        }
    }

    private static String last(List<String> path) {
        return path.size() == 2 ? path.get(1) : "";
    }

    private static void only(Call call, String method, Action action) throws ProblemException, IOException, InterruptedException {
        boolean head = method.equals("GET") && call.method().equals("HEAD");
        if (!call.method().equals(method) && !head) {
            throw wrongMethod(call, method.equals("GET") ? "GET, HEAD" : method);
        }
        action.answer(call);
    }

    private static ProblemException wrongMethod(Call call, String allowed) {
        call.with("Allow", allowed);
        return new ProblemException(ProblemKind.METHOD_NOT_ALLOWED, call.method() + " is not among " + allowed);
    }

    private static ProblemException nothing() {
        return new ProblemException(ProblemKind.NOT_FOUND,
                "nothing is at this path; jobs are at /jobs, and one is removed some time after it has ended");
    }

    private void list(Call call) throws IOException {
        ObjectNode body = JsonNodeFactory.instance.objectNode();
        ArrayNode list = body.putArray("jobs");
        jobs.all().forEach(job -> list.addObject().put("id", job.id()).put("name", job.description().name())
                .put("state", job.status().state().id()).put("path", "/jobs/" + job.id()));
        call.reply(200, body);
    }

    private void create(Call call) throws ProblemException, IOException {
        if (!call.type().equals("application/json")) {
            call.with("Accept", "application/json");
            throw new ProblemException(ProblemKind.UNKNOWN_TYPE,
                    "a job of type \"" + call.type() + "\" is not taken: send application/json");
        }
        ByteArrayOutputStream body = new ByteArrayOutputStream();
        call.readBody(LONGEST_DESCRIPTION, limits.silence(), (part, length) -> body.write(part, 0, length));
        Job job = jobs.create(Description.read(body.toByteArray()));
        call.with("Location", "/jobs/" + job.id()).reply(201, Json.of(job, job.status()));
    }

    private void remove(Call call, Job job) throws IOException, InterruptedException {
        jobs.remove(job);
        // 204: nothing is left of it. 202: a bake has still to see that it is to stop.
        call.reply(job.awaitEnd(LETTING_GO) ? 204 : 202);
    }

    private static void file(Call call, Job job, Function<Outcome, Path> which, String type) throws ProblemException, IOException {
        Outcome outcome = job.status().outcome().orElseThrow(
                () -> new ProblemException(ProblemKind.WRONG_STATE,
                        "the job is " + job.status().state().id() + ": files are there when it is done"));
        Path file = which.apply(outcome);
        if (file == null) {
            throw new ProblemException(ProblemKind.NOT_FOUND,
                    "the job has no such map; it has " + String.join(", ", outcome.maps().keySet()));
        }
        try (JobFolder.Use use = job.folder().use().orElseThrow(Routes::nothing)) {
            call.reply(use.path().resolve(file), type);
        }
    }

    /** Sends the job as it stands, and again whenever it has changed, until it has ended. */
    private void follow(Call call, Job job) throws IOException, InterruptedException {
        long known = call.header("Last-Event-ID").filter(id -> id.matches("[0-9]{1,18}")).map(Long::parseLong).orElse(-1L);
        Job.Status status = job.status();
        if (status.state().isEnd() && known >= status.change()) {
            call.reply(204); // by the standard the sign not to ask again
            return;
        }
        try (Call.Events events = call.events()) {
            while (true) {
                if (status.change() > known) {
                    events.send(status.change(), "status", Json.of(job, status));
                    known = status.change();
                } else {
                    events.beat();
                }
                if (status.state().isEnd()) {
                    return;
                }
                Thread.sleep(EVENT_PAUSE);
                status = job.await(known, limits.heartbeat());
            }
        }
    }
}
