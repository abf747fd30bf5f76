package org.estampage.io.obj;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.StringJoiner;
import org.estampage.finding.Place;
import org.estampage.io.format.FormatException;
import org.estampage.io.shared.FileSource;
import org.estampage.io.shared.LineChunks;
import org.estampage.io.shared.NearbyFile;
import org.estampage.io.shared.Notices;
import org.estampage.io.shared.TextCursor;
import org.estampage.mesh.Material;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * The materials of an OBJ file's MTL files. Whatever is wrong with them is a finding, since the shape does not depend on it; they are only looked
 * for in the OBJ file's own folder and below.
 *
 * @threads confined to one thread at a time
 */
final class MaterialLibrary {
    /** What textures are for, by the statement that names them. */
    static final Map<String, String> TEXTURE_USES = Map.of("map_kd", "base-colour", "norm", "normal", "map_bump", "bump", "bump", "bump",
            "map_d", "opacity");
    /** Options of texture statements and the number of values they take; those with a {@code 3} take up to three numbers. */
    private static final Map<String, Integer> OPTION_VALUES = Map.ofEntries(Map.entry("-blendu", 1), Map.entry("-blendv", 1),
            Map.entry("-cc", 1), Map.entry("-clamp", 1), Map.entry("-texres", 1), Map.entry("-bm", 1), Map.entry("-imfchan", 1),
            Map.entry("-type", 1), Map.entry("-boost", 1), Map.entry("-mm", 2), Map.entry("-o", 3), Map.entry("-s", 3), Map.entry("-t", 3));
    private static final int LONGEST_NAME = 4096;
    private static final long LARGEST = 64_000_000;

    private final Path objPath;
    private final Notices notices;
    private final Map<String, Material> materials = new LinkedHashMap<>();
    private final Set<Path> seen = new LinkedHashSet<>();

    MaterialLibrary(Path objPath, Notices notices) {
        this.objPath = objPath.toAbsolutePath();
        this.notices = notices;
    }

    Map<String, Material> materials() {
        return materials;
    }

    /** Reads the files that an {@code mtllib} statement names: one name with blanks in it, or several without. */
    void read(String names, Place where) throws IOException {
        Path whole = NearbyFile.of(objPath, names);
        if ((whole != null && Files.isRegularFile(whole)) || names.isBlank()) {
            readOne(names, where);
            return;
        }
        for (String name : names.split("\\s+")) {
            readOne(name, where);
        }
    }

    private void readOne(String name, Place where) throws IOException {
        Path path = NearbyFile.of(objPath, name);
        if (path == null) {
            notices.warn("refused-material-file", "{count} material files are outside the folder of the OBJ file and were not read",
                    "put them beside it; the first is " + FormatException.quote(name), where);
            return;
        }
        if (!Files.isRegularFile(path) || !Files.isReadable(path) || Files.size(path) > LARGEST) {
            notices.warn("missing-material-file", "{count} material files are missing or can't be read",
                    "put them beside the OBJ file; the first is " + FormatException.quote(name), where);
            return;
        }
        if (!seen.add(path)) {
            return;
        }
        // Without a task: small, and its own progress would run beside the OBJ file's.
        try (FileSource file = FileSource.open(path, Task.silent())) {
            parse(file);
        }
    }

    private void parse(FileSource file) throws IOException {
        LineChunks chunks = new LineChunks(file);
        TextCursor text = new TextCursor(true);
        Draft draft = null;
        long before = 1;
        while (chunks.next()) {
            text.reset(chunks.bytes(), 0, chunks.end());
            while (text.hasMore()) {
                if (text.endLine()) {
                    continue;
                }
                Place where = new Place.Line(file.name(), before + text.line());
                String keyword = text.nextWord();
                String rest = text.rest();
                if (keyword.equalsIgnoreCase("newmtl")) {
                    finish(draft, where);
                    draft = new Draft(rest);
                } else if (draft != null) {
                    draft.take(keyword, rest, where);
                } else {
                    notices.warn("material-statement", "{count} statements of material files could not be understood",
                            "export the material file again", where);
                }
            }
            before += text.line();
        }
        finish(draft, new Place.Line(file.name(), before));
    }

