package org.estampage.material;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.junit.jupiter.api.Test;

class LayersTest {
    private static final FloatImage BAKED = Images.of(3, 1, Encoding.normal(), (x, y) -> new float[] {0, 0.6f, 0.8f});
    private static final FloatImage MASK = Images.data(3, 1, (x, y) -> new float[] {x / 2f});
    private static final LayerMaterial IRON = LayerMaterial.even(0.2, 0.2, 0.2, 0.5, 1);
    private static final LayerMaterial RUST = LayerMaterial.even(0.4, 0.1, 0, 0.9, 0);

    @Test
    void channels_mixInProportion_coloursInLinearLight() {
        Finish finish = Layers.on(BAKED, IRON).add(RUST, MASK).build();
        assertThat(Images.texel(finish.baseColour(), 0, 0)).containsExactly(0.2f, 0.2f, 0.2f);
        assertThat(finish.baseColour().get(1, 0, 0)).isCloseTo(0.3f, within(1e-7f));
        assertThat(finish.baseColour().get(1, 0, 1)).isCloseTo(0.15f, within(1e-7f));
        assertThat(finish.baseColour().get(2, 0, 0)).isCloseTo(0.4f, within(1e-7f));
        assertThat(finish.baseColour().encoding()).isEqualTo(Encoding.colour(3));
        assertThat(finish.roughness().get(1, 0, 0)).isCloseTo(0.7f, within(1e-7f));
        assertThat(finish.metal().get(1, 0, 0)).isCloseTo(0.5f, within(1e-7f));
        assertThat(Images.all(finish.normal())).isEqualTo(Images.all(LayNormals.of(BAKED, Images.normal(0, 0, 1)).build()));
        assertThat(Images.all(finish.occlusion())).containsOnly(1);
    }

    @Test
    void relief_isLaidOverWhatTheLayerLeaves_andAllOverTheBake() {
        FloatImage right = Images.of(3, 1, Encoding.normal(), (x, y) -> new float[] {0.6f, 0, 0.8f});
        FloatImage left = Images.of(3, 1, Encoding.normal(), (x, y) -> new float[] {-0.6f, 0, 0.8f});
        FloatImage thick = Layers.on(BAKED, IRON.withNormal(right)).add(RUST.withNormal(left), MASK).build().normal();
        assertClose(thick, 0, LayNormals.of(BAKED, right).build());
        assertClose(thick, 2, LayNormals.of(BAKED, left).build());
        FloatImage stain = Layers.on(BAKED, IRON.withNormal(right)).add(RUST, MASK, 0).build().normal();
        assertClose(stain, 2, LayNormals.of(BAKED, right).build());
        FloatImage both = Layers.on(BAKED, IRON.withNormal(right)).add(RUST.withNormal(left), MASK, 0).build().normal();
        assertClose(both, 2, LayNormals.of(BAKED, LayNormals.of(right, left)).build());
    }

    private static void assertClose(FloatImage image, int x, FloatImage expected) {
        for (int c = 0; c < 3; c++) {
            assertThat(image.get(x, 0, c)).isCloseTo(expected.get(x, 0, c), within(1e-6f)); // a laying or two more: a few roundings
        }
    }

    @Test
    void occlusions_multiply_andReachTheColourOnlyIfAsked() {
        FloatImage half = Images.data(3, 1, (x, y) -> new float[] {0.5f});
        Layers layers = Layers.on(BAKED, IRON.withOcclusion(half)).occlusion(half).occlusion(half);
        Finish plain = layers.build();
        assertThat(Images.all(plain.occlusion())).containsOnly(0.125f);
        assertThat(plain.baseColour().get(0, 0, 0)).isEqualTo(0.2f);
        assertThat(layers.occlusionInColour(0.5).build().baseColour().get(0, 0, 0)).isCloseTo(0.2f * (1 - 0.5f * 0.875f), within(1e-7f));
        assertThat(Images.texel(plain.occlusionRoughnessMetal().build(), 1, 0)).containsExactly(0.125f, 0.5f, 1);
        assertThat(Images.all(half)).as("the caller's images").containsOnly(0.5f);
    }

    @Test
    void inputs_areMadeAtTheBakesSize() {
        FloatImage small = Images.data(1, 1, (x, y) -> new float[] {0.25f});
        Finish finish = Layers
                .on(BAKED, IRON.withRoughness(Tiling.of(small, 2, 2)).withHeight(small.withEncoding(Encoding.data(Range.symmetric(3), 1))))
                .build();
        assertThat(Images.all(finish.roughness())).containsOnly(0.25f);
        assertThat(finish.height().width()).isEqualTo(3);
        assertThat(finish.height().encoding()).isEqualTo(Encoding.data(Range.symmetric(3), 1));
    }

    @Test
    void wrongArguments_areRefused() {
        Layers layers = Layers.on(BAKED, IRON);
        assertThatThrownBy(() -> layers.add(RUST, Images.data(2, 1, (x, y) -> new float[1]))).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("2 × 1");
        assertThatThrownBy(() -> layers.add(RUST, MASK, 2)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("fill");
        assertThatThrownBy(() -> layers.occlusion(BAKED)).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> Layers.on(MASK, IRON)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("bakedNormal");
        assertThatThrownBy(() -> Layers.on(BAKED, IRON.withBaseColour(BAKED)).build()).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("COLOUR of 3");
        assertThatThrownBy(() -> LayerMaterial.even(1.2, 0, 0, 0, 0)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("red");
    }
}
