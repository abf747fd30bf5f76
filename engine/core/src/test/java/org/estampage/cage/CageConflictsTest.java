package org.estampage.cage;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Arrays;
import java.util.List;
import java.util.concurrent.ForkJoinPool;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** Shapes at which a cage must fail, or nearly, each with what has to be said about it. */
class CageConflictsTest {
    private static final Mesh PLANE = Shapes.grid(4, 4, (s, t, p) -> {
        p[0] = s;
        p[1] = t;
        p[2] = 0;
    });

    private static Mesh joined(Mesh a, Mesh b) {
        float[] p = Arrays.copyOf(a.positions(), a.positions().length + b.positions().length);
        System.arraycopy(b.positions(), 0, p, a.positions().length, b.positions().length);
        int[] t = Arrays.copyOf(a.positionIndices(), a.positionIndices().length + b.positionIndices().length);
        for (int i = 0; i < b.positionIndices().length; i++) {
            t[a.positionIndices().length + i] = b.positionIndices()[i] + a.vertexCount();
        }
        return Mesh.builder(p, t).build();
    }

    /** Returns an open upright box without a bottom, of side 0.1 about (0.5, 0.5), from z0 to z1; upside down it is a slit. */
    private static Mesh peg(double z0, double z1) {
        float[] p = new float[24];
        for (int i = 0; i < 8; i++) {
            p[3 * i] = i % 4 == 1 || i % 4 == 2 ? 0.55f : 0.45f;
            p[3 * i + 1] = i % 4 >= 2 ? 0.55f : 0.45f;
            p[3 * i + 2] = (float) (i < 4 ? z0 : z1);
        }
        return Mesh.builder(p, new int[] {4, 5, 6, 4, 6, 7, 0, 1, 5, 0, 5, 4, 1, 2, 6, 1, 6, 5, 2, 3, 7, 2, 7, 6, 3, 0, 4, 3, 4, 7})
                .build();
    }

    @Test
    void pegOutOfAFlatFace_isEnclosed_orListedWithAllItsTop() {
        Mesh high = joined(PLANE, peg(0, 0.8));
        assertThat(CageFit.around(PLANE, high).build().conflicts()).isEmpty();
        Cage low = CageFit.around(PLANE, high).largestOffset(0.3).build();
        // the four corners of the top are vertices 29 … 32 behind the 25 of the plane
        assertThat(low.conflicts().stream().filter(c -> c.kind() == CageConflict.Kind.OUTSIDE && c.highElement() >= 0)
                .map(CageConflict::highElement)).containsExactly(29, 30, 31, 32);
        // a flat cage, 0.3 high at the most: 0.5 is missing, along its normal, and no more than from the plane
        assertThat(low.conflicts().stream().filter(c -> c.highElement() >= 29).mapToDouble(CageConflict::missing).max().orElse(0))
                .isBetween(0.5 * 0.6, 0.8);
        // the eight triangles of its walls cross the cage, and the two of its top, at 0.8, do not
        assertThat(
                low.conflicts().stream().filter(c -> c.kind() == CageConflict.Kind.CROSSING).mapToInt(CageConflict::highElement).distinct()
                        .sorted().toArray())
                .containsExactly(34, 35, 36, 37, 38, 39, 40, 41);
        assertThat(low.findings().ofKind("cage-crossings")).singleElement().satisfies(f -> {
            assertThat(f.count()).isEqualTo(8);
            assertThat(f.remedy()).contains("more low-poly vertices").contains("limits").contains("ray blend");
            assertThat(f.places()).first().isInstanceOfSatisfying(Place.Point.class, p -> {
                assertThat(p.x()).isBetween(0.449f, 0.551f);
                assertThat(p.y()).isBetween(0.449f, 0.551f);
            });
        });
    }

    @Test
    void deepSlit_isReachedAndCausesNoConflict() {
        // a plane with a square hole and a pit of 0.7 below it: walls seen from inside the pit
        Mesh pit = Mesh
                .builder(peg(-0.7, 0).positions(),
                        new int[] {0, 1, 2, 0, 2, 3, 0, 5, 1, 0, 4, 5, 1, 6, 2, 1, 5, 6, 2, 7, 3, 2, 6, 7, 3, 4, 0, 3, 7, 4})
                .build();
        Mesh whole = Shapes.grid(20, 20, (x, y, p) -> {
            p[0] = x;
            p[1] = y;
            p[2] = 0;
        });
        int[] all = whole.positionIndices();
        int[] kept = new int[all.length];
        int count = 0;
        for (int t = 0; t < all.length; t += 3) {
            double x = 0, y = 0;
            for (int k = t; k < t + 3; k++) {
                x += whole.positions()[3 * all[k]] / 3;
                y += whole.positions()[3 * all[k] + 1] / 3;
            }
            if (Math.abs(x - 0.5) > 0.05 || Math.abs(y - 0.5) > 0.05) {
                System.arraycopy(all, t, kept, count, 3);
                count += 3;
            }
        }
        assertThat(count).isEqualTo(all.length - 4 * 2 * 3); // a hole of two by two squares
        Mesh high = joined(Mesh.builder(whole.positions(), Arrays.copyOf(kept, count)).build(), pit);
        Cage cage = CageFit.around(PLANE, high).build();
        assertThat(cage.conflicts()).isEmpty();
        assertThat(cage.largestReach()).isGreaterThanOrEqualTo(0.7f);
        assertThat(cage.largestOffset()).isLessThan(0.01f); // a slit asks for no height
    }

