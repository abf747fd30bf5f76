package org.estampage.testresources;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import org.junit.jupiter.api.Test;

class OffReaderTest {
    private static final String SQUARE_AND_TRIANGLE = """
            OFF # a comment
            # another
            5 2 0

            0 0 0
            1 0 0
            1 1 0
            0 1 0
            0.5 2 1e-1
            4 0 1 2 3
            3 3 2 4 255 0 0
            """;

    @Test
    void polygons_becomeFans_andColoursArePassedOver() throws IOException {
        Shape shape = OffReader.parse(SQUARE_AND_TRIANGLE, "a.off");
        assertThat(shape.triangles()).containsExactly(0, 1, 2, 0, 2, 3, 3, 2, 4);
        assertThat(shape.positions()).startsWith(0, 0, 0, 1, 0, 0).endsWith(0.5f, 2, 0.1f);
        assertThat(OffReader.parse(SQUARE_AND_TRIANGLE.replace("OFF # a comment\n# another\n", "OFF "), "a.off").triangleCount())
                .isEqualTo(3);
    }

    @Test
    void brokenFiles_areRefusedWithTheLine() {
        assertThatThrownBy(() -> OffReader.parse("PLY\n", "a.off")).isInstanceOf(IOException.class).hasMessageContaining("a.off, line 1");
        assertThatThrownBy(() -> OffReader.parse(SQUARE_AND_TRIANGLE.replace("1 1 0", "1 x 0"), "a.off")).isInstanceOf(IOException.class)
                .hasMessageContaining("line 7");
        assertThatThrownBy(() -> OffReader.parse(SQUARE_AND_TRIANGLE.replace("5 2 0", "5 3 0"), "a.off")).isInstanceOf(IOException.class)
                .hasMessageContaining("ends before a face");
        assertThatThrownBy(() -> OffReader.parse("OFF\n1000000000 1 0\n", "a.off")).isInstanceOf(IOException.class)
                .hasMessageContaining("do not fit");
    }
}
