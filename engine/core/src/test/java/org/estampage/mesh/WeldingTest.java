package org.estampage.mesh;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.HashMap;
import java.util.List;
import java.util.Map;
import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import org.junit.jupiter.api.Test;

class WeldingTest {
    private static int[] weld(float... xyz) {
        return Welding.canonicalVertices(Mesh.builder(xyz, new int[0]).build());
    }

    @Test
    void equalPositions_takeTheLowestNumber() {
        assertThat(weld(1, 2, 3, 0, 0, 0, 1, 2, 3, 1, 2, 3)).containsExactly(0, 1, 0, 0);
    }

    @Test
    void negativeZero_equalsZero() {
        assertThat(weld(0f, -0f, 0f, -0f, 0f, -0f)).containsExactly(0, 0);
    }

    @Test
    void nan_equalsNothing() {
        assertThat(weld(Float.NaN, 0, 0, Float.NaN, 0, 0)).containsExactly(0, 1);
    }

    @Test
    void infinities_equalThemselvesButNotEachOther() {
        float inf = Float.POSITIVE_INFINITY;
        assertThat(weld(inf, 0, 0, -inf, 0, 0, inf, 0, 0)).containsExactly(0, 1, 0);
    }

    @Test
    void neighbouringFloats_stayApart() {
        assertThat(weld(1, 0, 0, Math.nextUp(1f), 0, 0)).containsExactly(0, 1);
    }

    @Test
    void noVertices_giveNothing() {
        assertThat(weld()).isEmpty();
    }

    /** The oracle is a map of the JDK's lists of floats, which tells −0 from 0 and finds NaN equal to itself: both are taken out beforehand. */
    @Property(tries = 300)
    void anyPoints_agreeWithAMap(@ForAll("points") float[] xyz) {
        int[] welded = weld(xyz);
        Map<List<Float>, Integer> first = new HashMap<>();
        for (int v = 0; v < welded.length; v++) {
            List<Float> key = List.of(xyz[3 * v] + 0f, xyz[3 * v + 1] + 0f, xyz[3 * v + 2] + 0f);
            first.putIfAbsent(key, v);
            assertThat(welded[v]).isEqualTo(first.get(key));
        }
    }

    @Provide
    Arbitrary<float[]> points() {
        return Arbitraries.of(0f, -0f, 1f, -1f, 0.5f, 1e30f, Float.MIN_VALUE, Float.POSITIVE_INFINITY).array(float[].class).ofMinSize(0)
                .ofMaxSize(150).map(a -> java.util.Arrays.copyOf(a, a.length / 3 * 3));
    }
}
