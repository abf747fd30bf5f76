package org.estampage.session;

import java.io.IOException;
import java.nio.file.ClosedWatchServiceException;
import java.nio.file.FileVisitResult;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.SimpleFileVisitor;
import java.nio.file.StandardWatchEventKinds;
import java.nio.file.WatchKey;
import java.nio.file.WatchService;
import java.nio.file.attribute.BasicFileAttributes;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.SortedMap;
import java.util.SortedSet;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.concurrent.CancellationException;
import java.util.concurrent.TimeUnit;
import org.estampage.task.Cancellation;
import org.jspecify.annotations.Nullable;

/**
 * Files and folders whose changes are answered by an action. A change counts when a file holds other bytes than before, and when it has come to rest: a file
 * that is still being written is waited for, and one that was only touched is not a change.
 *
 * <p>The file system tells of changes where it can. Besides, files are looked at in steps, because network folders tell nothing.
 *
 * @threads confined; {@link Cancellation} ends it from any thread
 */
public final class Watch {
    /** How long all files must have kept size and time before they count as written. */
    public static final Duration USUAL_REST = Duration.ofMillis(400);
    /** How often files are looked at where the file system tells nothing. */
    public static final Duration USUAL_LOOK = Duration.ofSeconds(2);
    /** How often cancelling is looked for: within half a second a prompt must be back. */
    private static final long CANCEL_MILLISECONDS = 100;
    /** More than a tick of a file system's clock, 4 to 10 ms on common ones: two times of change that are equal can be of two changes within one. */
    private static final long TICK_MILLISECONDS = 50;

    private final List<Path> places;
    private Duration rest = USUAL_REST;
    private Duration look = USUAL_LOOK;
    private boolean asking = true;
    private Runnable waits = () -> {
    };

    /** What is done about changes. */
    @FunctionalInterface
    public interface Action {
        /**
         * Answers a change.
         *
         * @param changed the files that hold something else now, are new or are gone, in the order of their names
         * @throws Exception what goes wrong; it ends nothing
         */
        void changed(SortedSet<Path> changed) throws Exception;
    }

    /** Hears what went wrong in an action. */
    @FunctionalInterface
    public interface Trouble {
        /** Hears of it; the watch goes on. */
        void met(Exception failure);
    }

    /** Has a watch call this each time that it begins to wait for changes. */
    Watch waits(Runnable seer) {
        waits = seer;
        return this;
    }

    private Watch(List<Path> places) {
        this.places = places;
    }

    /**
     * Returns a watch over files, and over all files in folders and below. A file that is not there yet may come.
     *
     * @throws IllegalArgumentException if there is no place
     */
    public static Watch over(Path... places) {
        if (places.length == 0) {
            throw new IllegalArgumentException("places: at least one file or folder is needed");
        }
        return new Watch(List.of(places).stream().map(place -> place.toAbsolutePath().normalize()).toList());
    }

    /**
     * Sets how long files must have kept size and time before they count as written.
     *
     * @throws IllegalArgumentException if it is negative
     */
    public Watch rest(Duration value) {
        rest = checked("rest", value);
        return this;
    }

    /**
     * Sets how often files are looked at where the file system tells nothing.
     *
     * @throws IllegalArgumentException if it is not positive
     */
    public Watch look(Duration value) {
        if (value.isZero()) {
            throw new IllegalArgumentException("look = " + value + " must be positive");
        }
        look = checked("look", value);
        return this;
    }

    /** Only looks at files in steps, and doesn't ask the file system to tell: for folders where it tells wrongly. */
    public Watch byLooking() {
        asking = false;
        return this;
    }

    private static Duration checked(String name, Duration value) {
        if (value.isNegative()) {
            throw new IllegalArgumentException(name + " = " + value + " must not be negative");
        }
        return Objects.requireNonNull(value, name);
    }

