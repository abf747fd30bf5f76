package org.estampage.io.tga;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import com.twelvemonkeys.imageio.plugins.tga.TGAImageReaderSpi;
import com.twelvemonkeys.imageio.plugins.tga.TGAImageWriterSpi;
import java.awt.image.BufferedImage;
import java.awt.image.Raster;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Random;
import javax.imageio.ImageReader;
import javax.imageio.ImageWriter;
import javax.imageio.stream.FileImageInputStream;
import javax.imageio.stream.FileImageOutputStream;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.io.ImageFiles;
import org.estampage.io.format.FormatException;
import org.estampage.io.format.SampleFormat;
import org.estampage.io.format.StoredImage;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class TgaFormatTest {
    private static final int[][] SIZES = {{1, 1}, {17, 33}, {300, 5}};

    @TempDir
    Path folder;

    private static FloatImage noise(int width, int height, Encoding encoding) {
        FloatImage image = FloatImage.create(width, height, encoding);
        Random random = new Random(width);
        float[] row = new float[width * image.channels()];
        for (int y = 0; y < height; y++) {
            for (int i = 0; i < row.length; i++) {
                row[i] = random.nextFloat();
            }
            image.write(0, y, width, 1, row);
        }
        return image;
    }

    /** Columns of one value each, long runs, and some noise. */
    private static FloatImage stripes(int width, int height, int channels) {
        FloatImage image = noise(width, height, Encoding.data(Range.UNIT, channels));
        for (int y = 0; y < height; y++) {
            for (int x = 0; x < width - 7; x++) {
                for (int c = 0; c < channels; c++) {
                    image.set(x, y, c, 0.25f * Math.floorDiv(x, 150) + 0.125f * c);
                }
            }
        }
        return image;
    }

    private static float[] codes(FloatImage image, boolean stored) {
        float[] all = image.read(0, 0, image.width(), image.height(), new float[image.width() * image.height() * image.channels()]);
        for (int i = 0; i < all.length; i++) {
            all[i] = stored ? 255 * all[i] : image.encoding().quantise(i % image.channels(), all[i], 8);
        }
        return all;
    }

    private Path written(FloatImage image, Map<String, String> text) throws IOException {
        Path file = folder.resolve("a.tga");
        ImageFiles.write(image, file, SampleFormat.UNSIGNED_8, text, Task.silent());
        return file;
    }

    /** Source of the check: TwelveMonkeys' reader of TGA files, an independent one. */
    private static float[] independent(Path file, int channels) throws IOException {
        ImageReader reader = new TGAImageReaderSpi().createReaderInstance(null);
        try (FileImageInputStream in = new FileImageInputStream(file.toFile())) {
            reader.setInput(in);
            Raster raster = reader.read(0).getRaster();
            assertThat(raster.getNumBands()).isEqualTo(channels);
            return raster.getPixels(0, 0, raster.getWidth(), raster.getHeight(), (float[]) null);
        } finally {
            reader.dispose();
        }
    }

    @Test
    void whatIsWritten_isReadTheSame_byUsAndByAnother() throws IOException {
        for (int[] size : SIZES) {
            for (int channels : new int[] {1, 3, 4}) {
                for (FloatImage image : new FloatImage[] {noise(size[0], size[1], Encoding.data(Range.UNIT, channels)),
                        stripes(size[0] + 7, size[1], channels)}) {
                    Path file = written(image, Map.of());
                    float[] expected = codes(image, false);
                    assertThat(codes(ImageFiles.read(file), true)).as(image + ", ours").isEqualTo(expected);
                    assertThat(independent(file, channels)).as(image + ", another").isEqualTo(expected);
                }
            }
        }
        assertThat(Files.size(written(stripes(600, 40, 3), Map.of()))).as("runs are shorter").isLessThan(600 * 40 * 3 / 10);
        assertThat(Files.size(written(noise(100, 40, Encoding.data(Range.UNIT, 3)), Map.of()))).as("noise is not")
                .isLessThan(100 * 40 * 3 + 700);
    }

    @Test
    void whatAnotherWrites_isReadTheSame() throws IOException {
        for (int type : new int[] {BufferedImage.TYPE_3BYTE_BGR, BufferedImage.TYPE_4BYTE_ABGR, BufferedImage.TYPE_BYTE_GRAY}) {
            BufferedImage image = new BufferedImage(45, 31, type);
            Random random = new Random(type);
            byte[] bytes = ((java.awt.image.DataBufferByte) image.getRaster().getDataBuffer()).getData();
            random.nextBytes(bytes);
            Path file = folder.resolve("b.tga");
            Files.deleteIfExists(file);
            ImageWriter writer = new TGAImageWriterSpi().createWriterInstance(null);
            try (FileImageOutputStream out = new FileImageOutputStream(file.toFile())) {
                writer.setOutput(out);
                writer.write(image);
            } finally {
                writer.dispose();
            }
            float[] expected = image.getRaster().getPixels(0, 0, 45, 31, (float[]) null);
            assertThat(codes(ImageFiles.read(file), true)).isEqualTo(expected);
        }
    }

    private static byte[] file(int type, int bits, int descriptor, int width, int height, byte[] palette, int paletteBits, int... data) {
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        byte[] header = new byte[18];
        header[0] = 3; // an identification of three bytes
        header[1] = (byte) (palette.length > 0 ? 1 : 0);
        header[2] = (byte) type;
        header[3] = 5; // the palette's first colour is number 5
        header[5] = (byte) (palette.length / Math.max(1, (paletteBits + 7) / 8));
        header[7] = (byte) paletteBits;
        header[12] = (byte) width;
        header[14] = (byte) height;
        header[16] = (byte) bits;
        header[17] = (byte) descriptor;
        out.writeBytes(header);
        out.writeBytes(new byte[] {'a', 'b', 'c'});
        out.writeBytes(palette);
        for (int value : data) {
            out.write(value);
        }
        return out.toByteArray();
    }

    private float[] read(byte[] bytes) throws IOException {
        Path path = folder.resolve("c.tga");
        Files.write(path, bytes);
        FloatImage image = ImageFiles.read(path);
        return image.read(0, 0, image.width(), image.height(), new float[image.width() * image.height() * image.channels()]);
    }

    @Test
    void originsDepthsAndPalettes_areReadAsTheFormatSays() throws IOException {
        // Two by two grey texels 0, 51, 102, 153 in file order: from the lower left, lower right, upper left, upper right corner.
        byte[] none = new byte[0];
        assertThat(read(file(3, 8, 0, 2, 2, none, 0, 0, 51, 102, 153))).containsExactly(0.4f, 0.6f, 0f, 0.2f);
        assertThat(read(file(3, 8, 0x10, 2, 2, none, 0, 0, 51, 102, 153))).containsExactly(0.6f, 0.4f, 0.2f, 0f);
        assertThat(read(file(3, 8, 0x20, 2, 2, none, 0, 0, 51, 102, 153))).containsExactly(0f, 0.2f, 0.4f, 0.6f);
        assertThat(read(file(3, 8, 0x30, 2, 2, none, 0, 0, 51, 102, 153))).containsExactly(0.2f, 0f, 0.6f, 0.4f);
        // 0 11111 00001 10000 in 15 bits; with the upper bit as alpha in 16.
        assertThat(read(file(2, 15, 0x20, 1, 1, none, 0, 0x30, 0x7c))).containsExactly(1, 1 / 31f, 16 / 31f);
        assertThat(read(file(2, 16, 0x21, 1, 1, none, 0, 0x30, 0xfc))).containsExactly(1, 1 / 31f, 16 / 31f, 1);
        assertThat(read(file(2, 32, 0x20, 1, 1, none, 0, 51, 102, 153, 7))).as("no bits of alpha are named").containsExactly(0.6f, 0.4f,
                0.2f);
        byte[] palette = {51, 102, (byte) 153, 0, 0, 51};
        assertThat(read(file(1, 8, 0x20, 2, 1, palette, 24, 6, 5))).containsExactly(0.2f, 0, 0, 0.6f, 0.4f, 0.2f);
        assertThat(read(file(9, 8, 0x20, 3, 1, palette, 24, 0x81, 6, 0, 5))).containsExactly(0.2f, 0, 0, 0.2f, 0, 0, 0.6f, 0.4f, 0.2f);
        assertThat(read(file(11, 8, 0x20, 3, 2, none, 0, 0x85, 51))).as("a packet over two rows").containsExactly(0.2f, 0.2f, 0.2f, 0.2f,
                0.2f, 0.2f);
    }

    @Test
    void texts_comeBack() throws IOException {
        Map<String, String> text = new LinkedHashMap<>();
        text.put("Role", "größe: 1");
        text.put("Software", "Estampage");
        StoredImage stored = ImageFiles.readStored(written(noise(9, 5, Encoding.colour(4)), text));
        assertThat(stored.text()).containsExactlyEntriesOf(text);
    }

    @Test
    void whatTheFormatCannotHold_isRefused() {
        FloatImage two = noise(2, 2, Encoding.data(Range.UNIT, 2));
        assertThatThrownBy(() -> written(two, Map.of())).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("channels = 2");
        FloatImage one = noise(2, 2, Encoding.data(Range.UNIT, 1));
        assertThatThrownBy(() -> written(one, Map.of("a:b", "c"))).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("a:b");
        assertThatThrownBy(() -> ImageFiles.write(one, folder.resolve("a.tga"), SampleFormat.UNSIGNED_16, Map.of(), Task.silent()))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("8-bit");
        assertThat(folder.resolve("a.tga")).doesNotExist();
    }

    @Test
    void moreTexelsThanAnArrayHolds_areRefused_thoughTheRunsAreThere() throws IOException {
        byte[] bytes = new byte[22_000_000]; // in packets of 5 bytes: 563 million texels at the most
        bytes[2] = 10;
        bytes[12] = bytes[14] = (byte) 0xcc;
        bytes[13] = bytes[15] = 0x5b; // 23,500 a side: 2.2e9 bytes
        bytes[16] = 32;
        Path file = folder.resolve("large.tga");
        Files.write(file, bytes);
        assertThatThrownBy(() -> ImageFiles.read(file)).isInstanceOf(FormatException.class).hasMessageContaining("23500 × 23500");
    }

    @Test
    void damage_isAFormatException_andNothingElse() throws IOException {
        byte[][] whole = {Files.readAllBytes(written(stripes(60, 40, 3), Map.of("Role", "x"))),
                file(1, 8, 0x20, 2, 1, new byte[] {51, 102, (byte) 153, 0, 0, 51}, 24, 6, 5)};
        Random random = new Random(3);
        Path path = folder.resolve("broken.tga");
        int refused = 0;
        for (int i = 0; i < 3000; i++) {
            byte[] good = whole[i % 2];
            byte[] bad = i % 3 == 0 ? Arrays.copyOf(good, random.nextInt(good.length)) : good.clone();
            for (int k = 0; k < 1 + i % 4 && bad.length > 0; k++) {
                bad[random.nextInt(i % 5 == 0 ? bad.length : Math.min(20, bad.length))] = (byte) random.nextInt();
            }
            Files.write(path, bad);
            try {
                ImageFiles.read(path);
            } catch (FormatException e) {
                refused++;
                assertThat(e).hasMessageContaining("broken.tga");
            }
        }
        assertThat(refused).isGreaterThan(1000);
        Files.writeString(path, "this is a text, not a picture");
        assertThatThrownBy(() -> ImageFiles.read(path)).isInstanceOf(FormatException.class).hasMessageContaining("is this a TGA file?");
    }
}
