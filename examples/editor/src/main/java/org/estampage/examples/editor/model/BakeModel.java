package org.estampage.examples.editor.model;

import java.util.List;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.bake.SurfaceMap;
import org.estampage.examples.editor.drawing.LiveMaps;
import org.estampage.image.FloatImage;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/** What is to be baked, the maps while they come about, and the last result. */
public final class BakeModel {
    /**
     * Texels of a block's side. Half of the usual: while the JVM has not compiled the engine's code yet, a block takes so long that cancelling was felt. Once it
     * has, bakes are as fast with it: 2.4 to 2.6 s beside 2.4 to 2.8 s on two shared cores, at 1024² with 4 samples and 32 rays.
     */
    private static final int BLOCK_SIDE = 16;

    private final Jobs jobs;
    private final Meshes meshes;
    private final CageModel cage;
    private final Value<BakeSettings> settings = new Value<>(BakeSettings.FIRST);
    private final Value<@Nullable LiveMaps> live = new Value<>(null);
    private final Value<@Nullable BakeResult> result = new Value<>(null);

    BakeModel(Jobs jobs, Meshes meshes, CageModel cage) {
        this.jobs = jobs;
        this.meshes = meshes;
        this.cage = cage;
        jobs.running().onChange(running -> {
            if (running == null) {
                live.set(null);
            }
        });
    }

    /** Returns what is to be baked. */
    public Value<BakeSettings> settings() {
        return settings;
    }

    /** Returns the maps of the bake that runs, or null. */
    public Value<@Nullable LiveMaps> live() {
        return live;
    }

    /** Returns the last bake that came to its end, or null. */
    public Value<@Nullable BakeResult> result() {
        return result;
    }

    /** Returns what is missing before a bake can start; empty when nothing is. */
    public String missing() {
        if (meshes.low().get() == null) {
            return "Open a low poly first.";
        }
        if (meshes.highs().get().isEmpty()) {
            return "Open a high poly first.";
        }
        return settings.get().maps().isEmpty() ? "Choose at least one map." : "";
    }

    /** Returns how many bytes the raw values of the chosen maps take. */
    public long mapBytes() {
        BakeSettings wanted = settings.get();
        return wanted.maps().stream()
                .mapToLong(map -> FloatImage.bytes(wanted.size(), wanted.size(), map.map(wanted.rays()).format().channels())).sum();
    }

    /** Starts a bake of what is set now. */
    public void start() {
        OpenMesh low = meshes.low().get();
        if (low == null || !missing().isEmpty()) {
            jobs.notice().set(Notice.problem("Nothing to bake yet", missing()));
            return;
        }
        BakeSettings wanted = settings.get();
        List<SurfaceMap> maps = wanted.maps().stream().map(map -> map.map(wanted.rays())).toList();
        LiveMaps watched = new LiveMaps(wanted.size(), maps);
        Order order = new Order(low, meshes.highs().get(), cage.state().get().shape(), wanted, maps, watched);
        if (jobs.start("Baking", order::bake, result::set)) {
            live.set(watched);
        }
    }

    /**
     * A bake that was asked for: what it needs, as it was then.
     *
     * @param low      the low poly
     * @param highs    the high polys
     * @param shape    its cage; null when the bake is to fit one
     * @param settings what is to be baked
     * @param maps     the maps
     * @param watched  sees the blocks
     */
    private record Order(OpenMesh low, List<OpenMesh> highs, @Nullable CageShape shape, BakeSettings settings,
            List<SurfaceMap> maps, LiveMaps watched) {
        private BakeJob job() {
            Mesh[] meshes = highs.stream().map(OpenMesh::mesh).toArray(Mesh[]::new);
            BakeJob.Builder job = shape == null ? BakeJob.of(low.mesh(), meshes) : BakeJob.of(shape.cage(), meshes);
            return job.size(settings.size()).samples(settings.samples())
                    .maps(maps.toArray(SurfaceMap[]::new)).build();
        }

        BakeResult bake(Task task) {
            OpenMesh first = highs.getFirst();
            Baker baker = Baker.create().blockSide(BLOCK_SIDE).blocks(watched);
            return (highs.size() == 1 ? baker.tracer(first.mesh(), first.tracer()) : baker).bake(job(), task);
        }
    }
}
