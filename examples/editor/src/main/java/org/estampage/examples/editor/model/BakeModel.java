package org.estampage.examples.editor.model;

import java.util.List;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.bake.SurfaceMap;
import org.estampage.mesh.Mesh;
import org.estampage.raster.UvTile;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/** What is to be baked, the maps while they come about, and the last result. */
public final class BakeModel {
    /**
     * Texels of a block's side. Half of the usual: while the JVM has not compiled the engine's code yet, a block takes so long that cancelling was felt. Once it
     * has, bakes are about as fast with it.
     */
    private static final int BLOCK_SIDE = 16;

    private final Jobs jobs;
    private final Meshes meshes;
    private final CageModel cage;
    private final Value<BakeSettings> settings = new Value<>(BakeSettings.FIRST);
    private final Value<@Nullable LiveMaps> live = new Value<>(null);
    private final Value<@Nullable BakeResult> result = new Value<>(null);
    private final Value<@Nullable Forecast> forecast = new Value<>(null);
    private final Lane foreseeing = new Lane("editor forecast");
    /** How many forecasts were asked for. */
    private long foreseen;

    BakeModel(Jobs jobs, Meshes meshes, CageModel cage) {
        this.jobs = jobs;
        this.meshes = meshes;
        this.cage = cage;
        jobs.running().onChange(running -> {
            if (running == null) {
                live.set(null);
            }
        });
        settings.onChange(changed -> foresee());
        meshes.low().onChange(low -> foresee());
        meshes.highs().onChange(highs -> foresee());
        result.onChange(baked -> foresee());
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

    /** Returns what a bake would take; null while that is being worked out, and while something is missing. */
    public Value<@Nullable Forecast> forecast() {
        return forecast;
    }

    private void foresee() {
        long mine = ++foreseen;
        forecast.set(null);
        foreseeing.cancel();
        Order order = order();
        if (order == null) {
            return;
        }
        BakeResult last = result.get();
        foreseeing.run(task -> Forecast.of(baker().estimate(order.job()), last), Progress.none(),
                Outcome.of(made -> told(mine, made), failure -> told(mine, new Forecast(null, null, failure.detail()))));
    }

    /** Takes a forecast, unless what it is of has changed since. */
    private void told(long number, Forecast made) {
        if (number == foreseen) {
            forecast.set(made);
        }
    }

    private static Baker baker() {
        return Baker.create().blockSide(BLOCK_SIDE);
    }

    /** Returns a bake of what is set now, or null while something is missing. */
    private @Nullable Order order() {
        OpenMesh low = meshes.low().get();
        if (low == null || !missing().isEmpty()) {
            return null;
        }
        BakeSettings wanted = settings.get();
        List<SurfaceMap> maps = wanted.maps().stream().map(map -> map.map(wanted.rays())).toList();
        boolean tiled = wanted.tiled() && low.isOnTiles();
        LiveMaps watched = new LiveMaps(wanted.size(), tiled ? low.tiles() : List.of(UvTile.UNIT.number()), maps);
        return new Order(low, meshes.highs().get(), cage.state().get().shape(), wanted, maps, watched);
    }

    /** Starts a bake of what is set now. */
    public void start() {
        Order order = order();
        if (order == null) {
            jobs.notice().set(Notice.problem("Nothing to bake yet", missing()));
        } else if (jobs.start("Baking", order::bake, result::set)) {
            live.set(order.watched);
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
            if (low.isOnTiles()) {
                job = settings.tiled() ? job.udim() : job.copies();
            }
            return job.size(settings.size()).samples(settings.samples())
                    .maps(maps.toArray(SurfaceMap[]::new)).build();
        }

        BakeResult bake(Task task) {
            OpenMesh first = highs.getFirst();
            Baker baker = baker().blocks(watched);
            return (highs.size() == 1 ? baker.tracer(first.mesh(), first.tracer()) : baker).bake(job(), task);
        }
    }
}
