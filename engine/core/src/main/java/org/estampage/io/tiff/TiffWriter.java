package org.estampage.io.tiff;

import java.awt.color.ColorSpace;
import java.awt.color.ICC_Profile;
import java.io.ByteArrayOutputStream;
import java.io.DataOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.TreeMap;
import java.util.stream.IntStream;
import java.util.zip.Deflater;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.io.format.SampleFormat;
import org.estampage.io.shared.SampleRows;
import org.estampage.task.Task;

/**
 * Writes one image: header, strips, directory, most significant byte first.
 *
 * <p>Strips are deflated side by side and all held until the first byte goes out, since the header says where the directory behind them stands.
 */
final class TiffWriter {
    /** Bytes of a strip before deflating: eight of the deflater's windows, so that starting each anew costs little. */
    private static final int STRIP_BYTES = 1 << 18;

    /** Offsets are of 32 bits; what is left is for the directory. */
    private static final long LARGEST = (1L << 32) - (1 << 20);

    private static final int HEADER = 8;

    /** As for PNG: low bytes of 16-bit maps and of floats are noise, on which higher levels gain little. */
    private static final int LEVEL_8 = 5;
    private static final int LEVEL_WIDE = 2;

    private final FloatImage image;
    private final SampleFormat samples;
    private final int predictor;
    private final int sampleBytes;
    private final int rowBytes;
    private final int rowsPerStrip;
    private final Map<Integer, Field> directory = new TreeMap<>(); // tags stand in rising order

    /** One entry of the directory: its values as bytes. */
    private static final class Field {
        final int type;
        final int count;
        final byte[] value;

        Field(int type, int count, byte... value) {
            this.type = type;
            this.count = count;
            this.value = value;
        }
    }

    TiffWriter(FloatImage image, SampleFormat samples) {
        long bytes = (long) image.width() * image.channels() * samples.bits() / 8;
        if (bytes * image.height() > LARGEST || bytes > Integer.MAX_VALUE / 2) {
            throw new IllegalArgumentException(
                    image + " in " + samples + " must take less than 4 GiB in a TIFF file, and a row less than 1 GiB");
        }
        this.image = image;
        this.samples = samples;
        predictor = samples.isFloat() ? Tags.FLOAT_DIFFERENCES : Tags.DIFFERENCES;
        sampleBytes = samples.bits() / 8;
        rowBytes = (int) bytes;
        rowsPerStrip = Math.clamp(STRIP_BYTES / rowBytes, 1, image.height());
    }

    void write(Map<String, String> text, OutputStream out, Task task) throws IOException {
        byte[][] strips = strips(task);
        long end = HEADER;
        long[] offsets = new long[strips.length];
        long[] lengths = new long[strips.length];
        for (int i = 0; i < strips.length; i++) {
            offsets[i] = end;
            lengths[i] = strips[i].length;
            end += strips[i].length;
        }
        boolean odd = (end & 1) == 1; // a directory begins at an even byte
        describe(text);
        put(Tags.STRIP_OFFSETS, Tags.LONG, offsets);
        put(Tags.STRIP_BYTES, Tags.LONG, lengths);
        DataOutputStream data = new DataOutputStream(out);
        data.writeBytes("MM");
        data.writeShort(42);
        data.writeInt((int) (odd ? end + 1 : end));
        for (byte[] strip : strips) {
            data.write(strip);
        }
        if (odd) {
            data.write(0);
        }
        writeDirectory(data, odd ? end + 1 : end);
    }

    private byte[][] strips(Task task) {
        int count = (image.height() + rowsPerStrip - 1) / rowsPerStrip;
        Task.Stage stage = task.stage("writing TIFF", count);
        SampleRows rows = samples.isFloat() ? null : new SampleRows(image, samples.bits());
        byte[][] strips = new byte[count][];
        IntStream.range(0, count).parallel().forEach(i -> {
            int top = i * rowsPerStrip;
            byte[] raw = new byte[Math.min(rowsPerStrip, image.height() - top) * rowBytes];
            byte[] row = new byte[rowBytes];
            float[] values = new float[image.width() * image.channels()];
            for (int at = 0; at < raw.length; at += rowBytes) {
                int y = top + at / rowBytes;
                if (rows != null) {
                    rows.row(y, values, row);
                } else {
                    floats(y, values, row);
                }
                Predictor.differ(predictor, row, 0, rowBytes, image.channels(), sampleBytes);
                System.arraycopy(row, 0, raw, at, rowBytes);
            }
            strips[i] = deflated(raw);
            stage.advance(1);
        });
        return strips;
    }

