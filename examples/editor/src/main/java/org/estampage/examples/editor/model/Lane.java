package org.estampage.examples.editor.model;

import java.io.IOException;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import javax.swing.SwingUtilities;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Keeps the engine's work off the event dispatch thread: one thread that does one piece of work at a time and hands the outcome back.
 *
 * <p>Of the pieces that arrive while one runs, only the newest is kept: who drags a slider sees every result that there was time for, and the last one
 * always.
 *
 * @threads its methods belong to the event dispatch thread; work runs on the lane's own
 */
public final class Lane {
    private final ExecutorService thread;
    private @Nullable Piece<?> running;
    private @Nullable Piece<?> waiting;

    /** Makes an idle lane. */
    public Lane(String name) {
        thread = Executors.newSingleThreadExecutor(Thread.ofPlatform().daemon().name(name).factory());
    }

    /** Does this next, in place of anything that waits. */
    public <T> void run(Work<T> work, Progress progress, Outcome<T> outcome) {
        Task task = new Task(progress, new Cancellation(), MemoryBudget.ofHeap());
        waiting = new Piece<>(work, task, outcome);
        if (running == null) {
            startWaiting();
        }
    }

    /** Asks the piece that runs to stop, and forgets the one that waits. */
    public void cancel() {
        waiting = null;
        if (running != null) {
            running.task.cancellation().cancel();
        }
    }

    /** Returns whether a piece runs. */
    public boolean isBusy() {
        return running != null;
    }

    /** Returns whether a newer piece waits for the one that runs, or for the one whose outcome is being told. */
    public boolean isWaiting() {
        return waiting != null;
    }

    private void startWaiting() {
        Piece<?> next = waiting;
        waiting = null;
        running = next;
        if (next != null) {
            thread.execute(() -> {
                Runnable telling = next.outcome();
                SwingUtilities.invokeLater(() -> finished(telling));
            });
        }
    }

    private void finished(Runnable telling) {
        running = null;
        telling.run();
        if (running == null) {
            startWaiting();
        }
    }

    /**
     * Work and who waits for it.
     *
     * @param work   what to do
     * @param task   what it does it under
     * @param ending who is told
     */
    private record Piece<T>(Work<T> work, Task task, Outcome<T> ending) {
        /** Does the work; returns what is to be done on the event dispatch thread. Whatever happens there is an outcome, so that no lane stays busy. */
        Runnable outcome() {
            try {
                T given = work.run(task);
                return () -> ending.done().accept(given);
            } catch (CancellationException stopped) {
                return ending.stopped();
            } catch (IOException | RuntimeException | Error failure) {
                Notice notice = Notice.of(failure);
                return () -> ending.failed().accept(notice);
            }
        }
    }
}
