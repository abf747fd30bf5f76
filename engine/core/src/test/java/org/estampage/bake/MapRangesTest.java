package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.List;
import org.estampage.cage.Cage;
import org.estampage.finding.Finding;
import org.estampage.image.Range;
import org.estampage.maps.HeightMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.PositionMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

class MapRangesTest {
    private static final int[] CORNERS = {0, 1, 2, 0, 2, 3};

    /** Returns a quad over [−1, 1]² of x and z that faces +Y, from −{@code rise} to {@code rise} high along −z. */
    private static Mesh quad(float rise) {
        float[] p = {-1, -rise, 1, 1, -rise, 1, 1, rise, -1, -1, rise, -1};
        float[] uv = {0, 0, 1, 0, 1, 1, 0, 1};
        return Mesh.builder(p, CORNERS).name("quad").uvSet(new Attribute("uv", 2, uv, CORNERS)).build();
    }

    private static BakeJob.Builder job() {
        return BakeJob.of(Cage.offset(quad(0), 0.5), quad(0.25f)).size(16).maps(HeightMap.create(), PositionMap.create(),
                NormalMap.create());
    }

    private static BakeResult bake(BakeJob.Builder job) {
        return Baker.create().bake(job.build(), Task.silent());
    }

    @Test
    void aGivenRange_isTheFilesRange_andWhatItCutsOffIsCounted() {
        BakeResult free = bake(job());
        assertThat(free.findings().ofKind("range-exceeded")).isEmpty();
        BakeResult wide = bake(job().range("height", new Range(-1, 1)).range("position", new Range(-2, 2)));
        assertThat(wide.range("height")).isEqualTo(new Range(-1, 1));
        assertThat(wide.map("position").encoding().ranges()).isEqualTo(List.of(new Range(-2, 2), new Range(-2, 2), new Range(-2, 2)));
        assertThat(wide.map("height").get(3, 2, 0)).as("the raw value").isEqualTo(free.map("height").get(3, 2, 0));
        assertThat(wide.findings().ofKind("range-exceeded")).isEmpty();
        // Of 16 rows over −0.25 … 0.25, whose middles are 1/32 apart, the outer four on either side are beyond 0.125.
        Finding cut = bake(job().range("height", new Range(0.125f, -0.125f))).findings().ofKind("range-exceeded").get(0);
        assertThat(cut.count()).isEqualTo(2 * 4 * 16);
        assertThat(cut.message()).contains("height");
    }

    @Test
    void rangesWithoutSense_areRefused() {
        assertThatThrownBy(() -> job().range("height", new Range(1, 1))).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("height");
        assertThatThrownBy(() -> job().range("depth", Range.UNIT).build()).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("[height, position, normal]");
        assertThatThrownBy(() -> job().range("normal", Range.UNIT).build()).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("normal");
        assertThatThrownBy(() -> job().range("position", Range.UNIT, Range.UNIT).build()).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("3");
    }
}
