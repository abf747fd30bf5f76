package org.estampage.testresources;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import org.junit.jupiter.api.Test;

/** Files are laid out by hand after NumPy's documentation of numpy.lib.format. */
class NpyTest {
    private static byte[] file(String type, String fortran, String shape, int version, byte[] data) {
        StringBuilder header = new StringBuilder("{'descr': '" + type + "', 'fortran_order': " + fortran + ", 'shape': " + shape + ", }");
        int prefix = version == 1 ? 10 : 12;
        while ((prefix + header.length() + 1) % 64 != 0) {
            header.append(' ');
        }
        header.append('\n');
        ByteBuffer out = ByteBuffer.allocate(prefix + header.length() + data.length).order(ByteOrder.LITTLE_ENDIAN);
        out.put((byte) 0x93).put("NUMPY".getBytes(StandardCharsets.US_ASCII)).put((byte) version).put((byte) 0);
        if (version == 1) {
            out.putShort((short) header.length());
        } else {
            out.putInt(header.length());
        }
        return out.put(header.toString().getBytes(StandardCharsets.US_ASCII)).put(data).array();
    }

    private static ByteBuffer data(int bytes) {
        return ByteBuffer.allocate(bytes).order(ByteOrder.LITTLE_ENDIAN);
    }

    @Test
    void floats_areReadRowByRow() throws IOException {
        Npy npy = Npy.read(
                file("<f4", "False", "(2, 3)", 1,
                        data(24).putFloat(1.5f).putFloat(-2).putFloat(3).putFloat(4).putFloat(5).putFloat(0.1f).array()),
                "a");
        assertThat(npy.shape()).containsExactly(2, 3);
        assertThat(npy.floats()).containsExactly(1.5f, -2, 3, 4, 5, 0.1f);
    }

    @Test
    void everyNumberType_isReadWithItsSign() throws IOException {
        assertThat(Npy.read(file("<f8", "False", "(1,)", 2, data(8).putDouble(Math.PI).array()), "a").values()).containsExactly(Math.PI);
        assertThat(Npy.read(file("|i1", "False", "(2,)", 1, new byte[] {-1, 127}), "a").values()).containsExactly(-1, 127);
        assertThat(Npy.read(file("|u1", "False", "(2,)", 1, new byte[] {-1, 127}), "a").values()).containsExactly(255, 127);
        assertThat(Npy.read(file("<i2", "False", "(1,)", 1, data(2).putShort((short) -300).array()), "a").values()).containsExactly(-300);
        assertThat(Npy.read(file("<u2", "False", "(1,)", 1, data(2).putShort((short) -1).array()), "a").values()).containsExactly(65535);
        assertThat(Npy.read(file("<i4", "False", "(1,)", 3, data(4).putInt(-70000).array()), "a").values()).containsExactly(-70000);
        assertThat(Npy.read(file("<u4", "False", "(1,)", 1, data(4).putInt(-1).array()), "a").values()).containsExactly(4294967295.0);
        assertThat(Npy.read(file("<i8", "False", "()", 1, data(8).putLong(-5_000_000_000L).array()), "a").values()).containsExactly(-5e9);
    }

    @Test
    void whatIsNotRead_isRefusedWithTheReason() {
        assertThatThrownBy(() -> Npy.read(file(">f4", "False", "(1,)", 1, new byte[4]), "a.npy")).isInstanceOf(IOException.class)
                .hasMessageContaining("a.npy")
                .hasMessageContaining(">f4");
        assertThatThrownBy(() -> Npy.read(file("<f4", "True", "(1,)", 1, new byte[4]), "a")).isInstanceOf(IOException.class)
                .hasMessageContaining("columns");
        assertThatThrownBy(() -> Npy.read(file("<f4", "False", "(2,)", 1, new byte[7]), "a")).isInstanceOf(IOException.class)
                .hasMessageContaining("7 bytes");
        assertThatThrownBy(() -> Npy.read(new byte[20], "a")).isInstanceOf(IOException.class).hasMessageContaining("NUMPY");
    }
}
