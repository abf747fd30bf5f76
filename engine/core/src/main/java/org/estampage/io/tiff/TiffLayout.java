package org.estampage.io.tiff;

import java.nio.BufferUnderflowException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.Map;
import org.estampage.io.format.FormatException;

/**
 * What the first directory of a TIFF file says, checked before any picture is made of it: all places inside the file, and no more texels than its
 * bytes can hold.
 *
 * @threads immutable once made
 * @source TIFF Revision 6.0, sections 2, 8 and 15
 */
final class TiffLayout {
    /** The widest codes of LZW have 12 bits, and the longest string in its table is shorter than 4096 bytes; deflate stays below 1032. */
    private static final long LARGEST_RATIO = 4096 * 8 / 12 + 1;

    private static final int LONGEST_TEXT = 1 << 20;
    private static final int VERSION = 42;
    private static final int BIG = 43;

    private final String name;
    private final ByteBuffer file;
    private final Map<Integer, long[]> numbers = new LinkedHashMap<>();
    private final Map<Integer, String> texts = new LinkedHashMap<>();

    private TiffLayout(String name, byte[] bytes) {
        this.name = name;
        file = ByteBuffer.wrap(bytes);
    }

    static boolean recognises(byte[] head) {
        if (head.length < 4) {
            return false;
        }
        boolean little = head[0] == 'I' && head[1] == 'I' && (head[2] == VERSION || head[2] == BIG) && head[3] == 0;
        boolean big = head[0] == 'M' && head[1] == 'M' && head[2] == 0 && (head[3] == VERSION || head[3] == BIG);
        return little || big;
    }

    static TiffLayout of(String name, byte[] bytes) throws FormatException {
        TiffLayout layout = new TiffLayout(name, bytes);
        try {
            layout.parse();
        } catch (BufferUnderflowException | IndexOutOfBoundsException e) {
            FormatException broken = FormatException.atByte(name, layout.file.position(), "the end of the file",
                    "the directory: the file is cut off or damaged");
            broken.initCause(e);
            throw broken;
        }
        layout.check();
        return layout;
    }

    private void parse() throws FormatException {
        file.order(file.get(0) == 'I' ? ByteOrder.LITTLE_ENDIAN : ByteOrder.BIG_ENDIAN);
        if (file.getShort(2) == BIG) {
            throw FormatException.ofFile(name, "is a BigTIFF file, which is not read: export it as plain TIFF (below 4 GiB) or as EXR");
        }
        long at = file.getInt(4) & 0xffffffffL;
        if (at > file.limit() - 2) {
            throw FormatException.atByte(name, 4, "a directory at byte " + at, "one inside the file: it is cut off or damaged");
        }
        file.position((int) at);
        int entries = file.getShort() & 0xffff;
        for (int i = 0; i < entries; i++) {
            entry();
        }
    }

    private void entry() throws FormatException {
        int start = file.position();
        int tag = file.getShort() & 0xffff;
        int type = file.getShort() & 0xffff;
        long count = file.getInt() & 0xffffffffL;
        int size = switch (type) {
            case 1, Tags.ASCII -> 1;
            case Tags.SHORT -> 2;
            case Tags.LONG -> 4;
            default -> 0; // none that is looked at here
        };
        int value = file.position();
        file.position(value + 4);
        if (size == 0 || count == 0) {
            return;
        }
        long at = size * count <= 4 ? value : file.getInt(value) & 0xffffffffL;
        if (count > file.limit() || at > file.limit() - size * count) {
            throw FormatException.atByte(name, start, "a field " + tag + " with " + count + " values at byte " + at,
                    "one inside the file: it is cut off or damaged");
        }
        if (type == Tags.ASCII) {
            int length = (int) Math.min(count, LONGEST_TEXT);
            String text = new String(file.array(), (int) at, length, StandardCharsets.UTF_8);
            texts.putIfAbsent(tag, text.contains("\0") ? text.substring(0, text.indexOf('\0')) : text);
            return;
        }
        long[] values = new long[(int) count];
        for (int i = 0; i < values.length; i++) {
            int place = (int) at + i * size;
            values[i] = size == 1 ? file.get(place) & 0xff : size == 2 ? file.getShort(place) & 0xffff : file.getInt(place) & 0xffffffffL;
        }
        numbers.putIfAbsent(tag, values);
    }

    private void check() throws FormatException {
        long width = number(Tags.WIDTH, 0);
        long height = number(Tags.HEIGHT, 0);
        if (width < 1 || height < 1 || height > Integer.MAX_VALUE / width) {
            throw FormatException.ofFile(name,
                    "claims a size of " + width + " × " + height + " texels, which is none, or too much: it is damaged");
        }
        if (channels() < 1 || channels() > 4) {
            throw FormatException.ofFile(name, "has " + channels() + " channels; 1 to 4 are read: export fewer");
        }
        long orientation = number(Tags.ORIENTATION, 1);
        if (orientation != 1) {
            throw FormatException.ofFile(name, "is stored turned or mirrored (orientation " + orientation + "): export it upright");
        }
    }