    @Test
    void bowTieVertex_keepsOneCagePosition_andIsCertified() {
        // two cubes that share a single corner
        Mesh cube = Shapes.star(1, (x, y, z) -> 1);
        float side = 2 * Math.abs(cube.positions()[0]);
        Mesh both = joined(cube, Shapes.moved(cube, side, side, side));
        Cage cage = Cage.offset(both, 0.05);
        assertThat(cage.findings().ofKind("no-cage-direction")).singleElement().satisfies(f -> assertThat(f.count()).isEqualTo(1));
        Cage fitted = CageFit.around(both, both).build();
        // the facets around the shared corner look along all six axes: no direction sees them, and the finding names that vertex alone
        assertThat(fitted.findings().ofKind("no-cage-direction")).singleElement().satisfies(f -> {
            assertThat(f.count()).isEqualTo(1);
            assertThat(f.places()).singleElement().isInstanceOfSatisfying(Place.Element.class, e -> {
                int v = 3 * (int) e.index();
                assertThat(both.positions()[v]).isEqualTo(both.positions()[v + 1]).isEqualTo(both.positions()[v + 2]).isPositive();
            });
        });
        assertThat(fitted.positions()).doesNotContain(Float.NaN);
    }

    @Test
    void movedAndTurned_theFitStaysCertified_withTheSameOffsets() {
        Mesh low = Shapes.star(4, (x, y, z) -> 1);
        Mesh high = Shapes.star(14, (x, y, z) -> 1.02 + 0.09 * Math.sin(9 * x) * Math.sin(8 * y + 1) * Math.cos(7 * z));
        Cage one = CageFit.around(low, high).build();
        // a quarter turn about z is exact in floats
        Cage turned = CageFit.around(turned(low), turned(high)).build();
        assertThat(turned.conflicts()).isEmpty();
        // sums are taken in another order of axes: roundings of doubles, then a float's
        assertThat((double) turned.meanOffset()).isCloseTo(one.meanOffset(), org.assertj.core.data.Percentage.withPercentage(1));
        Cage moved = CageFit.around(Shapes.moved(low, 5, -3, 2), Shapes.moved(high, 5, -3, 2)).build();
        assertThat(moved.conflicts()).isEmpty();
        assertThat((double) moved.meanOffset()).isCloseTo(one.meanOffset(), org.assertj.core.data.Percentage.withPercentage(1));
    }

    private static Mesh turned(Mesh mesh) {
        float[] p = mesh.positions().clone();
        for (int i = 0; i < p.length; i += 3) {
            p[i] = -mesh.positions()[i + 1];
            p[i + 1] = mesh.positions()[i];
        }
        return Mesh.builder(p, mesh.positionIndices()).build();
    }

    @Test
    void reportAndConflicts_areTheSame_onOneThreadOrFour() throws Exception {
        Mesh low = Shapes.star(4, (x, y, z) -> 1);
        Mesh high = Shapes.star(24, (x, y, z) -> 1.02 + 0.09 * Math.sin(9 * x) * Math.sin(8 * y + 1) * Math.cos(7 * z));
        Cage small = Cage.offset(low, 0.03);
        CageReport[] reports = new CageReport[2];
        for (int i = 0; i < 2; i++) {
            int number = i;
            try (ForkJoinPool pool = new ForkJoinPool(i == 0 ? 1 : 4)) {
                pool.submit(() -> reports[number] = CageCheck.report(low, high, small, 10, Task.silent())).get();
            }
        }
        assertThat(reports[0].conflicts()).isNotEmpty().isEqualTo(reports[1].conflicts());
        assertThat(reports[0].findings()).isEqualTo(reports[1].findings());
    }

    @Test
    void importedCage_isCheckedLikeAnyOther() {
        Mesh low = Shapes.star(4, (x, y, z) -> 1);
        Mesh high = Shapes.star(14, (x, y, z) -> 1.02 + 0.09 * Math.sin(9 * x) * Math.sin(8 * y + 1) * Math.cos(7 * z));
        Cage fitted = CageFit.around(low, high).build();
        Cage back = Cage.imported(low, fitted.mesh());
        assertThat(CageCheck.report(low, high, back, 60, Task.silent()).conflicts()).isEmpty();
        // one vertex pushed in: what stands out there is found around it, and nowhere else
        float[] p = fitted.positions().clone();
        int v = low.positionIndices()[0];
        for (int w = 0; w < low.vertexCount(); w++) {
            for (int k = 0; k < 3 && same(low, v, w); k++) {
                p[3 * w + k] = low.positions()[3 * v + k] * 0.9f;
            }
        }
        CageReport report = CageCheck.report(low, high, Cage.imported(low, low.toBuilder().positions(p).build()), 60, Task.silent());
        List<String> kinds = report.findings().stream().map(Finding::kind).toList();
        assertThat(kinds).contains("outside-cage", "cage-crossings", "cage-below-surface");
        assertThat(report.conflicts()).allSatisfy(c -> {
            double dot = 0;
            double square = 0;
            double[] at = {c.x(), c.y(), c.z()};
            for (int k = 0; k < 3; k++) {
                dot += at[k] * low.positions()[3 * v + k];
                square += at[k] * at[k];
            }
            assertThat(dot / Math.sqrt(square)).isGreaterThan(Math.cos(Math.toRadians(45))); // a ring of a ball of 4 steps a face spans 23°
        });
    }

    private static boolean same(Mesh mesh, int v, int w) {
        return Arrays.equals(mesh.positions(), 3 * v, 3 * v + 3, mesh.positions(), 3 * w, 3 * w + 3);
    }
}
