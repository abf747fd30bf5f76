package org.estampage.uv;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.io.IOException;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/**
 * Measures of maps made by another program: least-squares conformal maps, with the weight of Lévy et al., 2002, and without it as CGAL 5.5.1 makes them, and
 * as-rigid-as-possible ones of CGAL 5.5.1.
 */
class UvMeasuresReferenceTest {
    /** The bar of an isometry, on areas and angles; the tables have 9 digits, floats 7. */
    private static final double ISOMETRY = 1e-4;

    private static UvDistortion of(String name) throws IOException {
        UvTable table = UvTable.read(name);
        return UvMeasures.of(table.mesh(table.uv()), 1024, 1024).distortion();
    }

    @ParameterizedTest
    @ValueSource(strings = {"cone_24x10_levy2002_lscm_pins_0_274.obj", "halfcyl_24x10_levy2002_lscm_pins_0_274.obj"})
    void developables_areIsometric_likeTheirTables_andByUnwrap(String name) throws IOException {
        UvDistortion table = of(name);
        UvTable read = UvTable.read(name);
        UvDistortion ours = UvMeasures.of(Unwrap.of(read.mesh(read.uv())).packedInRows(), 2048, 2048).distortion();
        for (UvDistortion d : new UvDistortion[] {table, ours}) {
            assertThat(d.area()).isBetween(1.0 - 1e-12, 1 + ISOMETRY);
            assertThat(d.angle()).isBetween(1.0 - 1e-12, 1 + ISOMETRY);
            assertThat(d.energy()).isBetween(1.0 - 1e-12, 1 + ISOMETRY);
            assertThat(d.stretch()).isBetween(1.0 - 1e-12, 1 + ISOMETRY);
        }
    }

    @Test
    void curvedPatch_conformalTablesKeepAngles_rigidOnesAreas_andOursHasTheLeastEnergy() throws IOException {
        UvDistortion levy = of("hemisphere_patch_16x16_levy2002_lscm_pins_0_288.obj");
        UvDistortion plain = of("hemisphere_patch_16x16_cgal_lscm_pins_0_288.obj");
        UvDistortion rigid = of("hemisphere_patch_16x16_cgal_arap.obj");
        // what each of them minimises is smaller than in the others
        assertThat(levy.angle()).isLessThan(rigid.angle());
        assertThat(plain.angle()).isLessThan(rigid.angle());
        assertThat(rigid.area()).isLessThan(levy.area()).isLessThan(plain.area());
        assertThat(rigid.energy()).isLessThan(levy.energy()).isLessThan(plain.energy());
        UvTable table = UvTable.read("hemisphere_patch_16x16_cgal_arap.obj");
        Flat flat = Flattening.flatten(table.patch(), Effort.FULL, Task.silent());
        UvDistortion ours = UvMeasures.of(table.mesh(flat.uv), 1024, 1024).distortion();
        assertThat(ours.energy()).isLessThan(rigid.energy());
        // At its least the energy is what the flattening says: the best scale is the chart's own. 1e-6: floats.
        assertThat(ours.energy()).isCloseTo(flat.distortion, within(1e-6));
    }
}
