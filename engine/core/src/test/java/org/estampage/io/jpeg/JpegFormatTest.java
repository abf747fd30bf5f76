package org.estampage.io.jpeg;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.awt.image.BufferedImage;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import javax.imageio.ImageIO;
import org.estampage.image.FloatImage;
import org.estampage.io.ImageFiles;
import org.estampage.io.format.FormatException;
import org.estampage.io.format.StoredImage;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class JpegFormatTest {
    @TempDir
    Path folder;

    private static float[] all(FloatImage image) {
        return image.read(0, 0, image.width(), image.height(), new float[image.width() * image.height() * image.channels()]);
    }

    @Test
    void jpeg_isReadWithItsStoredValues() throws IOException {
        // ImageIO's own writer is the source; a flat 8 × 8 block survives to the rounding of its mean and of the colour transform: two codes.
        BufferedImage flat = new BufferedImage(16, 8, BufferedImage.TYPE_INT_RGB);
        for (int i = 0; i < 128; i++) {
            flat.setRGB(i % 16, i / 16, 0xc86432);
        }
        Path path = folder.resolve("no-ending");
        ImageIO.write(flat, "jpeg", path.toFile());
        StoredImage stored = ImageFiles.readStored(path);
        assertThat(stored.bits()).isEqualTo(8);
        float[] values = all(stored.image());
        for (int i = 0; i < values.length; i++) {
            assertThat(values[i]).isCloseTo(new int[] {200, 100, 50}[i % 3] / 255f, within(2.01f / 255));
        }
        byte[] cut = Files.readAllBytes(path);
        cut[indexOfFrame(cut) + 5] = 0x7f; // the height's upper byte: 32,520 rows
        cut[indexOfFrame(cut) + 7] = 0x7f;
        Files.write(path, cut);
        assertThatThrownBy(() -> ImageFiles.readStored(path)).isInstanceOf(FormatException.class).hasMessageContaining("can't hold");
    }

    /** The start of the frame header, marker FFC0 (ITU-T T.81, B.2.2). */
    private static int indexOfFrame(byte[] jpeg) {
        for (int i = 0; i + 1 < jpeg.length; i++) {
            if (jpeg[i] == (byte) 0xff && jpeg[i + 1] == (byte) 0xc0) {
                return i;
            }
        }
        throw new AssertionError("no baseline frame");
    }
}
