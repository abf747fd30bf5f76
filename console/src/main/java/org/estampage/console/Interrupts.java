package org.estampage.console;

import java.io.PrintStream;
import java.util.ArrayList;
import java.util.List;
import org.jline.utils.Signals;
import org.jspecify.annotations.Nullable;

/**
 * Takes the signals that ask a process to end while something runs: the first cancels, the second ends the JVM at once. Closing it gives them back.
 *
 * <p>An interrupt from the keyboard waits for the work to stop, since people can press it again. The other signals come from programs: for them the
 * JVM ends after {@value #GRACE_MILLIS} ms, whatever the work does.
 *
 * @threads safe for concurrent calls; signals come on threads of their own
 */
final class Interrupts implements AutoCloseable {
    static final long GRACE_MILLIS = 5000;

    /** POSIX.1-2017, kill: the numbers of the three are fixed. A shell tells of a process ended by signal n as 128 + n. */
    private record Kind(String name, int number) {
        int exitCode() {
            return 128 + number;
        }
    }

    private static final List<Kind> KINDS = List.of(new Kind("INT", 2), new Kind("TERM", 15), new Kind("HUP", 1));

    private final Runnable cancel;
    private final PrintStream err;
    private final List<@Nullable Object> before = new ArrayList<>();
    private @Nullable Kind received;

    private Interrupts(Runnable cancel, PrintStream err) {
        this.cancel = cancel;
        this.err = err;
    }

    /**
     * Takes the signals from now on.
     *
     * @param cancel asks what runs to stop, from any thread
     * @param err    is told that cancelling takes a moment
     */
    static Interrupts take(Runnable cancel, PrintStream err) {
        Interrupts interrupts = new Interrupts(cancel, err);
        for (Kind kind : KINDS) {
            interrupts.before.add(Signals.register(kind.name, () -> interrupts.on(kind)));
        }
        return interrupts;
    }

    private void on(Kind kind) {
        synchronized (this) {
            if (received != null) {
                // No hooks, no waiting: this is what the second one is for.
                Runtime.getRuntime().halt(kind.exitCode());
            }
            received = kind;
        }
        if (kind.name.equals("INT")) {
            err.println("estampage: cancelling; once more ends at once");
        } else {
            Thread.ofPlatform().daemon().start(() -> {
                try {
                    Thread.sleep(GRACE_MILLIS);
                } catch (InterruptedException e) {
                    Thread.currentThread().interrupt();
                }
                Runtime.getRuntime().halt(kind.exitCode());
            });
        }
        cancel.run();
    }

    /** Returns the exit code of the signal that came, or {@code otherwise} if none did. */
    synchronized int exitCode(int otherwise) {
        return received == null ? otherwise : received.exitCode();
    }

    /** Returns whether a program, not the keyboard, asked the process to end. */
    synchronized boolean mustEnd() {
        return received != null && !received.name.equals("INT");
    }

    @Override
    public void close() {
        for (int i = 0; i < KINDS.size(); i++) {
            Signals.unregister(KINDS.get(i).name, before.get(i));
        }
    }
}
