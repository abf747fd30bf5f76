package org.estampage.io.png;

import java.io.IOException;
import java.io.OutputStream;
import java.util.Arrays;
import java.util.Map;
import java.util.Objects;
import java.util.stream.IntStream;
import java.util.zip.Adler32;
import java.util.zip.Deflater;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.io.shared.SampleRows;
import org.estampage.task.Task;

/**
 * Writes images as PNG files of 8 or 16 bits a sample: 1 channel as grey, 2 as grey with alpha, 3 as RGB, 4 as RGB with alpha.
 *
 * <p>Samples are those of {@link Encoding#quantise}. Data, normals and identifiers carry no colour tag (no sRGB, gAMA, iCCP or cHRM chunk);
 * colour is tagged sRGB. Bands of rows are filtered and deflated side by side and joined into one stream; how the rows are cut depends on the
 * image alone.
 *
 * @threads safe for concurrent calls; runs in the caller's fork-join pool, else in the common one. Same bytes for any number of threads (another
 *          JDK's deflater may write other bytes for the same samples)
 * @cost a few megabytes a thread besides the image
 * @source W3C Portable Network Graphics (Third Edition); RFC 1950 (the Adler-32 checksum), RFC 1951 (a flushed block ends on a byte, so blocks
 *         can be joined)
 */
public final class PngWriter {
    /** Bytes of a band before deflating: 32 of the deflater's windows, so that starting each anew costs little. */
    private static final int BAND_BYTES = 1 << 20;

    /** Bands that are held at once before they are written. */
    private static final int BANDS_AT_ONCE = 32;

    /**
     * Deflater levels for 8 and 16 bits. On filtered rows of 16-bit maps the low bytes are noise, and higher levels take half as long again for 2 %;
     * on 8-bit ones level 5 takes 1.6 times as long as 4 for 2 %.
     */
    private static final int LEVEL_8 = 4;
    private static final int LEVEL_16 = 2;

    /** Longest row: a band must hold at least one. */
    private static final int LARGEST_ROW_BYTES = 1 << 23;

    private static final int ADLER_MODULUS = 65521;

    private PngWriter() {
    }

    /**
     * Writes a PNG stream; {@code out} is neither flushed nor closed.
     *
     * @param bits 8 or 16
     * @param text texts by keyword, written in the map's order (give one that has a fixed order): as Latin-1 where that can hold them, else as
     *             UTF-8
     * @throws IOException                                if {@code out} fails
     * @throws IllegalArgumentException                   if {@code bits} is neither 8 nor 16, a row takes more than 2²³ bytes, or a keyword or
     *                                                    text is not what the format allows
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public static void write(FloatImage image, int bits, Map<String, String> text, OutputStream out, Task task) throws IOException {
        check(image, bits, text);
        Objects.requireNonNull(out, "out");
        Objects.requireNonNull(task, "task");
        out.write(PngChunks.signature());
        PngChunks.write(out, "IHDR", header(image, bits));
        if (image.encoding().kind() == Encoding.Kind.COLOUR) {
            PngChunks.write(out, "sRGB", new byte[] {0}); // rendering intent: perceptual
        }
        for (Map.Entry<String, String> entry : text.entrySet()) {
            PngText.write(out, entry.getKey(), entry.getValue());
        }
        writeRows(image, out, bits, task);
        PngChunks.write(out, "IEND", new byte[0]);
    }

    private static void check(FloatImage image, int bits, Map<String, String> text) {
        if (bits != 8 && bits != 16) {
            throw new IllegalArgumentException("bits = " + bits + " must be 8 or 16");
        }
        long rowBytes = (long) image.width() * image.channels() * bits / 8;
        if (rowBytes > LARGEST_ROW_BYTES) {
            throw new IllegalArgumentException("a row of " + rowBytes + " bytes is too long, it must be at most " + LARGEST_ROW_BYTES);
        }
        text.forEach(PngText::check);
    }

    private static byte[] header(FloatImage image, int bits) {
        byte[] data = new byte[13];
        PngChunks.putInt(data, 0, image.width());
        PngChunks.putInt(data, 4, image.height());
        data[8] = (byte) bits;
        data[9] = switch (image.channels()) {
            case 1 -> 0; // grey
            case 2 -> 4; // grey with alpha
            case 3 -> 2; // RGB
            default -> 6; // RGB with alpha
        };
        return data; // deflate, the five filters, not interlaced: all 0
    }

    private static void writeRows(FloatImage image, OutputStream out, int bits, Task task) throws IOException {
        SampleRows rows = new SampleRows(image, bits);
        int level = bits == 16 ? LEVEL_16 : LEVEL_8;
        int bandRows = Math.max(1, BAND_BYTES / (rows.rowBytes() + 1));
        int bandCount = (image.height() + bandRows - 1) / bandRows;
        Task.Stage stage = task.stage("writing PNG", bandCount);
        long adler = 1;
        for (int first = 0; first < bandCount; first += BANDS_AT_ONCE) {
            Band[] bands = new Band[Math.min(BANDS_AT_ONCE, bandCount - first)];
            int base = first;
            IntStream.range(0, bands.length).parallel().forEach(i -> {
                int top = (base + i) * bandRows;
                bands[i] = new Band(image, rows, level, top, Math.min(image.height(), top + bandRows));
                stage.advance(1);
            });
            for (Band band : bands) {
                adler = joinAdler(adler, band.adler, band.rawLength);
                band.write(out, adler);
            }
        }
    }

    /**
     * Returns the Adler-32 of two stretches of bytes from each one's own.
     *
     * <p>Its halves are a = 1 + Σ bytes and b = Σ of a after each byte, modulo 65521. Behind the first stretch every a is larger by a₁ − 1.
     */
    static long joinAdler(long first, long second, long secondLength) {
        long a1 = first & 0xffff;
        long a = a1 + (second & 0xffff) - 1;
        long b = (first >>> 16) + (second >>> 16) + secondLength % ADLER_MODULUS * (a1 + ADLER_MODULUS - 1);
        return b % ADLER_MODULUS << 16 | a % ADLER_MODULUS;
    }

