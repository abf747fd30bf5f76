package org.estampage.examples.editor.model;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.estampage.cage.Cage;
import org.estampage.cage.CageCheck;
import org.estampage.cage.CageConflict;
import org.estampage.cage.CageFit;
import org.estampage.cage.CageReport;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.mesh.Mesh;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/** The cage: follows its settings and the meshes. A cage is there, and drawn, before it is checked. */
public final class CageModel {
    /** An offset to begin with: common practice, no source; most sculpts stay within a fiftieth of the low poly's size. */
    private static final double FIRST_OFFSET = 0.02;

    private final Meshes meshes;
    private final Lane making = new Lane("editor cage");
    private final Lane checking = new Lane("editor cage check");
    private final Value<CageSettings> settings = new Value<>(new CageSettings(false, 0));
    private final Value<CageState> state = new Value<>(CageState.none("Open a low poly to see its cage."));

    private @Nullable Path file;

    CageModel(Meshes meshes) {
        this.meshes = meshes;
        meshes.low().onChange(low -> {
            making.cancel();
            checking.cancel();
            state.set(CageState.none(""));
            CageSettings before = settings.get();
            // A mesh that was only turned, or read again, keeps its offset.
            CageSettings wanted = low != null && low.file().equals(file)
                    ? before
                    : before.withOffset(low == null ? 0 : FIRST_OFFSET * low.mesh().bounds().diagonal());
            file = low == null ? null : low.file();
            if (wanted.equals(before)) {
                remake();
            } else {
                settings.set(wanted); // which makes it
            }
        });
        meshes.highs().onChange(highs -> {
            if (settings.get().fitted()) {
                remake();
            } else {
                recheck();
            }
        });
        settings.onChange(changed -> remake());
    }

    /** Returns how the cage comes about. */
    public Value<CageSettings> settings() {
        return settings;
    }

    /** Returns the cage and what is known of it. */
    public Value<CageState> state() {
        return state;
    }

    /** Returns the largest offset that is worth a slider's end: a tenth of the low poly's diagonal. */
    public double largestOffset() {
        OpenMesh low = meshes.low().get();
        return low == null ? 0 : low.mesh().bounds().diagonal() / 10;
    }

    private void remake() {
        OpenMesh low = meshes.low().get();
        if (low == null) {
            state.set(CageState.none("Open a low poly to see its cage."));
            return;
        }
        CageSettings wanted = settings.get();
        List<OpenMesh> highs = meshes.highs().get();
        if (wanted.fitted()) {
            if (highs.isEmpty()) {
                state.set(CageState.none("Open a high poly to fit the cage to."));
                return;
            }
            making.cancel();
            CageState now = state.get();
            state.set(new CageState(now.shape(), CageState.Phase.MAKING, List.of(), Findings.none(), ""));
        }
        making.run(task -> CageShape.of(wanted.fitted() ? fit(low, highs, task) : Cage.offset(low.mesh(), wanted.offset()), task),
                Progress.none(),
                Outcome.of(shape -> made(shape, wanted.fitted()), failure -> state.set(CageState.none(failure.detail()))));
    }

    /** Looks again whether the cage holds the high polys: it doesn't follow from them, and one that is being made is looked at when it is there. */
    private void recheck() {
        CageShape shape = state.get().shape();
        if (shape != null && !making.isBusy()) {
            made(shape, false);
        }
    }

    private static Cage fit(OpenMesh low, List<OpenMesh> highs, Task task) {
        CageFit fit = CageFit.around(low.mesh(), highs.stream().map(OpenMesh::mesh).toArray(Mesh[]::new)).task(task);
        return (highs.size() == 1 ? fit.tracer(highs.getFirst().tracer()) : fit).build();
    }

    private void made(CageShape shape, boolean fitted) {
        if (fitted && making.isWaiting()) {
            return; // the one that waits is of what is open now
        }
        Cage cage = shape.cage();
        List<OpenMesh> highs = meshes.highs().get();
        if (fitted || highs.isEmpty()) {
            state.set(new CageState(shape, CageState.Phase.CHECKED, cage.conflicts(), cage.findings(), ""));
            return;
        }
        state.set(new CageState(shape, CageState.Phase.CHECKING, List.of(), cage.findings(), ""));
        checking.run(task -> check(cage, highs, task), Progress.none(), Outcome.of(report -> checked(shape, highs, report),
                failure -> state.set(new CageState(shape, CageState.Phase.CHECKED, List.of(), cage.findings(), failure.detail()))));
    }

    private static CageReport check(Cage cage, List<OpenMesh> highs, Task task) {
        List<Finding> findings = new ArrayList<>();
        List<CageConflict> conflicts = new ArrayList<>();
        for (OpenMesh high : highs) {
            CageReport report = CageCheck.report(cage.low(), high.mesh(), cage, CageCheck.SLANT_LIMIT, task);
            findings.addAll(report.findings());
            conflicts.addAll(report.conflicts());
        }
        return new CageReport(Findings.of(findings), conflicts);
    }

    /** Takes a report, unless the cage or the high polys have moved on since. */
    private void checked(CageShape shape, List<OpenMesh> highs, CageReport report) {
        if (shape.equals(state.get().shape()) && highs.equals(meshes.highs().get())) {
            state.set(new CageState(shape, CageState.Phase.CHECKED, report.conflicts(), report.findings(), ""));
        }
    }
}
