package org.estampage.io.tga;

import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.Map;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.io.format.FormatException;
import org.estampage.io.format.SampleFormat;
import org.estampage.io.format.StoredImage;
import org.estampage.task.Task;

/** Reads one file's bytes. */
final class TgaReader {
    /** The longest array. */
    private static final int LARGEST = Integer.MAX_VALUE - 64;
    private static final float LARGEST_5 = 31;
    private static final float LARGEST_8 = 255;

    private final String name;
    private final byte[] bytes;
    private int width;
    private int height;
    private int type;
    private boolean runs;
    private int texelBits;
    private int descriptor;
    private int paletteFirst;
    private int paletteLength;
    private int paletteBits;
    private int at;

    TgaReader(String name, byte[] bytes) {
        this.name = name;
        this.bytes = bytes;
    }

    StoredImage read(Task task) throws FormatException {
        header();
        int paletteAt = at;
        int paletteBytes = (paletteBits + 7) / 8;
        at += paletteLength * paletteBytes;
        int texelBytes = (texelBits + 7) / 8;
        long texels = (long) width * height;
        long room = Math.max(0, bytes.length - (long) at);
        long most = runs ? room / (1 + texelBytes) * Layout.PACKET + Layout.PACKET : room / texelBytes;
        if (texels > most) {
            throw FormatException.ofFile(name,
                    "is cut off or damaged: its " + bytes.length + " bytes can't hold the " + texels + " texels it claims");
        }
        if (texels * texelBytes > LARGEST) {
            throw FormatException.ofFile(name,
                    "claims " + width + " × " + height + " texels, which take more than 2 GiB unpacked: export it smaller, or as EXR");
        }
        byte[] data = runs ? unpacked(texelBytes) : Arrays.copyOfRange(bytes, at, at + (int) texels * texelBytes);
        int bits = type == Layout.PALETTE_TYPE ? paletteBits : texelBits;
        int channels = type == Layout.GREY_TYPE ? 1 : hasAlpha(bits) ? 4 : 3;
        FloatImage image = FloatImage.create(width, height, Encoding.data(Range.UNIT, channels));
        float[] row = new float[width * channels];
        Task.Stage stage = task.stage("reading " + name, height);
        for (int y = 0; y < height; y++) {
            int from = (descriptor & Layout.FROM_TOP) != 0 ? y : height - 1 - y;
            for (int x = 0; x < width; x++) {
                int column = (descriptor & Layout.FROM_RIGHT) != 0 ? width - 1 - x : x;
                int texel = (from * width + column) * texelBytes;
                if (type == Layout.PALETTE_TYPE) {
                    int index = (texelBytes == 1 ? data[texel] & 0xff : Layout.shortAt(data, texel)) - paletteFirst;
                    if (index < 0 || index >= paletteLength) {
                        throw FormatException.ofFile(name, "is damaged: a texel has the colour number " + (index + paletteFirst)
                                + ", and the palette has " + paletteFirst + " … " + (paletteFirst + paletteLength - 1));
                    }
                    texel(bytes, paletteAt + index * paletteBytes, bits, channels, row, x * channels);
                } else {
                    texel(data, texel, bits, channels, row, x * channels);
                }
            }
            image.write(0, y, width, 1, row);
            stage.advance(1);
        }
        return new StoredImage(image, SampleFormat.UNSIGNED_8, texts());
    }

    private void header() throws FormatException {
        if (bytes.length < Layout.HEADER) {
            throw FormatException.ofFile(name,
                    bytes.length == 0 ? "is empty: export the image again" : "is cut off: a TGA file has 18 bytes and more");
        }
        int paletteKind = bytes[1] & 0xff;
        int stored = bytes[2] & 0xff;
        runs = stored > Layout.RUNS;
        type = runs ? stored - Layout.RUNS : stored;
        if (type < Layout.PALETTE_TYPE || type > Layout.GREY_TYPE || paletteKind > 1) {
            throw FormatException.atByte(name, 2, "the kind " + stored,
                    "1, 2, 3, 9, 10 or 11, which TGA pictures have: is this a TGA file?");
        }
        paletteFirst = Layout.shortAt(bytes, 3);
        paletteLength = paletteKind == 0 ? 0 : Layout.shortAt(bytes, 5);
        paletteBits = bytes[7] & 0xff;
        width = Layout.shortAt(bytes, 12);
        height = Layout.shortAt(bytes, 14);
        texelBits = bytes[16] & 0xff;
        descriptor = bytes[17] & 0xff;
        if (width == 0 || height == 0) {
            throw FormatException.atByte(name, 12, width + " x " + height + " texels", "at least one");
        }
        boolean known = switch (type) {
            case Layout.PALETTE_TYPE -> (texelBits == 8 || texelBits == 16) && paletteLength > 0;
            case Layout.GREY_TYPE -> texelBits == 8;
            default -> isColour(texelBits);
        };
        if (!known) {
            throw FormatException.atByte(name, 16, texelBits + " bits a texel",
                    "8 for grey, 15, 16, 24 or 32 for colour, 8 or 16 with a palette");
        }
        if (paletteLength > 0 && !isColour(paletteBits)) {
            throw FormatException.atByte(name, 7, paletteBits + " bits a colour of the palette", "15, 16, 24 or 32");
        }
        at = Layout.HEADER + (bytes[0] & 0xff);
        if (at + paletteLength * ((paletteBits + 7) / 8) > bytes.length) {
            throw FormatException.ofFile(name, "is cut off or damaged: it ends within its palette");
        }
    }

