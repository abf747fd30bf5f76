package org.estampage.io.exr;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.Map;
import org.estampage.image.Encoding;
import org.estampage.io.shared.BinaryInput;

/**
 * The head of a file to be written.
 *
 * @threads confined
 * @source OpenEXR File Layout, "Header", "Predefined Attribute Types"
 */
final class HeaderBytes {
    /** Red, green, blue and white of ITU-R BT.709, which linear colour without another statement has, x and y of each. */
    private static final float[] BT_709 = {0.64f, 0.33f, 0.3f, 0.6f, 0.15f, 0.06f, 0.3127f, 0.329f};

    private final ByteArrayOutputStream out = new ByteArrayOutputStream();

    private HeaderBytes() {
    }

    /** Returns everything that stands before the table of blocks. */
    static byte[] of(List<ExrLayer> layers, List<Channel> channels, Map<String, String> text) {
        HeaderBytes header = new HeaderBytes();
        boolean isLong = channels.stream().anyMatch(c -> isLong(c.name())) || text.keySet().stream().anyMatch(HeaderBytes::isLong);
        header.number(ExrHeader.MAGIC);
        header.number(ExrHeader.VERSION | (isLong ? ExrHeader.LONG_NAMES : 0));
        header.channels(channels);
        if (layers.stream().anyMatch(layer -> layer.image().encoding().kind() == Encoding.Kind.COLOUR)) {
            header.begin("chromaticities", "chromaticities", 4 * BT_709.length);
            header.floats(BT_709);
        }
        header.begin("compression", "compression", 1);
        header.out.write(Compression.ZIP.number());
        int right = layers.getFirst().image().width() - 1;
        int bottom = layers.getFirst().image().height() - 1;
        header.window("dataWindow", right, bottom);
        header.window("displayWindow", right, bottom);
        header.begin("lineOrder", "lineOrder", 1);
        header.out.write(0); // downwards
        header.begin("pixelAspectRatio", "float", 4);
        header.floats(1);
        header.begin("screenWindowCenter", "v2f", 8);
        header.floats(0, 0);
        header.begin("screenWindowWidth", "float", 4);
        header.floats(1);
        text.forEach((keyword, value) -> {
            byte[] bytes = value.getBytes(StandardCharsets.UTF_8);
            header.begin(keyword, "string", bytes.length);
            header.out.writeBytes(bytes);
        });
        header.out.write(0);
        return header.out.toByteArray();
    }

    private static boolean isLong(String name) {
        return name.getBytes(StandardCharsets.UTF_8).length > ExrHeader.LONGEST_SHORT_NAME;
    }

    private void channels(List<Channel> channels) {
        HeaderBytes list = new HeaderBytes();
        for (Channel channel : channels) {
            list.name(channel.name());
            list.number(channel.type().number());
            list.number(0); // nothing said about how light it looks, three reserved bytes
            list.number(1); // a sample a texel, across and down
            list.number(1);
        }
        list.out.write(0);
        begin("channels", "chlist", list.out.size());
        out.writeBytes(list.out.toByteArray());
    }

    private void window(String name, int right, int bottom) {
        begin(name, "box2i", 16);
        number(0);
        number(0);
        number(right);
        number(bottom);
    }

    private void begin(String name, String type, int size) {
        name(name);
        name(type);
        number(size);
    }

    private void name(String name) {
        out.writeBytes(name.getBytes(StandardCharsets.UTF_8));
        out.write(0);
    }

    private void number(int value) {
        byte[] bytes = new byte[4];
        BinaryInput.putInt(bytes, 0, value);
        out.writeBytes(bytes);
    }

    private void floats(float... values) {
        for (float value : values) {
            number(Float.floatToRawIntBits(value));
        }
    }
}
