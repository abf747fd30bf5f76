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
    private static final int BAR = 24;

    private final PrintStream err;
    private final boolean terminal;
    private String stage = "";
    private long started;
    private long drawn;
    private int length;

    ProgressLine(PrintStream err, boolean terminal) {
        this.err = err;
        this.terminal = terminal;
    }

    @Override
    public synchronized void report(String name, long done, long total) {
        long now = System.nanoTime();
        if (!name.equals(stage) || done == 0) {
            clear();
            stage = name;
            started = now;
            drawn = now;
        }
        if (total >= 0 && done >= total) {
            clear();
            if (!terminal && now - started > LONG_STAGE_NANOS) {
                err.printf(Locale.ROOT, "%s: %.1f s%n", name, (now - started) * 1e-9);
            }
            stage = "";
        } else if (terminal && now - drawn > REDRAW_NANOS && now - started > SHOW_AFTER_NANOS) {
            drawn = now;
            draw(line(name, done, total, now - started));
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

    static String line(String name, long done, long total, long nanos) {
        double seconds = nanos * 1e-9;
        if (total <= 0) {
            return String.format(Locale.ROOT, "%s  %,d  %.0f s", name, done, seconds);
        }
        double part = (double) done / total;
        int full = (int) (part * BAR);
        String left = part > 0.02 ? String.format(Locale.ROOT, ", %.0f s left", seconds / part - seconds) : "";
        return String.format(Locale.ROOT, "%-28s [%s%s] %3.0f %%  %.0f s%s", name, "#".repeat(full), ".".repeat(BAR - full), 100 * part,
                seconds, left);
    }

    private void draw(String text) {
        String padded = text.length() < length ? text + " ".repeat(length - text.length()) : text;
        err.print("\r" + padded);
        err.flush();
        length = text.length();
    }
}
