package org.estampage.console;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.io.IOException;
import java.io.PrintStream;
import java.io.PrintWriter;
import java.io.StringWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Locale;
import java.util.Map;
import java.util.function.LongSupplier;
import org.estampage.finding.Finding;

/**
 * Speaks to programs on the error stream: one JSON object a line, each with its {@code event}: {@code start}, {@code progress} (at most twice a second),
 * {@code stage}, {@code file}, {@code finding}, {@code warning}, {@code note}, {@code error},
 * {@code stack}, {@code end}.
 *
 * @threads safe for concurrent calls
 * @source RFC 8259, The JavaScript Object Notation (JSON) Data Interchange Format, 2017
 */
final class JsonVoice implements Voice {
    private static final long LEAST_NANOS = 500_000_000;
    private static final ObjectMapper MAPPER = new ObjectMapper();

    private final PrintStream err;
    private final long begun = System.nanoTime();
    private LongSupplier raysSoFar = () -> 0;
    private String stage = "";
    private long started;
    private long raysAtStart;
    private long told;
    private long furthest;

    JsonVoice(PrintStream err) {
        this.err = err;
    }

    private void say(ObjectNode event) {
        try {
            err.println(MAPPER.writeValueAsString(event));
            err.flush();
        } catch (JsonProcessingException e) {
            throw new IllegalStateException(e); // a tree of texts and numbers can be written
        }
    }

    private static ObjectNode event(String name) {
        return MAPPER.createObjectNode().put("event", name);
    }

    /** Rounds to milliseconds: what comes behind is noise. */
    private static double seconds(long nanos) {
        return Math.round(nanos / 1e6) / 1e3;
    }

    /** Tells that a script begins. */
    synchronized void started(String script, Map<String, String> arguments) {
        ObjectNode event = event("start").put("script", script);
        ObjectNode given = event.putObject("arguments");
        arguments.forEach(given::put);
        say(event);
    }

    /** Tells that all is over. */
    synchronized void ended(int exitCode) {
        say(event("end").put("exitCode", exitCode).put("seconds", seconds(System.nanoTime() - begun)));
    }

    @Override
    public synchronized void countRays(LongSupplier value) {
        raysSoFar = value;
    }

    @Override
    public synchronized void report(String name, long done, long total) {
        long now = System.nanoTime();
        if (!name.equals(stage) || done == 0) {
            stage = name;
            started = now;
            raysAtStart = raysSoFar.getAsLong();
            furthest = 0;
        }
        furthest = Math.max(furthest, done); // threads may report out of order
        long nanos = now - started;
        if (total >= 0 && done >= total) {
            say(withRays(event("stage").put("stage", name).put("seconds", seconds(nanos)), nanos));
            stage = "";
        } else if (now - told >= LEAST_NANOS) {
            told = now;
            ObjectNode event = event("progress").put("stage", name).put("done", furthest);
            if (total > 0) {
                event.put("total", total);
            }
            event.put("seconds", seconds(nanos));
            if (total > 0 && furthest > 0) {
                event.put("secondsLeft", seconds((long) (nanos * ((double) (total - furthest) / furthest))));
            }
            say(withRays(event, nanos));
        }
    }

    private ObjectNode withRays(ObjectNode event, long nanos) {
        long rays = raysSoFar.getAsLong() - raysAtStart;
        return rays > 0 && nanos > 0 ? event.put("rays", rays).put("raysPerSecond", Math.round(rays * 1e9 / nanos)) : event;
    }

    @Override
    public void clear() {
        // nothing is there for the moment only
    }

    @Override
    public synchronized void failed(String script, Place place, Snippets.Failure failure) {
        say(event("error").put("file", script).put("line", place.line()).put("column", place.column()).put("message", failure.message())
                .put("advice", failure.advice()));
    }

    @Override
    public synchronized void refused(String text) {
        say(event("error").put("message", text));
    }

    @Override
    public synchronized void trace(Throwable exception) {
        StringWriter text = new StringWriter();
        exception.printStackTrace(new PrintWriter(text, true));
        say(event("stack").put("text", text.toString()));
    }

    @Override
    public synchronized void warn(String text) {
        say(event("warning").put("message", text));
    }

    @Override
    public synchronized void note(String text) {
        say(event("note").put("message", text));
    }

    @Override
    public synchronized void found(String about, Finding finding) {
        say(event("finding").put("about", about).put("severity", finding.severity().name().toLowerCase(Locale.ROOT))
                .put("kind", finding.kind())
                .put("count", finding.count()).put("message", finding.message()).put("remedy", finding.remedy()));
    }

    @Override
    public synchronized void noticed(String about, Finding finding) {
        found(about, finding);
    }

    @Override
    public synchronized void wrote(String shown, Path file) {
        ObjectNode event = event("file").put("path", shown);
        try {
            event.put("bytes", Files.size(file));
        } catch (IOException e) {
            event.putNull("bytes"); // gone again already: that it was written is true all the same
        }
        say(event);
    }
}
