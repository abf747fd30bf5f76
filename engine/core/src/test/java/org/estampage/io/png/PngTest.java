package org.estampage.io.png;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.awt.image.Raster;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Random;
import java.util.concurrent.TimeUnit;
import java.util.zip.Adler32;
import java.util.zip.CRC32;
import javax.imageio.ImageIO;
import org.estampage.io.format.SampleFormat;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.io.format.FormatException;
import org.estampage.io.format.StoredImage;
import org.estampage.io.ImageFiles;
import org.estampage.task.Task;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class PngTest {
    private static FloatImage noise(int w, int h, int channels, boolean smooth) {
        FloatImage image = FloatImage.create(w, h, Encoding.data(Range.UNIT, channels));
        Random random = new Random(w * 31L + h);
        for (int y = 0; y < h; y++) {
            for (int x = 0; x < w; x++) {
                for (int c = 0; c < channels; c++) {
                    image.set(x, y, c, smooth ? (float) (0.5 + 0.4 * Math.sin(x * 0.03 + c) * Math.cos(y * 0.05)) : random.nextFloat());
                }
            }
        }
        return image;
    }

    private static byte[] bytes(FloatImage image, int bits, Map<String, String> text) throws IOException {
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        PngWriter.write(image, bits, text, out, Task.silent());
        return out.toByteArray();
    }

    @Test
    void everySample_comesBackThroughTheJdksReader() throws IOException {
        // Source of the check: ImageIO, an independent decoder; rasters only, since getRGB converts.
        for (int channels = 1; channels <= 4; channels++) {
            for (int bits : new int[] {8, 16}) {
                for (int[] size : new int[][] {{1, 1}, {3, 2}, {701, 600}, {2, 901}}) {
                    for (boolean smooth : new boolean[] {true, false}) {
                        FloatImage image = noise(size[0], size[1], channels, smooth);
                        Raster raster = ImageIO.read(new ByteArrayInputStream(bytes(image, bits, Map.of()))).getRaster();
                        assertThat(raster.getNumBands()).isEqualTo(channels);
                        int[] samples = raster.getPixels(0, 0, size[0], size[1], (int[]) null);
                        for (int i = 0; i < samples.length; i++) {
                            int x = i / channels % size[0], y = i / channels / size[0], c = i % channels;
                            int expected = image.encoding().quantise(c, image.get(x, y, c), bits);
                            if (samples[i] != expected) {
                                assertThat(samples[i]).as("%d channels, %d bits, (%d, %d)[%d]", channels, bits, x, y, c)
                                        .isEqualTo(expected);
                            }
                        }
                    }
                }
            }
        }
    }

    @Test
    void checksums_areThePublishedOnes() throws IOException {
        // Sources: the check value of CRC-32/ISO-HDLC; ISO/IEC 15948's CRC over IEND, and over an IHDR of 1024 × 1024, 16-bit RGB.
        CRC32 crc = new CRC32();
        crc.update("123456789".getBytes(StandardCharsets.US_ASCII));
        assertThat((int) crc.getValue()).isEqualTo(0xCBF43926);
        byte[] png = bytes(FloatImage.create(1024, 1024, Encoding.normal()), 16, Map.of());
        assertThat(Arrays.copyOfRange(png, png.length - 4, png.length)).containsExactly(0xAE, 0x42, 0x60, 0x82);
        assertThat(Arrays.copyOfRange(png, 29, 33)).containsExactly(0xA0, 0xEF, 0x60, 0x97);
    }

    @Test
    void paeth_takesTheNearest_theFirstOfEquals() {
        // Source: worked from the definition in ISO/IEC 15948, 9.4.
        assertThat(RowFilter.predict(10, 20, 15)).isEqualTo(15);
        assertThat(RowFilter.predict(100, 50, 75)).isEqualTo(75);
        assertThat(RowFilter.predict(7, 7, 7)).isEqualTo(7);
    }

    @Test
    void adlerOfPieces_combines() {
        // Source of the check: the JDK's Adler-32 over the whole.
        byte[] data = new byte[200_000];
        new Random(3).nextBytes(data);
        for (int cut : new int[] {0, 1, 65_521, 199_999, 200_000}) {
            assertThat((int) PngWriter.joinAdler(adler(data, 0, cut) & 0xffffffffL, adler(data, cut, data.length) & 0xffffffffL,
                    data.length - cut))
                    .isEqualTo(adler(data, 0, data.length));
        }
    }

    private static int adler(byte[] data, int from, int to) {
        Adler32 adler = new Adler32();
        adler.update(data, from, to - from);
        return (int) adler.getValue();
    }

    @Test
    void dataCarryNoColourChunk_coloursDo_textsComeBack(@TempDir Path folder) throws IOException {
        Map<String, String> text = new LinkedHashMap<>();
        text.put("Role", "height");
        text.put("Note", "größer als ½ – 高さ");
        Path file = folder.resolve("sub/height.png");
        ImageFiles.write(noise(9, 7, 1, true), file, SampleFormat.UNSIGNED_16, text, Task.silent());
        StoredImage stored = ImageFiles.readStored(file);
        assertThat(stored.text()).containsExactlyEntriesOf(text);
        assertThat(stored.bits()).isEqualTo(16);
        String raw = new String(Files.readAllBytes(file), java.nio.charset.StandardCharsets.ISO_8859_1);
        assertThat(raw).doesNotContain("sRGB").doesNotContain("gAMA").doesNotContain("iCCP");
        String colour = new String(bytes(FloatImage.create(2, 2, Encoding.colour(3)), 8, Map.of()),
                java.nio.charset.StandardCharsets.ISO_8859_1);
        assertThat(colour).contains("sRGB");
        try (var files = Files.list(folder.resolve("sub"))) {
            assertThat(files).hasSize(1);
        }
    }

    @Test
    void storedValues_normalsAndColours_areDecoded(@TempDir Path folder) throws IOException {
        FloatImage image = FloatImage.create(1, 1, Encoding.data(Range.UNIT, 3));
        for (int c = 0; c < 3; c++) {
            image.set(0, 0, c, new float[] {0.5f, 128 / 255f, 200 / 255f}[c]);
        }
        Path file = folder.resolve("a.png");
        ImageFiles.write(image, file, SampleFormat.UNSIGNED_16, Map.of(), Task.silent());
        assertThat(ImageFiles.read(file).get(0, 0, 0)).isEqualTo(32768 / 65535f);
        assertThat(ImageFiles.readNormals(file).get(0, 0, 0)).isCloseTo(0, org.assertj.core.data.Offset.offset(2e-5f));
        // Source: IEC 61966-2-1, 128/255 and 200/255 decoded; half a 16-bit step of tolerance.
        assertThat(ImageFiles.readColour(file).get(0, 0, 1)).isCloseTo(0.2158605001f, org.assertj.core.data.Offset.offset(2e-5f));
        assertThat(ImageFiles.readColour(file).get(0, 0, 2)).isCloseTo(0.5775804404f, org.assertj.core.data.Offset.offset(2e-5f));
    }

    @Test
    void garbage_isAFormatException(@TempDir Path folder) throws IOException {
        Path file = folder.resolve("broken.png");
        byte[] good = bytes(noise(40, 40, 3, true), 8, Map.of());
        Random random = new Random(1);
        for (int i = 0; i < 300; i++) {
            byte[] bad = i % 3 == 0 ? Arrays.copyOf(good, random.nextInt(good.length)) : good.clone();
            for (int k = 0; k < 1 + i % 5 && bad.length > 0; k++) {
                bad[random.nextInt(bad.length)] = (byte) random.nextInt();
            }
            Files.write(file, bad);
            try {
                ImageFiles.read(file);
            } catch (FormatException e) {
                assertThat(e).hasMessageContaining("broken.png");
            }
        }
        Files.writeString(file, "no image");
        assertThatThrownBy(() -> ImageFiles.read(file)).isInstanceOf(FormatException.class).hasMessageContaining("does not begin as a PNG");
        assertThatThrownBy(
                () -> ImageFiles.write(noise(1, 1, 1, true), folder.resolve("a.bmp"), SampleFormat.UNSIGNED_8, Map.of(), Task.silent()))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining(".png");
    }

    @Test
    void pngcheck_findsNothing(@TempDir Path folder) throws Exception {
        // Source of the check: Debian's pngcheck, an independent validator. In continuous integration it must be there.
        Path file = folder.resolve("a.png");
        ImageFiles.write(noise(501, 777, 3, false), file, SampleFormat.UNSIGNED_16, Map.of("Role", "normal"), Task.silent());
        Process process;
        try {
            process = new ProcessBuilder("pngcheck", "-vt", file.toString()).redirectErrorStream(true).start();
        } catch (IOException e) {
            assertThat(System.getenv("CI")).as("pngcheck must be installed in continuous integration").isNull();
            Assumptions.abort("pngcheck is not installed");
            return;
        }
        String said = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertThat(process.waitFor(30, TimeUnit.SECONDS)).isTrue();
        assertThat(process.exitValue()).as(said).isZero();
        assertThat(said).contains("No errors detected").contains("Role").contains("48-bit RGB");
    }
}