    /** A band of rows, deflated: a stretch of the whole image's stream, ending on a byte. */
    private static final class Band {
        /** Two bytes of stream header in the first band, four of checksum in the last. */
        private static final int HEADER = 2;
        private static final int TRAILER = 4;

        private final boolean isFirst;
        private final boolean isLast;
        private final int rawLength;
        private final long adler;
        private byte[] bytes;
        private int length;

        Band(FloatImage image, SampleRows rows, int level, int top, int end) {
            isFirst = top == 0;
            isLast = end == image.height();
            byte[] raw = filtered(image, rows, top, end);
            rawLength = raw.length;
            Adler32 sum = new Adler32();
            sum.update(raw);
            adler = sum.getValue();
            bytes = new byte[HEADER + raw.length / 2 + TRAILER + 64];
            if (isFirst) {
                // Deflate with a 32 KiB window; "fast" as the level, which readers ignore; a multiple of 31 as a big-endian number.
                bytes[0] = 0x78;
                bytes[1] = 0x5e;
                length = HEADER;
            }
            deflate(raw, level);
        }

        private static byte[] filtered(FloatImage image, SampleRows rows, int top, int end) {
            int rowBytes = rows.rowBytes();
            float[] values = new float[image.width() * image.channels()];
            byte[] above = new byte[rowBytes];
            byte[] row = new byte[rowBytes];
            byte[] raw = new byte[(end - top) * (rowBytes + 1)];
            if (top > 0) {
                rows.row(top - 1, values, above);
            }
            for (int y = top; y < end; y++) {
                rows.row(y, values, row);
                RowFilter.filter(row, above, rows.pixelBytes(), raw, (y - top) * (rowBytes + 1));
                byte[] spare = above;
                above = row;
                row = spare;
            }
            return raw;
        }

        private void deflate(byte[] raw, int level) {
            Deflater deflater = new Deflater(level, true);
            try {
                deflater.setInput(raw);
                if (isLast) {
                    deflater.finish();
                }
                int flush = isLast ? Deflater.NO_FLUSH : Deflater.SYNC_FLUSH;
                while (true) {
                    int room = bytes.length - TRAILER - length;
                    int count = deflater.deflate(bytes, length, room, flush);
                    length += count;
                    if (count < room) {
                        return; // all is out: a full buffer alone may mean that more is waiting
                    }
                    bytes = Arrays.copyOf(bytes, bytes.length * 2);
                }
            } finally {
                deflater.end();
            }
        }

        /** Writes the band as one chunk; {@code adlerSoFar} is the checksum of everything up to its end. */
        void write(OutputStream out, long adlerSoFar) throws IOException {
            if (isLast) {
                PngChunks.putInt(bytes, length, (int) adlerSoFar);
                length += TRAILER;
            }
            PngChunks.write(out, "IDAT", bytes, length);
        }
    }
}
