package org.estampage.io.tiff;

import java.awt.image.BufferedImage;
import java.nio.ByteOrder;
import java.util.zip.DataFormatException;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.io.format.FormatException;
import org.estampage.io.format.SampleFormat;
import org.estampage.io.format.StoredImage;
import org.estampage.io.shared.DecodedImage;
import org.estampage.task.Task;

/**
 * Decodes the strips or tiles of a file's first image.
 */
final class TiffReader {
    private final String name;
    private final byte[] bytes;
    private final TiffLayout layout;
    private final int sampleBytes;
    /** Channels that stand side by side in a strip or tile. */
    private final int together;
    private final boolean isInverted;

    private TiffReader(String name, byte[] bytes, TiffLayout layout) {
        this.name = name;
        this.bytes = bytes;
        this.layout = layout;
        sampleBytes = layout.bits() / 8;
        together = layout.isPlanar() ? 1 : layout.channels();
        isInverted = layout.number(Tags.PHOTOMETRIC, Tags.BLACK_IS_ZERO) == Tags.WHITE_IS_ZERO && !layout.isFloat();
    }

    static StoredImage read(String name, byte[] bytes, Task task) throws FormatException {
        TiffLayout layout = TiffLayout.of(name, bytes);
        if (!layout.isOurs()) {
            return throughTheJdk(name, bytes, layout);
        }
        layout.checkChunks();
        FloatImage image = new TiffReader(name, bytes, layout).decode(task);
        SampleFormat samples = layout.isFloat()
                ? layout.bits() == 16 ? SampleFormat.HALF : SampleFormat.FLOAT
                : SampleFormat.unsigned(layout.bits());
        return new StoredImage(image, samples, layout.texts());
    }

    /** Palettes, a few bits a sample, pictures with losses: what the JDK reads, too. */
    private static StoredImage throughTheJdk(String name, byte[] bytes, TiffLayout layout) throws FormatException {
        // No compression of the format goes beyond a row of the largest fax code: 2,560 texels in 13 bits, here in one byte.
        BufferedImage picture = DecodedImage.of("tiff", name, bytes, texels -> texels <= bytes.length * 2560L);
        int bits = picture.getSampleModel().getSampleSize(0);
        if (bits > 16 || layout.isFloat()) {
            throw FormatException.ofFile(name, "has samples of " + layout.bits()
                    + " bits of a kind that is not read: export it with 8 or 16 bits, or floats of 32");
        }
        FloatImage image = DecodedImage.floats(picture, true);
        return new StoredImage(image, bits > 8 ? SampleFormat.UNSIGNED_16 : SampleFormat.UNSIGNED_8, layout.texts());
    }

    private FloatImage decode(Task task) throws FormatException {
        FloatImage image = FloatImage.create(layout.width(), layout.height(), Encoding.data(Range.UNIT, layout.channels()));
        int perPlane = layout.chunksAcross() * layout.chunksDown();
        int planes = layout.isPlanar() ? layout.channels() : 1;
        byte[] raw = new byte[layout.chunkWidth() * layout.chunkHeight() * together * sampleBytes];
        Task.Stage stage = task.stage("reading TIFF", (long) planes * perPlane);
        for (int chunk = 0; chunk < planes * perPlane; chunk++) {
            int inPlane = chunk % perPlane;
            int x = inPlane % layout.chunksAcross() * layout.chunkWidth();
            int y = inPlane / layout.chunksAcross() * layout.chunkHeight();
            int w = Math.min(layout.chunkWidth(), layout.width() - x);
            int h = Math.min(layout.chunkHeight(), layout.height() - y);
            unpack(chunk, raw, h);
            put(image, x, y, w, h, chunk / perPlane, values(raw, w, h));
            stage.advance(1);
        }
        return image;
    }

    private void unpack(int chunk, byte[] raw, int rows) throws FormatException {
        int rowBytes = layout.chunkWidth() * together * sampleBytes;
        long offset = layout.chunkOffsets()[chunk];
        int count;
        try {
            count = Unpacking.unpack(layout.compression(), bytes, (int) offset, (int) layout.chunkLengths()[chunk], raw);
        } catch (DataFormatException e) {
            throw FormatException.atByte(name, offset, "a damaged strip (" + e.getMessage() + ")", "a compressed one");
        }
        if (count < rowBytes * rows) {
            throw FormatException.atByte(name, offset, "a strip that unpacks to " + count + " bytes",
                    rowBytes * rows + ": the file is damaged");
        }
        int predictor = (int) layout.number(Tags.PREDICTOR, Tags.NO_PREDICTOR);
        boolean isTurned = layout.order() == ByteOrder.LITTLE_ENDIAN && predictor != Tags.FLOAT_DIFFERENCES && sampleBytes > 1;
        for (int at = 0; at < rowBytes * rows; at += rowBytes) {
            if (isTurned) {
                turn(raw, at, rowBytes);
            }
            Predictor.add(predictor, raw, at, rowBytes, together, sampleBytes);
        }
    }

    /** Puts the most significant byte of each sample first. */
    private void turn(byte[] raw, int from, int length) {
        for (int at = from; at < from + length; at += sampleBytes) {
            for (int i = 0, j = sampleBytes - 1; i < j; i++, j--) {
                byte b = raw[at + i];
                raw[at + i] = raw[at + j];
                raw[at + j] = b;
            }
        }
    }

    private float[] values(byte[] raw, int w, int h) {
        float[] values = new float[w * h * together];
        float largest = (1 << Math.min(layout.bits(), 16)) - 1;
        for (int i = 0; i < values.length; i++) {
            int row = i / (w * together);
            int at = (row * layout.chunkWidth() * together + i % (w * together)) * sampleBytes;
            int bits = 0;
            for (int b = 0; b < sampleBytes; b++) {
                bits = bits << 8 | (raw[at + b] & 0xff);
            }
            if (!layout.isFloat()) {
                values[i] = (isInverted ? largest - bits : bits) / largest;
            } else {
                values[i] = sampleBytes == 2 ? Float.float16ToFloat((short) bits) : Float.intBitsToFloat(bits);
            }
        }
        return values;
    }

    private void put(FloatImage image, int x, int y, int w, int h, int plane, float[] values) {
        if (together == image.channels()) {
            image.write(x, y, w, h, values);
            return;
        }
        int channels = image.channels();
        float[] all = image.read(x, y, w, h, new float[w * h * channels]);
        for (int i = 0; i < w * h; i++) {
            all[i * channels + plane] = values[i];
        }
        image.write(x, y, w, h, all);
    }
}
