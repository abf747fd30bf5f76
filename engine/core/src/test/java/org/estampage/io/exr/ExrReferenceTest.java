package org.estampage.io.exr;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HexFormat;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.io.ImageFiles;
import org.estampage.io.format.SampleFormat;
import org.estampage.io.format.StoredImage;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Golden files of another program, and published numbers. */
class ExrReferenceTest {
    private static final String GOLDEN = "/org/estampage/testresources/images/";

    @TempDir
    private Path folder;

    @Test
    void goldenFiles_areReadExactly() throws IOException {
        // Source of the values: the files' blocks inflated and put in order by hand, outside of this project's code. Red is (x − 4)/8, green
        // y/4, blue 1000x + y, in two of the files rounded to half.
        for (String name : new String[] {"none_half.exr", "zip_half.exr", "zips_float.exr"}) {
            Path file = folder.resolve(name);
            try (InputStream in = Objects.requireNonNull(ExrReferenceTest.class.getResourceAsStream(GOLDEN + name), name)) {
                Files.copy(in, file);
            }
            StoredImage stored = ImageFiles.readStored(file);
            boolean isHalf = name.endsWith("half.exr");
            assertThat(stored.samples()).isEqualTo(isHalf ? SampleFormat.HALF : SampleFormat.FLOAT);
            assertThat(stored.image()).hasToString("8 × 20, 3 channels");
            for (int y = 0; y < 20; y++) {
                for (int x = 0; x < 8; x++) {
                    float blue = isHalf ? Float.float16ToFloat(Float.floatToFloat16(1000f * x + y)) : 1000f * x + y;
                    assertThat(stored.image().read(x, y, 1, 1, new float[3])).as("%s %d, %d", name, x, y)
                            .containsExactly((x - 4) / 8f, y / 4f, blue);
                }
            }
            // Two of the roundings by hand: beside 3001 stand 3000 and 3002, beside 3019 3018 and 3020; the even multiple of two is taken.
            assertThat(stored.image().get(3, 1, 2)).isEqualTo(isHalf ? 3000 : 3001);
            assertThat(stored.image().get(3, 19, 2)).isEqualTo(isHalf ? 3020 : 3019);
        }
    }

    @Test
    void halves_areRoundedToNearestEven() throws IOException {
        // Source: IEEE 754-2008, binary16 with roundTiesToEven; codes worked out by hand from its definition.
        float[] values = {0.1f, 1 / 3f, 65504, 65519.996f, 65520, 0x1p-24f, 0x1p-25f, 2049, 2051, -0f};
        String[] codes = {"2E66", "3555", "7BFF", "7BFF", "7C00", "0001", "0000", "6800", "6802", "8000"};
        FloatImage image = FloatImage.create(values.length, 1, Encoding.data(Range.UNIT, 1));
        image.write(0, 0, values.length, 1, values);
        byte[] samples = Objects.requireNonNull(
                TinyExr.read(TestExr.write(List.of(new ExrLayer("", image, SampleFormat.HALF)), Map.of())).get("Y"));
        for (int i = 0; i < codes.length; i++) {
            assertThat(HexFormat.of().withUpperCase().formatHex(new byte[] {samples[2 * i + 1], samples[2 * i]})).as("%s", values[i])
                    .isEqualTo(codes[i]);
        }
    }

    @Test
    void smallestFile_hasTheBytesOfTheLayout() throws IOException {
        // Source: the format's published file layout, followed by hand: a texel of 1, one half channel, stored as it is.
        FloatImage image = FloatImage.create(1, 1, Encoding.data(Range.UNIT, 1));
        image.fill(1);
        byte[] file = TestExr.write(List.of(new ExrLayer("", image, SampleFormat.HALF)), Map.of());
        String expected = "762f3101" + "02000000" // magic, version
                + "6368616e6e656c7300" + "63686c69737400" + "13000000" // channels, chlist, 19 bytes
                + "5900" + "01000000" + "00000000" + "01000000" + "01000000" + "00" // Y, half, not perceptual, sampling 1 1
                + "636f6d7072657373696f6e00" + "636f6d7072657373696f6e00" + "01000000" + "03" // compression: ZIP
                + "6461746157696e646f7700" + "626f78326900" + "10000000" + "00".repeat(16) // dataWindow, box2i
                + "646973706c617957696e646f7700" + "626f78326900" + "10000000" + "00".repeat(16) // displayWindow
                + "6c696e654f7264657200" + "6c696e654f7264657200" + "01000000" + "00" // lineOrder: increasing
                + "706978656c417370656374526174696f00" + "666c6f617400" + "04000000" + "0000803f" // pixelAspectRatio 1
                + "73637265656e57696e646f7743656e74657200" + "76326600" + "08000000" + "00".repeat(8) // screenWindowCenter
                + "73637265656e57696e646f77576964746800" + "666c6f617400" + "04000000" + "0000803f" // screenWindowWidth 1
                + "00"; // end of the head
        int place = expected.length() / 2 + 8;
        expected += HexFormat.of().toHexDigits((byte) place) + HexFormat.of().toHexDigits((byte) (place >> 8)) + "000000000000" // table
                + "00000000" + "02000000" + "003c"; // row 0, 2 bytes, 1.0
        assertThat(HexFormat.of().formatHex(file)).isEqualTo(expected);
        Files.write(folder.resolve("one.exr"), file);
        TestExr.assertSame(ExrReader.readLayers(folder.resolve("one.exr"), Task.silent()).layers().getFirst().image(), image, true);
    }
}
