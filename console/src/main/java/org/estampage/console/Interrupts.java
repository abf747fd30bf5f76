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

    /** At the prompt people press twice when they wait; only who waits longer than this is asked whether all shall be lost. */
    private static final long PATIENCE_MILLIS = 2000;

    private final Runnable cancel;
    private final PrintStream err;
    private final boolean prompt;
    private long warned;
    private final List<@Nullable Object> before = new ArrayList<>();
    private @Nullable Kind received;

    private Interrupts(Runnable cancel, PrintStream err, boolean prompt) {
        this.cancel = cancel;
        this.err = err;
        this.prompt = prompt;
    }

    /**
     * Takes the signals from now on.
     *
     * @param cancel asks what runs to stop, from any thread
     * @param err    is told that cancelling takes a moment
     */
    static Interrupts take(Runnable cancel, PrintStream err) {
        return take(new Interrupts(cancel, err, false));
    }

    /** Takes them at a prompt, where more presses of Ctrl-C end the JVM only if the first brought the prompt back in no reasonable time. */
    static Interrupts takeAtPrompt(Runnable cancel, PrintStream err) {
        return take(new Interrupts(cancel, err, true));
    }

    private static Interrupts take(Interrupts interrupts) {
        for (Kind kind : KINDS) {
            interrupts.before.add(Signals.register(kind.name, () -> interrupts.on(kind)));
        }
        return interrupts;
    }

    private void on(Kind kind) {
        synchronized (this) {
            if (prompt && received != null && kind.name.equals("INT") && !hasWaited()) {
                return;
            }
            if (received != null) {
                // No hooks, no waiting: this is what the second one is for.
                Runtime.getRuntime().halt(kind.exitCode());
            }
            received = kind;
            warned = System.nanoTime();
        }
        if (kind.name.equals("INT") && !prompt) {
            err.println("estampage: cancelling; once more ends at once");
        } else if (!kind.name.equals("INT")) {
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

    /** Returns whether people know that another press ends all; else tells them, or lets them wait. */
    private boolean hasWaited() {
        if (warned == 0) {
            return true;
        }
        if (System.nanoTime() - warned > PATIENCE_MILLIS * 1_000_000) {
            warned = 0;
            err.println("estampage: this does not stop; Ctrl-C once more ends the console, and what is loaded is lost");
        }
        return false;
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
