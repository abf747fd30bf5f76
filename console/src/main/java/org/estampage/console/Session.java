package org.estampage.console;

import java.io.PrintStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.WeakHashMap;
import java.util.concurrent.atomic.LongAdder;
import org.estampage.bake.BakeJob;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.RayTracer;
import org.estampage.cage.CageFit;
import org.estampage.cage.CageSource;
import org.estampage.finding.Finding;
import org.estampage.mesh.Mesh;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
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

    private final Path folder;
    private final Map<String, String> arguments;
    private final Set<String> asked = new LinkedHashSet<>();
    private final Voice voice;
    private final PrintStream out;
    private volatile Task task;
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
        this.task = newTask(voice);
    }

    private static Task newTask(Progress progress) {
        return new Task(progress, new Cancellation(), MemoryBudget.ofHeap());
    }

    static Session current() {
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
        files.forEach(file -> voice.wrote(shown(file).toString(), file));
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
        task = newTask(voice);
    }

    /** Returns a cage of this session's present task: one that waits to be fitted may hold a task that was cancelled since. */
    CageSource present(CageSource cage) {
        return cage instanceof CageFit fit ? fit.task(task) : cage;
    }

    /** Returns the tracer of a mesh, built at its first use. */
    RayTracer tracer(Mesh mesh) {
        return tracers.computeIfAbsent(mesh, m -> Bvh.build(m, task));
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
