package org.estampage.bake;

import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.Executor;
import java.util.concurrent.RejectedExecutionException;
import java.util.concurrent.atomic.AtomicBoolean;
import org.estampage.task.Cancellation;
import org.jspecify.annotations.Nullable;

/**
 * Runs shifts of workers side by side, each of which takes work until there is none left.
 *
 * @threads stateless
 */
final class Shifts {
    private Shifts() {
    }

    /**
     * Runs shifts and returns when all that began have ended. An interrupt of the calling thread cancels.
     *
     * @param shifts   don't throw; each can do all of the work alone
     * @param executor runs them but for the first, which the caller's thread runs, so that the work is done even where the executor has no thread to
     *                 spare; null for a thread of its own for each
     */
    static void run(List<Runnable> shifts, @Nullable Executor executor, Cancellation cancellation) {
        List<Shift> running = new ArrayList<>();
        if (executor == null) {
            for (Runnable work : shifts) {
                Shift shift = new Shift(work);
                shift.taken.set(true);
                running.add(shift);
                Thread.ofPlatform().daemon().name("estampage-bake-" + (running.size() - 1)).start(shift::work);
            }
        } else {
            for (Runnable work : shifts.subList(1, shifts.size())) {
                Shift shift = new Shift(work);
                try {
                    executor.execute(shift::workIfWanted);
                } catch (RejectedExecutionException e) {
                    break; // no room there for more: those who work do it all
                }
                running.add(shift);
            }
            shifts.get(0).run();
        }
        await(running, cancellation);
    }

    private static void await(List<Shift> shifts, Cancellation cancellation) {
        boolean interrupted = false;
        for (Shift shift : shifts) {
            // One that nobody took yet is not wanted any more: those who worked left nothing.
            while (shift.taken.getAndSet(true)) {
                try {
                    shift.ended.await();
                    break;
                } catch (InterruptedException e) {
                    // An interrupt is a wish to stop: the workers see the cancellation at their next block.
                    cancellation.cancel();
                    interrupted = true;
                }
            }
        }
        if (interrupted) {
            Thread.currentThread().interrupt();
        }
    }

    private static final class Shift {
        final AtomicBoolean taken = new AtomicBoolean();
        final CountDownLatch ended = new CountDownLatch(1);
        private final Runnable work;

        Shift(Runnable work) {
            this.work = work;
        }

        void workIfWanted() {
            if (!taken.getAndSet(true)) {
                work();
            }
        }

        void work() {
            try {
                work.run();
            } finally {
                ended.countDown();
            }
        }
    }
}
