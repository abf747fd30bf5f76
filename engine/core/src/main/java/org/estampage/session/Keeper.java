package org.estampage.session;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.Set;
import java.util.WeakHashMap;
import java.util.function.Consumer;
import java.util.function.Supplier;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.BakeStore;
import org.estampage.bake.Baker;
import org.estampage.bake.SurfaceMap;
import org.estampage.io.MeshFiles;
import org.estampage.maps.CustomMap;
import org.estampage.io.shared.NearbyFile;
import org.estampage.mesh.Mesh;
import org.estampage.task.Recall;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Remembers values of the engine's operations in a {@link Cache}: given to a {@link Task} by {@link Task#recalling}, it lets operations with that task return
 * what they returned before, in this process or in another.
 *
 * <p>Kept is what took at least {@value #LEAST_MILLISECONDS} ms to work out; below that, a file is hardly faster.
 *
 * @threads safe for concurrent calls
 */
public final class Keeper implements Recall {
    /** What took less is worked out again. */
    public static final int LEAST_MILLISECONDS = 100;

    private final Cache cache;
    private final Supplier<Optional<String>> engine;
    private final long leastNanos;
    private final Consumer<String> told;
    /** Fingerprints of meshes, which are compared by identity and never change. */
    private final Map<Mesh, String> prints = new WeakHashMap<>();

    private Keeper(Cache cache, Supplier<Optional<String>> engine, long leastNanos, Consumer<String> told) {
        this.cache = cache;
        this.engine = engine;
        this.leastNanos = leastNanos;
        this.told = told;
    }

    /** Returns one that keeps values in a cache. */
    public static Keeper in(Cache cache) {
        return new Keeper(cache, new ThisEngine(), LEAST_MILLISECONDS * 1_000_000L, what -> {
        });
    }

    /** Returns this with somebody who hears of every value that came from before, in a few words such as {@code "cage fit"}. */
    public Keeper telling(Consumer<String> listener) {
        return new Keeper(cache, engine, leastNanos, listener);
    }

    /** Returns the same for another engine, and with another least time; for tests. */
    static Keeper of(Cache cache, String engine, long leastNanos) {
        return new Keeper(cache, () -> Optional.of(engine), leastNanos, what -> {
        });
    }

    /** Returns the cache. */
    public Cache cache() {
        return cache;
    }

    @Override
    public <T> T of(Class<T> type, Object operation, Task task, Supplier<? extends T> work) {
        Optional<String> key = key("value", type.getName(), operation);
        if (key.isEmpty()) {
            return work.get();
        }
        Optional<T> known = cache.get(key.get(), (in, size) -> read(type, in, size, task));
        if (known.isPresent()) {
            told.accept(words(operation));
            return known.get();
        }
        long start = System.nanoTime();
        T value = work.get();
        if (System.nanoTime() - start >= leastNanos) {
            cache.put(key.get(), task, out -> write(value, out));
        }
        return value;
    }

    private <T> T read(Class<T> type, InputStream in, long size, Task task) throws IOException {
        ValueIn values = new ValueIn(in, size, task.memory());
        T value = values.get(type);
        if (value instanceof Mesh mesh) {
            remember(mesh, values.bytes().getText());
        }
        return value;
    }

    /** Writes a value; behind a mesh its fingerprint, so that it needn't be worked out again. */
    private void write(Object value, OutputStream out) throws IOException {
        ValueOut values = new ValueOut(out);
        values.put(value);
        if (value instanceof Mesh mesh) {
            values.bytes().putText(print(mesh));
        }
        values.bytes().flush();
    }

    @Override
    public void write(Object operation, OutputStream out, Writing work) throws IOException {
        Optional<String> key = key("bytes", operation);
        if (key.isEmpty()) {
            work.to(out);
            return;
        }
        Optional<byte[]> known = cache.get(key.get(), (in, size) -> in.readAllBytes());
        if (known.isPresent()) {
            out.write(known.get());
            told.accept(words(operation));
            return;
        }
        long start = System.nanoTime();
        ByteArrayOutputStream copy = new ByteArrayOutputStream();
        work.to(copy);
        copy.writeTo(out);
        if (System.nanoTime() - start >= leastNanos) {
            cache.put(key.get(), Task.silent(), copy::writeTo);
        }
    }

    /** Returns the words that an operation's class is called by. */
    private static String words(Object operation) {
        return operation.getClass().getSimpleName().replaceAll("(?<=[a-z])(?=[A-Z])", " ").toLowerCase(Locale.ROOT);
    }

    /**
     * Returns the mesh of a file as {@link MeshFiles#read} does, from before where neither the file nor any file that it names has changed.
     *
     * @throws IOException as there
     */
    public Mesh read(Path file, Task task) throws IOException {
        if (engine.get().isEmpty() || !Files.isRegularFile(file)) {
            return MeshFiles.read(file, task);
        }
        FileState before = FileState.of(file);
        Optional<String> names = key("names", before.name(), before.sha256());
        Optional<Mesh> known = names.flatMap(key -> cache.get(key, (in, size) -> new ValueIn(in, size, task.memory()).list(String.class)))
                .flatMap(nearby -> meshKey(file, before, nearby))
                .flatMap(key -> cache.get(key, (in, size) -> read(Mesh.class, in, size, task)));
        if (known.isPresent()) {
            told.accept(before.name());
            return known.get();
        }
        Set<String> nearby = new LinkedHashSet<>();
        Instant start = Instant.now();
        long clock = System.nanoTime();
        Mesh mesh = NearbyFile.listening((by, name) -> nearby.add(name), () -> MeshFiles.read(file, task));
        if (System.nanoTime() - clock >= leastNanos && before.isUnchanged(file)
                && nearby.stream().allMatch(name -> isOlder(file, name, start))) {
            List<String> all = List.copyOf(nearby);
            names.ifPresent(key -> cache.put(key, task, out -> write(all, out)));
            meshKey(file, before, all).ifPresent(key -> cache.put(key, task, out -> write(mesh, out)));
        }
        return mesh;
    }

    private Optional<String> meshKey(Path file, FileState state, List<String> nearby) {
        List<String> states = new ArrayList<>();
        try {
            for (String name : nearby) {
                Path path = NearbyFile.of(file, name);
                states.add(path == null ? "refused" : Files.isRegularFile(path) ? FileState.of(path).sha256() : "missing");
            }
        } catch (IOException e) { // what can't be read can't be told
            return Optional.empty();
        }
        return key("mesh", state.name(), state.sha256(), nearby, states);
    }

    /** Returns whether a file that another one names has not changed since that one was read. */
    private static boolean isOlder(Path file, String name, Instant start) {
        Path path = NearbyFile.of(file, name);
        try {
            return path == null || !Files.exists(path) || Files.getLastModifiedTime(path).toInstant().isBefore(start);
        } catch (IOException e) { // gone meanwhile
            return false;
        }
    }

    /**
     * Returns what a bake gives, map by map from before where the job and the map are the same. Maps that nobody can tell, as those of somebody's own
     * function without a version, are always baked, and so are all maps of a job without a cage.
     *
     * @param baker how it is carried out
     * @throws java.util.concurrent.CancellationException as {@link Baker#bake(BakeJob, Task)}, as all else
     */
    public BakeResult bake(Baker baker, BakeJob job, Task task) {
        if (job.cage().isEmpty()) {
            return baker.bake(job, task);
        }
        Map<SurfaceMap, String> keys = new LinkedHashMap<>();
        Optional<String> ofJob = key("job", new Fingerprint.Without(job, Set.of("maps", "ranges")));
        for (SurfaceMap map : job.maps()) {
            if (ofJob.isPresent() && map.recipe().isPresent()) {
                Object content = map instanceof CustomMap ? map.recipe() : map; // a function with a version is told by that
                key("map", ofJob.get(), job.ranges().getOrDefault(map.name(), List.of()), content).ifPresent(key -> keys.put(map, key));
            }
        }
        List<BakeResult> earlier = new ArrayList<>();
        List<SurfaceMap> baked = new ArrayList<>();
        keys.forEach((map, key) -> {
            Optional<BakeResult> known = cache.getFile(key, file -> BakeStore.read(file, job, task));
            known.ifPresent(earlier::add);
            if (known.isPresent()) {
                told.accept("map " + map.name());
            } else {
                baked.add(map);
            }
        });
        long start = System.nanoTime();
        BakeResult result = baker.bake(job, earlier, task);
        if (System.nanoTime() - start >= leastNanos) {
            for (SurfaceMap map : baked) {
                cache.putFile(Objects.requireNonNull(keys.get(map)), file -> BakeStore.write(result, map.name(), file, task));
            }
        }
        return result;
    }

    /** Returns the key of a value: of this engine's code and of all that reaches it; empty where something can't be told. */
    Optional<String> key(Object... what) {
        if (engine.get().isEmpty()) {
            return Optional.empty();
        }
        try {
            return Optional.of(Fingerprint.of(this::print, engine.get().get(), what));
        } catch (NoFormException e) {
            return Optional.empty();
        }
    }

    /** Returns a mesh's fingerprint, which is worked out once. */
    String print(Mesh mesh) {
        synchronized (prints) {
            @Nullable
            String known = prints.get(mesh);
            if (known != null) {
                return known;
            }
        }
        String print = Fingerprint.ofMesh(mesh);
        remember(mesh, print);
        return print;
    }

    private void remember(Mesh mesh, String print) {
        synchronized (prints) {
            prints.put(mesh, print);
        }
    }

    /** The fingerprint of this engine, whose code doesn't change while it runs: worked out when it is first asked for. */
    private static final class ThisEngine implements Supplier<Optional<String>> {
        private Optional<String> print = Optional.empty();
        private boolean known;

        @Override
        public synchronized Optional<String> get() {
            if (!known) {
                print = EngineClasses.fingerprint();
                known = true;
            }
            return print;
        }
    }
}
