package org.estampage.io.exr;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.BitSet;
import java.util.List;
import java.util.stream.IntStream;
import java.util.zip.DataFormatException;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.io.format.FormatException;
import org.estampage.io.format.SampleFormat;
import org.estampage.io.shared.BinaryInput;
import org.estampage.io.shared.FileSource;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Reads OpenEXR files of one part: scan lines or tiles (their largest level), channels of half, float or whole numbers, without compression or
 * with RLE, ZIPS or ZIP.
 *
 * <p>Channels {@code R G B A}, {@code X Y Z} or {@code Y A} of one layer are one image, in this order; a channel that goes with none of the others
 * is a layer of its own, by its whole name.
 *
 * @edge the image is the file's data window, wherever it lies in the display window; whole numbers above 2²⁴ are rounded to floats; NaN and
 *       infinities come as they are
 * @threads safe for concurrent calls; blocks are decoded in the caller's fork-join pool, else in the common one
 * @cost the images, and some 64 MB of blocks at once
 * @source OpenEXR File Layout (Academy Software Foundation)
 */
public final class ExrReader {
    /** Bytes of blocks that are decoded at once: many blocks even of wide images, little beside the images. */
    private static final long BATCH_BYTES = 1 << 26;

    private final String file;
    private final BinaryInput in;
    private final ExrHeader header;
    private final List<Target> targets = new ArrayList<>();
    private final int blocksAcross;
    private final int blockCount;

    /** An image to be filled; {@code starts} are its channels' bytes of a texel that come before them. */
    private record Target(LayerNames.Plan plan, FloatImage image, List<Integer> starts) {
    }

    /** A block as it is stored, and what it covers of the image. */
    private static final class Block {
        private final int x;
        private final int y;
        private final int width;
        private final int height;
        private final long place;
        private final byte[] stored;
        private @Nullable FormatException damage;

        Block(int x, int y, int width, int height, long place, byte[] stored) {
            this.x = x;
            this.y = y;
            this.width = width;
            this.height = height;
            this.place = place;
            this.stored = stored;
        }
    }

    private ExrReader(String file, BinaryInput in, ExrHeader header) throws FormatException {
        this.file = file;
        this.in = in;
        this.header = header;
        blocksAcross = (int) (((long) header.width() + header.blockWidth() - 1) / header.blockWidth());
        long blocksDown = ((long) header.height() + header.blockHeight() - 1) / header.blockHeight();
        long count = blocksAcross * blocksDown; // below 2³¹, as the texels are
        long rawBytes = (long) header.width() * header.height() * header.pixelBytes();
        long blockBytes = (long) header.blockWidth() * header.blockHeight() * header.pixelBytes();
        // A block has its place in the table, its own head and at least one byte.
        if (count > in.left() / 17 || rawBytes > in.left() * header.compression().largestRatio() || blockBytes > Integer.MAX_VALUE - 8) {
            throw FormatException.atByte(file, in.offset(),
                    "a size of " + header.width() + " × " + header.height() + " texels of " + header.pixelBytes() + " bytes in " + count
                            + " blocks",
                    "fewer: the " + in.left() + " bytes that follow can't hold so many");
        }
        blockCount = (int) count;
    }

    /**
     * Reads every layer of a file.
     *
     * @throws FormatException                            if the file is not of this format, cut off, damaged, or of a kind that is not read
     * @throws IOException                                if it is missing or can't be read
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public static ExrLayers readLayers(Path file, Task task) throws IOException {
        return read(file, task, Integer.MAX_VALUE);
    }

    /** Reads only the first layer of a file; throws as {@link #readLayers} does. */
    static ExrLayers readFirst(Path file, Task task) throws IOException {
        return read(file, task, 1);
    }

    private static ExrLayers read(Path file, Task task, int most) throws IOException {
        try (FileSource source = FileSource.open(file, task)) {
            BinaryInput in = new BinaryInput(source);
            ExrHeader header = ExrHeader.read(source.name(), in);
            ExrReader reader = new ExrReader(source.name(), in, header);
            List<LayerNames.Plan> plans = LayerNames.plans(header.channels());
            reader.makeImages(plans.subList(0, Math.min(most, plans.size())), task);
            reader.readBlocks(reader.table(), task);
            return new ExrLayers(reader.targets.stream().map(reader::layer).toList(), header.text());
        }
    }

    private void makeImages(List<LayerNames.Plan> plans, Task task) {
        int[] starts = new int[header.channels().size()];
        for (int c = 1; c < starts.length; c++) {
            starts[c] = starts[c - 1] + header.channels().get(c - 1).type().bytes();
        }
        for (LayerNames.Plan plan : plans) {
            FloatImage image = FloatImage.create(header.width(), header.height(), Encoding.data(Range.UNIT, plan.channels().size()),
                    task.memory());
            targets.add(new Target(plan, image, plan.channels().stream().map(c -> starts[c]).toList()));
        }
    }

    private ExrLayer layer(Target target) {
        boolean isHalf = target.plan().channels().stream().allMatch(c -> header.channels().get(c).type() == PixelType.HALF);
        return new ExrLayer(target.plan().name(), target.image(), isHalf ? SampleFormat.HALF : SampleFormat.FLOAT);
    }

