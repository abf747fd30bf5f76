package org.estampage.session;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.InvalidPathException;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeMap;
import java.util.concurrent.CancellationException;
import java.util.function.Consumer;
import java.util.stream.Stream;
import org.estampage.bake.BakeResult;
import org.estampage.io.format.AtomicFile;
import org.estampage.io.format.FormatException;
import org.estampage.io.shared.NearbyFile;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Assets that one piece of work is done for, one after the other. A failure does not stop the rest. What is finished is noted in a file after each asset, so
 * that a set which was interrupted goes on where it was, and one that is done again works only on what has changed: the asset's row, the files that it names
 * and those that these name, the work's version, the engine. Other files that the work reads don't count: name them in a column.
 *
 * @threads confined
 */
public final class AssetSet {
    private static final ObjectMapper JSON = new ObjectMapper();
    private static final String NAME = "asset";
    /** Where a name is made from a file's: the usual ends of the low and the high poly's. */
    private static final String LOW = "-low";
    private static final String HIGH = "-high";
    private static final Set<String> MESHES = Set.of("obj", "ply", "stl", "gltf", "glb");

    private final List<Asset> assets;
    private Path state;
    private Optional<String> version = Optional.empty();
    private boolean again;
    private Supplied engine = EngineClasses::fingerprint;

    /** Gives the engine's fingerprint. */
    private interface Supplied {
        Optional<String> print();
    }

    /** What is done for an asset. */
    @FunctionalInterface
    public interface Work {
        /**
         * Bakes an asset.
         *
         * @return the bake, for the table; null where there is none
         * @throws Exception what goes wrong; the next asset's turn comes
         */
        @Nullable
        BakeResult bake(Asset asset) throws Exception;
    }

    /** Gives the files that were written since it was last asked. */
    @FunctionalInterface
    public interface Written {
        /** Returns the files. */
        List<Path> take();
    }

    private AssetSet(List<Asset> assets, Path state) {
        this.assets = List.copyOf(assets);
        this.state = state;
    }

    /**
     * Returns the assets of a folder: each pair of mesh files whose names are the asset's and {@code -low} or {@code -high}.
     *
     * @throws IOException if the folder can't be read, holds no pair, or half a pair
     */
    public static AssetSet ofFolder(Path folder) throws IOException {
        return ofFolder(folder, LOW, HIGH);
    }

    /**
     * Returns the assets of a folder: each pair of mesh files whose names are the asset's and one of two ends.
     *
     * @throws IllegalArgumentException if both ends are the same
     * @throws IOException              if the folder can't be read, holds no pair, or half a pair
     */
    public static AssetSet ofFolder(Path folder, String lowEnd, String highEnd) throws IOException {
        if (lowEnd.equals(highEnd)) {
            throw new IllegalArgumentException("lowEnd = \"" + lowEnd + "\" must differ from highEnd");
        }
        Map<String, Map<String, String>> found = new TreeMap<>();
        try (Stream<Path> files = Files.list(folder)) {
            for (Path file : files.filter(Files::isRegularFile).sorted().toList()) {
                String name = String.valueOf(file.getFileName());
                int dot = name.lastIndexOf('.');
                if (dot > 0 && MESHES.contains(name.substring(dot + 1).toLowerCase(Locale.ROOT))) {
                    String stem = name.substring(0, dot);
                    boolean isLow = ends(stem, lowEnd, highEnd);
                    if (isLow || ends(stem, highEnd, lowEnd)) {
                        String asset = stem.substring(0, stem.length() - (isLow ? lowEnd : highEnd).length());
                        String other = found.computeIfAbsent(asset, a -> new LinkedHashMap<>()).put(isLow ? "low" : "high", name);
                        if (other != null) {
                            throw FormatException.ofFile(folder.toString(),
                                    "holds both " + other + " and " + name + ": one of them must go");
                        }
                    }
                }
            }
        }
        List<Asset> assets = new ArrayList<>();
        for (Map.Entry<String, Map<String, String>> each : found.entrySet()) {
            if (each.getValue().size() < 2) {
                throw FormatException.ofFile(folder.toString(),
                        "holds " + each.getValue().values().iterator().next() + " without the other of a pair, "
                                + each.getKey() + lowEnd + " and " + each.getKey() + highEnd);
            }
            Map<String, String> columns = new LinkedHashMap<>();
            columns.put(NAME, each.getKey());
            columns.putAll(new TreeMap<>(each.getValue()).descendingMap()); // low before high
            assets.add(new Asset(each.getKey(), "asset " + each.getKey(), folder.toAbsolutePath(), columns));
        }
        if (assets.isEmpty()) {
            throw FormatException.ofFile(folder.toString(), "holds no pair of meshes called <asset>" + lowEnd + " and <asset>" + highEnd);
        }
        return new AssetSet(assets, folder.toAbsolutePath().resolve(".set-state.json"));
    }