    private void finish(@Nullable Draft draft, Place where) {
        if (draft != null) {
            if (materials.containsKey(draft.name)) {
                notices.warn("repeated-material", "{count} materials are described twice; the first description holds",
                        "give each material a name of its own; the first is " + FormatException.quote(draft.name), where);
            } else {
                materials.put(draft.name, draft.material());
            }
        }
    }

    /** A material while its lines are read. */
    private final class Draft {
        private final String name;
        private float red = 0.8f;
        private float green = 0.8f;
        private float blue = 0.8f;
        private float opacity = 1;
        private final Map<String, String> textures = new LinkedHashMap<>();
        private final Map<String, StringJoiner> statements = new LinkedHashMap<>();

        Draft(String name) {
            this.name = name;
        }

        Material material() {
            Map<String, String> kept = new LinkedHashMap<>();
            statements.forEach((keyword, lines) -> kept.put(keyword, lines.toString()));
            return new Material(name, red, green, blue, opacity, textures, kept);
        }

        void take(String keyword, String rest, Place where) {
            String lower = keyword.toLowerCase(Locale.ROOT);
            switch (lower) {
                case "kd" -> colour(keyword, rest, where);
                case "d", "tr" -> {
                    float value = number(rest);
                    if (Float.isNaN(value)) { // -halo, for one
                        keep(keyword, rest);
                    } else {
                        opacity = lower.equals("d") ? value : 1 - value;
                    }
                }
                default -> {
                    String use = TEXTURE_USES.get(lower);
                    if (use == null || !texture(use, rest)) {
                        keep(keyword, rest);
                    }
                }
            }
        }

        private void colour(String keyword, String rest, Place where) {
            String[] words = rest.split("\\s+");
            float r = number(words[0]);
            float g = words.length == 1 ? r : number(words[1]); // one value stands for all three
            float b = words.length == 1 ? r : words.length == 3 ? number(words[2]) : Float.NaN;
            if (Float.isNaN(r + g + b)) {
                keep(keyword, rest);
                if (!words[0].equals("spectral") && !words[0].equals("xyz")) {
                    notices.warn("material-statement", "{count} statements of material files could not be understood",
                            "export the material file again", where);
                }
            } else {
                red = r;
                green = g;
                blue = b;
            }
        }

        private boolean texture(String use, String rest) {
            List<String> options = new ArrayList<>();
            String file = rest;
            while (file.startsWith("-") && rest.length() <= LONGEST_NAME) {
                String[] words = file.split("\\s+");
                Integer values = OPTION_VALUES.get(words[0].toLowerCase(Locale.ROOT));
                if (values == null) {
                    break;
                }
                int end = 1;
                while (end <= values && end < words.length - 1 && (values < 3 || !Float.isNaN(number(words[end])))) {
                    end++;
                }
                for (int i = 0; i < end; i++) {
                    options.add(words[i]);
                    file = file.substring(words[i].length()).stripLeading();
                }
            }
            if (file.isEmpty() || file.length() > LONGEST_NAME || textures.containsKey(use)) {
                return false;
            }
            textures.put(use, file);
            if (!options.isEmpty()) {
                keep(MaterialWriter.optionsKey(use), String.join(" ", options));
            }
            return true;
        }

        private void keep(String keyword, String rest) {
            statements.computeIfAbsent(keyword, k -> new StringJoiner("\n")).add(rest);
        }
    }

    /** Returns a number, NaN if there is none. */
    static float number(String text) {
        byte[] bytes = (text + "\n\n\n\n\n\n\n\n\n").getBytes(java.nio.charset.StandardCharsets.ISO_8859_1);
        TextCursor cursor = new TextCursor(false);
        cursor.reset(bytes, 0, bytes.length - LineChunks.SLACK);
        float value = cursor.number();
        return cursor.failed() || !cursor.endLine() || !Float.isFinite(value) ? Float.NaN : value;
    }
}
