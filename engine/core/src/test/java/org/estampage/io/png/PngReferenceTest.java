package org.estampage.io.png;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.awt.image.BufferedImage;
import java.io.ByteArrayOutputStream;
import java.io.DataOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Objects;
import java.util.zip.CRC32;
import java.util.zip.DeflaterOutputStream;
import javax.imageio.ImageIO;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Srgb;
import org.estampage.io.ImageFiles;
import org.estampage.io.format.FormatException;
import org.estampage.io.format.StoredImage;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Reading every kind of PNG file: golden files of another program, and files put together here byte by byte as the format says. */
class PngReferenceTest {
    private static final String GOLDEN = "/org/estampage/testresources/images/";

    @TempDir
    private Path folder;

    private Path golden(String name) throws IOException {
        Path file = folder.resolve(name);
        try (InputStream in = Objects.requireNonNull(PngReferenceTest.class.getResourceAsStream(GOLDEN + name), name)) {
            Files.copy(in, file);
        }
        return file;
    }

    // Sources of the golden values: the IDAT chunk inflated and its rows (filter 0) read by hand, outside of this project's code.

    @Test
    void goldenGrey16_isReadExactly() throws IOException {
        StoredImage stored = PngReader.read(golden("gray16.png"));
        assertThat(stored.bits()).isEqualTo(16);
        assertThat(stored.image()).hasToString("8 × 4, 1 channel");
        for (int i = 0; i < 32; i++) {
            assertThat(stored.image().get(i % 8, i / 8, 0)).isEqualTo(i * 2047 / 65535f);
        }
    }

    @Test
    void goldenRgb16_isReadExactly() throws IOException {
        StoredImage stored = PngReader.read(golden("rgb16.png"));
        int[] red = {0, 0x1fff, 0x3ffe, 0x5ffd, 0x7ffc, 0x9ffb, 0xbffa, 0xdff9};
        int[] green = {0, 0x3fff, 0x7ffe, 0xbffd};
        int[][] blue = {{0xffff, 0xefff, 0xdfff, 0xcfff, 0xbfff, 0xafff, 0x9fff, 0x8fff},
                {0xfffe, 0xeffe, 0xdffe, 0xcffe, 0xbffe, 0xaffe, 0x9ffe, 0x8ffe},
                {0xfffd, 0xeffd, 0xdffd, 0xcffd, 0xbffd, 0xaffd, 0x9ffd, 0x8ffd},
                {0xfffc, 0xeffc, 0xdffc, 0xcffc, 0xbffc, 0xaffc, 0x9ffc, 0x8ffc}};
        for (int y = 0; y < 4; y++) {
            for (int x = 0; x < 8; x++) {
                assertThat(stored.image().read(x, y, 1, 1, new float[3])).as("%d, %d", x, y)
                        .containsExactly(red[x] / 65535f, green[y] / 65535f, blue[y][x] / 65535f);
            }
        }
    }

    private static void chunk(ByteArrayOutputStream out, String type, byte[] data) throws IOException {
        DataOutputStream numbers = new DataOutputStream(out);
        byte[] name = type.getBytes(StandardCharsets.US_ASCII);
        CRC32 crc = new CRC32();
        crc.update(name);
        crc.update(data);
        numbers.writeInt(data.length);
        numbers.write(name);
        numbers.write(data);
        numbers.writeInt((int) crc.getValue());
    }

    private static byte[] bytes(int... values) {
        byte[] out = new byte[values.length];
        for (int i = 0; i < values.length; i++) {
            out[i] = (byte) values[i];
        }
        return out;
    }

