package org.estampage.io.exr;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.function.Function;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.io.format.FormatException;
import org.estampage.io.format.SampleFormat;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;

/** Laws of files that we write, whole and damaged. */
class ExrPropertyTest {
    private static <T> T inFile(byte[] bytes, Function<Path, T> work) throws IOException {
        Path file = Files.createTempFile("estampage-test", ".exr");
        try {
            Files.write(file, bytes);
            return work.apply(file);
        } finally {
            Files.delete(file);
        }
    }

    /** Reads a file that may be damaged: returns what is said about it, or nothing where the damage can't be noticed. */
    private static @Nullable String complaint(Path file) {
        try {
            ExrReader.readLayers(file, Task.silent());
            return null;
        } catch (FormatException e) {
            return e.getMessage();
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    @Property(tries = 60)
    void whatIsWritten_isRead(@ForAll @IntRange(min = 1, max = 70) int width, @ForAll @IntRange(min = 1, max = 70) int height,
            @ForAll @IntRange(min = 1, max = 4) int channels, @ForAll SampleFormat samples, @ForAll boolean isNamed, @ForAll long seed)
            throws IOException {
        if (!samples.isFloat()) {
            return;
        }
        FloatImage image = TestExr.image(width, height, Encoding.data(Range.SIGNED_UNIT, channels), seed);
        String name = isNamed ? "map" : "";
        ExrLayer read = inFile(TestExr.write(List.of(new ExrLayer(name, image, samples)), Map.of()), file -> {
            try {
                return ExrReader.readLayers(file, Task.silent()).layer(name).orElseThrow();
            } catch (IOException e) {
                throw new UncheckedIOException(e);
            }
        });
        assertThat(read.samples()).isEqualTo(samples);
        TestExr.assertSame(read.image(), image, samples == SampleFormat.HALF);
    }

    @Property(tries = 100)
    void bytesInOrder_areTheOldOnesAfterwards(@ForAll byte[] bytes) {
        assertThat(BlockCoding.gather(BlockCoding.spread(bytes.clone()))).isEqualTo(bytes);
    }

    private static byte[] sample() throws IOException {
        return TestExr.write(List.of(new ExrLayer("", TestExr.image(4, 18, Encoding.colour(3), 1), SampleFormat.HALF),
                new ExrLayer("height", TestExr.image(4, 18, Encoding.data(Range.UNIT, 1), 2), SampleFormat.FLOAT)), Map.of("Role", "test"));
    }

    @Test
    void everyCutOffFile_isNoticed() throws IOException {
        byte[] whole = sample();
        for (int length = 0; length < whole.length; length++) {
            String complaint = inFile(Arrays.copyOf(whole, length), ExrPropertyTest::complaint);
            assertThat(complaint).as("cut off after %d bytes", length).isNotNull().containsPattern("byte \\d+|does not begin");
        }
        assertThat(inFile(whole, ExrPropertyTest::complaint)).isNull();
    }

    @Test
    void everyChangedByte_isReadOrNamed_andNothingElse() throws IOException {
        byte[] whole = sample();
        Random random = new Random(3);
        for (int at = 0; at < whole.length; at++) {
            byte[] changed = whole.clone();
            changed[at] ^= (byte) (at % 2 == 0 ? 0x80 : 1 << random.nextInt(8));
            inFile(changed, file -> complaint(file) == null);
        }
    }

    @Property(tries = 200)
    void manyChangedBytes_areReadOrNamed_andNothingElse(@ForAll Random random) throws IOException {
        byte[] changed = sample();
        for (int i = random.nextInt(20); i >= 0; i--) {
            changed[random.nextInt(random.nextBoolean() ? 420 : changed.length)] = (byte) random.nextInt();
        }
        inFile(changed, file -> complaint(file) == null);
    }
}
