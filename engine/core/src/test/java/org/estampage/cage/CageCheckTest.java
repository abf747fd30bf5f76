package org.estampage.cage;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.finding.Place;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

class CageCheckTest {
    private static final Mesh SPHERE = Shapes.star(6, (x, y, z) -> 1);

    private static long outside(Findings findings) {
        return findings.ofKind("outside-cage").stream().mapToLong(Finding::count).sum();
    }

    @Test
    void verticesOutside_areCountedAsTheWindingNumberCountsThem() {
        Mesh high = Shapes.star(30, (x, y, z) -> 1.05 + 0.05 * Math.sin(8 * x) * Math.sin(9 * y + 1) * Math.cos(7 * z));
        for (double distance : new double[] {0.021, 0.053, 0.079}) {
            Cage cage = Cage.offset(SPHERE, distance);
            int expected = Shapes.outside(cage, high, 1);
            assertThat(expected).isPositive();
            assertThat(outside(CageCheck.check(SPHERE, high, cage, Task.silent()))).isEqualTo(expected);
        }
    }

    @Test
    void worstPlace_isTheTipAndItsHeight() {
        Mesh high = Shapes.star(30, (x, y, z) -> z > 0.9999 ? 1.5 : 0.99);
        Findings findings = CageCheck.check(SPHERE, high, Cage.offset(SPHERE, 0.1), Task.silent());
        assertThat(findings.ofKind("outside-cage")).singleElement().satisfies(f -> {
            assertThat(f.count()).isEqualTo(1);
            assertThat(f.places()).singleElement().isInstanceOfSatisfying(Place.Point.class,
                    p -> assertThat(p.z()).isCloseTo(1.5f, within(1e-6f)));
            // above a vertex of the cage, whose faces lean by less than 12° there
            double height = Double.parseDouble(f.message().replaceAll(".*up to ", ""));
            assertThat(height).isBetween(0.4 * Math.cos(Math.toRadians(12)), 0.4);
        });
    }

    @Test
    void cageOnTheSurface_leavesAllOuterVerticesOutside() {
        Mesh high = Shapes.star(10, (x, y, z) -> 1.01);
        assertThat(outside(CageCheck.check(SPHERE, high, Cage.offset(SPHERE, 0), Task.silent()))).isEqualTo(high.vertexCount());
    }

    @Test
    void cageInsideTheLowPoly_leavesAllOuterVerticesOutside() {
        Mesh high = Shapes.star(10, (x, y, z) -> 1.01);
        Cage inner = Cage.imported(SPHERE, Shapes.scaled(SPHERE, 0.9));
        assertThat(inner.findings().ofKind("cage-inside")).singleElement()
                .satisfies(f -> assertThat(f.count()).isEqualTo(SPHERE.vertexCount()));
        assertThat(outside(CageCheck.check(SPHERE, high, inner, Task.silent()))).isEqualTo(high.vertexCount());
    }

    @Test
    void cageAmplyLarge_hasNothingButItsSlant() {
        Mesh high = Shapes.star(10, (x, y, z) -> 1.01);
        Findings findings = CageCheck.check(SPHERE, high, Cage.offset(SPHERE, 0.5), Task.silent());
        assertThat(findings).extracting(Finding::kind).containsExactly("cage-slant");
    }

    @Test
    void slant_ofACubesCorners_isItsSpaceDiagonals() {
        Mesh cube = Shapes.star(1, (x, y, z) -> 1);
        Findings findings = CageCheck.check(cube, cube, Cage.offset(cube, 0.1), Task.silent());
        // between a face's normal and the space diagonal: acos(1/√3) = 54.7356°
        assertThat(findings.ofKind("cage-slant").get(0).message()).contains("54.7° (median), 54.7° (99 %), 54.7° (most)");
    }

    @Test
    void cageOfAnotherLowPoly_isRefused() {
        Cage other = Cage.offset(Shapes.star(2, (x, y, z) -> 1), 0.1);
        assertThatThrownBy(() -> CageCheck.check(SPHERE, SPHERE, other, Task.silent())).isInstanceOf(InvalidMeshException.class)
                .hasMessageContaining("the cage has 26 vertices, the low poly 218");
    }
}
