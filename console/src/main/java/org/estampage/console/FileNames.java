package org.estampage.console;

import java.io.IOException;
import java.nio.file.DirectoryIteratorException;
import java.nio.file.DirectoryStream;
import java.nio.file.Files;
import java.nio.file.InvalidPathException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;

/** Names of files for a path that is being typed: folders first, then such files as the verb can take. */
final class FileNames {
    /** So many names of a folder are kept: nobody reads a longer list. */
    private static final int MOST = 2000;

    private static final Set<String> MESHES = Set.of("obj", "ply", "stl", "gltf", "glb");
    private static final Set<String> IMAGES = Set.of("png", "tif", "tiff", "exr", "tga", "jpg", "jpeg");
    /** The endings that verbs take; others take any. */
    private static final Map<String, Set<String>> ENDINGS = Map.of("load", MESHES, "image", IMAGES, "normalImage", IMAGES, "colourImage",
            IMAGES,
            "manifest", Set.of("json"));

    private final Path folder;

    /** Takes the folder where relative paths start. */
    FileNames(Path folder) {
        this.folder = folder;
    }

    /**
     * Returns what can follow the last slash of the path in a string.
     *
     * @param verb   whose argument the string is
     * @param closed whether the closing quotation mark is there already
     */
    List<Completions.Suggestion> at(CodeAtCursor code, String verb, boolean closed) {
        Set<String> endings = ENDINGS.getOrDefault(verb, Set.of());
        Map<String, Completions.Suggestion> folders = new TreeMap<>();
        Map<String, Completions.Suggestion> files = new TreeMap<>();
        String typed = code.string();
        try (DirectoryStream<Path> entries = Files.newDirectoryStream(folder.resolve(typed.substring(0, typed.lastIndexOf('/') + 1)))) {
            for (Path entry : entries) {
                String name = String.valueOf(entry.getFileName());
                boolean hidden = name.startsWith(".") && code.word().isEmpty();
                if (hidden || !name.startsWith(code.word()) || folders.size() + files.size() >= MOST) {
                    continue;
                }
                String text = name.replace("\\", "\\\\").replace("\"", "\\\"");
                if (Files.isDirectory(entry)) {
                    folders.put(name, new Completions.Suggestion(text + "/", name + "/", ""));
                } else if (endings.isEmpty() || endings.contains(ending(name))) {
                    files.put(name, new Completions.Suggestion(text + (closed ? "" : "\""), name, size(entry)));
                }
            }
        } catch (IOException | InvalidPathException | DirectoryIteratorException e) {
            return List.of(); // no such folder: no such file
        }
        List<Completions.Suggestion> all = new ArrayList<>(folders.values());
        all.addAll(files.values());
        return all;
    }

    private static String ending(String name) {
        return name.substring(name.lastIndexOf('.') + 1).toLowerCase(Locale.ROOT);
    }

    private static String size(Path file) {
        try {
            long bytes = Files.size(file);
            if (bytes < 1000) {
                return bytes + " bytes";
            }
            return bytes < 1_000_000
                    ? String.format(Locale.ROOT, "%.1f kB", bytes * 1e-3)
                    : String.format(Locale.ROOT, "%.1f MB", bytes * 1e-6);
        } catch (IOException e) {
            return "";
        }
    }
}
