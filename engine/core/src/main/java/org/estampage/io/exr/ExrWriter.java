package org.estampage.io.exr;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.stream.IntStream;
import org.estampage.image.FloatImage;
import org.estampage.io.shared.BinaryInput;
import org.estampage.task.Task;

/**
 * Writes images as OpenEXR files: one part of scan lines, ZIP compression, half or float samples, one map or several as layers.
 *
 * <p>Values are stored raw, whatever an image's encoding says; colour is linear, with the primaries of ITU-R BT.709, which are stated then. The
 * channels of a layer without a name are {@code R G B A}, or {@code Y}, or {@code Y A}, as there are 3 or 4, 1, 2: what every reader shows as the
 * picture. Those of a named layer follow its name and a dot, with {@code X Y Z} instead for vectors: normals, and other data of two or three
 * channels that are not shares between 0 and 1. To half, values are rounded to the nearest, ties to even; beyond 65504 they become infinite.
 *
 * @threads safe for concurrent calls; runs in the caller's fork-join pool, else in the common one. Same bytes for any number of threads (another
 *          JDK's deflater may write other bytes for the same samples)
 * @cost the compressed file, on the heap or where the task's memory has no room in a temporary file, since a table of the blocks' places stands
 *       before them; and some 64 MB of blocks at once
 * @source OpenEXR File Layout (Academy Software Foundation); IEEE 754-2008 (binary16)
 */
public final class ExrWriter {
    /** Bytes of blocks that are deflated at once: many blocks even of wide images, little beside the images. */
    private static final int BATCH_BYTES = 1 << 26;

    /**
     * Deflater level. On normals stored as half, noisy on one side, level 2 takes 17 % less time for 2.5 % more bytes, level 6 takes 70 % more for
     * 2 % less; on floats no level gains 1 %.
     */
    private static final int LEVEL = 4;

    private final List<Source> sources;
    private final int width;
    private final int height;
    private final int pixelBytes;

    /** A channel to be written, and where its samples come from. */
    private record Source(Channel channel, FloatImage image, int index) {
    }

    private ExrWriter(List<Source> sources) {
        this.sources = sources;
        width = sources.getFirst().image().width();
        height = sources.getFirst().image().height();
        pixelBytes = sources.stream().mapToInt(source -> source.channel().type().bytes()).sum();
        if ((long) width * pixelBytes * Compression.ZIP.rows() > BATCH_BYTES * 8L) {
            throw new IllegalArgumentException("rows of " + (long) width * pixelBytes + " bytes are too long, they must be at most "
                    + BATCH_BYTES * 8L / Compression.ZIP.rows() + ": write fewer layers to a file");
        }
    }

    /**
     * Writes layers as one file; {@code out} is neither flushed nor closed.
     *
     * @param layers images of one size, each with a name of its own
     * @param text   string attributes by keyword, written as UTF-8 in the map's order (give one that has a fixed order)
     * @throws IOException                                if {@code out}, or a temporary file, fails
     * @throws IllegalArgumentException                   if there are no layers or their sizes differ; two channels get the same name; a layer's
     *                                                    name has control characters, or a dot at an end or beside another; a keyword is empty,
     *                                                    has control characters or is one of the format's own attributes; a name has more than
     *                                                    255 bytes; or a row takes more than 2²⁵ bytes
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public static void write(List<ExrLayer> layers, Map<String, String> text, OutputStream out, Task task) throws IOException {
        Objects.requireNonNull(out, "out");
        Objects.requireNonNull(task, "task");
        checkSizes(layers);
        text.keySet().forEach(ExrWriter::checkKeyword);
        ExrWriter writer = new ExrWriter(sources(layers));
        writer.write(HeaderBytes.of(layers, writer.sources.stream().map(Source::channel).toList(), text), out, task);
    }

    private static void checkSizes(List<ExrLayer> layers) {
        if (layers.isEmpty()) {
            throw new IllegalArgumentException("layers must hold at least one image");
        }
        FloatImage first = layers.getFirst().image();
        for (ExrLayer layer : layers) {
            FloatImage image = layer.image();
            if (image.width() != first.width() || image.height() != first.height()) {
                throw new IllegalArgumentException("layer \"" + layer.name() + "\" has " + image.width() + " × " + image.height()
                        + " texels, it must have " + first.width() + " × " + first.height() + " as layer \"" + layers.getFirst().name()
                        + "\" has: write it to a file of its own");
            }
        }
    }

    private static void checkKeyword(String keyword) {
        if (keyword.isEmpty() || !fits(keyword)) {
            throw new IllegalArgumentException("keyword \"" + keyword + "\" must have 1 … " + ExrHeader.LONGEST_NAME
                    + " bytes as UTF-8 and no control characters");
        }
        if (ExrHeader.isReserved(keyword)) {
            throw new IllegalArgumentException("keyword \"" + keyword + "\" is one of the format's own attributes, it must be another");
        }
    }

    private static boolean fits(String name) {
        return name.getBytes(StandardCharsets.UTF_8).length <= ExrHeader.LONGEST_NAME && name.chars().noneMatch(Character::isISOControl);
    }

    /** Returns the layers' channels in the order of a file. */
    private static List<Source> sources(List<ExrLayer> layers) {
        List<Source> sources = new ArrayList<>();
        Set<String> taken = new HashSet<>();
        for (ExrLayer layer : layers) {
            String name = layer.name();
            List<String> channels = LayerNames.channelsOf(layer);
            for (int c = 0; c < channels.size(); c++) {
                String whole = LayerNames.join(name, channels.get(c));
                if (!fits(whole) || name.startsWith(".") || name.endsWith(".") || name.contains("..")) {
                    throw new IllegalArgumentException("layer name \"" + name + "\" must have at most " + (ExrHeader.LONGEST_NAME - 2)
                            + " bytes as UTF-8, no control characters, no dot at its ends and no two in a row");
                }
                if (!taken.add(whole)) {
                    throw new IllegalArgumentException("layer name \"" + name + "\" must be there once, it is there twice");
                }
                sources.add(new Source(new Channel(whole, PixelType.of(layer.samples())), layer.image(), c));
            }
        }
        sources.sort((a, b) -> Channel.compareNames(a.channel().name(), b.channel().name()));
        return sources;
    }

