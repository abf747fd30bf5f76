package org.estampage.io.exr;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import org.estampage.io.format.FormatException;
import org.estampage.io.shared.BinaryInput;
import org.jspecify.annotations.Nullable;

/**
 * What the head of a file says, checked: which channels, how large, how compressed.
 *
 * @threads confined; not changed once read
 * @source OpenEXR File Layout, "Header", "Version Field", "Predefined Attribute Types"
 */
final class ExrHeader {
    /** Most bytes of an attribute's or channel's name. */
    static final int LONGEST_NAME = 255;

    /** Most bytes of a name in files without {@link #LONG_NAMES}. */
    static final int LONGEST_SHORT_NAME = 31;

    static final int MAGIC = 20000630;
    static final int VERSION = 2;
    static final int LONG_NAMES = 0x400;

    private static final int TILED = 0x200;
    private static final int DEEP = 0x800;
    private static final int PARTS = 0x1000;

    /** Texts beyond this many bytes are left alone. */
    private static final int LONGEST_TEXT = 1 << 20;

    /** Most channels: far more than anybody has, few enough to keep a damaged list small. */
    private static final int MOST_CHANNELS = 4096;

    /** Attributes with a meaning and a type of their own, which a text can't take. */
    private static final Set<String> RESERVED = Set.of("channels", "compression", "dataWindow", "displayWindow", "lineOrder",
            "pixelAspectRatio", "screenWindowCenter", "screenWindowWidth", "tiles", "view", "name", "type", "version", "chunkCount",
            "maxSamplesPerPixel", "chromaticities", "whiteLuminance", "adoptedNeutral", "xDensity", "altitude", "aperture", "expTime",
            "focus", "framesPerSecond", "isoSpeed", "keyCode", "latitude", "longitude", "multiView", "timeCode", "utcOffset", "envmap",
            "preview", "worldToCamera", "worldToNDC", "dwaCompressionLevel", "deepImageState", "originalDataWindow");

    private final String file;
    private final BinaryInput in;
    private final Map<String, String> text = new LinkedHashMap<>();
    private final List<Channel> channels = new ArrayList<>();
    private boolean isTiled;
    private @Nullable Compression compression;
    private int pixelBytes;
    private int left;
    private int top;
    private int width;
    private int height;
    private int tileWidth;
    private int tileHeight;

    private ExrHeader(String file, BinaryInput in) {
        this.file = file;
        this.in = in;
    }

    /** Returns whether bytes begin as a file of this format does. */
    static boolean recognises(byte[] head) {
        return head.length >= 4 && BinaryInput.intAt(head, 0) == MAGIC;
    }

    /** Returns whether a keyword stands for something other than a text. */
    static boolean isReserved(String keyword) {
        return RESERVED.contains(keyword);
    }

    /**
     * Reads a file's head; {@code in} stands behind it then, at the table of blocks.
     *
     * @param file the file's name, for messages
     * @throws FormatException if it is cut off, damaged, or of a kind that is not read
     */
    static ExrHeader read(String file, BinaryInput in) throws IOException {
        ExrHeader header = new ExrHeader(file, in);
        header.begin();
        while (header.attribute()) {
            // Each one notes what it says.
        }
        header.checkComplete();
        return header;
    }

    List<Channel> channels() {
        return channels;
    }

    Compression compression() {
        return Objects.requireNonNull(compression);
    }

    boolean isTiled() {
        return isTiled;
    }

    Map<String, String> text() {
        return text;
    }

    /** Returns the bytes a texel, all channels together. */
    int pixelBytes() {
        return pixelBytes;
    }

    int left() {
        return left;
    }

    int top() {
        return top;
    }

    int width() {
        return width;
    }

    int height() {
        return height;
    }

    /** Returns the width of a full block. */
    int blockWidth() {
        return isTiled ? Math.min(width, tileWidth) : width;
    }

    /** Returns the height of a full block. */
    int blockHeight() {
        return Math.min(height, isTiled ? tileHeight : compression().rows());
    }

