package org.estampage.io.tga;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.Map;
import org.estampage.image.FloatImage;
import org.estampage.io.shared.SampleRows;
import org.estampage.task.Task;

/** Writes one image. */
final class TgaWriter {
    private static final int LARGEST_SIDE = 65535;
    private static final int SOFTWARE_AT = 426;
    private static final int SOFTWARE_LENGTH = 40;
    private static final int ALPHA_KIND_AT = 494;
    private static final byte ALPHA_COUNTS = 3;

    private final FloatImage image;
    private final Map<String, String> text;
    private final int pixelBytes;

    TgaWriter(FloatImage image, Map<String, String> text) {
        if (image.channels() == 2) {
            throw new IllegalArgumentException("channels = 2: TGA files have 1, 3 or 4; pack the channels otherwise, or use PNG or TIFF");
        }
        if (image.width() > LARGEST_SIDE || image.height() > LARGEST_SIDE
                || (long) image.width() * image.height() * image.channels() > 1 << 30) {
            throw new IllegalArgumentException(image + " is too large for a TGA file: at most 65535 texels a side and 1 GiB in all");
        }
        text.forEach((keyword, value) -> {
            if (keyword.isEmpty() || keyword.contains(":") || (keyword + value).chars().anyMatch(Character::isISOControl)) {
                throw new IllegalArgumentException(
                        "text \"" + keyword + "\" must have a keyword without a colon, and no control characters");
            }
        });
        this.image = image;
        this.text = text;
        pixelBytes = image.channels();
    }

    void write(OutputStream out, Task task) throws IOException {
        byte[] texels = texels(task);
        byte[] runs = runs(texels);
        boolean shorter = runs.length < texels.length;
        byte[] header = new byte[Layout.HEADER];
        header[2] = (byte) ((pixelBytes == 1 ? Layout.GREY_TYPE : Layout.COLOUR_TYPE) + (shorter ? Layout.RUNS : 0));
        Layout.putShort(header, 12, image.width());
        Layout.putShort(header, 14, image.height());
        header[16] = (byte) (8 * pixelBytes);
        header[17] = (byte) (Layout.FROM_TOP | (pixelBytes == 4 ? 8 : 0));
        out.write(header);
        byte[] body = shorter ? runs : texels;
        out.write(body);
        long at = Layout.HEADER + (long) body.length;

        // The developer area: our field, then a directory of one entry.
        byte[] lines = lines();
        long directoryAt = 0;
        if (lines.length > 0) {
            out.write(lines);
            byte[] directory = new byte[12];
            Layout.putShort(directory, 0, 1);
            Layout.putShort(directory, 2, Layout.TEXT_FIELD);
            Layout.putInt(directory, 4, at);
            Layout.putInt(directory, 8, lines.length);
            directoryAt = at + lines.length;
            out.write(directory);
            at = directoryAt + directory.length;
        }
        out.write(extension());
        byte[] footer = new byte[Layout.FOOTER];
        Layout.putInt(footer, 0, at);
        Layout.putInt(footer, 4, directoryAt);
        System.arraycopy(Layout.SIGNATURE, 0, footer, 8, Layout.SIGNATURE.length);
        out.write(footer);
    }

    /** Returns all texels from the upper left, blue before green before red. */
    private byte[] texels(Task task) {
        SampleRows rows = new SampleRows(image, 8);
        int rowBytes = rows.rowBytes();
        byte[] all = new byte[rowBytes * image.height()];
        byte[] row = new byte[rowBytes];
        float[] values = new float[rowBytes];
        Task.Stage stage = task.stage("writing TGA", image.height());
        for (int y = 0; y < image.height(); y++) {
            rows.row(y, values, row);
            for (int i = 0; pixelBytes > 1 && i < rowBytes; i += pixelBytes) {
                byte red = row[i];
                row[i] = row[i + 2];
                row[i + 2] = red;
            }
            System.arraycopy(row, 0, all, y * rowBytes, rowBytes);
            stage.advance(1);
        }
        return all;
    }

    /** Returns the texels as packets, none of which goes on into the next row. */
    private byte[] runs(byte[] texels) {
        ByteArrayOutputStream out = new ByteArrayOutputStream(texels.length / 2 + 16);
        int width = image.width();
        for (int y = 0; y < image.height(); y++) {
            int x = 0;
            while (x < width) {
                int same = sameFrom(texels, y, x);
                if (same > 1) {
                    out.write(Layout.PACKET | (same - 1));
                    out.write(texels, (y * width + x) * pixelBytes, pixelBytes);
                    x += same;
                } else {
                    int end = x + 1;
                    while (end < width && end - x < Layout.PACKET && sameFrom(texels, y, end) < 2) {
                        end++;
                    }
                    out.write(end - x - 1);
                    out.write(texels, (y * width + x) * pixelBytes, (end - x) * pixelBytes);
                    x = end;
                }
            }
        }
        return out.toByteArray();
    }

    /** Returns how many texels from one on are alike, at most a packet's, within the row. */
    private int sameFrom(byte[] texels, int y, int x) {
        int first = (y * image.width() + x) * pixelBytes;
        int most = Math.min(Layout.PACKET, image.width() - x);
        int count = 1;
        while (count < most
                && Arrays.equals(texels, first, first + pixelBytes, texels, first + count * pixelBytes, first + (count + 1) * pixelBytes)) {
            count++;
        }
        return count;
    }

    private byte[] lines() {
        StringBuilder lines = new StringBuilder();
        text.forEach((keyword, value) -> lines.append(keyword).append(": ").append(value).append('\n'));
        return lines.toString().getBytes(StandardCharsets.UTF_8);
    }

    private byte[] extension() {
        byte[] area = new byte[Layout.EXTENSION];
        Layout.putShort(area, 0, Layout.EXTENSION);
        byte[] software = text.getOrDefault("Software", "").getBytes(StandardCharsets.US_ASCII);
        System.arraycopy(software, 0, area, SOFTWARE_AT, Math.min(software.length, SOFTWARE_LENGTH));
        area[SOFTWARE_AT + SOFTWARE_LENGTH + 3] = ' '; // no version letter
        area[ALPHA_KIND_AT] = pixelBytes == 4 ? ALPHA_COUNTS : 0;
        return area;
    }
}
