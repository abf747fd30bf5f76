package org.estampage.io.tiff;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.awt.image.Raster;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Random;
import java.util.concurrent.TimeUnit;
import javax.imageio.ImageIO;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.io.ImageFiles;
import org.estampage.io.format.FormatException;
import org.estampage.io.format.SampleFormat;
import org.estampage.io.format.StoredImage;
import org.estampage.task.Task;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class TiffFormatTest {
    private static final int[][] SIZES = {{1, 1}, {3, 2}, {301, 257}, {2, 401}};

    @TempDir
    private Path folder;

    private static FloatImage image(int w, int h, Encoding encoding) {
        FloatImage image = FloatImage.create(w, h, encoding);
        Random random = new Random(w * 31L + h);
        float[] values = new float[w * h * image.channels()];
        for (int i = 0; i < values.length; i++) {
            values[i] = i % 3 == 0 ? random.nextFloat() : (float) (0.5 + 0.4 * Math.sin(i * 0.01));
        }
        image.write(0, 0, w, h, values);
        return image;
    }

    private static float[] all(FloatImage image) {
        return image.read(0, 0, image.width(), image.height(), new float[image.width() * image.height() * image.channels()]);
    }

    private static byte[] bytes(FloatImage image, SampleFormat samples, Map<String, String> text) throws IOException {
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        new TiffFormat().write(image, samples, text, out, Task.silent());
        return out.toByteArray();
    }

    /** Runs a tool of libtiff, an independent implementation; in continuous integration it must be there. */
    private static String run(String... command) throws Exception {
        Process process;
        try {
            process = new ProcessBuilder(command).redirectErrorStream(true).start();
        } catch (IOException e) {
            assertThat(System.getenv("CI")).as("%s must be installed in continuous integration", command[0]).isNull();
            Assumptions.abort(command[0] + " is not installed");
            return "";
        }
        String said = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertThat(process.waitFor(30, TimeUnit.SECONDS)).isTrue();
        assertThat(process.exitValue()).as(said).isZero();
        return said;
    }

    private Path converted(Path from, String... options) throws Exception {
        Path to = folder.resolve("converted.tif");
        String[] command = new String[options.length + 3];
        command[0] = "tiffcp";
        System.arraycopy(options, 0, command, 1, options.length);
        command[command.length - 2] = from.toString();
        command[command.length - 1] = to.toString();
        run(command);
        return to;
    }

    @Test
    void everySample_comesBackThroughOtherReaders() throws Exception {
        // Source of the check: libtiff undoes deflate and differences, the JDK's ImageIO reads what is plain then; rasters only.
        Path file = folder.resolve("a.tif");
        for (int channels = 1; channels <= 4; channels++) {
            FloatImage image = image(301, 257, Encoding.data(Range.UNIT, channels));
            for (SampleFormat samples : new TiffFormat().writes()) {
                Files.write(file, bytes(image, samples, Map.of()));
                Raster raster = ImageIO.read(converted(file, "-c", "none").toFile()).getRaster();
                float[] raw = all(image);
                float[] there = raster.getPixels(0, 0, 301, 257, (float[]) null);
                for (int i = 0; i < raw.length; i++) {
                    raw[i] = samples.isFloat() ? raw[i] : image.encoding().quantise(i % channels, raw[i], samples.bits());
                }
                assertThat(there).as("%d channels of %s", channels, samples).isEqualTo(raw);
            }
        }
    }

    @Test
    void writtenAndRead_isTheSame_inEverySize() throws IOException {
        Path file = folder.resolve("a.tiff");
        for (int[] size : SIZES) {
            for (int channels = 1; channels <= 4; channels++) {
                FloatImage image = image(size[0], size[1], Encoding.data(Range.UNIT, channels));
                for (SampleFormat samples : new TiffFormat().writes()) {
                    ImageFiles.write(image, file, samples, Map.of(), Task.silent());
                    StoredImage stored = ImageFiles.readStored(file);
                    assertThat(stored.samples()).isEqualTo(samples);
                    float[] expected = all(image);
                    float largest = (1 << Math.min(16, samples.bits())) - 1;
                    for (int i = 0; i < expected.length; i++) {
                        expected[i] = samples.isFloat()
                                ? expected[i]
                                : image.encoding().quantise(i % channels, expected[i], samples.bits()) / largest;
                    }
                    assertThat(all(stored.image())).isEqualTo(expected);
                }
            }
        }
    }

    @Test
    void whatLibtiffMakesOfIt_isReadTheSame() throws Exception {
        // Source of the check: libtiff's tiffcp writes the other kinds: compressions, byte orders, tiles, channels apart. Big-endian without differences:
        // those of floats it writes so that it can't read them itself (4.5.0, on a little-endian machine).
        Path file = folder.resolve("a.tif");
        for (int channels : new int[] {1, 3, 4}) {
            for (SampleFormat samples : new TiffFormat().writes()) {
                Files.write(file, bytes(image(301, 257, Encoding.data(Range.UNIT, channels)), samples, Map.of()));
                float[] expected = all(ImageFiles.read(file));
                String predictor = samples.isFloat() ? "3" : "2";
                for (String options : List.of("-c none -L", "-c lzw:1 -B", "-c lzw:" + predictor + " -L",
                        "-c zip:" + predictor + " -L -r 7",
                        "-c packbits", "-c lzw:" + predictor + " -t -w 64 -l 32", "-c zip -p separate")) {
                    if (options.endsWith("separate") && samples.bits() > 8) {
                        continue; // which tiffcp can't
                    }
                    assertThat(all(ImageFiles.read(converted(file, options.split(" ", -1))))).as(channels + " " + samples + " " + options)
                            .isEqualTo(expected);
                }
            }
        }
        assertThatThrownBy(() -> ImageFiles.read(converted(file, "-8"))).isInstanceOf(FormatException.class)
                .hasMessageContaining("BigTIFF");
    }

    @Test
    void goldenFloats_areReadExactly() throws IOException {
        // Source: another program's file; its 32 floats read by hand from the bytes.
        Path file = folder.resolve("f32.tif");
        try (InputStream in = Objects
                .requireNonNull(TiffFormatTest.class.getResourceAsStream("/org/estampage/testresources/images/f32.tif"))) {
            Files.copy(in, file);
        }
        StoredImage stored = ImageFiles.readStored(file);
        assertThat(stored.samples()).isEqualTo(SampleFormat.FLOAT);
        assertThat(stored.image()).hasToString("8 × 4, 1 channel");
        for (int i = 0; i < 32; i++) {
            assertThat(stored.image().get(i % 8, i / 8, 0)).isEqualTo(-0.90625f + i * 0.125f);
        }
    }

    @Test
    void texts_comeBack_andOnlyColoursCarryAProfile() throws Exception {
        Map<String, String> text = new LinkedHashMap<>();
        text.put("Software", "Estampage");
        text.put("Role", "height");
        text.put("Note", "größer als ½\nand a second line: so");
        Path file = folder.resolve("a.tif");
        ImageFiles.write(image(9, 7, Encoding.data(Range.UNIT, 4)), file, SampleFormat.UNSIGNED_16, text, Task.silent());
        assertThat(ImageFiles.readStored(file).text()).containsExactlyEntriesOf(text);
        assertThat(run("tiffinfo", file.toString())).contains("Role: height").contains("Software: Estampage").contains("<unspecified>")
                .doesNotContain("ICC").doesNotContain("Warning");
        ImageFiles.write(image(9, 7, Encoding.colour(4)), file, SampleFormat.UNSIGNED_8, Map.of(), Task.silent());
        assertThat(run("tiffinfo", file.toString())).contains("ICC Profile: <present>").contains("<unassoc-alpha>")
                .doesNotContain("Warning");
        ImageFiles.write(image(9, 7, Encoding.colour(3)), file, SampleFormat.FLOAT, Map.of(), Task.silent());
        assertThat(run("tiffinfo", file.toString())).contains("IEEE floating point").doesNotContain("ICC");
    }

    @Test
    void damage_isAFormatException() throws IOException {
        Path file = folder.resolve("broken.tif");
        byte[] good = bytes(image(40, 40, Encoding.data(Range.UNIT, 3)), SampleFormat.UNSIGNED_16, Map.of("Role", "height"));
        Random random = new Random(1);
        for (int i = 0; i < 300; i++) {
            byte[] bad = i % 3 == 0 ? Arrays.copyOf(good, random.nextInt(good.length)) : good.clone();
            int from = i % 2 == 0 ? 0 : Math.max(0, bad.length - 300); // the directory stands at the end
            for (int k = 0; k < 1 + i % 5 && bad.length > from; k++) {
                bad[from + random.nextInt(bad.length - from)] = (byte) random.nextInt();
            }
            Files.write(file, bad);
            try {
                ImageFiles.read(file);
            } catch (FormatException e) {
                assertThat(e).hasMessageContaining("broken.tif");
            }
        }
    }
}
