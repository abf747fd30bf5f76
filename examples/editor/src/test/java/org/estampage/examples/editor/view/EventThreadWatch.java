package org.estampage.examples.editor.view;

import java.awt.EventQueue;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.ConcurrentLinkedQueue;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.stream.Stream;

/**
 * Looks every few milliseconds at what the event dispatch thread does, and keeps what it must not do there: the engine's work. Asking the engine's values for
 * what they hold is allowed.
 */
final class EventThreadWatch implements AutoCloseable {
    private static final long EVERY_MILLIS = 2;
    /** A short question that a look happens to meet is over at the next ones; what lasts makes the window stutter. */
    private static final int LOOKS_IN_A_ROW = 4;
    /** Packages whose code takes as long as the meshes and maps are large. */
    private static final List<String> WORK = Stream
            .of("bake", "bvh", "cage", "handover", "internal", "io", "lowpoly", "maps", "preview", "raster", "uv")
            .map(name -> "org.estampage." + name + ".").toList();
    /** Of those, values that only hold what was computed. */
    private static final List<String> VALUES = List.of("org.estampage.bake.BakeResult", "org.estampage.bake.BakeEstimate.",
            "org.estampage.bake.BakedTile",
            "org.estampage.bake.BakedMap", "org.estampage.bake.MapFormat", "org.estampage.bake.RangeRule",
            "org.estampage.bvh.HemisphereQuery",
            "org.estampage.bake.BakeJob", "org.estampage.bake.MissCause", "org.estampage.cage.CageConflict",
            "org.estampage.cage.Cage.", "org.estampage.raster.UvTile.", "org.estampage.io.MeshFiles.formats",
            "org.estampage.io.MeshFiles.<clinit>");
    /** Methods that take the same short time whatever the meshes are: of a map, its factories and its format. */
    private static final List<String> CONSTANT = List.of("Map.create", "Map.format", "Map.name", "Map.<init>");
    private final ConcurrentLinkedQueue<String> caught = new ConcurrentLinkedQueue<>();
    private volatile boolean ended;
    private final AtomicInteger looks = new AtomicInteger();

    private EventThreadWatch(Thread watched) {
        Thread.ofPlatform().daemon().name("event thread watch").start(() -> watch(watched));
    }

    static EventThreadWatch begin() throws Exception {
        Thread[] thread = new Thread[1];
        EventQueue.invokeAndWait(() -> thread[0] = Thread.currentThread());
        return new EventThreadWatch(thread[0]);
    }

    private void watch(Thread watched) {
        int inARow = 0;
        while (!ended) {
            Optional<String> work = engineWork(watched.getStackTrace());
            inARow = work.isPresent() ? inARow + 1 : 0;
            if (inARow >= LOOKS_IN_A_ROW) {
                work.ifPresent(caught::add);
            }
            looks.incrementAndGet();
            try {
                TimeUnit.MILLISECONDS.sleep(EVERY_MILLIS);
            } catch (InterruptedException stop) {
                return;
            }
        }
    }

    /** Returns the topmost engine work on a stack that is not done for one of the short methods. */
    static Optional<String> engineWork(StackTraceElement[] stack) {
        List<String> frames = Stream.of(stack).map(frame -> frame.getClassName() + "." + frame.getMethodName()).toList();
        int from = 0;
        for (int i = 0; i < frames.size(); i++) {
            if (CONSTANT.stream().anyMatch(frames.get(i)::endsWith)) {
                from = i + 1;
            }
        }
        return frames.stream().skip(from)
                .filter(frame -> WORK.stream().anyMatch(frame::startsWith) && VALUES.stream().noneMatch(frame::startsWith)).findFirst();
    }

    /** Returns what was caught so far, and how often. */
    Map<String, Long> caught() {
        return caught.stream().collect(java.util.stream.Collectors.groupingBy(each -> each, java.util.TreeMap::new,
                java.util.stream.Collectors.counting()));
    }

    /** Forgets what was caught. */
    void forget() {
        caught.clear();
    }

    /** Returns how often it looked. */
    int looks() {
        return looks.get();
    }

    @Override
    public void close() {
        ended = true;
    }
}
