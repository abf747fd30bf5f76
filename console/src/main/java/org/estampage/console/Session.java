package org.estampage.console;

import java.io.IOException;
import java.io.PrintStream;
import java.lang.ref.WeakReference;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.Set;
import java.util.TreeMap;
import java.util.WeakHashMap;
import java.util.concurrent.atomic.LongAdder;
import java.util.stream.Collectors;
import org.estampage.bake.BakeJob;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.RayTracer;
import org.estampage.cage.CageFit;
import org.estampage.cage.CageSource;
import org.estampage.finding.Finding;
import org.estampage.io.MeshFiles;
import org.estampage.mesh.Mesh;
import org.estampage.session.Cache;
import org.estampage.session.Keeper;
import org.estampage.session.Watch;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Recall;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * What the verbs of one running script or prompt share: the caller's folder, the script's arguments, progress and cancelling, ray tracers already
 * built.
 *
 * <p>There is one at a time in a JVM, because verbs are static.
 *
 * @threads confined to the thread that runs snippets, but for {@link #cancel}
 */
final class Session {
    @SuppressWarnings("NonFinalStaticField") // snippets reach their session through static methods only
    private static @Nullable Session current;

    /** The system property that says where values are kept: a folder, {@value #USUAL} or {@value #OFF}, which it is where nobody says anything. */
    static final String CACHE = "estampage.cache";
    static final String USUAL = "usual";
    static final String OFF = "off";

    private final Path folder;
    private final Map<String, String> arguments;
    private final Set<String> asked = new LinkedHashSet<>();
    private final Voice voice;
    private final PrintStream out;
    private @Nullable Keeper keeper;
    private final Set<Path> written = new LinkedHashSet<>();
    private @Nullable String script;
    private boolean failed;
    private volatile Task task = Task.silent();
    private Screen screen = Screen.none();
    private @Nullable Throwable lastThrown;
    // Meshes are compared by identity, and a tracer goes when its mesh does.
    private final Map<Mesh, RayTracer> tracers = new WeakHashMap<>();

    private final LongAdder rays = new LongAdder();

    private final Map<Mesh, Path> files = new WeakHashMap<>();

    Session(Path folder, Map<String, String> arguments, Voice voice, PrintStream out) {
        this.folder = folder;
        this.arguments = new LinkedHashMap<>(arguments);
        this.voice = voice;
        voice.countRays(rays::sum);
        this.out = out;
        String place = System.getProperty(CACHE, OFF);
        keepIn(place.equals(OFF) ? null : Cache.in(place.equals(USUAL) ? Cache.usualFolder() : Path.of(place)));
    }

    private Task newTask() {
        return new Task(voice, new Cancellation(), MemoryBudget.ofHeap(), keeper == null ? Recall.none() : keeper);
    }

    /** Keeps values in a cache from now on, or in none. */
    void keepIn(@Nullable Cache cache) {
        keeper = cache == null ? null : Keeper.in(cache).telling(what -> voice.note(what + ": from the cache"));
        task = new Task(voice, task.cancellation(), task.memory(), keeper == null ? Recall.none() : keeper);
    }

    /** Returns where values are kept; null where they are not. */
    @Nullable
    Cache cache() {
        return keeper == null ? null : keeper.cache();
    }

    /** Returns the mesh of a file, from before where nothing of it has changed. */
    Mesh read(Path file) throws IOException {
        return loaded(keeper == null ? MeshFiles.read(file, task) : keeper.read(file, task), file);
    }

    @Nullable
    Keeper keeper() {
        return keeper;
    }

    static Session current() {
        SnippetExecution.check();
        Session session = current;
        if (session == null) {
            throw new IllegalStateException("verbs work only in a script or at the prompt");
        }
        return session;
    }

    static void setCurrent(@Nullable Session session) {
        current = session;
    }

    /** Returns a path as the caller means it. */
    Path resolve(String path) {
        return folder.resolve(path);
    }

    /** Returns a path as the caller would write it: relative where it lies in the caller's folder. */
    Path shown(Path path) {
        return path.startsWith(folder) ? folder.relativize(path) : path;
    }

    Task task() {
        return task;
    }

    /** What a script does about a change. */
    @FunctionalInterface
    public interface Answer {
        /**
         * Does it.
         *
         * @throws Exception what goes wrong; the next change is answered all the same
         */
        void run() throws Exception;
    }

    /** Answers changes until it is cancelled; what an action throws is said. */
    void watch(List<String> paths, Watch.Action action) throws IOException {
        Watch watch = Watch.over(paths.stream().map(this::resolve).toArray(Path[]::new));
        voice.note("watching " + String.join(", ", paths) + "; Ctrl-C ends it");
        watch.run(changed -> {
            voice.note("changed: " + changed.stream().map(this::shown).map(Path::toString).collect(Collectors.joining(", ")));
            action.changed(changed);
        }, failure -> voice.warn(failure.getMessage() == null ? failure.toString() : failure.getMessage()), task.cancellation());
    }

    /** Returns the files that were written since this was last asked. */
    List<Path> takeWritten() {
        List<Path> taken = List.copyOf(written);
        written.clear();
        return taken;
    }

    /** Notes the text of the script that runs. */
    void script(String text) {
        script = text;
    }

    /** Returns what tells the running script with its arguments from others; empty at the prompt. */
    Optional<String> scriptPrint() {
        return Optional.ofNullable(script).map(text -> new TreeMap<>(arguments) + "\n" + text);
    }

    /** Notes that something failed which did not stop the script. */
    void fail() {
        failed = true;
    }

    /** Returns whether something failed that did not stop the script. */
    boolean hasFailed() {
        return failed;
    }

    /** Keeps the last exception, for who wants to know where in the code it arose. */
    void threw(Throwable exception) {
        lastThrown = exception;
    }

    Optional<Throwable> lastThrown() {
        return Optional.ofNullable(lastThrown);
    }

    /** Sets where pictures are shown; without it they become files. */
    void setScreen(Screen value) {
        screen = value;
    }

    Screen screen() {
        return screen;
    }

    PrintStream out() {
        return out;
    }

    /** Says what was noticed while a file was written. */
    void report(Path file, Iterable<Finding> findings) {
        for (Finding finding : findings) {
            voice.found(shown(file).toString(), finding);
        }
    }

    /** Returns files as the caller would write them, after telling that they were written. */
    List<Path> wrote(List<Path> files) {
        files.forEach(file -> {
            voice.wrote(shown(file).toString(), file);
            written.add(file.toAbsolutePath());
        });
        return files.stream().map(this::shown).toList();
    }

    Voice voice() {
        return voice;
    }

    /** Asks what runs now to stop; safe from any thread. */
    void cancel() {
        task.cancellation().cancel();
    }

    boolean isCancelled() {
        return task.cancellation().isCancelled();
    }

    /** Makes verbs work again after {@link #cancel}. */
    void renew() {
        task = newTask();
    }

    /** Returns a cage of this session's present task: one that waits to be fitted may hold a task that was cancelled since. */
    CageSource present(CageSource cage) {
        return cage instanceof CageFit fit ? fit.task(task) : cage;
    }

    /** Returns the tracer of a mesh, built at its first use. */
    RayTracer tracer(Mesh mesh) {
        return tracers.computeIfAbsent(mesh, m -> {
            WeakReference<Mesh> weak = new WeakReference<>(m); // the map lets a mesh go only if its tracer, too, does
            return new LateTracer(m.triangleCount(), () -> Bvh.build(Objects.requireNonNull(weak.get(), "mesh"), task));
        });
    }

    /** Returns the same tracer, whose rays progress counts. */
    RayTracer counted(Mesh mesh) {
        return new CountedTracer(tracer(mesh), rays);
    }

    /** Returns a mesh, noting the file that it came from. */
    Mesh loaded(Mesh mesh, Path file) {
        files.put(mesh, file);
        return mesh;
    }

    /** Returns the files of a job's meshes by their role, as far as these are as they were loaded and their files are still there. */
    Map<String, Path> inputs(BakeJob job) {
        Map<String, Path> inputs = new LinkedHashMap<>();
        addInput("low", job.low(), inputs);
        for (int i = 0; i < job.highs().size(); i++) {
            addInput(i == 0 ? "high" : "high" + (i + 1), job.highs().get(i), inputs);
        }
        return inputs;
    }

    private void addInput(String role, Mesh mesh, Map<String, Path> inputs) {
        Path file = files.get(mesh);
        if (file != null && Files.isRegularFile(file)) {
            inputs.put(role, file);
        }
    }

    /** Returns an argument's text, or null; notes that the script knows it. */
    @Nullable
    String argument(String name) {
        asked.add(name);
        return arguments.get(name);
    }

    /** Returns the arguments that were given but never asked for. */
    List<String> unknownArguments() {
        List<String> unknown = new ArrayList<>(arguments.keySet());
        unknown.removeAll(asked);
        return unknown;
    }

    Set<String> askedArguments() {
        return asked;
    }
}
