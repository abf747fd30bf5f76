package org.estampage.material;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.junit.jupiter.api.Test;

class ChannelPackTest {
    private static FloatImage single(Range range, float scale) {
        return Images.of(5, 3, Encoding.data(range, 1), (x, y) -> new float[] {scale * (x + 10 * y)});
    }

    @Test
    void channels_keepValuesAndRanges_inTheGivenOrder() {
        FloatImage height = single(Range.symmetric(50), 1), rough = single(Range.UNIT, 0.01f);
        FloatImage normal = Images.of(5, 3, Encoding.normalGreenDown(), (x, y) -> new float[] {0, 0.6f, 0.8f});
        ChannelPack pack = ChannelPack.create().add("height", height).add("one", 1).add("green", normal, 1).add("roughness", rough);
        FloatImage packed = pack.build();
        assertThat(pack.names()).containsExactly("height", "one", "green", "roughness");
        assertThat(pack.label()).isEqualTo("height-one-green-roughness");
        assertThat(packed.encoding())
                .isEqualTo(
                        new Encoding(Encoding.Kind.DATA, java.util.List.of(Range.symmetric(50), Range.UNIT, new Range(1, -1), Range.UNIT)));
        for (int y = 0; y < 3; y++) {
            for (int x = 0; x < 5; x++) {
                assertThat(Images.texel(packed, x, y)).containsExactly(height.get(x, y, 0), 1, 0.6f, rough.get(x, y, 0));
            }
        }
        // Stored as each would be alone.
        assertThat(packed.encoding().quantise(0, 24, 8)).isEqualTo(height.encoding().quantise(0, 24, 8));
        assertThat(packed.encoding().quantise(2, 0.6f, 8)).isEqualTo(normal.encoding().quantise(1, 0.6f, 8)).isEqualTo(51);
    }

    @Test
    void contents_haveTheirChannels() {
        FloatImage a = single(Range.UNIT, 0.01f), b = single(Range.UNIT, 0.02f), c = single(Range.UNIT, 0.03f);
        // glTF 2.0, material.occlusionTexture and pbrMetallicRoughness.metallicRoughnessTexture: red, green, blue.
        FloatImage orm = ChannelPack.occlusionRoughnessMetal(a, b, c).build();
        assertThat(Images.texel(orm, 4, 2)).containsExactly(a.get(4, 2, 0), b.get(4, 2, 0), c.get(4, 2, 0));
        assertThat(Images.texel(ChannelPack.roughnessMetal(b, c).build(), 4, 2)).containsExactly(1, b.get(4, 2, 0), c.get(4, 2, 0));
        FloatImage colour = Images.of(5, 3, Encoding.colour(3), (x, y) -> new float[] {0.1f, 0.2f, 0.3f});
        FloatImage both = ChannelPack.colourAndOpacity(colour, a).build();
        assertThat(both.encoding()).isEqualTo(Encoding.colour(4));
        assertThat(Images.texel(both, 1, 1)).containsExactly(0.1f, 0.2f, 0.3f, a.get(1, 1, 0));
        assertThatThrownBy(() -> ChannelPack.colourAndOpacity(a, b)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("COLOUR");
    }

    @Test
    void colourAmongData_isRefusedUnlessAskedFor() {
        FloatImage colour = Images.of(5, 3, Encoding.colour(1), (x, y) -> new float[] {0.2f});
        ChannelPack pack = ChannelPack.create().add("data", single(Range.UNIT, 0.01f)).add("tint", colour);
        assertThatThrownBy(pack::build).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("[tint]")
                .hasMessageContaining("linearColour()");
        FloatImage linear = pack.linearColour().build();
        assertThat(linear.encoding().kind()).isEqualTo(Encoding.Kind.DATA);
        assertThat(linear.get(2, 2, 1)).isEqualTo(0.2f);
    }

    @Test
    void wrongArguments_areRefused() {
        FloatImage a = single(Range.UNIT, 1), three = FloatImage.create(5, 3, Encoding.normal());
        ChannelPack pack = ChannelPack.create().add("a", a);
        assertThatThrownBy(() -> pack.add("b", three)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("3 channels");
        assertThatThrownBy(() -> pack.add("b", three, 3)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("0 … 2");
        assertThatThrownBy(() -> pack.add("a", a)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("\"a\"");
        assertThatThrownBy(() -> pack.add(" ", 0.5)).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> pack.add("b", 1.5)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("1.5");
        assertThatThrownBy(() -> pack.add("b", FloatImage.create(4, 3, Encoding.data(Range.UNIT, 1))))
                .isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("4 × 3").hasMessageContaining("5 × 3");
        ChannelPack full = pack.add("b", 0).add("c", 0).add("d", 0);
        assertThatThrownBy(() -> full.add("e", 0)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("4 channels");
        assertThatThrownBy(() -> ChannelPack.create().add("a", 1).build()).isInstanceOf(IllegalArgumentException.class);
    }
}
