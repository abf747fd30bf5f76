package org.estampage.bake;

import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.function.Supplier;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * What a map sees of a job while it is made ready, and what the job's maps made before it: of equal work there is one.
 *
 * @threads confined to the thread that makes the maps ready
 */
public final class Preparation {
    private final BakeJob job;
    private final List<Mesh> highs;
    private final Task task;
    private final Map<Object, Object> made = new HashMap<>(); // asked for what it has, never walked through

    /**
     * Begins with nothing made.
     *
     * @param job   what is to be baked
     * @param highs its high polys in its order, with the normals that maps see; {@link SurfaceHits#highMeshes} counts them
     * @param task  to be asked whether to go on
     */
    public Preparation(BakeJob job, List<Mesh> highs, Task task) {
        this.job = Objects.requireNonNull(job, "job");
        this.highs = List.copyOf(highs);
        this.task = Objects.requireNonNull(task, "task");
    }

    /** Returns what is to be baked. */
    public BakeJob job() {
        return job;
    }

    /** Returns the high polys in the job's order, with the normals that maps see. */
    public List<Mesh> highs() {
        return highs;
    }

    /** Returns the task that says whether to go on. */
    public Task task() {
        return task;
    }

    /**
     * Returns what a map of this job made for an equal key, or makes it.
     *
     * @param key  all that the result hangs on beside the job; of a class that nobody else has keys of
     * @param type what is made
     */
    public <T> T once(Object key, Class<T> type, Supplier<T> maker) {
        // No computeIfAbsent: what is being made may ask for something itself.
        Object there = made.get(key);
        if (there == null) {
            there = maker.get();
            made.put(key, there);
        }
        return type.cast(there);
    }

    /** Returns how much was made. */
    int madeCount() {
        return made.size();
    }
}
