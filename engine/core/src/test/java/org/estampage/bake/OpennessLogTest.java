package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.List;
import org.estampage.cage.Cage;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.finding.Severity;
import org.estampage.maps.BentNormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.maps.ThicknessMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshJoin;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Texels whose hemisphere rays say less than they seem to. */
class OpennessLogTest {
    private static final int SIZE = 16;
    private static final Mesh LOW = Patches.flat(1, 0);

    private static BakeResult bake(Mesh high, SurfaceMap... maps) {
        return Baker.create().threads(2).blockSide(5)
                .bake(BakeJob.of(Cage.offset(LOW, 0.1), high).size(SIZE).padding(0).maps(maps).build(), Task.silent());
    }

    /** A floor with a lid half a unit above it that faces down and covers x < {@code upTo}, far beyond the floor on the other sides, and walls there. */
    private static Mesh lidded(double upTo) {
        float x = (float) upTo;
        float[] p = {-9, 0.5f, 9, x, 0.5f, 9, x, 0.5f, -9, -9, 0.5f, -9, x, -9, 9, x, -9, -9, -9, -9, 9, -9, -9, -9};
        // The lid, and walls that close it to all sides.
        int[] corners = {0, 2, 1, 0, 3, 2, 1, 2, 5, 1, 5, 4, 0, 1, 4, 0, 4, 6, 3, 7, 5, 3, 5, 2, 0, 6, 7, 0, 7, 3};
        return MeshJoin.shapes(List.of(Patches.flat(1, 0), Mesh.builder(p, corners).build()));
    }

    @Test
    void closedTexels_areCounted_withTheFirstPlaces() {
        BakeResult result = bake(lidded(9), BentNormalMap.create(16), OcclusionMap.create(16));
        Finding finding = result.findings().ofKind("closed-texels").get(0);
        assertThat(result.findings().ofKind("closed-texels")).hasSize(1);
        assertThat(finding.severity()).isEqualTo(Severity.NOTE);
        assertThat(finding.count()).isEqualTo(SIZE * SIZE);
        assertThat(finding.places()).hasSize(Finding.MAX_PLACES).startsWith(new Place.Texel(0, 0), new Place.Texel(1, 0));
        assertThat(finding.message()).contains("bent-normal").contains("the high poly's normal");
        assertThat(result.map("bent-normal").get(3, 3, 2)).isEqualTo(1f);
    }

    @Test
    void mapsOfWhichClosedIsAValue_haveNoClosedTexels() {
        assertThat(bake(lidded(9), OcclusionMap.create(16), ThicknessMap.create(16)).findings().ofKind("closed-texels")).isEmpty();
        assertThat(bake(Patches.flat(1, 0), BentNormalMap.create(16)).findings()).isEmpty();
    }

    @Test
    void keptLength_isSaidToBeNone() {
        assertThat(bake(lidded(9), BentNormalMap.create(16).keepingLength()).findings().ofKind("closed-texels").get(0).message())
                .contains("zero vector");
    }

    /** sin²(θ/2) is 0.98 % at 11.36° and 1.02 % at 11.6°. */
    @ParameterizedTest
    @CsvSource({"0, 0", "11.36, 0", "11.6, 256", "40, 256", "180, 256"})
    void leaningNormals_areNotedBeyondOnePercent(double degrees, int texels) {
        List<Finding> findings = bake(leaning(degrees), OcclusionMap.create(16)).findings().ofKind("rays-below-faces");
        assertThat(findings.stream().mapToLong(Finding::count).sum()).isEqualTo(texels);
        assertThat(findings).allMatch(finding -> finding.places().get(0).equals(new Place.Texel(0, 0)));
    }

    @Test
    void raysOfEqualWeight_andThoseInwards_areNotJudged() {
        assertThat(bake(leaning(40), OcclusionMap.create(16).uniform(), ThicknessMap.create(16)).findings()).isEmpty();
    }

    private static Mesh leaning(double degrees) {
        Mesh flat = Patches.flat(1, 0);
        float[] normal = {(float) Math.sin(Math.toRadians(degrees)), (float) Math.cos(Math.toRadians(degrees)), 0};
        return flat.toBuilder().normals(new Attribute("normal", 3, normal, new int[flat.positionIndices().length])).build();
    }
}
