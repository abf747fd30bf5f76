package org.estampage.mesh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import org.estampage.finding.Findings;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;

class PairCheckTest {
    /** A wedge that has no symmetry, standing on y = 0: 3 wide, 5 high, 2 deep, off the origin. */
    private static Mesh wedge(double grown) {
        float g = (float) grown;
        float[] xyz = {0.5f - g, 0, 1 - g, 3.5f + g, 0, 1 - g, 3.5f + g, 0, 3 + g, 0.5f - g, 0, 3 + g, 0.5f, 5 + g, 1};
        int[] triangles = {0, 1, 2, 0, 2, 3, 0, 4, 1, 1, 4, 2, 2, 4, 3, 3, 4, 0};
        return Mesh.builder(xyz, triangles).name("wedge").build();
    }

    private static Mesh moved(Mesh mesh, float x, float y, float z) {
        float[] xyz = mesh.positions().clone();
        for (int i = 0; i < xyz.length; i += 3) {
            xyz[i] += x;
            xyz[i + 1] += y;
            xyz[i + 2] += z;
        }
        return Mesh.builder(xyz, mesh.positionIndices()).build();
    }

    @Test
    void meshesThatFit_findNothing() {
        assertThat(PairCheck.check(wedge(0), wedge(0.05))).isEmpty();
        assertThat(PairCheck.check(wedge(0.05), wedge(0))).isEmpty();
    }

    /** The international inch is 25.4 mm, the foot 0.3048 m, by definition (1959 agreement; from memory). */
    @ParameterizedTest
    @CsvSource({"10", "100", "1000", "0.1", "0.01", "0.001", "2.54", "25.4", "0.3048", "12"})
    void otherUnit_isNamed_andItsCallCures(double factor) {
        Mesh low = wedge(0).unit(1 / factor);
        Findings found = PairCheck.check(low, wedge(0.03));
        assertThat(found).hasSize(1);
        assertThat(found.get(0).kind()).isEqualTo("other-unit");
        String call = found.get(0).remedy();
        double said = Double.parseDouble(call.substring(call.indexOf('(') + 1, call.indexOf(')')));
        assertThat(PairCheck.check(low.unit(said), wedge(0.03))).isEmpty();
        assertThat(said / factor).isBetween(1 - 1e-5, 1 + 1e-5); // six digits are printed
    }

    @ParameterizedTest
    @EnumSource(value = Axis.class, names = {"X", "Z"})
    void otherAxisUp_isNamed_andItsCallCures(Axis axis) {
        Mesh fileThatNeedsTurning = wedge(0.02).up(axis).up(axis).up(axis); // three quarter turns: a fourth brings it back
        Findings low = PairCheck.check(fileThatNeedsTurning, wedge(0));
        assertThat(low).hasSize(1);
        assertThat(low.get(0).remedy()).isEqualTo("call low = low.up(Axis." + axis + ")");
        assertThat(PairCheck.check(fileThatNeedsTurning.up(axis), wedge(0))).isEmpty();
        Findings high = PairCheck.check(wedge(0), fileThatNeedsTurning);
        assertThat(high.get(0).remedy()).isEqualTo("call high = high.up(Axis." + axis + ")");
        assertThat(PairCheck.check(wedge(0), fileThatNeedsTurning.up(axis))).isEmpty();
    }

    @Test
    void otherUnitAndAxis_areBothNamed() {
        Mesh low = wedge(0).up(Axis.Z).up(Axis.Z).up(Axis.Z).unit(0.01);
        assertThat(PairCheck.check(low, wedge(0))).extracting(f -> f.kind()).containsExactly("other-unit", "other-axis-up");
        assertThat(PairCheck.check(low.unit(100).up(Axis.Z), wedge(0))).isEmpty();
    }

    @ParameterizedTest
    @EnumSource(value = Axis.class, names = {"X", "Z"})
    void mirrorImage_isNamed(Axis axis) {
        float[] xyz = wedge(0).positions().clone();
        for (int i = axis.component(); i < xyz.length; i += 3) {
            xyz[i] = -xyz[i];
        }
        Mesh mirrored = Mesh.builder(xyz, wedge(0).positionIndices()).build();
        Findings found = PairCheck.check(mirrored, wedge(0));
        assertThat(found).hasSize(1);
        assertThat(found.get(0).kind()).isEqualTo("mirrored");
        assertThat(found.get(0).message()).endsWith("along " + axis);
        assertThat(found.get(0).remedy()).startsWith("call low = low.mirrored(Axis." + axis + ")");
        assertThat(PairCheck.check(mirrored.mirrored(axis), wedge(0))).isEmpty();
    }

    @Test
    void symmetricThing_givesNoFalseAlarm() {
        float[] xyz = {-1, -1, -1, 1, -1, -1, 1, 1, -1, -1, 1, -1, -1, -1, 1, 1, -1, 1, 1, 1, 1, -1, 1, 1};
        int[] triangles = {0, 2, 1, 0, 3, 2, 4, 5, 6, 4, 6, 7, 0, 1, 5, 0, 5, 4, 2, 3, 7, 2, 7, 6, 1, 2, 6, 1, 6, 5, 0, 4, 7, 0, 7, 3};
        Mesh cube = Mesh.builder(xyz, triangles).build();
        assertThat(PairCheck.check(cube.up(Axis.Z), cube)).isEmpty();
    }

    @Test
    void meshBesideTheOther_isNamed_withTheWay() {
        Findings found = PairCheck.check(moved(wedge(0), 7, 0, 0), wedge(0));
        assertThat(found).hasSize(1);
        assertThat(found.get(0).kind()).isEqualTo("apart");
        assertThat(found.get(0).message()).contains("(-7.000, 0.000, 0.000)");
    }

    @Test
    void meshWithoutTriangles_isRefused() {
        Mesh none = Mesh.builder(new float[0], new int[0]).build();
        assertThatThrownBy(() -> PairCheck.check(none, wedge(0))).isInstanceOf(InvalidMeshException.class)
                .hasMessageContaining("the low poly");
    }
}
