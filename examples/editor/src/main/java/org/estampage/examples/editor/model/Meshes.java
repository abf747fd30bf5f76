package org.estampage.examples.editor.model;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.estampage.mesh.Axis;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.Mesh;
import org.jspecify.annotations.Nullable;

/** The meshes that are open: one low poly, any number of high polys. */
public final class Meshes {
    private final Jobs jobs;
    private final Value<@Nullable OpenMesh> low = new Value<>(null);
    private final Value<List<OpenMesh>> highs = new Value<>(List.of());
    private final Value<Axis> up = new Value<>(Axis.Y);

    Meshes(Jobs jobs) {
        this.jobs = jobs;
    }

    /** Returns the low poly, or null. */
    public Value<@Nullable OpenMesh> low() {
        return low;
    }

    /** Returns the high polys. */
    public Value<List<OpenMesh>> highs() {
        return highs;
    }

    /** Returns which axis points up in the files. */
    public Value<Axis> up() {
        return up;
    }

    /** Takes another axis for the one that points up in the files, and turns what is open. While a job runs it stays as it is. */
    public void turn(Axis axis) {
        OpenMesh lower = low.get();
        List<OpenMesh> higher = highs.get();
        if (axis == up.get()) {
            return;
        }
        jobs.start("Turning", task -> {
            List<OpenMesh> turned = new ArrayList<>();
            for (OpenMesh high : higher) {
                turned.add(high.turned(axis, task));
            }
            return new Turned(lower == null ? null : lower.turned(axis, task), List.copyOf(turned));
        }, turned -> {
            up.set(axis);
            low.set(turned.low);
            highs.set(turned.highs);
        });
    }

    /**
     * The open meshes with another axis up.
     *
     * @param low   the low poly, if one is open
     * @param highs the high polys
     */
    private record Turned(@Nullable OpenMesh low, List<OpenMesh> highs) {
    }

    /** Opens a low poly in place of the one that there is. */
    public void openLow(Path file) {
        Axis axis = up.get();
        jobs.start("Opening " + file.getFileName(), task -> OpenMesh.read(file, axis, task), low::set);
    }

    /** Opens files as further high polys; all or none. */
    public void addHighs(List<Path> files) {
        if (!files.isEmpty()) {
            Axis axis = up.get();
            jobs.start("Opening " + names(files), task -> {
                List<OpenMesh> read = new ArrayList<>();
                for (Path file : files) {
                    read.add(OpenMesh.read(file, axis, task));
                }
                return read;
            }, this::append);
        }
    }

    /** Opens a low poly and high polys in one go; all or none. */
    public void openAll(Path lowFile, List<Path> highFiles) {
        Axis axis = up.get();
        jobs.start("Opening " + lowFile.getFileName() + (highFiles.isEmpty() ? "" : " and " + names(highFiles)), task -> {
            List<OpenMesh> read = new ArrayList<>();
            read.add(OpenMesh.read(lowFile, axis, task));
            for (Path file : highFiles) {
                read.add(OpenMesh.read(file, axis, task));
            }
            return read;
        }, read -> {
            low.set(read.getFirst());
            highs.set(List.copyOf(read.subList(1, read.size())));
        });
    }

    private static String names(List<Path> files) {
        return files.size() == 1 ? String.valueOf(files.getFirst().getFileName()) : files.size() + " high polys";
    }

    private void append(List<OpenMesh> more) {
        List<OpenMesh> all = new ArrayList<>(highs.get());
        all.addAll(more);
        highs.set(List.copyOf(all));
    }

    /** Closes a high poly. */
    public void remove(OpenMesh high) {
        highs.set(highs.get().stream().filter(open -> !open.equals(high)).toList());
    }

    /** Returns the box around everything that is open; {@link Bounds#EMPTY} where nothing is. */
    public Bounds bounds() {
        List<Mesh> all = new ArrayList<>(highs.get().stream().map(OpenMesh::mesh).toList());
        OpenMesh lower = low.get();
        if (lower != null) {
            all.add(lower.mesh());
        }
        return Bounds.around(all);
    }
}