    /**
     * Watches, and answers changes one after the other, until it is cancelled. What changes while the action runs is answered after it. The action's own
     * changes are not changes: what it writes into a folder that is watched is taken as it is after it.
     *
     * @param action       answers changes
     * @param trouble      hears what an action threw
     * @param cancellation ends it; an action that throws {@link CancellationException} ends it, too
     * @throws IOException if a folder can't be read
     */
    public void run(Action action, Trouble trouble, Cancellation cancellation) throws IOException {
        try (Ears ears = new Ears()) {
            SortedMap<Path, Stamp> seen = stamps();
            SortedMap<Path, String> held = held(seen, new TreeMap<>(), new TreeMap<>());
            doubtYoung(seen);
            Set<Path> made = new HashSet<>();
            while (true) {
                waits.run();
                // A folder that is new may have got files before it was listened to: then there is something to look at now.
                if (!ears.listen(folders()) && !await(ears, cancellation)) {
                    return;
                }
                SortedMap<Path, Stamp> now = atRest(cancellation);
                if (cancellation.isCancelled()) {
                    return;
                }
                SortedMap<Path, String> holds = held(now, seen, held);
                SortedSet<Path> changed = differing(held, holds);
                seen = now;
                held = holds;
                doubtYoung(seen);
                if (!changed.isEmpty()) {
                    if (!answer(action, changed, trouble)) {
                        return;
                    }
                    // Sources that changed meanwhile are of the next round; what the action made and makes again is not a change.
                    for (Map.Entry<Path, Stamp> each : stamps().entrySet()) {
                        Path path = each.getKey();
                        if (!seen.containsKey(path) || made.contains(path)) {
                            made.add(path);
                            seen.put(path, each.getValue());
                            held.put(path, print(path));
                        }
                    }
                }
            }
        }
    }

    private static boolean answer(Action action, SortedSet<Path> changed, Trouble trouble) {
        try {
            action.changed(changed);
        } catch (CancellationException e) {
            return false;
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            return false;
        } catch (Exception e) { // whatever an action throws, the next change may cure it
            trouble.met(e);
        }
        return true;
    }

    /** Waits until something may have changed; returns false when it was cancelled. */
    private boolean await(Ears ears, Cancellation cancellation) {
        long next = System.nanoTime() + look.toNanos();
        while (!cancellation.isCancelled()) {
            if (ears.hears(CANCEL_MILLISECONDS)) {
                return true;
            }
            if (Thread.interrupted()) {
                Thread.currentThread().interrupt();
                return false;
            }
            if (System.nanoTime() >= next) {
                return true;
            }
        }
        return false;
    }

    /** Returns what all files look like, once they have looked like it for a while. */
    private SortedMap<Path, Stamp> atRest(Cancellation cancellation) throws IOException {
        SortedMap<Path, Stamp> last = stamps();
        long since = System.nanoTime();
        while (!cancellation.isCancelled()) {
            // Taken before the look: what is written after the look has a look of its own, however late this thread goes on.
            long before = System.nanoTime();
            SortedMap<Path, Stamp> now = stamps();
            if (!now.equals(last)) {
                last = now;
                since = System.nanoTime();
            } else if (before - since >= rest.toNanos()) {
                break;
            }
            try {
                Thread.sleep(Math.min(CANCEL_MILLISECONDS, Math.max(1, rest.toMillis() / 4)));
            } catch (InterruptedException e) {
                cancellation.cancel();
                Thread.currentThread().interrupt();
            }
        }
        return last;
    }

    /** What a file looks like from outside. */
    private record Stamp(long size, long changed) {
        /** What no file looks like. */
        static final Stamp NONE = new Stamp(-1, 0);
    }

    private SortedMap<Path, Stamp> stamps() throws IOException {
        SortedMap<Path, Stamp> stamps = new TreeMap<>();
        for (Path place : places) {
            if (Files.exists(place)) {
                Files.walkFileTree(place, new SimpleFileVisitor<>() {
                    @Override
                    public FileVisitResult visitFile(Path file, BasicFileAttributes attributes) {
                        // Names that begin with a dot are of programs, for what is not ready yet.
                        if (file.equals(place) || !String.valueOf(file.getFileName()).startsWith(".")) {
                            stamps.put(file, new Stamp(attributes.size(), attributes.lastModifiedTime().toMillis()));
                        }
                        return FileVisitResult.CONTINUE;
                    }

                    @Override
                    public FileVisitResult visitFileFailed(Path file, IOException failure) throws IOException {
                        if (file.equals(place) && Files.exists(file)) {
                            throw failure;
                        }
                        return FileVisitResult.CONTINUE; // gone meanwhile, or not ours to read
                    }
                });
            }
        }
        return stamps;
    }