    private void begin() throws IOException {
        if (in.left() < 4) {
            throw FormatException.atByte(file, in.left(), "the end of the file", "the four bytes that an EXR file begins with");
        }
        in.need(4, "the four bytes that an EXR file begins with");
        if (BinaryInput.intAt(in.bytes(), in.at()) != MAGIC) {
            throw FormatException.ofFile(file,
                    "does not begin as an EXR file does: export it again as EXR, or give it the ending of what it is");
        }
        in.advance(4);
        int version = takeInt("a version");
        if ((version & 0xff) != VERSION) {
            throw FormatException.atByte(file, 4, "version " + (version & 0xff) + " of the format", "version " + VERSION);
        }
        if ((version & PARTS) != 0) {
            throw FormatException.atByte(file, 5, "a file of several parts",
                    "one part: export the maps as layers, or as files of their own");
        }
        if ((version & DEEP) != 0) {
            throw FormatException.atByte(file, 5, "deep data (several samples a texel)", "one sample a texel: export it flattened");
        }
        if ((version & ~(0xff | TILED | LONG_NAMES)) != 0) {
            throw FormatException.atByte(file, 5, "flags " + Integer.toHexString(version >>> 8) + "₁₆", "flags of version 2 of the format");
        }
        isTiled = (version & TILED) != 0;
    }

    /** Reads one attribute; returns false at the end of the head. */
    private boolean attribute() throws IOException {
        long place = in.offset();
        String name = takeName("an attribute's name");
        if (name.isEmpty()) {
            return false;
        }
        String type = takeName("the type of attribute " + FormatException.quote(name));
        int size = takeInt("the size of attribute " + FormatException.quote(name));
        if (size < 0 || size > in.left()) {
            throw FormatException.atByte(file, in.offset() - 4,
                    "attribute " + FormatException.quote(name) + " of " + (size & 0xffffffffL) + " bytes",
                    "at most the " + in.left() + " that are left: the file is cut off or damaged");
        }
        long end = in.offset() + size;
        switch (name) {
            case "channels" -> {
                expect(place, name, type, "chlist", size, size);
                takeChannels(end);
            }
            case "compression" -> {
                expect(place, name, type, "compression", size, 1);
                takeCompression();
            }
            case "dataWindow" -> {
                expect(place, name, type, "box2i", size, 16);
                takeWindow();
            }
            case "tiles" -> {
                expect(place, name, type, "tiledesc", size, 9);
                takeTiles();
            }
            default -> {
                if (type.equals("string") && size <= LONGEST_TEXT && !isReserved(name)) {
                    in.need(size, "attribute " + FormatException.quote(name));
                    text.put(name, new String(in.bytes(), in.at(), size, StandardCharsets.UTF_8));
                }
            }
        }
        in.skip(end - in.offset(), "attribute " + FormatException.quote(name));
        return true;
    }

    private void expect(long place, String name, String type, String expectedType, int size, int expectedSize) throws FormatException {
        if (!type.equals(expectedType) || size != expectedSize) {
            throw FormatException.atByte(file, place,
                    "attribute " + FormatException.quote(name) + " of type " + FormatException.quote(type) + " with " + size + " bytes",
                    "type \"" + expectedType + "\" with " + expectedSize);
        }
    }

