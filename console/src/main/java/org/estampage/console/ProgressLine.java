package org.estampage.console;

import java.io.PrintStream;
import java.nio.file.Path;
import java.util.Locale;
import java.util.function.LongSupplier;
import org.estampage.finding.Finding;

/**
 * Speaks to people on the error stream. The stage that is running is shown on a terminal as one line that is rewritten, elsewhere as a line for every stage
 * that took longer than a second.
 *
 * @threads safe for concurrent calls
 */
final class ProgressLine implements Voice {
    private static final long REDRAW_NANOS = 100_000_000;
    private static final long SHOW_AFTER_NANOS = 300_000_000;
    private static final long LONG_STAGE_NANOS = 1_000_000_000;
    private static final int BAR = 10;
    /** With these two a line stays below 80 columns, the narrowest terminal in common use: a line that wraps can't be rewritten. */
    private static final int NAME = 24;
    /** In a narrower one it is cut at its border (DECAWM; VT510 Programmer Information, 1993, from memory). */
    private static final String WRAP_OFF = "\033[?7l";
    private static final String WRAP_ON = "\033[?7h";

    private final PrintStream err;
    private final boolean terminal;
    private final boolean quiet;
    private final long showAfterNanos;
    private final boolean controls = !System.getProperty("os.name").startsWith("Windows");
    private LongSupplier raysSoFar = () -> 0;
    private String stage = "";
    private long started;
    private long raysAtStart;
    private long drawn;
    private int length;
    private long furthest;

    ProgressLine(PrintStream err, boolean terminal) {
        this(err, terminal, SHOW_AFTER_NANOS, false);
    }

    /** Makes one that shows a stage only after so many nanoseconds. */
    ProgressLine(PrintStream err, boolean terminal, long showAfterNanos) {
        this(err, terminal, showAfterNanos, false);
    }

    private ProgressLine(PrintStream err, boolean terminal, long showAfterNanos, boolean quiet) {
        this.err = err;
        this.terminal = terminal;
        this.showAfterNanos = showAfterNanos;
        this.quiet = quiet;
    }

    /** Returns one that tells of errors only. */
    static ProgressLine quiet(PrintStream err) {
        return new ProgressLine(err, false, Long.MAX_VALUE, true);
    }

    @Override
    public synchronized void countRays(LongSupplier value) {
        raysSoFar = value;
    }

    @Override
    public synchronized void report(String name, long done, long total) {
        if (quiet) {
            return;
        }
        long now = System.nanoTime();
        if (!name.equals(stage) || done == 0) {
            clear();
            stage = name;
            started = now;
            raysAtStart = raysSoFar.getAsLong();
            drawn = now;
            furthest = 0;
        }
        furthest = Math.max(furthest, done); // threads may report out of order
        if (total >= 0 && done >= total) {
            clear();
            if (!terminal && now - started > LONG_STAGE_NANOS) {
                err.printf(Locale.ROOT, "%s: %.1f s%s%n", name, (now - started) * 1e-9,
                        rate(raysSoFar.getAsLong() - raysAtStart, now - started));
            }
            stage = "";
        } else if (terminal && now - drawn >= Math.min(REDRAW_NANOS, showAfterNanos) && now - started >= showAfterNanos) {
            drawn = now;
            draw(line(name, furthest, total, now - started, raysSoFar.getAsLong() - raysAtStart));
        }
    }

    @Override
    public synchronized void clear() {
        if (length > 0) {
            err.print("\r" + " ".repeat(length) + "\r");
            err.flush();
            length = 0;
        }
    }

    @Override
    public synchronized void failed(String script, Place place, Snippets.Failure failure) {
        clear();
        err.println(script + ":" + place.line() + ":" + place.column() + ": " + failure.message());
        err.print(place.marked());
        err.print(failure.advised());
    }

    @Override
    public synchronized void refused(String text) {
        clear();
        err.println("estampage: " + text);
    }

    @Override
    public synchronized void trace(Throwable exception) {
        clear();
        exception.printStackTrace(err);
    }

    @Override
    public synchronized void warn(String text) {
        say("warning: " + text);
    }

    @Override
    public synchronized void found(String about, Finding finding) {
        say(about + ": " + finding);
    }

    @Override
    public synchronized void note(String text) {
        say(text);
    }

    private void say(String text) {
        if (!quiet) {
            clear();
            err.println("estampage: " + text);
        }
    }

    @Override
    public void noticed(String about, Finding finding) {
        // the result shows it
    }

    @Override
    public void wrote(String shown, Path file) {
        // the verb returns it
    }

    static String line(String fullName, long done, long total, long nanos, long rays) {
        String name = fullName.length() <= NAME
                ? fullName
                : fullName.substring(0, NAME / 2) + "…" + fullName.substring(fullName.length() - NAME / 2 + 1);
        if (total <= 0) {
            return String.format(Locale.ROOT, "%s  %,d  %s", name, done, time(nanos * 1e-9));
        }
        double part = Math.clamp((double) done / total, 0, 1);
        double seconds = nanos * 1e-9;
        int full = (int) (part * BAR);
        String left = part > 0.02 ? ", " + time(seconds / part - seconds) + " left" : "";
        return String.format(Locale.ROOT, "%-" + NAME + "s [%s%s] %3.0f %%  %s%s%s", name, "#".repeat(full), ".".repeat(BAR - full),
                100 * part,
                time(seconds), left, rate(rays, nanos));
    }

    /** Returns a duration in at most six characters. */
    private static String time(double seconds) {
        if (seconds < 100) {
            return String.format(Locale.ROOT, "%.0f s", seconds);
        }
        return seconds < 6000
                ? String.format(Locale.ROOT, "%.0f min", seconds / 60)
                : String.format(Locale.ROOT, "%.0f h", Math.min(seconds / 3600, 9999));
    }

    private static String rate(long rays, long nanos) {
        double millions = nanos <= 0 ? 0 : Math.min(rays * 1e3 / nanos, 9999);
        return millions < 0.01 ? "" : String.format(Locale.ROOT, millions < 100 ? ", %.1f M rays/s" : ", %.0f M rays/s", millions);
    }

    private void draw(String text) {
        String padded = text.length() < length ? text + " ".repeat(length - text.length()) : text;
        err.print(controls ? "\r" + WRAP_OFF + padded + WRAP_ON : "\r" + padded);
        err.flush();
        length = text.length();
    }
}