    /** Has files that were written just now read again at the next look: one could be written again within the same tick of the clock. */
    private static void doubtYoung(SortedMap<Path, Stamp> seen) {
        long young = System.currentTimeMillis() - TICK_MILLISECONDS;
        seen.replaceAll((path, stamp) -> stamp.changed() > young ? Stamp.NONE : stamp);
    }

    /** Returns what the files hold; those that look as before are not read again. */
    private static SortedMap<Path, String> held(SortedMap<Path, Stamp> now, SortedMap<Path, Stamp> before, SortedMap<Path, String> known) {
        SortedMap<Path, String> held = new TreeMap<>();
        now.forEach((path, stamp) -> {
            String print = known.get(path);
            held.put(path, print != null && stamp.equals(before.get(path)) ? print : print(path));
        });
        return held;
    }

    private static String print(Path path) {
        try {
            return FileState.of(path).sha256();
        } catch (IOException e) { // gone meanwhile, or locked by its writer: then it holds something else once it can be read
            return "unreadable";
        }
    }

    private static SortedSet<Path> differing(SortedMap<Path, String> before, SortedMap<Path, String> now) {
        SortedSet<Path> all = new TreeSet<>(before.keySet());
        all.addAll(now.keySet());
        all.removeIf(path -> Objects.equals(before.get(path), now.get(path)));
        return all;
    }

    /** Returns the folders that changes show in. */
    private Set<Path> folders() throws IOException {
        Set<Path> folders = new TreeSet<>();
        for (Path place : places) {
            if (!Files.isDirectory(place)) {
                Path folder = place.getParent();
                if (folder != null && Files.isDirectory(folder)) {
                    folders.add(folder);
                }
                continue;
            }
            try (var below = Files.find(place, Integer.MAX_VALUE, (path, attributes) -> attributes.isDirectory())) {
                below.forEach(folders::add);
            } catch (java.io.UncheckedIOException e) { // a folder went meanwhile: the rest is found the next time
            }
        }
        return folders;
    }

    /** What the file system tells; nothing, where it can't. */
    private final class Ears implements AutoCloseable {
        private final @Nullable WatchService service;
        private final List<Path> listening = new ArrayList<>();

        Ears() {
            WatchService made = null;
            try {
                made = asking ? places.getFirst().getFileSystem().newWatchService() : null;
            } catch (IOException | UnsupportedOperationException e) { // then files are only looked at
            }
            service = made;
        }

        /** Listens to folders, too; returns whether one was not listened to before. */
        boolean listen(Set<Path> folders) {
            boolean more = false;
            for (Path folder : folders) {
                if (service != null && !listening.contains(folder)) {
                    try {
                        folder.register(service, StandardWatchEventKinds.ENTRY_CREATE, StandardWatchEventKinds.ENTRY_MODIFY,
                                StandardWatchEventKinds.ENTRY_DELETE);
                        listening.add(folder);
                        more = true;
                    } catch (IOException | UnsupportedOperationException e) { // this one is only looked at
                    }
                }
            }
            return more;
        }

        /** Returns whether something was told within so many milliseconds. */
        boolean hears(long milliseconds) {
            try {
                if (service == null) {
                    Thread.sleep(milliseconds);
                    return false;
                }
                WatchKey key = service.poll(milliseconds, TimeUnit.MILLISECONDS);
                if (key == null) {
                    return false;
                }
                key.pollEvents();
                if (!key.reset()) { // its folder is gone; one of the same name is another one
                    listening.remove(key.watchable());
                }
                return true;
            } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
                return false;
            } catch (ClosedWatchServiceException e) {
                throw new IllegalStateException("only its own watch closes it", e);
            }
        }

        @Override
        public void close() throws IOException {
            if (service != null) {
                service.close();
            }
        }
    }
}