    /** Puts a file together: header, further chunks (type, data, …), deflated rows. */
    private static byte[] png(int width, int height, int bits, int colourType, boolean interlaced, byte[] rows, Object... chunks)
            throws IOException {
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        out.write(bytes(0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n'));
        ByteArrayOutputStream header = new ByteArrayOutputStream();
        DataOutputStream numbers = new DataOutputStream(header);
        numbers.writeInt(width);
        numbers.writeInt(height);
        numbers.write(bytes(bits, colourType, 0, 0, interlaced ? 1 : 0));
        chunk(out, "IHDR", header.toByteArray());
        for (int i = 0; i < chunks.length; i += 2) {
            chunk(out, (String) chunks[i], (byte[]) chunks[i + 1]);
        }
        ByteArrayOutputStream deflated = new ByteArrayOutputStream();
        try (DeflaterOutputStream deflater = new DeflaterOutputStream(deflated)) {
            deflater.write(rows);
        }
        chunk(out, "IDAT", deflated.toByteArray());
        chunk(out, "IEND", new byte[0]);
        return out.toByteArray();
    }

    private StoredImage read(byte[] file) throws IOException {
        Path path = folder.resolve("made.png");
        Files.write(path, file);
        return PngReader.read(path);
    }

    private static float[] all(FloatImage image) {
        return image.read(0, 0, image.width(), image.height(), new float[image.width() * image.height() * image.channels()]);
    }

    @Test
    void greyOfOneTwoAndFourBits_staysOneChannel_overItsOwnLargestNumber() throws IOException {
        StoredImage one = read(png(4, 1, 1, 0, false, bytes(0, 0b1010_0000)));
        assertThat(all(one.image())).containsExactly(1, 0, 1, 0);
        assertThat(one.bits()).as("told as the next depth that the engine has").isEqualTo(8);
        assertThat(all(read(png(4, 1, 2, 0, false, bytes(0, 0b00_01_10_11))).image())).containsExactly(0, 1 / 3f, 2 / 3f, 1);
        assertThat(all(read(png(2, 1, 4, 0, false, bytes(0, 0x5f))).image())).containsExactly(5 / 15f, 1);
    }

    @Test
    void paletteFiles_giveTheirColours_alphaIncluded() throws IOException {
        byte[] palette = bytes(1, 2, 3, 4, 5, 6, 250, 251, 252);
        StoredImage opaque = read(png(3, 1, 8, 3, false, bytes(0, 2, 0, 1), "PLTE", palette));
        assertThat(all(opaque.image())).containsExactly(250 / 255f, 251 / 255f, 252 / 255f, 1 / 255f, 2 / 255f, 3 / 255f, 4 / 255f,
                5 / 255f,
                6 / 255f);
        assertThat(opaque.bits()).isEqualTo(8);
        StoredImage clear = read(png(2, 1, 2, 3, false, bytes(0, 0b00_01_00_00), "PLTE", palette, "tRNS", bytes(7)));
        assertThat(all(clear.image())).containsExactly(1 / 255f, 2 / 255f, 3 / 255f, 7 / 255f, 4 / 255f, 5 / 255f, 6 / 255f, 1);
    }

    @Test
    void aTransparentColour_becomesAlpha() throws IOException {
        assertThat(all(read(png(2, 1, 8, 2, false, bytes(0, 10, 20, 30, 10, 20, 31), "tRNS", bytes(0, 10, 0, 20, 0, 30))).image()))
                .containsExactly(10 / 255f, 20 / 255f, 30 / 255f, 0, 10 / 255f, 20 / 255f, 31 / 255f, 1);
    }

    @Test
    void aGammaChunk_changesNoValue() throws IOException {
        assertThat(all(read(png(1, 1, 16, 2, false, bytes(0, 1, 2, 3, 4, 5, 6), "gAMA", bytes(0, 0, 0xb1, 0x8f))).image()))
                .containsExactly(0x0102 / 65535f, 0x0304 / 65535f, 0x0506 / 65535f);
    }

    @Test
    void filteredAndInterlacedRows_areUndone() throws IOException {
        // Worked by hand from the format's section 9: Sub, Up, Average, Paeth over one another.
        byte[] rows = bytes(1, 10, 5, 5, 2, 1, 1, 1, 3, 10, 10, 10, 4, 1, 2, 3);
        assertThat(all(read(png(3, 4, 8, 0, false, rows)).image())).containsExactly(10 / 255f, 15 / 255f, 20 / 255f, 11 / 255f, 16 / 255f,
                21 / 255f, 15 / 255f, 25 / 255f, 33 / 255f, 16 / 255f, 27 / 255f, 36 / 255f);
        // Section 8 for 2 × 2: pass 1 holds (0, 0), pass 6 (1, 0), pass 7 the row below.
        assertThat(all(read(png(2, 2, 16, 0, true, bytes(0, 0, 1, 0, 0, 2, 0, 0, 3, 0, 4))).image())).containsExactly(1 / 65535f,
                2 / 65535f,
                3 / 65535f, 4 / 65535f);
    }

    @Test
    void greyWithAlpha_readAsColour_keepsItsAlpha() throws IOException {
        Path path = folder.resolve("made.png");
        Files.write(path, png(2, 1, 8, 4, false, bytes(0, 128, 64, 255, 0)));
        FloatImage colour = ImageFiles.readColour(path);
        assertThat(colour.encoding()).isEqualTo(Encoding.colour(4));
        float grey = Srgb.decode(128 / 255f);
        assertThat(all(colour)).containsExactly(grey, grey, grey, 64 / 255f, 1, 1, 1, 0);
        Files.write(path, png(1, 1, 8, 0, false, bytes(0, 128)));
        assertThat(all(ImageFiles.readColour(path))).containsExactly(grey);
        assertThatThrownBy(() -> ImageFiles.readNormals(path)).isInstanceOf(FormatException.class).hasMessageContaining("1 channels");
    }

    @Test
    void aClaimedSizeThatTheBytesCantHold_isRefusedBeforeAnythingIsAllocated() throws IOException {
        // 40,000 × 40,000 texels of four 16-bit samples would be 12.8 GB; the header's checksum is right.
        byte[] bomb = png(40_000, 40_000, 16, 6, false, new byte[100]);
        assertThatThrownBy(() -> read(bomb)).isInstanceOf(FormatException.class).hasMessageContaining("byte 16")
                .hasMessageContaining("40000 × 40000");
        byte[] huge = png(-1, 5, 8, 0, false, new byte[100]);
        assertThatThrownBy(() -> read(huge)).isInstanceOf(FormatException.class).hasMessageContaining("4294967295 × 5");
        // The densest that deflate allows is still read: zeros, 1,030 to one.
        assertThat(read(png(3000, 3000, 8, 0, false, new byte[3001 * 3000])).image().width()).isEqualTo(3000);
    }

    @Test
    void damage_isNamedWithItsPlace() throws IOException {
        byte[] good = png(8, 8, 8, 0, false, new byte[72], "tEXt", bytes('a', 0, 'b'));
        assertThat(read(good).text()).containsEntry("a", "b");
        byte[] flipped = good.clone();
        flipped[8 + 25 + 8] ^= 1; // in the text chunk, which begins at byte 33
        assertThatThrownBy(() -> read(flipped)).isInstanceOf(FormatException.class).hasMessageContaining("made.png")
                .hasMessageContaining("byte 33")
                .hasMessageContaining("tEXt")
                .hasMessageContaining("checksum");
        for (int length = 8; length < good.length; length++) {
            byte[] cut = java.util.Arrays.copyOf(good, length);
            assertThatThrownBy(() -> read(cut)).isInstanceOf(FormatException.class).hasMessageContaining("cut off");
        }
        byte[] kind = png(8, 8, 3, 0, false, new byte[72]);
        assertThatThrownBy(() -> read(kind)).isInstanceOf(FormatException.class).hasMessageContaining("colour type 0 with 3 bits");
        byte[] shortRows = png(8, 8, 8, 0, false, new byte[20]);
        assertThatThrownBy(() -> read(shortRows)).isInstanceOf(FormatException.class).hasMessageContaining("damaged");
        byte[] noPalette = png(8, 8, 8, 3, false, new byte[72]);
        assertThatThrownBy(() -> read(noPalette)).isInstanceOf(FormatException.class).hasMessageContaining("damaged");
    }

    @Test
    void otherPictures_areRefusedThoughTheJdkKnowsThem() throws IOException {
        Path path = folder.resolve("picture.png");
        ImageIO.write(new BufferedImage(4, 4, BufferedImage.TYPE_INT_RGB), "bmp", path.toFile());
        assertThatThrownBy(() -> PngReader.read(path)).isInstanceOf(FormatException.class).hasMessageContaining("does not begin as a PNG");
    }
}
