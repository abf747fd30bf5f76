package org.estampage.examples.editor.model;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Collectors;
import org.estampage.bake.BakeResult;
import org.estampage.handover.Delivery;
import org.estampage.handover.MapFileOptions;
import org.estampage.handover.ModelFiles;
import org.estampage.io.format.AtomicFiles;
import org.estampage.task.Task;

/** Saves the last bake: maps, manifest and, if it is wanted, a model; all of them or none. */
public final class Saving {
    private final Jobs jobs;
    private final Meshes meshes;
    private final BakeModel bake;

    Saving(Jobs jobs, Meshes meshes, BakeModel bake) {
        this.jobs = jobs;
        this.meshes = meshes;
        this.bake = bake;
    }

    /** Starts to save. */
    public void start(Path folder, String name, SaveFormat format, boolean withModel) {
        BakeResult result = bake.result().get();
        if (result == null) {
            jobs.notice().set(Notice.problem("Nothing to save yet", "Bake first."));
            return;
        }
        Map<String, Path> inputs = inputs();
        jobs.start("Saving", task -> write(result, folder, name, format, withModel, inputs, task),
                files -> jobs.notice().set(Notice.done(files.size() + " files are in " + folder,
                        files.stream().map(file -> file.getFileName().toString()).collect(Collectors.joining(", ")))));
    }

    private Map<String, Path> inputs() {
        Map<String, Path> inputs = new LinkedHashMap<>();
        OpenMesh low = meshes.low().get();
        if (low != null) {
            inputs.put("low", low.file());
        }
        List<OpenMesh> highs = meshes.highs().get();
        for (int i = 0; i < highs.size(); i++) {
            inputs.put(i == 0 ? "high" : "high" + (i + 1), highs.get(i).file());
        }
        return inputs;
    }

    /** Writes everything. The model, which can fail by itself, is made first beside its place and moves there last, with a copy of what stood there. */
    private static List<Path> write(BakeResult result, Path folder, String name, SaveFormat format, boolean withModel,
            Map<String, Path> inputs,
            Task task) throws IOException {
        Path base = folder.resolve(name);
        MapFileOptions options = MapFileOptions.USUAL.withFormat(format.ending());
        if (!withModel) {
            return Delivery.write(result, base, options, inputs, task).files();
        }
        Path made = Files.createTempDirectory("estampage-model").resolve(name + ".glb");
        try (AtomicFiles model = AtomicFiles.begin(task)) {
            ModelFiles.of(result).named(name).write(made, task);
            Path place = folder.resolve(name + ".glb");
            model.write(place, out -> Files.copy(made, out));
            List<Path> files = new ArrayList<>(Delivery.write(result, base, options, inputs, task).files());
            model.finish();
            files.add(place);
            return files;
        } finally {
            Files.deleteIfExists(made);
            Files.deleteIfExists(made.resolveSibling(""));
        }
    }
}
