package org.estampage.io.png;

import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.zip.CRC32;
import org.estampage.io.format.FormatException;

/**
 * What the chunks of a PNG file say, checked before any picture is made of them: every chunk inside the file and with its right checksum, a
 * header that the format allows, and no more texels than so many deflated bytes can hold.
 *
 * @threads immutable
 * @source W3C Portable Network Graphics (Third Edition), sections 5 and 11
 */
final class PngLayout {
    private static final int HEADER_BYTES = 13;

    /** Deflate can't do better than 258 bytes for two bits (RFC 1951: a length of 258 with one-bit codes for it and for its distance). */
    private static final long LARGEST_RATIO = 258 * 4;

    /** Texts beyond this many bytes are left alone. */
    private static final int LONGEST_TEXT = 1 << 20;

    private static final int GREY = 0;
    private static final int PALETTE = 3;

    private final String name;
    private final byte[] bytes;
    private final Map<String, String> texts = new LinkedHashMap<>();
    private int width;
    private int height;
    private int bits;
    private int colourType;

    private PngLayout(String name, byte[] bytes) {
        this.name = name;
        this.bytes = bytes;
    }

    /** Returns whether bytes begin as a PNG file does. */
    static boolean recognises(byte[] bytes) {
        byte[] signature = PngChunks.signature();
        return bytes.length >= signature.length && Arrays.equals(bytes, 0, signature.length, signature, 0, signature.length);
    }

    /**
     * Goes through a file's chunks.
     *
     * @param name  the file's name, for messages
     * @param bytes the whole file; it begins with the signature
     * @throws FormatException if the file is cut off or damaged, or claims a size that it can't hold
     */
    static PngLayout of(String name, byte[] bytes) throws FormatException {
        PngLayout layout = new PngLayout(name, bytes);
        layout.walk();
        return layout;
    }

    /** Returns bits a sample, 1 … 16; of a palette file 8, the depth of its colours. */
    int bits() {
        return colourType == PALETTE ? 8 : bits;
    }

    /** Returns whether there is one sample of light a texel, at most with alpha, and no palette. */
    boolean isPlainGrey() {
        return colourType == GREY;
    }

    /** Returns the uncompressed texts in the file's order. */
    Map<String, String> texts() {
        return Collections.unmodifiableMap(texts);
    }

    private void walk() throws FormatException {
        long deflated = 0;
        int at = PngChunks.signature().length;
        boolean ended = false;
        for (boolean first = true; !ended; first = false) {
            if (bytes.length - at < 12) {
                throw FormatException.atByte(name, bytes.length, "the end of the file", "a chunk: the file is cut off");
            }
            int length = PngChunks.getInt(bytes, at);
            String type = new String(bytes, at + 4, 4, StandardCharsets.ISO_8859_1);
            if (length < 0 || length > bytes.length - at - 12) {
                throw FormatException.atByte(name, at,
                        "a chunk " + FormatException.quote(type) + " of " + (length & 0xffffffffL) + " bytes",
                        "at most the " + (bytes.length - at - 12) + " that are left: the file is cut off or damaged");
            }
            CRC32 crc = new CRC32();
            crc.update(bytes, at + 4, length + 4);
            if ((int) crc.getValue() != PngChunks.getInt(bytes, at + 8 + length)) {
                throw FormatException.atByte(name, at, "a chunk " + FormatException.quote(type) + " with a wrong checksum",
                        "a right one: the file is damaged");
            }
            if (first != type.equals("IHDR")) {
                throw FormatException.atByte(name, at, "a chunk " + FormatException.quote(type), first ? "IHDR" : "no second header");
            }
            switch (type) {
                case "IHDR" -> header(at + 8, length);
                case "IDAT" -> deflated += length;
                case "tEXt", "iTXt" -> text(type, Arrays.copyOfRange(bytes, at + 8, at + 8 + Math.min(length, LONGEST_TEXT + 1)));
                case "IEND" -> ended = true;
                default -> {
                    // Others are the decoder's business, or nobody's.
                }
            }
            at += length + 12;
        }
        long needed = height * (((long) width * bits * samples() + 7) >> 3);
        if (needed > (deflated + 1) * LARGEST_RATIO) {
            throw FormatException.atByte(name, 16, "a size of " + width + " × " + height + " texels",
                    "fewer: its " + deflated + " deflated bytes can't hold so many");
        }
    }

    private void header(int at, int length) throws FormatException {
        if (length != HEADER_BYTES) {
            throw FormatException.atByte(name, at, "a header of " + length + " bytes", "one of " + HEADER_BYTES);
        }
        width = PngChunks.getInt(bytes, at);
        height = PngChunks.getInt(bytes, at + 4);
        bits = bytes[at + 8];
        colourType = bytes[at + 9];
        if (width < 1 || height < 1 || (long) width * height > Integer.MAX_VALUE) {
            throw FormatException.atByte(name, at, "a size of " + (width & 0xffffffffL) + " × " + (height & 0xffffffffL) + " texels",
                    "positive sides and at most " + Integer.MAX_VALUE + " texels");
        }
        boolean possible = switch (colourType) {
            case GREY -> bits == 1 || bits == 2 || bits == 4 || bits == 8 || bits == 16;
            case PALETTE -> bits == 1 || bits == 2 || bits == 4 || bits == 8;
            case 2, 4, 6 -> bits == 8 || bits == 16;
            default -> false;
        };
        if (!possible) {
            throw FormatException.atByte(name, at + 8, "colour type " + colourType + " with " + bits + " bits",
                    "one of the format's kinds: 0, 2, 3, 4 or 6 with 1 … 16 bits");
        }
    }

    private int samples() {
        return switch (colourType) {
            case 2 -> 3;
            case 4 -> 2;
            case 6 -> 4;
            default -> 1;
        };
    }

    /** Notes a text chunk; long, compressed and malformed ones are passed over, they are not part of the picture. */
    private void text(String type, byte[] data) {
        int end = indexOfZero(data, 0);
        if (end < 0 || data.length > LONGEST_TEXT) {
            return;
        }
        String keyword = new String(data, 0, end, StandardCharsets.ISO_8859_1);
        if (type.equals("tEXt")) {
            texts.put(keyword, new String(data, end + 1, data.length - end - 1, StandardCharsets.ISO_8859_1));
        } else if (end + 2 < data.length && data[end + 1] == 0) { // not compressed; then follow language, translated keyword, text
            int language = indexOfZero(data, end + 3);
            int translated = language < 0 ? -1 : indexOfZero(data, language + 1);
            if (translated >= 0) {
                texts.put(keyword, new String(data, translated + 1, data.length - translated - 1, StandardCharsets.UTF_8));
            }
        }
    }

    private static int indexOfZero(byte[] data, int from) {
        for (int i = from; i < data.length; i++) {
            if (data[i] == 0) {
                return i;
            }
        }
        return -1;
    }
}
