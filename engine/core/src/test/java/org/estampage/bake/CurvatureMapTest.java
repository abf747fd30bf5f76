package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import org.estampage.cage.Cage;
import org.estampage.image.FloatImage;
import org.estampage.maps.CurvatureMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.DisplacedSphere;
import org.estampage.testresources.Shape;
import org.estampage.testresources.Shapes;
import org.junit.jupiter.api.Test;

/** Curvature as a map: what its texels and files hold. */
class CurvatureMapTest {
    static BakeResult ball(double radius, SurfaceMap... maps) {
        Mesh low = BakeReferenceTest.mesh(DisplacedSphere.lowPoly(6, 1.0 / 32), "low");
        Shape shape = Shapes.icosphere(1, 5);
        Mesh high = BakeReferenceTest.mesh(shape, "ball").toBuilder()
                .normals(new Attribute("normal", 3, shape.positions(), shape.triangles())).build().unit(radius);
        return Baker.create().bake(
                BakeJob.of(Cage.imported(low.unit(radius), low.unit(1.2 * radius)), high).size(64).padding(0).maps(maps).build(),
                Task.silent());
    }

    @Test
    void ball_hasOneOverItsRadius_inTexelsAndRange() {
        BakeResult result = ball(4, CurvatureMap.create(), CurvatureMap.create().convex(), CurvatureMap.create().concave());
        FloatImage all = result.map("curvature");
        for (int y = 0; y < 64; y++) {
            for (int x = 0; x < 64; x++) {
                if (result.hit().get(x, y)) {
                    assertThat((double) all.get(x, y, 0)).isCloseTo(0.25, within(0.0025));
                    assertThat(result.map("curvature-convex").get(x, y, 0)).isEqualTo(all.get(x, y, 0));
                    assertThat(result.map("curvature-concave").get(x, y, 0)).isZero();
                }
            }
        }
        assertThat((double) result.range("curvature").atOne()).isCloseTo(0.25, within(0.0025));
        assertThat(result.range("curvature").atZero()).isEqualTo(-result.range("curvature").atOne());
        assertThat(result.range("curvature-convex").atZero()).isZero();
        BakedMap map = result.maps().get(0);
        assertThat(map.details()).containsEntry("Curvature", org.estampage.mesh.Curvature.ESTIMATOR);
        assertThat(Double.parseDouble(String.valueOf(map.details().get("Curvature length")))).isBetween(0.1, 1.0);
    }

    @Test
    void mapsOfOneLength_measureTheHighPolyOnce() {
        Mesh high = org.estampage.mesh.Normals.smooth(Patches.grid(20, 0, (x, z) -> 0.05 * Math.cos(5 * x)));
        BakeJob job = BakeJob.of(Cage.offset(Patches.flat(1, 0.05), 0.2), high).maps(CurvatureMap.create()).build();
        Preparation preparation = new Preparation(job, java.util.List.of(high), Task.silent());
        CurvatureMap map = CurvatureMap.create();
        for (CurvatureMap each : new CurvatureMap[] {map, map.convex(), map.concave(), map.convex().range(3)}) {
            each.prepared(preparation);
            assertThat(preparation.madeCount()).as(each.toString()).isEqualTo(1);
        }
        map.over(0.5).prepared(preparation);
        map.over(0.5).concave().prepared(preparation);
        assertThat(preparation.madeCount()).isEqualTo(2);
    }

    @Test
    void lengthAndRange_canBeKeptFromBakeToBake() {
        BakeResult result = ball(1, CurvatureMap.create().over(0.5).range(3));
        assertThat(result.range("curvature").atOne()).isEqualTo(3f);
        assertThat(result.maps().get(0).details()).containsEntry("Curvature length", "0.5");
        for (double wrong : new double[] {-1, Double.NaN}) {
            assertThatThrownBy(() -> CurvatureMap.create().over(wrong)).isInstanceOf(IllegalArgumentException.class)
                    .hasMessageContaining("over");
            assertThatThrownBy(() -> CurvatureMap.create().range(wrong)).isInstanceOf(IllegalArgumentException.class)
                    .hasMessageContaining("range");
        }
    }

    @Test
    void ridgeAndGroove_haveOppositeSigns() {
        Mesh low = Patches.flat(2, 0.05), high = Patches.grid(100, 0, (x, z) -> 0.05 * Math.cos(2 * Math.PI * x));
        BakeResult result = Baker.create().bake(BakeJob.of(Cage.offset(low, 0.2), high).size(64).maps(CurvatureMap.create()).build(),
                Task.silent());
        // On a ridge of z = A·cos(kx) the curvature is Ak²/2; averaging over two edges, σ = 0.04, takes (kσ)²/2 = 3 % of it.
        double ridge = 0.05 * Math.pow(2 * Math.PI, 2) / 2;
        assertThat((double) result.map("curvature").get(32, 32, 0)).isCloseTo(ridge, within(0.06 * ridge));
        // The groove at x = −½ and the turn at −¼ lie in the texels 17 and 24.
        assertThat((double) result.map("curvature").get(17, 32, 0)).isCloseTo(-ridge, within(0.08 * ridge));
        assertThat((double) result.map("curvature").get(24, 32, 0)).isCloseTo(0, within(0.1 * ridge));
    }
}