    /** Returns where the blocks are, by their places in the file; of tiles those of the largest level, which stand first in the table. */
    private long[] table() throws IOException {
        long[] places = new long[blockCount];
        for (int i = 0; i < blockCount; i++) {
            in.need(8, "the table of " + blockCount + " blocks");
            places[i] = BinaryInput.longAt(in.bytes(), in.at());
            in.advance(8);
        }
        Arrays.sort(places);
        return places;
    }

    private void readBlocks(long[] places, Task task) throws IOException {
        BitSet seen = new BitSet(blockCount);
        List<Block> batch = new ArrayList<>();
        long bytes = 0;
        for (long place : places) {
            if (place < in.offset()) {
                throw FormatException.atByte(file, in.offset(), "a block said to begin at byte " + place,
                        "one behind the table and the block before: the file was not finished, or is damaged");
            }
            in.skip(place - in.offset(), "a block at byte " + place);
            Block block = takeBlock(seen);
            batch.add(block);
            bytes += rawBytes(block);
            if (bytes >= BATCH_BYTES) {
                decode(batch, task);
                batch.clear();
                bytes = 0;
            }
        }
        decode(batch, task);
    }

    private int rawBytes(Block block) {
        return block.width * block.height * header.pixelBytes();
    }

    private Block takeBlock(BitSet seen) throws IOException {
        long place = in.offset();
        int numbers = header.isTiled() ? 5 : 2;
        in.need(4 * numbers, "the head of a block");
        int[] head = new int[numbers];
        for (int i = 0; i < numbers; i++) {
            head[i] = BinaryInput.intAt(in.bytes(), in.at() + 4 * i);
        }
        in.advance(4 * numbers);
        long x = header.isTiled() ? (long) head[0] * header.blockWidth() : 0;
        long y = header.isTiled() ? (long) head[1] * header.blockHeight() : (long) head[0] - header.top();
        boolean fits = x >= 0 && x < header.width() && y >= 0 && y < header.height() && y % header.blockHeight() == 0
                && (!header.isTiled() || (head[2] == 0 && head[3] == 0));
        int number = fits ? (int) (y / header.blockHeight() * blocksAcross + x / header.blockWidth()) : -1;
        if (!fits || seen.get(number)) {
            throw FormatException.atByte(file, place, header.isTiled() ? "a tile " + head[0] + ", " + head[1] : "a block of row " + head[0],
                    fits ? "each block once" : "one that is part of the image");
        }
        seen.set(number);
        int width = Math.min(header.blockWidth(), header.width() - (int) x);
        int height = Math.min(header.blockHeight(), header.height() - (int) y);
        int raw = width * height * header.pixelBytes();
        int size = head[numbers - 1];
        long most = (long) size * header.compression().largestRatio();
        if (size < 0 || size > raw || most < raw) {
            throw FormatException.atByte(file, in.offset() - 4, "a block of " + (size & 0xffffffffL) + " bytes",
                    "a size that can hold " + raw + " bytes of samples: the file is damaged");
        }
        in.need(size, "a block of " + size + " bytes");
        byte[] stored = Arrays.copyOfRange(in.bytes(), in.at(), in.at() + size);
        in.advance(size);
        return new Block((int) x, (int) y, width, height, place, stored);
    }

    private void decode(List<Block> batch, Task task) throws FormatException {
        IntStream.range(0, batch.size()).parallel().forEach(i -> {
            task.check();
            Block block = batch.get(i);
            try {
                fill(block, unpack(block));
            } catch (DataFormatException e) {
                block.damage = FormatException.atByte(file, block.place, "a damaged block (" + e.getMessage() + ")",
                        header.compression() + " data of " + rawBytes(block) + " bytes");
            }
        });
        for (Block block : batch) {
            if (block.damage != null) {
                throw block.damage;
            }
        }
    }

    private byte[] unpack(Block block) throws DataFormatException {
        int raw = rawBytes(block);
        if (block.stored.length == raw) {
            return block.stored; // what would not become smaller is stored as it is
        }
        return header.compression() == Compression.RLE ? BlockCoding.runs(block.stored, raw) : BlockCoding.inflate(block.stored, raw);
    }

    /** Copies samples, stored row by row and in each row channel by channel, into the images. */
    private void fill(Block block, byte[] raw) {
        for (Target target : targets) {
            int channels = target.starts().size();
            float[] row = new float[block.width * channels];
            for (int y = 0; y < block.height; y++) {
                for (int c = 0; c < channels; c++) {
                    PixelType type = header.channels().get(target.plan().channels().get(c)).type();
                    samples(raw, (y * header.pixelBytes() + target.starts().get(c)) * block.width, type, row, c, channels);
                }
                target.image().write(block.x, block.y + y, block.width, 1, row);
            }
        }
    }

    private static void samples(byte[] raw, int from, PixelType type, float[] dest, int first, int stride) {
        int at = from;
        switch (type) {
            case HALF -> {
                for (int i = first; i < dest.length; i += stride, at += 2) {
                    dest[i] = Float.float16ToFloat(BinaryInput.shortAt(raw, at));
                }
            }
            case FLOAT -> {
                for (int i = first; i < dest.length; i += stride, at += 4) {
                    dest[i] = BinaryInput.floatAt(raw, at);
                }
            }
            case UINT -> {
                for (int i = first; i < dest.length; i += stride, at += 4) {
                    dest[i] = BinaryInput.intAt(raw, at) & 0xffffffffL;
                }
            }
        }
    }
}