    /** Of two ends one may be the end of the other, and one may be nothing. */
    private static boolean ends(String stem, String end, String other) {
        return stem.length() > end.length() && stem.endsWith(end)
                && !(other.length() > end.length() && other.endsWith(end) && stem.length() > other.length() && stem.endsWith(other));
    }

    /**
     * Returns the assets of a table: comma-separated values in UTF-8 with a header, of which a column is called {@code asset}. Files are named from the
     * table's folder on.
     *
     * @throws FormatException if it is no such table: without rows, a row of another length, a name twice or none
     * @throws IOException     if it can't be read
     */
    public static AssetSet ofTable(Path table) throws IOException {
        String source = String.valueOf(table.getFileName());
        List<Csv.Row> rows = Csv.rows(source, Files.readString(table));
        List<String> header = rows.isEmpty() ? List.of() : rows.getFirst().fields().stream().map(String::strip).toList();
        if (!header.contains(NAME) || new LinkedHashSet<>(header).size() < header.size()) {
            throw FormatException.atLine(source, 1, FormatException.quote(String.join(",", header)),
                    "a header with a column called asset and no name twice");
        }
        Path folder = java.util.Objects.requireNonNull(table.toAbsolutePath().getParent(), "folder");
        Map<String, Asset> assets = new LinkedHashMap<>();
        for (Csv.Row row : rows.subList(1, rows.size())) {
            if (row.fields().size() != header.size()) {
                throw FormatException.atLine(source, row.line(), row.fields().size() + " fields",
                        header.size() + " fields, as the header has");
            }
            Map<String, String> columns = new LinkedHashMap<>();
            for (int c = 0; c < header.size(); c++) {
                columns.put(header.get(c), row.fields().get(c));
            }
            String name = columns.getOrDefault(NAME, "").strip();
            if (name.isEmpty() || assets.containsKey(name)) {
                throw FormatException.atLine(source, row.line(), "the asset " + FormatException.quote(name),
                        "a name that no other row has");
            }
            assets.put(name, new Asset(name, source + ":" + row.line(), folder, columns));
        }
        if (assets.isEmpty()) {
            throw FormatException.ofFile(source, "has no assets below its header");
        }
        return new AssetSet(List.copyOf(assets.values()), folder.resolve("." + source + "-state.json"));
    }

    /** Sets the file that says what is finished; beside the table or in the folder, with a name that begins with a dot, where none is set. */
    public AssetSet state(Path file) {
        state = file;
        return this;
    }

    /**
     * Sets the work's version: any text that changes with the work. Without one nothing is passed over, because nobody can tell what a lambda does.
     */
    public AssetSet version(String text) {
        version = Optional.of(text);
        return this;
    }

    /** Works on all assets anew. */
    public AssetSet again() {
        again = true;
        return this;
    }

    AssetSet engine(String print) {
        engine = () -> Optional.of(print);
        return this;
    }

    /** Returns the assets in their order. */
    public List<Asset> assets() {
        return assets;
    }

    /**
     * Does the work for each asset whose work isn't done.
     *
     * @param written gives the files that the work wrote
     * @param row     hears of each asset as soon as it is known what became of it
     * @throws IOException           if the file that says what is finished can't be read or written
     * @throws CancellationException if the task was cancelled; what is finished stays finished
     */
    public SetReport run(Work work, Written written, Consumer<SetReport.Row> row, Task task) throws IOException {
        ObjectNode done = known();
        List<SetReport.Row> rows = new ArrayList<>();
        for (Asset asset : assets) {
            task.check();
            SetReport.Row became = finished(asset, done).orElse(null);
            if (became == null) {
                became = worked(asset, work, written, done, task);
                String text = done.toPrettyString();
                AtomicFile.write(state, Task.silent(), out -> out.write(text.getBytes(StandardCharsets.UTF_8)));
            }
            rows.add(became);
            row.accept(became);
        }
        return new SetReport(rows);
    }

    private SetReport.Row worked(Asset asset, Work work, Written written, ObjectNode inoutDone, Task task) {
        written.take();
        inoutDone.remove(asset.name());
        long start = System.nanoTime();
        Set<List<String>> nearby = new LinkedHashSet<>();
        Optional<BakeResult> result = Optional.empty();
        String error = "";
        try {
            String before = print(asset, List.of());
            result = NearbyFile.listening((by, name) -> nearby.add(List.of(by.toAbsolutePath().toString(), name)),
                    () -> baked(work, asset));
            if (!print(asset, List.of()).equals(before)) {
                nearby.add(List.of()); // it changed meanwhile: never equal to what is there later
            }
        } catch (CancellationException e) {
            throw e;
        } catch (IOException | RuntimeException e) {
            if (task.cancellation().isCancelled()) {
                throw new CancellationException("cancelled");
            }
            error = e instanceof WorkException && e.getCause() != null ? text(e.getCause()) : text(e);
        }
        double seconds = (System.nanoTime() - start) * 1e-9;
        List<Path> files = written.take();
        SetReport.Status status = error.isEmpty() ? SetReport.Status.DONE : SetReport.Status.FAILED;
        SetReport.Row row = new SetReport.Row(asset.name(), status, seconds, result.map(BakeResult::coveredCount).orElse(0L),
                result.map(BakeResult::missedCount).orElse(0L),
                result.map(bake -> bake.findings().size()).orElse(0),
                files.stream().map(Path::toString).toList(), error);
        if (error.isEmpty()) {
            note(asset, row, List.copyOf(nearby), inoutDone);
        }
        return row;
    }

