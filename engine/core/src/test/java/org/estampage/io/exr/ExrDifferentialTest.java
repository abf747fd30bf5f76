package org.estampage.io.exr;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Random;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.io.format.SampleFormat;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Our files in others' hands and others' in ours: tinyexr, and the tools of Debian's package openexr, the format's reference library. */
class ExrDifferentialTest {
    private static final SampleFormat[] BOTH = {SampleFormat.HALF, SampleFormat.FLOAT};

    @TempDir
    private Path folder;

    private static byte[] stored(FloatImage image, int channel, SampleFormat samples) {
        ByteBuffer bytes = ByteBuffer.allocate(image.width() * image.height() * samples.bits() / 8).order(ByteOrder.LITTLE_ENDIAN);
        float[] row = new float[image.width() * image.channels()];
        for (int y = 0; y < image.height(); y++) {
            image.read(0, y, image.width(), 1, row);
            for (int x = 0; x < image.width(); x++) {
                float value = row[x * image.channels() + channel];
                if (samples == SampleFormat.HALF) {
                    bytes.putShort(Float.floatToFloat16(value));
                } else {
                    bytes.putFloat(value);
                }
            }
        }
        return bytes.array();
    }

    @Test
    void tinyexr_findsEveryBit_inPicturesOfAnySizeAndKind() throws IOException {
        String[][] names = {{"Y"}, {"Y", "A"}, {"R", "G", "B"}, {"R", "G", "B", "A"}};
        for (SampleFormat samples : BOTH) {
            for (int[] size : new int[][] {{1, 1}, {17, 33}, {16, 16}, {130, 15}, {3, 8192}}) {
                for (int channels = 1; channels <= 4; channels++) {
                    FloatImage image = TestExr.image(size[0], size[1], Encoding.colour(channels), channels);
                    Map<String, byte[]> read = TinyExr
                            .read(TestExr.write(List.of(new ExrLayer("", image, samples)), Map.of("Role", "colour")));
                    assertThat(read).hasSize(channels);
                    for (int c = 0; c < channels; c++) {
                        assertThat(read.get(names[channels - 1][c])).as("%s %s channel %d", samples, image, c)
                                .isEqualTo(stored(image, c, samples));
                    }
                }
            }
        }
    }

    private static List<ExrLayer> layers(int width, int height) {
        return List.of(new ExrLayer("normal", TestExr.image(width, height, Encoding.normal(), 1), SampleFormat.HALF),
                new ExrLayer("height", TestExr.image(width, height, Encoding.data(new Range(-2, 2), 1), 2), SampleFormat.FLOAT),
                new ExrLayer("", TestExr.image(width, height, Encoding.colour(4), 3), SampleFormat.HALF),
                new ExrLayer("a name that is longer than thirty-one bytes", TestExr.image(width, height, Encoding.id(3), 4),
                        SampleFormat.HALF),
                new ExrLayer("bollard.flow", TestExr.image(width, height, Encoding.data(Range.SIGNED_UNIT, 2), 5), SampleFormat.FLOAT));
    }

    @Test
    void tinyexr_findsEveryLayer() throws IOException {
        List<ExrLayer> layers = layers(37, 50);
        Map<String, byte[]> read = TinyExr.read(TestExr.write(layers, Map.of()));
        assertThat(read.keySet()).containsExactly("A", "B", "G", "R", "a name that is longer than thirty-one bytes.B",
                "a name that is longer than thirty-one bytes.G", "a name that is longer than thirty-one bytes.R", "bollard.flow.X",
                "bollard.flow.Y", "height.Y", "normal.X", "normal.Y", "normal.Z");
        for (int c = 0; c < 3; c++) {
            assertThat(read.get("normal." + "XYZ".charAt(c))).isEqualTo(stored(layers.get(0).image(), c, SampleFormat.HALF));
            assertThat(read.get("" + "RGB".charAt(c))).isEqualTo(stored(layers.get(2).image(), c, SampleFormat.HALF));
        }
        assertThat(read.get("height.Y")).isEqualTo(stored(layers.get(1).image(), 0, SampleFormat.FLOAT));
        assertThat(read.get("bollard.flow.Y")).isEqualTo(stored(layers.get(4).image(), 1, SampleFormat.FLOAT));
    }

