package org.estampage.io.exr;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ForkJoinPool;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.io.ImageFiles;
import org.estampage.io.format.SampleFormat;
import org.estampage.io.format.StoredImage;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class ExrWriterTest {
    @TempDir
    private Path folder;

    private static ExrLayer layer(String name, int width, int height) {
        return new ExrLayer(name, TestExr.image(width, height, Encoding.normal(), 1), SampleFormat.FLOAT);
    }

    @Test
    void bytes_areTheSame_forAnyNumberOfThreads_andWithoutMemoryForThem() throws Exception {
        // 300 rows of 20,000 texels of 12 bytes: more than one batch of blocks. Mostly of one value, which is soon deflated.
        FloatImage image = FloatImage.create(20_000, 300, Encoding.normal());
        for (int y = 5; y < 300; y += 40) {
            image.write(9000, y, 3000, 1, TestExr.image(3000, 1, Encoding.normal(), y).read(0, 0, 3000, 1, new float[9000]));
        }
        List<ExrLayer> layers = List.of(new ExrLayer("normal", image, SampleFormat.FLOAT));
        try (ForkJoinPool one = new ForkJoinPool(1); ForkJoinPool six = new ForkJoinPool(6)) {
            byte[] file = one.submit(() -> TestExr.write(layers, Map.of())).get();
            assertThat(six.submit(() -> TestExr.write(layers, Map.of())).get()).isEqualTo(file);
            ByteArrayOutputStream out = new ByteArrayOutputStream();
            Task poor = new Task(Progress.none(), new Cancellation(), MemoryBudget.ofBytes(file.length / 2));
            ExrWriter.write(layers, Map.of(), out, poor);
            assertThat(out.toByteArray()).isEqualTo(file);
            assertThat(poor.memory().reserved()).isZero();
        }
    }

    @Test
    void layers_comeBackByName_withTheirTextAndSamples() throws IOException {
        Map<String, String> text = new LinkedHashMap<>();
        text.put("Role", "normal map, +Y up");
        text.put("Höhe in Metern, von … bis", "−0,2 … 1,5\nzweite Zeile");
        text.put("Empty", "");
        List<ExrLayer> layers = List.of(layer("z.last", 40, 21), layer("", 40, 21),
                new ExrLayer("height", TestExr.image(40, 21, Encoding.data(new Range(-1, 1), 1), 7), SampleFormat.HALF));
        Path file = folder.resolve("a.exr");
        Files.write(file, TestExr.write(layers, text));
        ExrLayers read = ExrReader.readLayers(file, Task.silent());
        assertThat(read.layers()).extracting(ExrLayer::name).containsExactly("", "height", "z.last");
        for (ExrLayer layer : layers) {
            ExrLayer other = read.layer(layer.name()).orElseThrow();
            assertThat(other.samples()).isEqualTo(layer.samples());
            TestExr.assertSame(other.image(), layer.image(), layer.samples() == SampleFormat.HALF);
        }
        assertThat(new ArrayList<>(read.text().entrySet())).isEqualTo(new ArrayList<>(text.entrySet()));
        assertThat(read.layer("colour")).isEmpty();
        StoredImage first = ImageFiles.readStored(file);
        TestExr.assertSame(first.image(), layers.get(1).image(), false);
        assertThat(first.text()).isEqualTo(text);
    }

    @Test
    void imageFiles_writeAndRead_bothKindsOfSamples() throws IOException {
        FloatImage image = TestExr.image(50, 40, Encoding.colour(4), 3);
        for (SampleFormat samples : new SampleFormat[] {SampleFormat.HALF, SampleFormat.FLOAT}) {
            Path file = folder.resolve("a.EXR");
            ImageFiles.write(image, file, samples, Map.of("a", "b"), Task.silent());
            StoredImage read = ImageFiles.readStored(file);
            assertThat(read.samples()).isEqualTo(samples);
            TestExr.assertSame(read.image(), image, samples == SampleFormat.HALF);
        }
        assertThatThrownBy(() -> ImageFiles.write(image, folder.resolve("b.exr"), SampleFormat.UNSIGNED_16, Map.of(), Task.silent()))
                .isInstanceOf(IllegalArgumentException.class).hasMessage("samples = 16-bit must be 16-bit float or 32-bit float");
        assertThat(folder.resolve("b.exr")).doesNotExist();
    }

    @Test
    void channels_thatAreNoMapTogether_areLayersOfTheirOwn() throws IOException {
        // A depth beside a picture, as renderers write it; alpha alone; two of three colours.
        List<String> names = List.of("A", "B", "G", "R", "Z", "a.A", "b.B", "b.R", "c.X", "c.Z", "d.id");
        int[][] samples = new int[names.size()][1];
        for (int i = 0; i < samples.length; i++) {
            samples[i][0] = Float.floatToRawIntBits(i);
        }
        Path file = folder.resolve("a.exr");
        TinyExr.write(file, 1, 1, names, samples, 2, 3);
        Map<String, List<Float>> found = new LinkedHashMap<>();
        for (ExrLayer layer : ExrReader.readLayers(file, Task.silent()).layers()) {
            List<Float> values = new ArrayList<>();
            for (int c = 0; c < layer.image().channels(); c++) {
                values.add(layer.image().get(0, 0, c));
            }
            found.put(layer.name(), values);
        }
        assertThat(found).containsExactly(Map.entry("", List.of(3f, 2f, 1f, 0f)), Map.entry("Z", List.of(4f)),
                Map.entry("a.A", List.of(5f)),
                Map.entry("b", List.of(7f, 6f)), Map.entry("c.X", List.of(8f)), Map.entry("c.Z", List.of(9f)),
                Map.entry("d.id", List.of(10f)));
    }

    @Test
    void wrongArguments_areRefusedBeforeAByteIsWritten() {
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        assertThatThrownBy(() -> ExrWriter.write(List.of(), Map.of(), out, Task.silent())).hasMessageContaining("at least one");
        assertThatThrownBy(() -> ExrWriter.write(List.of(layer("a", 4, 4), layer("b", 4, 5)), Map.of(), out, Task.silent()))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("layer \"b\" has 4 × 5 texels, it must have 4 × 4");
        assertThatThrownBy(() -> ExrWriter.write(List.of(layer("a", 4, 4), layer("a", 4, 4)), Map.of(), out, Task.silent()))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("layer name \"a\"");
        for (String name : new String[] {".a", "a.", "a..b", "a\n", "a\0", "x".repeat(254)}) {
            assertThatThrownBy(() -> ExrWriter.write(List.of(layer(name, 4, 4)), Map.of(), out, Task.silent()))
                    .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("layer name");
        }
        for (String keyword : new String[] {"", "a\0", "a\n", "channels", "preview", "高".repeat(86)}) {
            assertThatThrownBy(() -> ExrWriter.write(List.of(layer("a", 4, 4)), Map.of(keyword, "b"), out, Task.silent()))
                    .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("keyword");
        }
        assertThat(out.size()).isZero();
    }

    @Test
    void cancelling_andAFullDisk_stopTheWriting() {
        Task task = new Task((stage, done, total) -> {
        }, new Cancellation(), MemoryBudget.ofHeap());
        Task cancels = new Task((stage, done, total) -> {
            if (done > 3) {
                task.cancellation().cancel();
            }
        }, task.cancellation(), task.memory());
        List<ExrLayer> layers = List.of(layer("", 2000, 900));
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        assertThatThrownBy(() -> ExrWriter.write(layers, Map.of(), out, cancels)).isInstanceOf(CancellationException.class);
        assertThat(out.size()).isZero();
        assertThat(task.memory().reserved()).isZero();
        OutputStream full = new OutputStream() {
            private int left = 1000;

            @Override
            public void write(int b) throws IOException {
                if (--left < 0) {
                    throw new IOException("disk full");
                }
            }
        };
        assertThatThrownBy(() -> ExrWriter.write(layers, Map.of(), full, Task.silent())).isInstanceOf(IOException.class)
                .hasMessage("disk full");
    }
}
