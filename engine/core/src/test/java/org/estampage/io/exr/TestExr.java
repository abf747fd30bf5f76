package org.estampage.io.exr;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.concurrent.TimeUnit;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.task.Task;
import org.junit.jupiter.api.Assumptions;

/** Images and files for the tests of this package. */
final class TestExr {
    private static final float[] ODD = {Float.NaN, Float.POSITIVE_INFINITY, Float.NEGATIVE_INFINITY, -0f, 0, 65504, 65519.996f, 65520,
            1e30f,
            Float.MIN_VALUE, 0x1p-24f, 0x1p-25f, -1.5f};

    private TestExr() {
    }

    /** Slopes, noise, and rows of values at the ends of what halves and floats hold. */
    static FloatImage image(int width, int height, Encoding encoding, long seed) {
        FloatImage image = FloatImage.create(width, height, encoding);
        Random random = new Random(seed);
        float[] row = new float[width * encoding.channels()];
        for (int y = 0; y < height; y++) {
            for (int i = 0; i < row.length; i++) {
                row[i] = switch ((y / 3 + i % encoding.channels()) % 4) {
                    case 0 -> random.nextFloat() * 200 - 100;
                    case 1 -> (i + y) / 1024f - 1;
                    case 2 -> 0.25f;
                    default -> ODD[(i + y) % ODD.length];
                };
            }
            image.write(0, y, width, 1, row);
        }
        return image;
    }

    static byte[] write(List<ExrLayer> layers, Map<String, String> text) throws IOException {
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        ExrWriter.write(layers, text, out, Task.silent());
        return out.toByteArray();
    }

    /** Checks that an image holds another's values, each to its bits; rounded to half, if it is said. */
    static void assertSame(FloatImage image, FloatImage expected, boolean isHalf) {
        assertThat(image).hasToString(expected.toString());
        float[] values = new float[image.width() * image.channels()];
        float[] others = new float[values.length];
        for (int y = 0; y < image.height(); y++) {
            image.read(0, y, image.width(), 1, values);
            expected.read(0, y, image.width(), 1, others);
            for (int i = 0; i < values.length; i++) {
                float other = isHalf ? Float.float16ToFloat(Float.floatToFloat16(others[i])) : others[i];
                if (Float.floatToRawIntBits(values[i]) != Float.floatToRawIntBits(other)) {
                    assertThat(values[i]).as("row %d, sample %d", y, i).isEqualTo(other);
                    throw new AssertionError("row " + y + ", sample " + i + ": " + values[i] + " has other bits");
                }
            }
        }
    }

    /** Runs one of the tools of Debian's package openexr, which must be there in continuous integration, and returns what it says. */
    static String run(String... command) throws IOException, InterruptedException {
        Process process;
        try {
            process = new ProcessBuilder(command).redirectErrorStream(true).start();
        } catch (IOException e) {
            assertThat(System.getenv("CI")).as("openexr's tools must be installed in continuous integration").isNull();
            Assumptions.abort(command[0] + " is not installed");
            throw e;
        }
        String said = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertThat(process.waitFor(60, TimeUnit.SECONDS)).isTrue();
        assertThat(process.exitValue()).as(said).isZero();
        return said;
    }

    static String path(Path folder, String name) {
        return folder.resolve(name).toString();
    }
}
