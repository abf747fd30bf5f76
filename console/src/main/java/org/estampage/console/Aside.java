package org.estampage.console;

import java.util.Optional;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.concurrent.FutureTask;
import java.util.function.Supplier;

/**
 * A thread for what the compiler is asked while a line is typed. The line editor interrupts its own thread when people press Ctrl-C, and an interrupt
 * within the compiler would close the files that it reads classes from, for good.
 *
 * @threads safe for concurrent calls; questions are answered one after another
 */
final class Aside implements AutoCloseable {
    private final ExecutorService worker = Executors
            .newSingleThreadExecutor(task -> Thread.ofPlatform().daemon().name("aside").unstarted(task));

    /** Returns an answer; nothing if there is none, the question failed, or the caller was interrupted while it waited, which stays noted. */
    <T> Optional<T> ask(Supplier<T> question) {
        Future<T> answer = worker.submit(question::get);
        try {
            return Optional.ofNullable(answer.get());
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            return Optional.empty();
        } catch (ExecutionException e) {
            return Optional.empty(); // of whatever kind: a list that can't be had must not end the line that is being typed
        }
    }

    /** Begins something that nobody waits for, nor asks how it went. */
    void begin(Runnable work) {
        worker.execute(new FutureTask<>(work, null)); // which keeps a failure to itself
    }

    /** Waits until nothing is left to answer. */
    void finish() {
        boolean interrupted = false;
        Future<?> last = worker.submit(() -> {
        });
        while (!last.isDone()) {
            try {
                last.get();
            } catch (InterruptedException e) {
                interrupted = true;
            } catch (ExecutionException e) {
                throw new IllegalStateException("nothing failed", e);
            }
        }
        if (interrupted) {
            Thread.currentThread().interrupt();
        }
    }

    @Override
    public void close() {
        finish();
        worker.shutdown();
    }
}