    private void floats(int y, float[] values, byte[] dest) {
        image.read(0, y, image.width(), 1, values);
        for (int i = 0; i < values.length; i++) {
            int bits = Float.floatToRawIntBits(values[i]);
            for (int b = 0; b < Float.BYTES; b++) {
                dest[i * Float.BYTES + b] = (byte) (bits >> (24 - 8 * b));
            }
        }
    }

    private byte[] deflated(byte[] raw) {
        Deflater deflater = new Deflater(samples.bits() == 8 ? LEVEL_8 : LEVEL_WIDE);
        try {
            deflater.setInput(raw);
            deflater.finish();
            byte[] bytes = new byte[raw.length / 2 + 64];
            int length = 0;
            while (!deflater.finished()) {
                if (length == bytes.length) {
                    bytes = Arrays.copyOf(bytes, bytes.length * 2);
                }
                length += deflater.deflate(bytes, length, bytes.length - length);
            }
            return Arrays.copyOf(bytes, length);
        } finally {
            deflater.end();
        }
    }

    private void describe(Map<String, String> text) throws IOException {
        int channels = image.channels();
        boolean isColour = image.encoding().kind() == Encoding.Kind.COLOUR;
        put(Tags.WIDTH, Tags.LONG, image.width());
        put(Tags.HEIGHT, Tags.LONG, image.height());
        put(Tags.BITS, Tags.SHORT, each(channels, samples.bits()));
        put(Tags.COMPRESSION, Tags.SHORT, Tags.DEFLATE);
        put(Tags.PHOTOMETRIC, Tags.SHORT, channels < 3 ? Tags.BLACK_IS_ZERO : Tags.RGB);
        put(Tags.CHANNELS, Tags.SHORT, channels);
        put(Tags.ROWS_PER_STRIP, Tags.LONG, rowsPerStrip);
        put(Tags.PLANAR, Tags.SHORT, 1); // channels side by side
        put(Tags.PREDICTOR, Tags.SHORT, predictor);
        put(Tags.SAMPLE_FORMAT, Tags.SHORT, each(channels, samples.isFloat() ? Tags.FLOAT : Tags.UNSIGNED));
        if (channels == 2 || channels == 4) {
            put(Tags.EXTRA, Tags.SHORT, isColour ? Tags.ALPHA : Tags.UNSPECIFIED);
        }
        if (isColour && channels >= 3 && !samples.isFloat()) {
            byte[] profile = ICC_Profile.getInstance(ColorSpace.CS_sRGB).getData();
            directory.put(Tags.PROFILE, new Field(Tags.UNDEFINED, profile.length, profile));
        }
        Map<String, String> texts = new LinkedHashMap<>(text);
        String software = texts.remove(TiffText.SOFTWARE);
        if (software != null) {
            put(Tags.SOFTWARE, software);
        }
        if (!texts.isEmpty()) {
            put(Tags.DESCRIPTION, TiffText.joined(texts));
        }
    }

    private static long[] each(int channels, long value) {
        long[] values = new long[channels];
        Arrays.fill(values, value);
        return values;
    }

    private void put(int tag, String text) {
        byte[] bytes = Arrays.copyOf(text.getBytes(StandardCharsets.UTF_8), text.getBytes(StandardCharsets.UTF_8).length + 1); // ends with a zero
        directory.put(tag, new Field(Tags.ASCII, bytes.length, bytes));
    }

    private void put(int tag, int type, long... values) throws IOException {
        ByteArrayOutputStream bytes = new ByteArrayOutputStream();
        DataOutputStream data = new DataOutputStream(bytes);
        for (long value : values) {
            if (type == Tags.SHORT) {
                data.writeShort((int) value);
            } else {
                data.writeInt((int) value);
            }
        }
        directory.put(tag, new Field(type, values.length, bytes.toByteArray()));
    }

    /** Writes the directory, then the values that are too long to stand in it. */
    private void writeDirectory(DataOutputStream data, long at) throws IOException {
        long next = at + 2 + 12L * directory.size() + 4;
        data.writeShort(directory.size());
        for (Map.Entry<Integer, Field> entry : directory.entrySet()) {
            Field field = entry.getValue();
            data.writeShort(entry.getKey());
            data.writeShort(field.type);
            data.writeInt(field.count);
            if (field.value.length <= 4) {
                data.write(Arrays.copyOf(field.value, 4));
            } else {
                data.writeInt((int) next);
                next += field.value.length + (field.value.length & 1);
            }
        }
        data.writeInt(0); // no further directory
        for (Field field : directory.values()) {
            if (field.value.length > 4) {
                data.write(field.value);
                if ((field.value.length & 1) == 1) {
                    data.write(0); // values begin at even bytes
                }
            }
        }
    }
}