    private static boolean isColour(int bits) {
        return bits == 15 || bits == 16 || bits == 24 || bits == 32;
    }

    private boolean hasAlpha(int bits) {
        int alphaBits = descriptor & Layout.ALPHA_BITS;
        return (bits == 32 && alphaBits == 8) || (bits == 16 && alphaBits == 1);
    }

    private byte[] unpacked(int texelBytes) throws FormatException {
        byte[] out = new byte[width * height * texelBytes];
        int to = 0;
        while (to < out.length) {
            if (at >= bytes.length) {
                throw cutOff();
            }
            int head = bytes[at++] & 0xff;
            int length = Math.min((head & (Layout.PACKET - 1)) + 1, (out.length - to) / texelBytes) * texelBytes;
            boolean run = head >= Layout.PACKET;
            if (at + (run ? texelBytes : length) > bytes.length) {
                throw cutOff();
            }
            for (int i = 0; i < length; i++) {
                out[to + i] = bytes[at + (run ? i % texelBytes : i)];
            }
            at += run ? texelBytes : length;
            to += length;
        }
        return out;
    }

    private FormatException cutOff() {
        return FormatException.atByte(name, at, "the end of the file", "a packet of texels: it is cut off or damaged");
    }

    private static void texel(byte[] from, int at, int bits, int channels, float[] dest, int to) {
        if (channels == 1) {
            dest[to] = (from[at] & 0xff) / LARGEST_8;
        } else if (bits <= 16) {
            int packed = Layout.shortAt(from, at);
            dest[to] = ((packed >> 10) & 31) / LARGEST_5;
            dest[to + 1] = ((packed >> 5) & 31) / LARGEST_5;
            dest[to + 2] = (packed & 31) / LARGEST_5;
            if (channels == 4) {
                dest[to + 3] = packed >> 15;
            }
        } else {
            for (int c = 0; c < channels; c++) {
                dest[to + c] = (from[at + (c < 3 ? 2 - c : 3)] & 0xff) / LARGEST_8;
            }
        }
    }

    /** Returns our own texts; a footer, directory or field that is not in order has none. */
    private Map<String, String> texts() {
        int footer = bytes.length - Layout.FOOTER;
        if (footer < Layout.HEADER
                || !Arrays.equals(bytes, footer + 8, bytes.length, Layout.SIGNATURE, 0, Layout.SIGNATURE.length)) {
            return Map.of();
        }
        long directory = Layout.intAt(bytes, footer + 4);
        if (directory < Layout.HEADER || directory > footer - 2) {
            return Map.of();
        }
        int count = Layout.shortAt(bytes, (int) directory);
        for (int i = 0; i < count && directory + 12L + 10L * i <= footer; i++) {
            int entry = (int) directory + 2 + 10 * i;
            long start = Layout.intAt(bytes, entry + 2), length = Layout.intAt(bytes, entry + 6);
            if (Layout.shortAt(bytes, entry) == Layout.TEXT_FIELD && start + length <= footer) {
                return lines(new String(bytes, (int) start, (int) length, StandardCharsets.UTF_8));
            }
        }
        return Map.of();
    }

    private static Map<String, String> lines(String all) {
        Map<String, String> texts = new LinkedHashMap<>();
        for (String line : all.split("\n", -1)) {
            int colon = line.indexOf(": ");
            if (colon > 0) {
                texts.put(line.substring(0, colon), line.substring(colon + 2));
            }
        }
        return Collections.unmodifiableMap(texts);
    }
}