    private void write(byte[] header, OutputStream out, Task task) throws IOException {
        int blockRows = Compression.ZIP.rows();
        int blockCount = (height + blockRows - 1) / blockRows;
        int atOnce = (int) Math.max(1, BATCH_BYTES / ((long) width * pixelBytes * blockRows));
        byte[] table = new byte[8 * blockCount];
        long place = (long) header.length + table.length;
        Task.Stage stage = task.stage("writing EXR", blockCount);
        try (BlockSpool spool = new BlockSpool(task.memory())) {
            for (int first = 0; first < blockCount; first += atOnce) {
                byte[][] blocks = new byte[Math.min(atOnce, blockCount - first)][];
                int base = first;
                IntStream.range(0, blocks.length).parallel().forEach(i -> {
                    blocks[i] = block((base + i) * blockRows);
                    stage.advance(1);
                });
                for (int i = 0; i < blocks.length; i++) {
                    BinaryInput.putInt(table, 8 * (first + i), (int) place);
                    BinaryInput.putInt(table, 8 * (first + i) + 4, (int) (place >>> 32));
                    place += blocks[i].length;
                    spool.add(blocks[i]);
                }
            }
            out.write(header);
            out.write(table);
            spool.writeTo(out);
        }
    }

    /** Returns the block that begins with a row: the row's number, how many bytes follow, the bytes. */
    private byte[] block(int top) {
        int rows = Math.min(Compression.ZIP.rows(), height - top);
        byte[] stored = BlockCoding.deflate(samples(top, rows), LEVEL);
        byte[] block = new byte[8 + stored.length];
        BinaryInput.putInt(block, 0, top);
        BinaryInput.putInt(block, 4, stored.length);
        System.arraycopy(stored, 0, block, 8, stored.length);
        return block;
    }

    /** Returns samples row by row, and in each row channel by channel. */
    private byte[] samples(int top, int rows) {
        byte[] raw = new byte[rows * width * pixelBytes];
        float[] row = new float[4 * width];
        for (int y = 0; y < rows; y++) {
            int at = y * width * pixelBytes;
            FloatImage inRow = null;
            for (Source source : sources) {
                if (source.image() != inRow) { // channels of one image mostly follow each other
                    inRow = source.image();
                    inRow.read(0, top + y, width, 1, row);
                }
                put(row, source.index(), inRow.channels(), source.channel().type(), raw, at);
                at += width * source.channel().type().bytes();
            }
        }
        return raw;
    }

    private void put(float[] row, int first, int stride, PixelType type, byte[] dest, int from) {
        int at = from;
        if (type == PixelType.HALF) {
            for (int x = 0, i = first; x < width; x++, i += stride, at += 2) {
                BinaryInput.putShort(dest, at, Float.floatToFloat16(row[i]));
            }
        } else {
            for (int x = 0, i = first; x < width; x++, i += stride, at += 4) {
                BinaryInput.putFloat(dest, at, row[i]);
            }
        }
    }
}