    @Test
    void openExrsTools_decodeEveryLayer_andTheirTilesReadTheSame() throws Exception {
        // exrmaketiled decodes every texel and writes it anew: as tiles, under another compression, with mip levels behind.
        List<ExrLayer> layers = layers(77, 130);
        Path file = folder.resolve("a.exr");
        Files.write(file, TestExr.write(layers, Map.of("Role", "several maps")));
        for (String[] options : new String[][] {{"-o", "none", "64"}, {"-o", "rle", "100"}, {"-m", "zip", "16"}, {"-r", "zip", "33"}}) {
            TestExr.run("exrmaketiled", options[0], "-z", options[1], "-t", options[2], options[2], file.toString(),
                    TestExr.path(folder, "b.exr"));
            ExrLayers read = ExrReader.readLayers(folder.resolve("b.exr"), Task.silent());
            assertThat(read.layers()).hasSize(layers.size());
            assertThat(read.text()).containsEntry("Role", "several maps");
            for (ExrLayer layer : layers) {
                ExrLayer other = read.layer(layer.name()).orElseThrow();
                assertThat(other.samples()).isEqualTo(layer.samples());
                TestExr.assertSame(other.image(), layer.image(), layer.samples() == SampleFormat.HALF);
            }
        }
    }

    @Test
    void openExrsTools_sayWhatTheHeadSays() throws Exception {
        Path file = folder.resolve("a.exr");
        Files.write(file, TestExr.write(List.of(new ExrLayer("", TestExr.image(5, 7, Encoding.colour(3), 1), SampleFormat.HALF)),
                Map.of("Job", "harbour bollard")));
        assertThat(TestExr.run("exrheader", file.toString())).contains("R, 16-bit floating-point, sampling 1 1", "zip", "(0 0) - (4 6)",
                "increasing y", "chromaticities", "Job (type string): \"harbour bollard\"");
        TestExr.run("exrinfo", "-s", file.toString());
        Files.write(file,
                TestExr.write(List.of(new ExrLayer("", TestExr.image(5, 7, Encoding.normal(), 1), SampleFormat.FLOAT)), Map.of()));
        assertThat(TestExr.run("exrheader", file.toString())).contains("R, 32-bit floating-point, sampling 1 1")
                .doesNotContain("chromaticities");
    }

    @Test
    void filesOfTinyexr_areReadExactly_underEachCompressionAndType() throws IOException {
        int width = 19;
        int height = 37;
        Random random = new Random(5);
        for (int compression = 0; compression <= 3; compression++) {
            for (int type = 0; type <= 2; type++) {
                int[][] samples = new int[3][width * height];
                for (int c = 0; c < 3; c++) {
                    for (int i = 0; i < samples[c].length; i++) {
                        float value = i % 40 < 20 ? 0.5f : Float.float16ToFloat(Float.floatToFloat16(random.nextFloat() - 0.5f));
                        samples[c][i] = type > 0 ? Float.floatToRawIntBits(value) : i % 40 < 20 ? 7 : random.nextInt();
                    }
                }
                Path file = folder.resolve("tiny.exr");
                TinyExr.write(file, width, height, List.of("B", "G", "R"), samples, type, compression);
                ExrLayers read = ExrReader.readLayers(file, Task.silent());
                assertThat(read.layers()).hasSize(1);
                ExrLayer layer = read.layers().getFirst();
                assertThat(layer.samples()).isEqualTo(type == 1 ? SampleFormat.HALF : SampleFormat.FLOAT);
                List<Float> differences = new ArrayList<>();
                for (int i = 0; i < width * height; i++) {
                    for (int c = 0; c < 3; c++) {
                        int bits = samples[2 - c][i];
                        float expected = type > 0 ? Float.intBitsToFloat(bits) : bits & 0xffffffffL;
                        float found = layer.image().get(i % width, i / width, c);
                        if (found != expected) {
                            differences.add(found - expected);
                        }
                    }
                }
                assertThat(differences).as("type %d, compression %d", type, compression).isEmpty();
            }
        }
    }
}