    /** Returns whether {@link TiffReader} decodes it by itself. */
    boolean isOurs() {
        long[] formats = numbers.getOrDefault(Tags.SAMPLE_FORMAT, new long[] {Tags.UNSIGNED});
        long photometric = number(Tags.PHOTOMETRIC, -1);
        int bits = bits();
        boolean known = formats[0] == Tags.UNSIGNED ? bits == 8 || bits == 16 : formats[0] == Tags.FLOAT && (bits == 16 || bits == 32);
        return known && photometric >= 0 && photometric <= Tags.RGB && allEqual(formats)
                && allEqual(numbers.getOrDefault(Tags.BITS, new long[1])) && switch (compression()) {
                    case Tags.PLAIN, Tags.LZW, Tags.DEFLATE, Tags.OLD_DEFLATE, Tags.PACK_BITS -> true;
                    default -> false;
                };
    }

    private static boolean allEqual(long... values) {
        return Arrays.stream(values).allMatch(v -> v == values[0]);
    }

    /**
     * Checks that the strips or tiles are as many as the size needs, inside the file, and long enough for the texels.
     *
     * @throws FormatException if not
     */
    void checkChunks() throws FormatException {
        if (chunkWidth() < 1 || chunkHeight() < 1) {
            throw FormatException.ofFile(name, "has strips or tiles without texels: it is damaged");
        }
        if ((long) chunkWidth() * chunkHeight() * 4 * Float.BYTES > Integer.MAX_VALUE - 64) {
            throw FormatException.ofFile(name, "has strips or tiles of " + chunkWidth() + " × " + chunkHeight()
                    + " texels, more than are read at once: export it with smaller ones");
        }
        long count = (long) chunksAcross() * chunksDown() * (isPlanar() ? channels() : 1);
        long[] offsets = chunkOffsets();
        long[] lengths = chunkLengths();
        if (offsets.length < count || lengths.length < count) {
            throw FormatException.ofFile(name,
                    "has " + Math.min(offsets.length, lengths.length) + " strips or tiles where its size needs " + count
                            + ": it is damaged");
        }
        long sum = 0;
        for (int i = 0; i < count; i++) {
            sum += lengths[i];
            if (offsets[i] > file.limit() - lengths[i]) {
                throw FormatException.atByte(name, file.limit(), "the end of the file",
                        "a strip of " + lengths[i] + " bytes at byte " + offsets[i] + ": the file is cut off or damaged");
            }
        }
        long needed = (long) width() * height() * channels() * bits() / 8;
        if (needed > Math.min(sum, file.limit()) * LARGEST_RATIO) {
            throw FormatException.ofFile(name, "is damaged: its " + sum + " bytes can't hold the " + width() + " × " + height()
                    + " texels it claims");
        }
    }

    long number(int tag, long usual) {
        long[] values = numbers.get(tag);
        return values == null ? usual : values[0];
    }

    ByteOrder order() {
        return file.order();
    }

    int width() {
        return (int) number(Tags.WIDTH, 0);
    }

    int height() {
        return (int) number(Tags.HEIGHT, 0);
    }

    int channels() {
        return (int) Math.min(number(Tags.CHANNELS, 1), Integer.MAX_VALUE);
    }

    int bits() {
        return (int) number(Tags.BITS, 1);
    }

    boolean isFloat() {
        return number(Tags.SAMPLE_FORMAT, Tags.UNSIGNED) == Tags.FLOAT;
    }

    int compression() {
        return (int) number(Tags.COMPRESSION, Tags.PLAIN);
    }

    boolean isPlanar() {
        return number(Tags.PLANAR, 1) == 2 && channels() > 1;
    }

    private boolean isTiled() {
        return numbers.containsKey(Tags.TILE_WIDTH);
    }

    int chunkWidth() {
        return isTiled() ? (int) Math.min(number(Tags.TILE_WIDTH, 0), Integer.MAX_VALUE) : width();
    }

    int chunkHeight() {
        return isTiled()
                ? (int) Math.min(number(Tags.TILE_HEIGHT, 0), Integer.MAX_VALUE)
                : (int) Math.min(number(Tags.ROWS_PER_STRIP, height()), height());
    }

    int chunksAcross() {
        return Math.ceilDiv(width(), chunkWidth());
    }

    int chunksDown() {
        return Math.ceilDiv(height(), chunkHeight());
    }

    long[] chunkOffsets() {
        return numbers.getOrDefault(isTiled() ? Tags.TILE_OFFSETS : Tags.STRIP_OFFSETS, new long[0]);
    }

    long[] chunkLengths() {
        return numbers.getOrDefault(isTiled() ? Tags.TILE_BYTES : Tags.STRIP_BYTES, new long[0]);
    }

    /** Returns the texts by keyword. */
    Map<String, String> texts() {
        Map<String, String> all = new LinkedHashMap<>();
        String software = texts.get(Tags.SOFTWARE);
        if (software != null) {
            all.put(TiffText.SOFTWARE, software);
        }
        all.putAll(TiffText.split(texts.getOrDefault(Tags.DESCRIPTION, "")));
        return all;
    }
}
