package org.estampage.image;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.awt.image.BufferedImage;
import java.nio.BufferOverflowException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.util.List;
import org.junit.jupiter.api.Test;

class PixelsTest {
    private static FloatImage image(Encoding encoding, float... values) {
        FloatImage image = FloatImage.create(values.length / encoding.channels(), 1, encoding);
        image.write(0, 0, image.width(), 1, values);
        return image;
    }

    @Test
    void flatNormal_is128_128_255() {
        // Common practice, no source; 127.5 is rounded up, as every encoding here does.
        BufferedImage picture = Pixels.toBufferedImage(image(Encoding.normal(), 0, 0, 1));
        assertThat(Integer.toHexString(picture.getRGB(0, 0))).isEqualTo("ff8080ff");
    }

    @Test
    void linearColour_getsTheSrgbCurve_alphaDoesNot() {
        // IEC 61966-2-1: linear 0.2140 is code 127.5 of 255 within a code; here 0.5 to 188.
        BufferedImage picture = Pixels.toBufferedImage(image(Encoding.colour(4), 0.5f, 0, 1, 0.5f));
        assertThat(Integer.toHexString(picture.getRGB(0, 0))).isEqualTo("80bc00ff");
    }

    @Test
    void oneChannel_isGrey_twoAreRedAndGreen() {
        Range range = new Range(-2, 2);
        assertThat(Integer.toHexString(Pixels.toBufferedImage(image(Encoding.data(range, 1), 2)).getRGB(0, 0))).isEqualTo("ffffffff");
        assertThat(Integer.toHexString(Pixels.toBufferedImage(image(Encoding.data(range, 2), -2, 2)).getRGB(0, 0))).isEqualTo("ff00ff00");
    }

    @Test
    void codes_areThoseOfTheEncoding_inTheBuffersOrder() {
        FloatImage image = image(Encoding.data(Range.UNIT, 2), 0f, 1f, 0.25f, 0.5f);
        ByteBuffer eight = Pixels.putCodes(image, 8, ByteBuffer.allocateDirect(4)).flip();
        assertThat(List.of(eight.get(), eight.get(), eight.get(), eight.get())).containsExactly((byte) 0, (byte) 255, (byte) 64,
                (byte) 128);
        for (ByteOrder order : List.of(ByteOrder.BIG_ENDIAN, ByteOrder.LITTLE_ENDIAN)) {
            ByteBuffer sixteen = Pixels.putCodes(image, 16, ByteBuffer.allocate(8).order(order)).flip();
            assertThat(sixteen.getShort(2) & 0xffff).isEqualTo(65535);
            assertThat(sixteen.getShort(4) & 0xffff).isEqualTo(16384);
        }
        assertThat(Pixels.toFloats(image)).containsExactly(0f, 1f, 0.25f, 0.5f);
    }

    @Test
    void bufferWithoutRoom_orOddDepth_isRefused() {
        FloatImage image = image(Encoding.data(Range.UNIT, 1), 0f, 1f);
        assertThatThrownBy(() -> Pixels.putCodes(image, 16, ByteBuffer.allocate(3))).isInstanceOf(BufferOverflowException.class);
        assertThatThrownBy(() -> Pixels.putCodes(image, 12, ByteBuffer.allocate(9))).hasMessageContaining("bits = 12");
    }
}
