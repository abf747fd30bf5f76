package org.estampage.io.png;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayDeque;
import java.util.Arrays;
import java.util.Deque;
import java.util.Map;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.ForkJoinPool;
import java.util.concurrent.ForkJoinTask;
import java.util.zip.CRC32;
import java.util.zip.Deflater;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.task.Task;

/**
 * Writes PNG files of 8 or 16 bits: 1 channel as grey, 2 as grey with alpha, 3 as RGB, 4 as RGBA.
 *
 * <p>The image is cut into bands of rows by a fixed rule; bands are filtered and deflated side by side, each ends on a byte border (a sync flush), and
 * joined they are one zlib stream. So the bytes are the same for any number of threads (but may differ between versions of the JDK's zlib).
 *
 * @source ISO/IEC 15948:2004 (PNG), RFC 1950 (zlib), RFC 1951 (deflate); the sum of absolute differences as a guide for filters is the
 *         recommendation of ISO/IEC 15948, 12.8
 */
public final class PngWriter {
    private static final byte[] SIGNATURE = {(byte) 0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n'};
    /** Raw bytes of a band: large enough that the restart of the dictionary costs little, small enough that two threads stay busy. */
    private static final int BAND_BYTES = 1 << 20;
    private static final int ADLER_BASE = 65521;
    private static final int LEVEL = 5;

    private PngWriter() {
    }

    /**
     * Writes an image.
     *
     * @param bits 8 or 16
     * @param text keywords and values, stored in this order; a keyword is 1 … 79 Latin letters
     * @throws IllegalArgumentException if {@code bits} or a keyword is not allowed
     * @throws IOException              if {@code out} fails
     */
    public static void write(FloatImage image, int bits, Map<String, String> text, OutputStream out, Task task) throws IOException {
        if (bits != 8 && bits != 16) {
            throw new IllegalArgumentException("bits = " + bits + " must be 8 or 16 for PNG");
        }
        out.write(SIGNATURE);
        chunk(out, "IHDR", header(image.width(), image.height(), bits, image.channels()));
        if (image.encoding().kind() == Encoding.Kind.COLOUR) {
            chunk(out, "sRGB", new byte[] {0}); // perceptual intent
        }
        for (Map.Entry<String, String> entry : text.entrySet()) {
            writeText(out, entry.getKey(), entry.getValue());
        }
        writeBands(image, bits, out, task);
        chunk(out, "IEND", new byte[0]);
    }

    static byte[] header(int width, int height, int bits, int channels) {
        byte[] h = new byte[13];
        putInt(h, 0, width);
        putInt(h, 4, height);
        h[8] = (byte) bits;
        h[9] = new byte[] {0, 4, 2, 6}[channels - 1];
        return h;
    }

    private static void writeText(OutputStream out, String keyword, String value) throws IOException {
        if (keyword.isEmpty() || keyword.length() > 79 || !keyword.chars().allMatch(c -> c >= 32 && c < 127)) {
            throw new IllegalArgumentException("the keyword \"" + keyword + "\" must be 1 … 79 printable ASCII letters");
        }
        boolean latin = value.chars().allMatch(c -> c == '\n' || c >= 32 && c < 127 || c >= 161 && c < 256);
        ByteArrayOutputStream data = new ByteArrayOutputStream();
        data.writeBytes(keyword.getBytes(StandardCharsets.ISO_8859_1));
        data.write(0);
        if (latin) {
            data.writeBytes(value.getBytes(StandardCharsets.ISO_8859_1));
            chunk(out, "tEXt", data.toByteArray());
        } else { // not compressed, no language, no translated keyword
            data.writeBytes(new byte[4]);
            data.writeBytes(value.getBytes(StandardCharsets.UTF_8));
            chunk(out, "iTXt", data.toByteArray());
        }
    }

    /** One band, deflated. */
    private record Band(byte[] deflated, int length, int adler, long rawLength) {
    }

    private static void writeBands(FloatImage image, int bits, OutputStream out, Task task) throws IOException {
        long rowBytes = 1 + (long) image.width() * image.channels() * (bits / 8);
        if (rowBytes > Integer.MAX_VALUE - 16) {
            throw new IllegalArgumentException("rows of " + rowBytes + " bytes are too long");
        }
        int rows = (int) Math.max(1, BAND_BYTES / rowBytes);
        int bands = (image.height() + rows - 1) / rows;
        int ahead = 2 * Math.max(1, ForkJoinPool.commonPool().getParallelism()) + 2;
        Deque<ForkJoinTask<Band>> running = new ArrayDeque<>();
        int next = 0;
        int adler = 1;
        byte[] prefix = {0x78, (byte) 0x5e};
        Task.Stage stage = task.stage("writing PNG", bands);
        try {
            for (int b = 0; b < bands; b++) {
                while (next < bands && running.size() < ahead) {
                    int from = next * rows, to = Math.min(image.height(), from + rows);
                    boolean last = next == bands - 1;
                    running.add(ForkJoinPool.commonPool().submit(() -> band(image, bits, from, to, last)));
                    next++;
                }
                Band band = join(running.removeFirst());
                adler = combine(adler, band.adler, band.rawLength);
                boolean last = b == bands - 1;
                byte[] data = new byte[prefix.length + band.length + (last ? 4 : 0)];
                System.arraycopy(prefix, 0, data, 0, prefix.length);
                System.arraycopy(band.deflated, 0, data, prefix.length, band.length);
                if (last) {
                    putInt(data, data.length - 4, adler);
                }
                prefix = new byte[0];
                chunk(out, "IDAT", data);
                stage.advance(1);
            }
        } finally {
            running.forEach(task2 -> task2.cancel(true));
        }
    }

    private static Band join(ForkJoinTask<Band> band) throws IOException {
        try {
            return band.get();
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            throw new CancellationException("interrupted");
        } catch (ExecutionException e) {
            throw e.getCause() instanceof UncheckedIOException io ? io.getCause() : new IOException(e.getCause());
        }
    }

    private static Band band(FloatImage image, int bits, int from, int to, boolean last) {
        int width = image.width(), channels = image.channels();
        int pixel = channels * (bits / 8);
        int length = width * pixel;
        float[] values = new float[width * channels];
        byte[] above = new byte[length], row = new byte[length];
        byte[][] filtered = new byte[5][1 + length];
        for (int f = 0; f < 5; f++) {
            filtered[f][0] = (byte) f;
        }
        if (from > 0) {
            quantise(image, bits, from - 1, values, above);
        }
        Deflater deflater = new Deflater(LEVEL, true);
        byte[] out = new byte[Math.max(256, (to - from) * (length + 1) / 2)];
        int used = 0;
        int a = 1, s = 0;
        try {
            for (int y = from; y < to; y++) {
                quantise(image, bits, y, values, row);
                byte[] best = filter(row, y == 0 ? new byte[length] : above, pixel, filtered);
                long adler = adler(a, s, best);
                a = (int) adler;
                s = (int) (adler >>> 32);
                deflater.setInput(best);
                while (!deflater.needsInput()) {
                    out = room(out, used);
                    used += deflater.deflate(out, used, out.length - used, Deflater.NO_FLUSH);
                }
                byte[] swap = above;
                above = row;
                row = swap;
            }
            if (last) {
                deflater.finish();
            }
            while (true) {
                out = room(out, used);
                int n = deflater.deflate(out, used, out.length - used, last ? Deflater.NO_FLUSH : Deflater.SYNC_FLUSH);
                used += n;
                if (last ? deflater.finished() : used < out.length) {
                    break;
                }
            }
        } finally {
            deflater.end();
        }
        return new Band(out, used, s << 16 | a, (long) (to - from) * (length + 1));
    }

    private static byte[] room(byte[] out, int used) {
        return out.length - used < 64 ? Arrays.copyOf(out, 2 * out.length) : out;
    }

    /** Stores a row, samples big-endian. */
    private static void quantise(FloatImage image, int bits, int y, float[] values, byte[] dest) {
        int channels = image.channels();
        Encoding encoding = image.encoding();
        image.read(0, y, image.width(), 1, values);
        for (int i = 0; i < values.length; i++) {
            int v = encoding.quantise(i % channels, values[i], bits);
            if (bits == 8) {
                dest[i] = (byte) v;
            } else {
                dest[2 * i] = (byte) (v >>> 8);
                dest[2 * i + 1] = (byte) v;
            }
        }
    }

    /** Filters a row in all five ways and returns the one with the least sum of absolute differences, the first of equals. */
    private static byte[] filter(byte[] row, byte[] above, int pixel, byte[][] filtered) {
        long[] sums = new long[5];
        for (int i = 0; i < row.length; i++) {
            int x = row[i] & 0xff, b = above[i] & 0xff;
            int a = i >= pixel ? row[i - pixel] & 0xff : 0, c = i >= pixel ? above[i - pixel] & 0xff : 0;
            filtered[0][i + 1] = (byte) x;
            filtered[1][i + 1] = (byte) (x - a);
            filtered[2][i + 1] = (byte) (x - b);
            filtered[3][i + 1] = (byte) (x - (a + b >>> 1));
            filtered[4][i + 1] = (byte) (x - paeth(a, b, c));
            for (int f = 0; f < 5; f++) {
                sums[f] += Math.abs(filtered[f][i + 1]);
            }
        }
        int best = 0;
        for (int f = 1; f < 5; f++) {
            if (sums[f] < sums[best]) {
                best = f;
            }
        }
        return filtered[best];
    }

    /** Returns which of left, above and above left is nearest to left + above − above left; of equals the first. */
    static int paeth(int a, int b, int c) {
        int p = a + b - c;
        int pa = Math.abs(p - a), pb = Math.abs(p - b), pc = Math.abs(p - c);
        return pa <= pb && pa <= pc ? a : pb <= pc ? b : c;
    }

    private static long adler(int a, int s, byte[] data) {
        int i = 0;
        while (i < data.length) {
            int end = Math.min(data.length, i + 3800); // sums stay below 2³¹ that far
            for (; i < end; i++) {
                a += data[i] & 0xff;
                s += a;
            }
            a %= ADLER_BASE;
            s %= ADLER_BASE;
        }
        return (long) s << 32 | a;
    }

    /** Returns the Adler-32 of two pieces joined, from each one's own. */
    static int combine(int first, int second, long secondLength) {
        long a1 = first & 0xffff, s1 = first >>> 16 & 0xffff, a2 = second & 0xffff, s2 = second >>> 16 & 0xffff;
        long a = (a1 + a2 + ADLER_BASE - 1) % ADLER_BASE;
        long s = (s1 + s2 + secondLength % ADLER_BASE * ((a1 + ADLER_BASE - 1) % ADLER_BASE)) % ADLER_BASE;
        return (int) (s << 16 | a);
    }

    private static void chunk(OutputStream out, String type, byte[] data) throws IOException {
        byte[] frame = new byte[8];
        putInt(frame, 0, data.length);
        for (int i = 0; i < 4; i++) {
            frame[4 + i] = (byte) type.charAt(i);
        }
        out.write(frame);
        out.write(data);
        byte[] end = new byte[4];
        putInt(end, 0, crc(frame, data));
        out.write(end);
    }

    private static int crc(byte[] frame, byte[] data) {
        CRC32 crc = new CRC32();
        crc.update(frame, 4, 4);
        crc.update(data);
        return (int) crc.getValue();
    }

    private static void putInt(byte[] dest, int at, int value) {
        dest[at] = (byte) (value >>> 24);
        dest[at + 1] = (byte) (value >>> 16);
        dest[at + 2] = (byte) (value >>> 8);
        dest[at + 3] = (byte) value;
    }
}
