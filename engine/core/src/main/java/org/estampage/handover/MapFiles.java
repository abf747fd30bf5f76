package org.estampage.handover;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.estampage.bake.BakeResult;
import org.estampage.bake.BakedMap;
import org.estampage.bake.BakedTile;
import org.estampage.bake.TexelFilter;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.io.ImageFiles;
import org.estampage.io.format.AtomicFiles;
import org.estampage.io.format.SampleFormat;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * Writes the maps of a bake as image files.
 */
public final class MapFiles {
    private MapFiles() {
    }

    /**
     * Writes every map as {@code <base>-<map>.png}, or of a job on UDIM tiles as {@code <base>-<map>.<number>.png}; folders are created.
     *
     * <p>The text of each file says its role, encoding and range, so that raw values can be had back.
     *
     * @param base a path without ending: {@code out/bollard} gives {@code out/bollard-normal.png} … or {@code out/bollard-normal.1001.png} …
     * @return the maps in their order, tile by tile, with their files
     * @throws IOException              if a file can't be written; then none appears, and older ones of their names stay
     * @throws IllegalArgumentException if {@code base} ends with no name, as {@code ""} and {@code "/"} do
     */
    public static List<WrittenMap> write(BakeResult result, Path base, MapFileOptions options, Task task) throws IOException {
        try (AtomicFiles files = AtomicFiles.begin(task)) {
            List<WrittenMap> written = write(result, base, options, files, task);
            files.finish();
            return written;
        }
    }

    /**
     * Writes every map as {@link #write(BakeResult, Path, MapFileOptions, Task)} does, into a group of files that appear together.
     *
     * @param files the group; its {@link AtomicFiles#finish} is the caller's
     * @return the maps in their order, tile by tile, with the files they will be in
     * @throws IOException              if a file can't be written
     * @throws IllegalArgumentException if {@code base} ends with no name, as {@code ""} and {@code "/"} do
     */
    public static List<WrittenMap> write(BakeResult result, Path base, MapFileOptions options, AtomicFiles files, Task task)
            throws IOException {
        String stem = base.getFileName() == null ? "" : base.getFileName().toString();
        if (stem.isEmpty() || stem.equals(".") || stem.equals("..")) {
            throw new IllegalArgumentException(
                    "base = \"" + base + "\" must end with the beginning of the files' names, as out/bollard does");
        }
        List<WrittenMap> written = new ArrayList<>();
        Task.Stage stage = task.stage("writing maps", result.tiles().stream().mapToLong(tile -> tile.maps().size()).sum());
        for (BakedTile tile : result.tiles()) {
            String ending = result.job().isUdim() ? "." + tile.number() + ".png" : ".png";
            for (BakedMap map : tile.maps()) {
                Path file = base.resolveSibling(stem + "-" + map.name() + ending);
                FloatImage image = map.image();
                if (options.greenDown() && map.tangentSpace()) {
                    image = image.withEncoding(image.encoding().greenDown());
                }
                SampleFormat samples = SampleFormat.unsigned(options.bits() == 0 ? map.bits() : options.bits());
                Map<String, String> texts = texts(map, image.encoding(), result);
                if (result.job().isUdim()) {
                    texts.put("Tile", Integer.toString(tile.number()));
                }
                FloatImage stored = image;
                files.write(file, out -> ImageFiles.written(file).write(stored, samples, texts, out, task));
                written.add(new WrittenMap(file, map.name(), tile.number(), samples, stored.encoding()));
                stage.advance(1);
            }
        }
        return written;
    }

    /**
     * Writes one image, in 16 bits unless the options say otherwise.
     *
     * @param file the file; its ending picks the format
     * @return the file, alone
     * @throws IOException              if it can't be written
     * @throws IllegalArgumentException if no format has that ending
     */
    public static List<Path> write(FloatImage image, Path file, MapFileOptions options, Task task) throws IOException {
        FloatImage stored = options.greenDown() && image.encoding().kind() == Encoding.Kind.NORMAL
                ? image.withEncoding(Encoding.normalGreenDown())
                : image;
        SampleFormat samples = SampleFormat.unsigned(options.bits() == 0 ? 16 : options.bits());
        ImageFiles.write(stored, file, samples, Map.of("Range", ranges(stored.encoding())), task);
        return List.of(file);
    }

    /** Returns the texts of a map's file, in a fixed order. */
    static Map<String, String> texts(BakedMap map, Encoding encoding, BakeResult result) {
        Map<String, String> texts = new LinkedHashMap<>();
        texts.put("Role", map.name());
        texts.put("Range", ranges(encoding));
        texts.put("Encoding", "raw = first + (second - first) * stored, a pair of Range a channel; stored = integer / (2^bits - 1)");
        texts.putAll(map.details());
        if (result.job().rayBlend() > 0) {
            texts.put("Ray blend", Double.toString(result.job().rayBlend()));
        }
        if (result.job().filter() != TexelFilter.BOX) {
            texts.put("Filter", result.job().filter().name().toLowerCase(Locale.ROOT));
        }
        if (map.tangentSpace()) {
            Mesh low = result.job().low();
            // New normals drop given tangents.
            boolean given = low.normals().isPresent() && low.tangents().isPresent();
            texts.put("Tangents", given ? "given with the low poly" : "MikkTSpace, v up");
            texts.put("Frame", result.job().frameRule().name().toLowerCase(Locale.ROOT).replace('_', '-'));
        }
        return texts;
    }

    private static String ranges(Encoding encoding) {
        StringBuilder text = new StringBuilder();
        for (Range range : encoding.ranges()) {
            text.append(text.isEmpty() ? "" : "; ").append(range.atZero()).append(' ').append(range.atOne());
        }
        return text.toString();
    }
}
