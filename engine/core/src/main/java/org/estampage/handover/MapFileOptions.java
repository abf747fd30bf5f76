package org.estampage.handover;

import java.nio.file.Path;
import java.util.Objects;
import java.util.Optional;
import org.estampage.image.Encoding;
import org.estampage.io.ImageFiles;
import org.estampage.io.format.ImageFormat;
import org.estampage.io.format.SampleFormat;

/**
 * How maps become files.
 *
 * @param format    the format; for a single image the ending of its name counts
 * @param samples   how all maps' numbers are held; empty for each map's usual depth, or 32-bit floats in a format of floats
 * @param greenDown whether tangent-space normals are stored with green against +Y, whatever the map said
 * @param dithered  whether normals are spread over neighbouring codes where they become 8 bits, so that slow slopes don't show steps
 * @param layered   whether all maps become layers of one file; EXR can
 * @param set       the texture set's name for {@code {set}}; empty for none
 * @param names     the files' names; empty for the usual ones: {@code {asset}-{map}}, with {@code -{set}} before the map where there is a set and
 *                  {@code .{tile}} at the end on UDIM tiles
 * @threads immutable
 */
public record MapFileOptions(ImageFormat format, Optional<SampleFormat> samples, boolean greenDown, boolean dithered, boolean layered,
        String set,
        Optional<NamePattern> names) {
    /** PNG, each map's usual depth, green as the map says, the usual names. */
    public static final MapFileOptions USUAL = new MapFileOptions(format("png"), Optional.empty(), false, false, false, "",
            Optional.empty());

    /** The depth of maps for which a half is too coarse. */
    private static final int FINE_BITS = 16;

    /**
     * Checks that the parts agree.
     *
     * @throws IllegalArgumentException if the format does not write such samples, can't hold layers, dithering is asked for floats or 16 bits, or the
     *                                  set's name can't be a part of a file's name
     */
    public MapFileOptions {
        Objects.requireNonNull(format, "format");
        Objects.requireNonNull(samples, "samples");
        Objects.requireNonNull(names, "names");
        if (samples.isPresent() && !format.writes().contains(samples.get())) {
            throw new IllegalArgumentException("samples = " + samples.get() + ": " + format.name() + " files have " + format.writes());
        }
        if (layered && !format.name().equals("EXR")) {
            throw new IllegalArgumentException("layers: " + format.name() + " files hold one image, EXR files hold several");
        }
        boolean eightBits = format.writes().contains(SampleFormat.UNSIGNED_8)
                && samples.orElse(SampleFormat.UNSIGNED_8) == SampleFormat.UNSIGNED_8;
        if (dithered && !eightBits) {
            throw new IllegalArgumentException("dithered: it is for files of 8 bits");
        }
        if (!set.matches("[^/\\\\{}\\p{Cntrl}]*") || set.equals(".") || set.equals("..")) {
            throw new IllegalArgumentException("set = \"" + set + "\" must be a part of a file's name");
        }
    }

    /**
     * Returns the format of an ending.
     *
     * @throws IllegalArgumentException if no format that is written has it
     */
    static ImageFormat format(String ending) {
        return ImageFiles.written(Path.of("x." + ending));
    }

    /**
     * Returns these options with the format that an ending names.
     *
     * @throws IllegalArgumentException if there is none, or the other options don't suit it
     */
    public MapFileOptions withFormat(String ending) {
        return new MapFileOptions(format(ending), samples, greenDown, dithered, layered, set, names);
    }

    /**
     * Returns these options with integers of another depth.
     *
     * @throws IllegalArgumentException if it is neither 8 nor 16, or the format has no such samples
     */
    public MapFileOptions withBits(int depth) {
        return withSamples(SampleFormat.unsigned(depth));
    }

    /**
     * Returns these options with other samples. Halves hold 11 significant bits, too few for heights and positions: maps of plain data whose usual depth
     * is 16 bits become 32-bit floats all the same.
     *
     * @throws IllegalArgumentException if the format has none
     */
    public MapFileOptions withSamples(SampleFormat value) {
        return new MapFileOptions(format, Optional.of(value), greenDown, dithered, layered, set, names);
    }

    /** Returns these options with green down. */
    public MapFileOptions withGreenDown() {
        return new MapFileOptions(format, samples, true, dithered, layered, set, names);
    }

    /**
     * Returns these options with dithered normals.
     *
     * @throws IllegalArgumentException if the files can't have 8 bits
     */
    public MapFileOptions withDither() {
        return new MapFileOptions(format, samples, greenDown, true, layered, set, names);
    }

    /**
     * Returns these options with all maps in one file.
     *
     * @throws IllegalArgumentException if the format holds one image
     */
    public MapFileOptions withLayers() {
        return new MapFileOptions(format, samples, greenDown, dithered, true, set, names);
    }

    /**
     * Returns these options with a texture set's name.
     *
     * @throws IllegalArgumentException if it can't be a part of a file's name
     */
    public MapFileOptions withSet(String value) {
        return new MapFileOptions(format, samples, greenDown, dithered, layered, value, names);
    }

    /**
     * Returns these options with other names.
     *
     * @param pattern as {@link NamePattern} has it: {@code {asset}_{map}}
     * @throws IllegalArgumentException if it is not a pattern
     */
    public MapFileOptions withNames(String pattern) {
        return new MapFileOptions(format, samples, greenDown, dithered, layered, set, Optional.of(new NamePattern(pattern)));
    }

    /** Returns how a map's numbers are held. */
    SampleFormat samplesOf(Encoding.Kind kind, int usualBits) {
        if (samples.isPresent()) {
            boolean fine = kind == Encoding.Kind.DATA && usualBits == FINE_BITS;
            return samples.get() == SampleFormat.HALF && fine ? SampleFormat.FLOAT : samples.get();
        }
        if (dithered && kind == Encoding.Kind.NORMAL) {
            return SampleFormat.UNSIGNED_8;
        }
        SampleFormat usual = SampleFormat.unsigned(usualBits);
        if (format.writes().contains(usual)) {
            return usual;
        }
        return format.writes().contains(SampleFormat.FLOAT) ? SampleFormat.FLOAT : format.writes().get(0);
    }

    /** Returns the names of a job's files. */
    NamePattern pattern(boolean onTiles) {
        return names.orElseGet(() -> new NamePattern(
                "{asset}" + (set.isEmpty() ? "" : "-{set}") + (layered ? "" : "-{map}") + (onTiles ? ".{tile}" : "")));
    }
}