    private void takeChannels(long end) throws IOException {
        channels.clear();
        pixelBytes = 0;
        String before = "";
        while (true) {
            long place = in.offset();
            String name = takeName("a channel's name");
            if (name.isEmpty()) {
                break;
            }
            in.need(16, "a channel's description");
            int number = BinaryInput.intAt(in.bytes(), in.at());
            PixelType type = PixelType.numbered(number);
            int across = BinaryInput.intAt(in.bytes(), in.at() + 8);
            int down = BinaryInput.intAt(in.bytes(), in.at() + 12);
            in.advance(16);
            if (type == null) {
                throw FormatException.atByte(file, in.offset() - 16,
                        "samples of type " + number + " in channel " + FormatException.quote(name),
                        "0 (whole numbers), 1 (half) or 2 (float)");
            }
            if (across != 1 || down != 1) {
                throw FormatException.atByte(file, in.offset() - 8,
                        "channel " + FormatException.quote(name) + " with a sample every " + across + " × " + down + " texels",
                        "one a texel: export it without subsampling");
            }
            if (Channel.compareNames(before, name) >= 0) {
                throw FormatException.atByte(file, place,
                        "channel " + FormatException.quote(name) + " after " + FormatException.quote(before),
                        "channels in the order of their names");
            }
            if (in.offset() >= end || channels.size() == MOST_CHANNELS) {
                throw FormatException.atByte(file, place, "channels without an end",
                        "at most " + MOST_CHANNELS + " inside their attribute");
            }
            channels.add(new Channel(name, type));
            pixelBytes += type.bytes();
            before = name;
        }
        if (in.offset() != end) {
            throw FormatException.atByte(file, in.offset(), "the end of the channels",
                    "it at byte " + end + ", where their attribute ends");
        }
        if (channels.isEmpty()) {
            throw FormatException.atByte(file, in.offset() - 1, "no channels", "at least one");
        }
    }

    private void takeCompression() throws IOException {
        in.need(1, "the compression");
        int number = in.bytes()[in.at()] & 0xff;
        Compression found = Compression.numbered(number);
        if (found == null || !found.isRead()) {
            throw FormatException.atByte(file, in.offset(), "compression " + (found == null ? "number " + number : found.name()),
                    "NONE, RLE, ZIPS or ZIP: export it with one of these");
        }
        compression = found;
    }

    private void takeWindow() throws IOException {
        in.need(16, "the data window");
        int at = in.at();
        left = BinaryInput.intAt(in.bytes(), at);
        top = BinaryInput.intAt(in.bytes(), at + 4);
        long across = (long) BinaryInput.intAt(in.bytes(), at + 8) - left + 1;
        long down = (long) BinaryInput.intAt(in.bytes(), at + 12) - top + 1;
        if (across < 1 || down < 1 || across > Integer.MAX_VALUE || down > Integer.MAX_VALUE || across * down > Integer.MAX_VALUE) {
            throw FormatException.atByte(file, in.offset(), "a size of " + across + " × " + down + " texels",
                    "positive sides and at most " + Integer.MAX_VALUE + " texels");
        }
        width = (int) across;
        height = (int) down;
    }

    private void takeTiles() throws IOException {
        in.need(9, "the tiles' size");
        tileWidth = BinaryInput.intAt(in.bytes(), in.at());
        tileHeight = BinaryInput.intAt(in.bytes(), in.at() + 4);
        if (tileWidth < 1 || tileHeight < 1) {
            throw FormatException.atByte(file, in.offset(), "tiles of " + tileWidth + " × " + tileHeight + " texels", "positive sides");
        }
    }

    private void checkComplete() throws FormatException {
        String missing = channels.isEmpty()
                ? "channels"
                : compression == null ? "compression" : width == 0 ? "dataWindow" : isTiled && tileWidth == 0 ? "tiles" : "";
        if (!missing.isEmpty()) {
            throw FormatException.atByte(file, in.offset(), "the end of the head", "an attribute \"" + missing + "\" before it");
        }
    }

    private int takeInt(String what) throws IOException {
        in.need(4, what);
        int value = BinaryInput.intAt(in.bytes(), in.at());
        in.advance(4);
        return value;
    }

    /** Takes text up to a zero byte. */
    private String takeName(String what) throws IOException {
        int length = 0;
        while (true) {
            in.need(length + 1, what);
            if (in.bytes()[in.at() + length] == 0) {
                break;
            }
            if (++length > LONGEST_NAME) {
                throw FormatException.atByte(file, in.offset(), "a name of more than " + LONGEST_NAME + " bytes", what);
            }
        }
        String name = new String(in.bytes(), in.at(), length, StandardCharsets.UTF_8);
        in.advance(length + 1);
        return name;
    }
}
