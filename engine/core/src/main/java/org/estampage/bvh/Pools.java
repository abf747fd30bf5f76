package org.estampage.bvh;

import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.ForkJoinPool;
import java.util.concurrent.ForkJoinTask;
import java.util.concurrent.RecursiveAction;

/** Where builders run: the caller's fork-join pool or the common one, and no pool at all for little work. */
final class Pools {
    /** Work on fewer things than these is done by the caller: waking another thread costs more. */
    static final int LITTLE = 1 << 13;
    /** How many things one piece of work is on, where the work is the same for all. */
    static final int CHUNK = 1 << 15;

    private Pools() {
    }

    /** Work on a chunk of things. */
    interface Chunk {
        void run(int chunk, int begin, int end);
    }

    /** Runs a task to its end. */
    static <T> T run(ForkJoinTask<T> task, int things) {
        if (things <= LITTLE || ForkJoinTask.inForkJoinPool()) {
            return task.invoke();
        }
        return ForkJoinPool.commonPool().invoke(task);
    }

    /** Returns how many chunks there are. */
    static int chunks(int begin, int end) {
        return (end - begin + CHUNK - 1) / CHUNK;
    }

    /** Works on things in chunks of {@link #CHUNK}, whatever the number of threads is. */
    static void each(int begin, int end, Chunk work) {
        each(begin, end, CHUNK, work);
    }

    /** Works on things in chunks of a given size. */
    static void each(int begin, int end, int size, Chunk work) {
        if (end - begin <= size) {
            if (begin < end) {
                work.run(0, begin, end);
            }
            return;
        }
        List<Part> parts = new ArrayList<>();
        for (int first = begin, i = 0; first < end; first += size, i++) {
            parts.add(new Part(work, i, first, Math.min(end - first, size)));
        }
        if (ForkJoinTask.inForkJoinPool()) {
            ForkJoinTask.invokeAll(parts);
        } else {
            ForkJoinPool.commonPool().invoke(new All(parts));
        }
    }

    private static final class Part extends RecursiveAction {
        private static final long serialVersionUID = 1L;
        private final transient Chunk work;
        private final int chunk;
        private final int begin;
        private final int count;

        Part(Chunk work, int chunk, int begin, int count) {
            this.work = work;
            this.chunk = chunk;
            this.begin = begin;
            this.count = count;
        }

        @Override
        protected void compute() {
            work.run(chunk, begin, begin + count);
        }
    }

    private static final class All extends RecursiveAction {
        private static final long serialVersionUID = 1L;
        private final transient List<Part> parts;

        All(List<Part> parts) {
            this.parts = parts;
        }

        @Override
        protected void compute() {
            invokeAll(parts);
        }
    }
}
