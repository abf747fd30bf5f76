package org.estampage.handover;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import org.estampage.bake.BakeResult;
import org.estampage.io.format.AtomicFiles;
import org.estampage.task.Task;

/**
 * The files of one bake that belong together: its maps, and the manifest beside them.
 *
 * @param maps         the maps with their files
 * @param manifestFile the manifest's file
 * @param manifest     what it says
 * @threads immutable
 */
public record Delivery(List<WrittenMap> maps, Path manifestFile, Manifest manifest) {
    /** Copies the list. */
    public Delivery {
        maps = List.copyOf(maps);
    }

    /**
     * Writes all maps as {@link MapFiles#write(BakeResult, Path, MapFileOptions, Task)} does, and {@code <base>-manifest.json} (with a set's name
     * {@code <base>-<set>-manifest.json}); all appear together. What was accepted in a manifest that is there already stays accepted, where it has not
     * become worse.
     *
     * @param base   a path without ending
     * @param inputs the files that the meshes came from, by their role ({@code low}, {@code high}, {@code high2} …), where they are known
     * @throws org.estampage.io.format.FormatException if a file of the manifest's name is there and is not one
     * @throws IOException                              if a file can't be read or written; then none appears, and older ones of their names stay
     * @throws IllegalArgumentException                 if {@code base} ends with no name, or the options' names are the same for several files
     */
    public static Delivery write(BakeResult result, Path base, MapFileOptions options, Map<String, Path> inputs, Task task)
            throws IOException {
        String set = options.set().isEmpty() ? "" : "-" + options.set();
        Path place = base.resolveSibling(MapFiles.stem(base) + set + "-manifest.json");
        Manifest earlier = Files.exists(place) ? Manifest.read(place) : null;
        try (AtomicFiles files = AtomicFiles.begin(task)) {
            List<WrittenMap> maps = MapFiles.write(result, base, options, files, task);
            Manifest manifest = Manifest.of(result, maps);
            for (Map.Entry<String, Path> input : inputs.entrySet()) {
                manifest = manifest.input(input.getKey(), input.getValue());
            }
            Manifest told = earlier == null ? manifest : manifest.acceptedAsIn(earlier);
            files.write(place, out -> out.write(told.text().getBytes(StandardCharsets.UTF_8)));
            files.finish();
            return new Delivery(maps, place, told);
        }
    }

    /** Returns all files, the manifest last. */
    public List<Path> files() {
        List<Path> files = new ArrayList<>(maps.stream().map(WrittenMap::file).distinct().toList());
        files.add(manifestFile);
        return files;
    }
}
