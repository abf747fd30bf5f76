package org.estampage.console;

import java.io.PrintStream;
import java.util.Locale;
import org.estampage.task.Progress;

/**
 * Shows the stage that is running: on a terminal one line that is rewritten, elsewhere a line for every stage that took longer than a second.
 *
 * @threads safe for concurrent calls
 */
final class ProgressLine implements Progress {
    private static final long REDRAW_NANOS = 100_000_000;
    private static final long SHOW_AFTER_NANOS = 300_000_000;
    private static final long LONG_STAGE_NANOS = 1_000_000_000;
    private static final int BAR = 20;
    /** With these two a line stays below 80 columns, the narrowest terminal in common use: a line that wraps can't be rewritten. */
    private static final int NAME = 28;

    private final PrintStream err;
    private final boolean terminal;
    private final long showAfterNanos;
    private String stage = "";
    private long started;
    private long drawn;
    private int length;
    private long furthest;

    ProgressLine(PrintStream err, boolean terminal) {
        this(err, terminal, SHOW_AFTER_NANOS);
    }

    /** Makes one that shows a stage only after so many nanoseconds. */
    ProgressLine(PrintStream err, boolean terminal, long showAfterNanos) {
        this.err = err;
        this.terminal = terminal;
        this.showAfterNanos = showAfterNanos;
    }

    @Override
    public synchronized void report(String name, long done, long total) {
        long now = System.nanoTime();
        if (!name.equals(stage) || done == 0) {
            clear();
            stage = name;
            started = now;
            drawn = now;
            furthest = 0;
        }
        furthest = Math.max(furthest, done); // threads may report out of order
        if (total >= 0 && done >= total) {
            clear();
            if (!terminal && now - started > LONG_STAGE_NANOS) {
                err.printf(Locale.ROOT, "%s: %.1f s%n", name, (now - started) * 1e-9);
            }
            stage = "";
        } else if (terminal && now - drawn >= Math.min(REDRAW_NANOS, showAfterNanos) && now - started >= showAfterNanos) {
            drawn = now;
            draw(line(name, furthest, total, now - started));
        }
    }

    /** Takes the line off the terminal. */
    synchronized void clear() {
        if (length > 0) {
            err.print("\r" + " ".repeat(length) + "\r");
            err.flush();
            length = 0;
        }
    }

    static String line(String fullName, long done, long total, long nanos) {
        String name = fullName.length() <= NAME
                ? fullName
                : fullName.substring(0, NAME / 2) + "…" + fullName.substring(fullName.length() - NAME / 2 + 1);
        double seconds = nanos * 1e-9;
        if (total <= 0) {
            return String.format(Locale.ROOT, "%s  %,d  %.0f s", name, done, seconds);
        }
        double part = (double) done / total;
        int full = (int) (part * BAR);
        String left = part > 0.02 ? String.format(Locale.ROOT, ", %.0f s left", seconds / part - seconds) : "";
        return String.format(Locale.ROOT, "%-" + NAME + "s [%s%s] %3.0f %%  %.0f s%s", name, "#".repeat(full), ".".repeat(BAR - full),
                100 * part,
                seconds, left);
    }

    private void draw(String text) {
        String padded = text.length() < length ? text + " ".repeat(length - text.length()) : text;
        err.print("\r" + padded);
        err.flush();
        length = text.length();
    }
}
