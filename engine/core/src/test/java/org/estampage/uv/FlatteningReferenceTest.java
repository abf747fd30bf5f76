package org.estampage.uv;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.data.Offset.offset;

import java.io.IOException;
import org.estampage.task.Task;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * Least-squares conformal maps against tables made by another program with the weight of Lévy et al., 2002, two vertices pinned.
 */
class FlatteningReferenceTest {
    private static double[] reordered(Net net, double[] uv) {
        double[] result = new double[uv.length];
        for (int i = 0; i < net.vertexCount; i++) {
            result[2 * net.order[i]] = uv[2 * i];
            result[2 * net.order[i] + 1] = uv[2 * i + 1];
        }
        return result;
    }

    @ParameterizedTest
    @CsvSource({"cone_24x10_levy2002_lscm_pins_0_274.obj, 274", "halfcyl_24x10_levy2002_lscm_pins_0_274.obj, 274",
            "hemisphere_patch_16x16_levy2002_lscm_pins_0_288.obj, 288"})
    void conformal_withTheSamePins_isTheTables(String name, int pin) throws IOException {
        UvTable table = UvTable.read(name);
        Net net = new Net(table.patch(), table.patch().border());
        int[] pins = new int[2];
        for (int i = 0; i < net.vertexCount; i++) {
            pins[0] = net.order[i] == 0 ? i : pins[0];
            pins[1] = net.order[i] == pin ? i : pins[1];
        }
        double[] at = {table.uv()[0], table.uv()[1], table.uv()[2 * pin], table.uv()[2 * pin + 1]};
        double[] uv = Start.conformal(net, pins, at, Task.silent());
        assertThat(uv).isNotNull();
        // The tables' positions have 9 digits, and how that moves the maps, which are of size 1, was measured: less than this.
        assertThat(reordered(net, uv)).containsExactly(table.uv(), offset(1e-7));
    }

    @ParameterizedTest
    @CsvSource({"cone_24x10_levy2002_lscm_pins_0_274.obj, 1e-8", "halfcyl_24x10_levy2002_lscm_pins_0_274.obj, 1e-8"})
    void flatten_ofDevelopable_keepsAreasAndAngles(String name, double energy) throws IOException {
        UvTable table = UvTable.read(name);
        Flat flat = Flattening.flatten(table.patch(), Effort.FULL, Task.silent());
        assertThat(flat.distortion).isLessThan(1 + energy);
        // An isometry keeps them; the bar is what the eye and a texel can't tell.
        assertThat(FlatOracle.worstAreaRatio(table.patch(), flat.uv)).isLessThan(1e-4);
        assertThat(FlatOracle.worstAngle(table.patch(), flat.uv)).isLessThan(1e-4);
    }
}
