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
import org.estampage.io.exr.ExrLayer;
import org.estampage.io.exr.ExrWriter;
import org.estampage.io.format.AtomicFiles;
import org.estampage.io.format.EncodedImage;
import org.estampage.io.format.ImageFormat;
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
     * Writes every map as {@code <base>-<map>.png}, or of a job on UDIM tiles as {@code <base>-<map>.<number>.png}, unless the options say otherwise; folders
     * are created.
     *
     * <p>The text of each file says its role, encoding and range, so that raw values can be had back.
     *
     * @param base a path without ending: {@code out/bollard} gives {@code out/bollard-normal.png} … or {@code out/bollard-normal.1001.png} …
     * @return the maps in their order, tile by tile, with their files
     * @throws IOException              if a file can't be written; then none appears, and older ones of their names stay
     * @throws IllegalArgumentException if {@code base} ends with no name, as {@code ""} and {@code "/"} do, or the options' names are the same for several
     *                                  files
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
     * @throws IllegalArgumentException as there
     */
    public static List<WrittenMap> write(BakeResult result, Path base, MapFileOptions options, AtomicFiles files, Task task)
            throws IOException {
        String stem = stem(base);
        NamePattern names = options.pattern(result.job().isUdim());
        checkNames(result, options, names);
        List<WrittenMap> written = new ArrayList<>();
        Task.Stage stage = task.stage("writing maps", result.tiles().stream().mapToLong(tile -> tile.maps().size()).sum());
        for (BakedTile tile : result.tiles()) {
            List<ExrLayer> layers = new ArrayList<>();
            Map<String, String> layerTexts = new LinkedHashMap<>();
            for (BakedMap map : tile.maps()) {
                Path file = file(base, stem, names, options, map.name(), tile.number());
                SampleFormat samples = options.samplesOf(map.image().encoding().kind(), map.bits());
                FloatImage image = stored(map.image(), map.tangentSpace(), samples, options);
                Map<String, String> texts = texts(map, image.encoding(), result);
                if (result.job().isUdim()) {
                    texts.put("Tile", Integer.toString(tile.number()));
                }
                if (options.layered()) {
                    layers.add(new ExrLayer(map.name(), image, samples));
                    texts.forEach((keyword, text) -> layerTexts.put(map.name() + " " + keyword, text));
                } else {
                    EncodedImage encoded = new EncodedImage(options.format(), image, samples, texts);
                    files.write(file, out -> encoded.write(out, task));
                }
                written.add(new WrittenMap(file, map.name(), tile.number(), samples, image.encoding()));
                stage.advance(1);
            }
            if (options.layered()) {
                files.write(written.getLast().file(), out -> ExrWriter.write(layers, layerTexts, out, task));
            }
        }
        return written;
    }

    /**
     * Returns the last name of a path that files' names begin with.
     *
     * @throws IllegalArgumentException if there is none, or it has an image format's ending
     */
    static String stem(Path base) {
        String stem = base.getFileName() == null ? "" : base.getFileName().toString();
        if (stem.isEmpty() || stem.equals(".") || stem.equals("..")) {
            throw new IllegalArgumentException(
                    "base = \"" + base + "\" must end with the beginning of the files' names, as out/bollard does");
        }
        String ending = stem.substring(stem.lastIndexOf('.') + 1).toLowerCase(Locale.ROOT);
        if (!ending.equals(stem) && ImageFiles.formats().stream().anyMatch(format -> format.endings().contains(ending))) {
            throw new IllegalArgumentException("base = \"" + base + "\" is the beginning of the files' names: leave ." + ending
                    + " out, each map's file gets a name and an ending of its own");
        }
        return stem;
    }

    private static void checkNames(BakeResult result, MapFileOptions options, NamePattern names) {
        List<String> needed = new ArrayList<>();
        if (!options.layered() && result.job().maps().size() > 1) {
            needed.add("map");
        }
        if (result.tiles().size() > 1) {
            needed.add("tile");
        }
        List<String> missing = names.missing(needed);
        if (!missing.isEmpty()) {
            throw new IllegalArgumentException(
                    "names = \"" + names.text() + "\" would call several files the same: add {" + String.join("}, {", missing) + "}");
        }
        if (options.layered() && names.has("map")) {
            throw new IllegalArgumentException("names = \"" + names.text() + "\" has {map}, but all maps are layers of one file");
        }
        if (names.has("set") && options.set().isEmpty()) {
            throw new IllegalArgumentException("names = \"" + names.text() + "\" has {set}, but no set is named");
        }
    }

    private static Path file(Path base, String stem, NamePattern names, MapFileOptions options, String map, int tile) {
        Map<String, String> values = Map.of("asset", stem, "set", options.set(), "map", map, "tile", Integer.toString(tile));
        return base.resolveSibling(names.name(values) + "." + options.format().endings().get(0));
    }

    /** Returns an image as its samples hold it: green turned where it is to be, dithered where that was asked for. */
    private static FloatImage stored(FloatImage image, boolean tangentSpace, SampleFormat samples, MapFileOptions options) {
        FloatImage turned = options.greenDown() && tangentSpace ? image.withEncoding(image.encoding().greenDown()) : image;
        if (samples.isFloat() && tangentSpace && turned.encoding().ranges().get(1).atZero() > turned.encoding().ranges().get(1).atOne()) {
            return greenNegated(turned); // floats have no encoding that could turn it
        }
        boolean dither = options.dithered() && samples == SampleFormat.UNSIGNED_8 && turned.encoding().kind() == Encoding.Kind.NORMAL;
        return dither ? Dither.dithered(turned) : turned;
    }

    private static FloatImage greenNegated(FloatImage image) {
        FloatImage out = FloatImage.create(image.width(), image.height(), image.encoding());
        int channels = image.channels();
        float[] row = new float[image.width() * channels];
        for (int y = 0; y < image.height(); y++) {
            image.read(0, y, image.width(), 1, row);
            for (int i = 1; i < row.length; i += channels) {
                row[i] = -row[i];
            }
            out.write(0, y, image.width(), 1, row);
        }
        return out;
    }

    /**
     * Writes one image, in 16 bits or as floats unless the options say otherwise.
     *
     * @param file the file; its ending picks the format
     * @return the file, alone
     * @throws IOException              if it can't be written
     * @throws IllegalArgumentException if no format has that ending, or it does not suit the options
     */
    public static List<Path> write(FloatImage image, Path file, MapFileOptions options, Task task) throws IOException {
        ImageFormat format = ImageFiles.written(file);
        boolean named = !options.set().isEmpty() || options.names().isPresent() || options.layered();
        if (named || (!options.format().equals(MapFileOptions.USUAL.format()) && !options.format().equals(format))) {
            throw new IllegalArgumentException(
                    "file = " + file.getFileName() + " says name and format of a single image: options for the format "
                            + options.format().name() + ", layers, names or sets have no place beside it");
        }
        if (options.greenDown() && image.encoding().kind() != Encoding.Kind.NORMAL) {
            throw new IllegalArgumentException("greenDown is for images of normals, and " + file.getFileName() + " is to hold "
                    + image.encoding().kind() + ": leave it out");
        }
        MapFileOptions suited = new MapFileOptions(format, options.samples(), options.greenDown(), options.dithered(), options.layered(),
                options.set(),
                options.names());
        boolean normals = image.encoding().kind() == Encoding.Kind.NORMAL;
        SampleFormat samples = suited.samplesOf(image.encoding().kind(), 16);
        FloatImage stored = stored(image, normals, samples, suited);
        Map<String, String> texts = new LinkedHashMap<>();
        texts.put("Range", ranges(stored.encoding()));
        texts.put("Software", EngineVersion.text());
        ImageFiles.write(stored, file, samples, texts, task);
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
            boolean down = encoding.ranges().get(1).atZero() > encoding.ranges().get(1).atOne();
            texts.put("Green", down ? "down, against +Y" : "up, along +Y");
        }
        texts.put("Job", result.job().width() + " x " + result.job().height() + " texels, " + result.job().samplesPerSide() + " x "
                + result.job().samplesPerSide() + " samples a texel");
        texts.put("Software", EngineVersion.text());
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
