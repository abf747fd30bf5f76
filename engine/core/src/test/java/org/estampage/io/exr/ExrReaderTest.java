package org.estampage.io.exr;

import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.io.format.FormatException;
import org.estampage.io.format.SampleFormat;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class ExrReaderTest {
    @TempDir
    private Path folder;

    private final FloatImage image = TestExr.image(6, 40, Encoding.colour(3), 1);

    private byte[] sample() throws IOException {
        return TestExr.write(List.of(new ExrLayer("", image, SampleFormat.FLOAT)), Map.of());
    }

    /** Returns where an attribute's value begins. */
    private static int valueOf(byte[] file, String attribute) {
        int at = new String(file, StandardCharsets.ISO_8859_1).indexOf(attribute + "\0") + attribute.length() + 1;
        while (file[at] != 0) {
            at++;
        }
        return at + 5;
    }

    private static ByteBuffer numbers(byte[] file) {
        return ByteBuffer.wrap(file).order(ByteOrder.LITTLE_ENDIAN);
    }

    private ExrLayer read(byte[] bytes) throws IOException {
        Path file = folder.resolve("a.exr");
        Files.write(file, bytes);
        return ExrReader.readLayers(file, Task.silent()).layers().getFirst();
    }

    private void assertRefused(byte[] bytes, String message) {
        assertThatThrownBy(() -> read(bytes)).isInstanceOf(FormatException.class).hasMessageContaining(message);
    }

    @Test
    void dataWindowAnywhere_isTheImage() throws IOException {
        byte[] file = sample();
        int window = valueOf(file, "dataWindow");
        int left = -100;
        int top = -7;
        numbers(file).putInt(window, left).putInt(window + 4, top).putInt(window + 8, left + 5).putInt(window + 12, top + 39);
        int head = valueOf(file, "screenWindowWidth") + 5;
        for (int block = 0; block < 3; block++) {
            int place = numbers(file).getInt(head + 8 * block);
            numbers(file).putInt(place, top + 16 * block);
        }
        TestExr.assertSame(read(file).image(), image, false);
    }

    @Test
    void blocksInAnyOrder_areRead() throws IOException {
        byte[] file = sample();
        int head = valueOf(file, "screenWindowWidth") + 5;
        int first = numbers(file).getInt(head);
        int last = numbers(file).getInt(head + 16);
        // The last block in front, as files have it whose rows run upwards.
        byte[] turned = file.clone();
        System.arraycopy(file, last, turned, first, file.length - last);
        System.arraycopy(file, first, turned, first + file.length - last, last - first);
        int moved = file.length - last;
        numbers(turned).putInt(head, first + moved).putInt(head + 8, numbers(file).getInt(head + 8) + moved).putInt(head + 16, first);
        turned[valueOf(file, "lineOrder")] = 1;
        TestExr.assertSame(read(turned).image(), image, false);
    }

    @Test
    void kindsThatAreNotRead_areNamed() throws IOException {
        String[] names = {"PIZ", "PXR24", "B44", "B44A", "DWAA", "DWAB"};
        for (int i = 0; i < names.length; i++) {
            byte[] file = sample();
            file[valueOf(file, "compression")] = (byte) (4 + i);
            assertRefused(file, "found compression " + names[i] + ", expected NONE, RLE, ZIPS or ZIP");
        }
        byte[] unknown = sample();
        unknown[valueOf(unknown, "compression")] = 77;
        assertRefused(unknown, "compression number 77");
        byte[] parts = sample();
        parts[5] |= 0x10;
        assertRefused(parts, "a file of several parts");
        byte[] deep = sample();
        deep[5] |= 0x08;
        assertRefused(deep, "deep data");
        byte[] tiles = sample();
        tiles[5] |= 0x02;
        assertRefused(tiles, "an attribute \"tiles\"");
        byte[] version = sample();
        version[4] = 3;
        assertRefused(version, "version 3");
        byte[] subsampled = sample();
        subsampled[valueOf(subsampled, "channels") + 2 + 8] = 2;
        assertRefused(subsampled, "channel \"B\" with a sample every 2 × 1 texels");
        assertRefused("a picture, surely".getBytes(StandardCharsets.UTF_8), "a.exr does not begin as an EXR file does");
        assertThatThrownBy(() -> ExrReader.readLayers(folder.resolve("none.exr"), Task.silent())).isInstanceOf(NoSuchFileException.class);
    }

    @Test
    void unfinishedFiles_andImpossibleSizes_areNamed() throws IOException {
        byte[] unfinished = sample();
        int head = valueOf(unfinished, "screenWindowWidth") + 5;
        numbers(unfinished).putLong(head + 8, 0);
        assertRefused(unfinished, "said to begin at byte 0");
        byte[] twice = sample();
        numbers(twice).putInt(numbers(twice).getInt(head + 8), 0);
        assertRefused(twice, "found a block of row 0, expected each block once");
        byte[] huge = sample();
        numbers(huge).putInt(valueOf(huge, "dataWindow") + 8, 40_000_000);
        assertRefused(huge, "can't hold so many");
        byte[] turned = sample();
        numbers(turned).putInt(valueOf(turned, "dataWindow") + 8, -1);
        assertRefused(turned, "a size of 0 × 40 texels");
    }
}
