package org.estampage.uv;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.List;
import java.util.stream.IntStream;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.junit.jupiter.api.Test;

/** Borders that face themselves: a strip 40 wide bent around a circle of 100, all but a wedge between its ends. */
class NarrowGapsTest {
    private static final int STEPS = 90;

    /** The strip in the plane: inner and outer vertex by turns. */
    private static Chart bent(double wedgeDegrees) {
        double[] uv = new double[4 * (STEPS + 1)];
        int[] triangles = new int[6 * STEPS];
        double around = Math.toRadians(360 - wedgeDegrees);
        for (int i = 0; i <= STEPS; i++) {
            double a = -around * i / STEPS; // clockwise, so that triangles face up
            for (int k = 0; k < 2; k++) {
                uv[4 * i + 2 * k] = (100 + 40 * k) * Math.cos(a);
                uv[4 * i + 2 * k + 1] = (100 + 40 * k) * Math.sin(a);
            }
            if (i < STEPS) {
                int[] two = {2 * i, 2 * i + 3, 2 * i + 1, 2 * i, 2 * i + 2, 2 * i + 3};
                System.arraycopy(two, 0, triangles, 6 * i, 6);
            }
        }
        return new Chart(uv, triangles, 1);
    }

    /** The same strip on a mesh: straight, or around a cone whose ends meet. */
    private static double[] onMesh(boolean straight, double size) {
        double[] xyz = new double[6 * (STEPS + 1)];
        for (int i = 0; i <= STEPS; i++) {
            double a = 2 * Math.PI * i / STEPS;
            for (int k = 0; k < 2; k++) {
                double r = 100 + 40 * k;
                xyz[6 * i + 3 * k] = size * (straight ? 120 * a : r * Math.cos(a));
                xyz[6 * i + 3 * k + 1] = size * (straight ? r : r * Math.sin(a));
                xyz[6 * i + 3 * k + 2] = straight ? 0 : size * 0.1 * r;
            }
        }
        return xyz;
    }

    private static List<Finding> look(double wedgeDegrees, boolean straight, double size, int gutter) {
        NarrowGaps gaps = new NarrowGaps(gutter);
        gaps.look(bent(wedgeDegrees), 1, onMesh(straight, size), IntStream.range(0, 2 * STEPS + 2).toArray());
        return gaps.findings();
    }

    @Test
    void endsThatAreApartOnTheMesh_areFound() {
        // 6° are 10.5 texels at the inner and 14.7 at the outer corners: both ends of 40 lie within 16, and some texels beside them.
        for (double size : new double[] {1, 1000}) {
            Finding found = look(6, true, size, 16).get(0);
            assertThat(found.count()).isEqualTo(1);
            int length = Integer.parseInt(found.message().replaceAll(".*along (\\d+) texels.*", "$1"));
            assertThat(length).isBetween(80, 92);
            assertThat(found.places()).hasSize(1);
            long vertex = ((Place.Element) found.places().get(0)).index();
            assertThat(Math.min(vertex, 2 * STEPS + 1 - vertex)).isLessThan(4);
        }
    }

    @Test
    void bothSidesOfACut_areNotFound() {
        assertThat(look(6, false, 1, 16)).isEmpty();
        assertThat(look(1, false, 1, 16)).isEmpty();
    }

    @Test
    void widerGaps_areNotFound() {
        assertThat(look(6, true, 1, 10)).isEmpty();
        assertThat(look(6, true, 1, 0)).isEmpty();
        assertThat(look(10, true, 1, 16)).isEmpty();
    }

    @Test
    void repackAndUnwrap_sayIt() {
        Chart chart = bent(6);
        float[] xyz = new float[6 * (STEPS + 1)];
        float[] uv = new float[chart.uv.length];
        for (int i = 0; i < uv.length; i++) {
            uv[i] = (float) (chart.uv[i] / 300 + 0.5);
        }
        double[] solid = onMesh(true, 1);
        for (int i = 0; i < xyz.length; i++) {
            xyz[i] = (float) solid[i];
        }
        Mesh strip = Mesh.builder(xyz, chart.triangles).uvSet(new Attribute("uv", 2, uv, chart.triangles)).build();
        assertThat(Repack.of(strip).packedInRows().size(300).gutterTexels(16).build().findings().ofKind("uv-narrow-gaps")).hasSize(1);
        assertThat(Repack.of(strip).packedInRows().size(300).gutterTexels(4).build().findings().ofKind("uv-narrow-gaps")).isEmpty();
        // One turn of a screw that rises by 100: laid flat it lacks 4.4° of a turn, 2π (1 − r / √(r² + c²)) with r = 100 and c = 100 / 2π.
        for (int i = 0; i < xyz.length; i += 6) {
            double a = 2 * Math.PI * i / (6 * STEPS);
            for (int k = 0; k < 2; k++) {
                double r = 100 + 40 * k;
                xyz[i + 3 * k] = (float) (r * Math.cos(a));
                xyz[i + 3 * k + 1] = (float) (r * Math.sin(a));
                xyz[i + 3 * k + 2] = (float) (100 * a / (2 * Math.PI));
            }
        }
        Mesh turn = Mesh.builder(xyz, chart.triangles).build();
        Unwrap unwrap = Unwrap.of(turn).packedInRows().seamsByAngle(180).size(300);
        assertThat(unwrap.gutterTexels(16).build().findings().ofKind("uv-narrow-gaps")).hasSize(1);
        assertThat(unwrap.gutterTexels(2).build().findings().ofKind("uv-narrow-gaps")).isEmpty();
    }
}
