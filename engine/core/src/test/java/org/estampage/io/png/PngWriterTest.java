package org.estampage.io.png;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.awt.image.Raster;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.util.Map;
import java.util.Random;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ForkJoinPool;
import javax.imageio.ImageIO;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

class PngWriterTest {
    private static byte[] write(FloatImage image, int bits) throws IOException {
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        PngWriter.write(image, bits, Map.of(), out, Task.silent());
        return out.toByteArray();
    }

    /** Compares every sample that ImageIO, an independent decoder, finds with {@link Encoding#quantise}. */
    private static void assertSamples(FloatImage image, int bits) throws IOException {
        Raster raster = ImageIO.read(new ByteArrayInputStream(write(image, bits))).getRaster();
        int w = image.width();
        int[] samples = new int[w * image.channels()];
        float[] values = new float[samples.length];
        for (int y = 0; y < image.height(); y++) {
            raster.getPixels(0, y, w, 1, samples);
            image.read(0, y, w, 1, values);
            for (int i = 0; i < samples.length; i++) {
                int expected = image.encoding().quantise(i % image.channels(), values[i], bits);
                if (samples[i] != expected) {
                    assertThat(samples[i]).as("%s at row %d, sample %d: %s", image, y, i, values[i]).isEqualTo(expected);
                }
            }
        }
    }

    @Test
    void colours_getTheCodesOfTheEncoding_aroundEveryThreshold() throws IOException {
        // The writer looks codes up; the encoding computes the curve. Around each code's threshold: the floats where one becomes the next.
        for (int bits : new int[] {8, 16}) {
            int largest = (1 << bits) - 1;
            FloatImage image = FloatImage.create(5, largest + 1, Encoding.colour(3));
            for (int code = 0; code <= largest; code++) {
                float v = org.estampage.image.Srgb.decode((float) ((code + 0.5) / largest));
                float[] row = new float[15];
                for (int i = 0; i < 15; i++) {
                    row[i] = v + (i - 7) * Math.ulp(v);
                }
                image.write(0, code, 5, 1, row);
            }
            assertSamples(image, bits);
        }
    }

    @Test
    void oddValues_areStoredAsTheEncodingSays() throws IOException {
        float[] odd = {Float.NaN, Float.POSITIVE_INFINITY, Float.NEGATIVE_INFINITY, -0f, 0, 1, 2, -1, 0.5f, Float.MIN_VALUE, 0.0031308f,
                0.99999994f};
        for (Encoding encoding : new Encoding[] {Encoding.colour(4), Encoding.colour(2), Encoding.normalGreenDown(), Encoding.id(1),
                Encoding.data(new Range(3, 3), 2), Encoding.data(new Range(-0.2f, 5), 1)}) {
            FloatImage image = FloatImage.create(odd.length, 1, encoding);
            for (int x = 0; x < odd.length; x++) {
                for (int c = 0; c < encoding.channels(); c++) {
                    image.set(x, 0, c, odd[(x + c) % odd.length]);
                }
            }
            assertSamples(image, 8);
            assertSamples(image, 16);
        }
    }

    @Test
    void longRowsAndManyBands_areJoinedSeamlessly() throws IOException {
        // 40 bands of 1 MiB, more than are held at once, of rows whose filter is chosen by samples; noise and slopes use every filter.
        FloatImage image = FloatImage.create(10_000, 700, Encoding.data(Range.UNIT, 3));
        Random random = new Random(9);
        float[] row = new float[30_000];
        for (int y = 0; y < 700; y++) {
            for (int i = 0; i < row.length; i++) {
                row[i] = switch (y / 20 % 4) {
                    case 0 -> random.nextFloat();
                    case 1 -> i / 30_000f;
                    case 2 -> y / 700f;
                    default -> (i + 40 * y) % 30_000 / 30_000f;
                };
            }
            image.write(0, y, 10_000, 1, row);
        }
        assertSamples(image, 16);
    }

    @Test
    void bytes_areTheSame_forAnyNumberOfThreads() throws Exception {
        FloatImage image = FloatImage.create(1000, 900, Encoding.normal());
        Random random = new Random(2);
        float[] row = new float[3000];
        for (int y = 0; y < 900; y++) {
            for (int i = 0; i < row.length; i++) {
                row[i] = (float) Math.sin(i * 0.01 + y * 0.02) + 0.01f * random.nextFloat();
            }
            image.write(0, y, 1000, 1, row);
        }
        try (ForkJoinPool one = new ForkJoinPool(1); ForkJoinPool six = new ForkJoinPool(6)) {
            assertThat(six.submit(() -> write(image, 16)).get()).isEqualTo(one.submit(() -> write(image, 16)).get());
        }
    }

    @Test
    void wrongArguments_areRefusedBeforeAByteIsWritten() {
        FloatImage image = FloatImage.create(2, 2, Encoding.normal());
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        assertThatThrownBy(() -> PngWriter.write(image, 12, Map.of(), out, Task.silent())).hasMessageContaining("bits = 12");
        for (String keyword : new String[] {"", " a", "a ", "a  b", "a\n", "高", "x".repeat(80)}) {
            assertThatThrownBy(() -> PngWriter.write(image, 8, Map.of(keyword, "b"), out, Task.silent()))
                    .isInstanceOf(IllegalArgumentException.class)
                    .hasMessageContaining("keyword");
        }
        assertThatThrownBy(() -> PngWriter.write(image, 8, Map.of("a", "b\0"), out, Task.silent()))
                .hasMessageContaining("NUL at character 1");
        assertThat(out.size()).isZero();
    }

    @Test
    void cancelling_andAFullDisk_stopTheWriting() {
        FloatImage image = FloatImage.create(2000, 900, Encoding.normal());
        Task task = Task.silent();
        OutputStream cancels = new OutputStream() {
            @Override
            public void write(int b) {
                task.cancellation().cancel();
            }
        };
        assertThatThrownBy(() -> PngWriter.write(image, 16, Map.of(), cancels, task)).isInstanceOf(CancellationException.class);
        OutputStream full = new OutputStream() {
            private int left = 1000;

            @Override
            public void write(int b) throws IOException {
                if (--left < 0) {
                    throw new IOException("disk full");
                }
            }
        };
        assertThatThrownBy(() -> PngWriter.write(image, 16, Map.of(), full, Task.silent())).isInstanceOf(IOException.class)
                .hasMessage("disk full");
    }
}
