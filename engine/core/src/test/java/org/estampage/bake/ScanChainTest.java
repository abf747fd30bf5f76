package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;

import org.estampage.cage.Cage;
import org.estampage.cage.CageFit;
import org.estampage.lowpoly.ScanLowPoly;
import org.estampage.maps.CoverageMap;
import org.estampage.maps.NormalMap;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.DirtyShapes;
import org.estampage.testresources.EncrustedBollard;
import org.estampage.testresources.Shape;
import org.estampage.uv.Unwrap;
import org.junit.jupiter.api.Test;

/** From a scan with overlapping parts, copies, fins and no welding to maps, without a number made by hand. */
class ScanChainTest {
    @Test
    void dirtyScan_isUnwrappedCagedAndBaked_andMissesNothing() {
        Shape dirty = DirtyShapes.withFins(DirtyShapes.withCopies(EncrustedBollard.generate(5_000, 8, 3), 7, 700), 0.01, 300, 6_000);
        dirty = DirtyShapes.unwelded(dirty);
        Mesh high = Mesh.builder(dirty.positions(), dirty.triangles()).name("encrusted-high").build();
        Mesh low = Unwrap.of(ScanLowPoly.of(high).triangles(700)).size(256).build();
        assertThat(low.triangleCount()).isLessThanOrEqualTo(700);
        Cage cage = CageFit.around(low, high).build();
        BakeResult result = Baker.create()
                .bake(BakeJob.of(cage, high).size(256).samples(1).maps(NormalMap.create(), CoverageMap.create()).build(), Task.silent());
        assertThat(result.missedSampleCount()).isZero(); // the parts are closed: there is a surface everywhere
    }
}