    /** Something checked that a work threw. */
    private static final class WorkException extends RuntimeException {
        private static final long serialVersionUID = 1;

        WorkException(Exception cause) {
            super(cause);
        }
    }

    private static Optional<BakeResult> baked(Work work, Asset asset) throws IOException {
        try {
            return Optional.ofNullable(work.bake(asset));
        } catch (IOException | RuntimeException e) {
            throw e;
        } catch (Exception e) { // whatever else a work throws is told as it is
            throw new WorkException(e);
        }
    }

    private static String text(Throwable e) {
        return e.getMessage() == null ? e.getClass().getSimpleName() : e.getMessage();
    }

    private ObjectNode known() throws IOException {
        try {
            JsonNode tree = JSON.readTree(Files.readAllBytes(state));
            return tree instanceof ObjectNode node && !again ? node : JSON.createObjectNode();
        } catch (NoSuchFileException | JsonProcessingException e) { // nothing is done yet, or nobody knows what: all is worked on
            return JSON.createObjectNode();
        }
    }

    private void note(Asset asset, SetReport.Row row, List<List<String>> nearby, ObjectNode inoutDone) {
        ObjectNode node = JSON.createObjectNode();
        try {
            node.put("print", print(asset, nearby));
        } catch (IOException e) { // gone meanwhile: it is worked on again
            return;
        }
        node.put("seconds", row.seconds()).put("covered", row.covered()).put("missed", row.missed()).put("findings", row.findings());
        ArrayNode names = node.putArray("nearby");
        nearby.forEach(pair -> pair.forEach(names.addArray()::add));
        ArrayNode files = node.putArray("files");
        for (String file : row.files()) {
            files.addObject().put("file", file).put("bytes", size(Path.of(file)));
        }
        inoutDone.set(asset.name(), node);
    }

    /** Returns the row of an asset that is done, and whose files are there. */
    private Optional<SetReport.Row> finished(Asset asset, ObjectNode done) {
        JsonNode node = done.path(asset.name());
        if (version.isEmpty() || engine.print().isEmpty() || !node.isObject()) {
            return Optional.empty();
        }
        List<List<String>> nearby = new ArrayList<>();
        for (JsonNode pair : node.path("nearby")) {
            if (pair.size() != 2) {
                return Optional.empty();
            }
            nearby.add(List.of(pair.path(0).asText(), pair.path(1).asText()));
        }
        List<String> files = new ArrayList<>();
        try {
            for (JsonNode file : node.path("files")) {
                files.add(file.path("file").asText());
                if (size(Path.of(files.getLast())) != file.path("bytes").asLong(-1)) {
                    return Optional.empty();
                }
            }
            if (!node.path("print").asText().equals(print(asset, nearby))) {
                return Optional.empty();
            }
        } catch (IOException | InvalidPathException e) { // what can't be read has changed
            return Optional.empty();
        }
        return Optional.of(
                new SetReport.Row(asset.name(), SetReport.Status.UNCHANGED, node.path("seconds").asDouble(), node.path("covered").asLong(),
                        node.path("missed").asLong(), node.path("findings").asInt(), files, ""));
    }

    private static long size(Path file) {
        try {
            return Files.size(file);
        } catch (IOException e) { // gone
            return -1;
        }
    }

    /** Returns the fingerprint of all that reaches an asset's work. */
    private String print(Asset asset, List<List<String>> nearby) throws IOException {
        List<Object> all = new ArrayList<>(List.of(engine.print().orElse(""), version.orElse(""), asset.columns()));
        for (String cell : asset.columns().values()) {
            all.add(content(asset.folder(), cell));
        }
        for (List<String> pair : nearby) {
            Path path = pair.size() == 2 ? NearbyFile.of(Path.of(pair.get(0)), pair.get(1)) : null;
            all.add(pair);
            all.add(path == null || !Files.isRegularFile(path) ? "missing" : FileState.of(path).sha256());
        }
        return Fingerprint.of(mesh -> "", all);
    }

    /** Returns what the file holds that a cell names; nothing where it names none. */
    private static String content(Path folder, String cell) throws IOException {
        try {
            Path path = folder.resolve(cell.strip());
            return !cell.isBlank() && Files.isRegularFile(path) ? FileState.of(path).sha256() : "";
        } catch (InvalidPathException e) { // a text, and no name of a file
            return "";
        }
    }
}
