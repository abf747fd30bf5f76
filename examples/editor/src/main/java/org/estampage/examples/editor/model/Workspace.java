package org.estampage.examples.editor.model;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import org.estampage.bake.BakeResult;
import org.estampage.bake.BakedTile;
import org.estampage.finding.Finding;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.Mesh;
import org.estampage.raster.UvTile;
import org.jspecify.annotations.Nullable;

/** All that an editor window is about. Views listen to its parts; they don't know each other. */
public final class Workspace {
    private final Jobs jobs = new Jobs();
    private final Meshes meshes = new Meshes(jobs);
    private final CageModel cage = new CageModel(meshes);
    private final BakeModel bake = new BakeModel(jobs, meshes, cage);
    private final Saving saving = new Saving(jobs, meshes, bake);
    private final Value<List<Noted>> findings = new Value<>(List.of());
    private final Value<ViewPoint> viewPoint = new Value<>(ViewPoint.whole(Bounds.EMPTY));
    private final Value<Layers> layers = new Value<>(Layers.FIRST);
    private final Value<@Nullable Spot> spot = new Value<>(null);

    /** Makes an empty workspace. */
    public Workspace() {
        meshes.low().onChange(low -> meshesChanged());
        meshes.highs().onChange(highs -> meshesChanged());
        cage.state().onChange(state -> collectFindings());
        bake.result().onChange(result -> collectFindings());
    }

    /** Returns the work that goes on. */
    public Jobs jobs() {
        return jobs;
    }

    /** Returns the open meshes. */
    public Meshes meshes() {
        return meshes;
    }

    /** Returns the cage. */
    public CageModel cage() {
        return cage;
    }

    /** Returns the bake. */
    public BakeModel bake() {
        return bake;
    }

    /** Returns what saves the bake. */
    public Saving saving() {
        return saving;
    }

    /** Returns what was noticed of the meshes, the cage and the last bake, what matters most first. */
    public Value<List<Noted>> findings() {
        return findings;
    }

    /** Returns from where the 3D view looks. */
    public Value<ViewPoint> viewPoint() {
        return viewPoint;
    }

    /** Returns what the 3D view shows. */
    public Value<Layers> layers() {
        return layers;
    }

    /** Returns the place that was asked for last, or null. */
    public Value<@Nullable Spot> spot() {
        return spot;
    }

    /** Lets the 3D view show all that is open. */
    public void lookAtAll() {
        viewPoint.set(ViewPoint.whole(meshes.bounds()));
    }

    private void meshesChanged() {
        lookAtAll();
        collectFindings();
    }

    private void collectFindings() {
        List<Noted> all = new ArrayList<>();
        List<BakedTile> none = List.of();
        OpenMesh low = meshes.low().get();
        Mesh lowMesh = low == null ? null : low.mesh();
        if (low != null) {
            add(all, low.mesh().findings(), low.name(), lowMesh, none);
        }
        meshes.highs().get().forEach(high -> add(all, high.mesh().findings(), high.name(), high.mesh(), none));
        add(all, cage.state().get().findings(), "cage", lowMesh, none);
        BakeResult baked = bake.result().get();
        if (baked != null) {
            add(all, baked.findings(), "bake", baked.low(), baked.tiles());
        }
        all.sort(Comparator.comparing((Noted noted) -> noted.finding().severity()).reversed());
        findings.set(List.copyOf(all));
    }

    /** Adds findings, but for those that are there already: a bake repeats what its cage told. */
    private static void add(List<Noted> all, List<Finding> more, String about, @Nullable Mesh mesh, List<BakedTile> tiles) {
        for (Finding finding : more) {
            if (all.stream().noneMatch(noted -> noted.finding().equals(finding))) {
                all.add(new Noted(finding, about, mesh, tileOf(finding, tiles)));
            }
        }
    }

    /** Returns the tile whose texels a finding names. The engine says it at the head of the message, where there can be several. */
    private static int tileOf(Finding finding, List<BakedTile> tiles) {
        return tiles.stream().filter(tile -> finding.message().startsWith(tile.tile() + ": ")).mapToInt(BakedTile::number).findFirst()
                .orElse(UvTile.UNIT.number());
    }
}
