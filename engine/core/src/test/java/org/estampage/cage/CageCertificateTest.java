package org.estampage.cage;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.math.BigDecimal;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

class CageCertificateTest {
    private static final Mesh SPHERE = Shapes.star(4, (x, y, z) -> 1);
    private static final Mesh BUMPY = Shapes.star(14,
            (x, y, z) -> 1.02 + 0.09 * Math.sin(9 * x) * Math.sin(8 * y + 1) * Math.cos(7 * z));

    /**
     * Counts pairs of triangles of which an edge of one meets the other, by Cramer's rule in big decimals over all pairs: neither the predicate of the
     * engine nor its search. An edge in the plane of the other triangle is passed over: its neighbours then meet it.
     */
    private static int meetings(Mesh high, Mesh cage) {
        int count = 0;
        float[] p = high.positions(), q = cage.positions();
        int[] e = high.positionIndices(), f = cage.positionIndices();
        for (int h = 0; h < e.length; h += 3) {
            for (int t = 0; t < f.length; t += 3) {
                boolean meet = false;
                for (int k = 0; k < 3 && !meet; k++) {
                    meet = meets(p, 3 * e[h + k], 3 * e[h + (k + 1) % 3], q, 3 * f[t], 3 * f[t + 1], 3 * f[t + 2])
                            || meets(q, 3 * f[t + k], 3 * f[t + (k + 1) % 3], p, 3 * e[h], 3 * e[h + 1], 3 * e[h + 2]);
                }
                count += meet ? 1 : 0;
            }
        }
        return count;
    }

    private static boolean meets(float[] p, int a, int b, float[] q, int c, int d, int e) {
        return mayTouch(p, a, b, q, c, d, e) && passes(p, a, b, q, c, d, e);
    }

    private static boolean mayTouch(float[] p, int a, int b, float[] q, int c, int d, int e) {
        for (int k = 0; k < 3; k++) {
            if (Math.min(p[a + k], p[b + k]) > Math.max(q[c + k], Math.max(q[d + k], q[e + k]))
                    || Math.max(p[a + k], p[b + k]) < Math.min(q[c + k], Math.min(q[d + k], q[e + k]))) {
                return false;
            }
        }
        return true;
    }

    private static boolean passes(float[] p, int a, int b, float[] q, int c, int d, int e) {
        // a + s (b − a) = c + u (d − c) + v (e − c)
        BigDecimal[] way = difference(p, a, p, b), u = difference(q, d, q, c), v = difference(q, e, q, c), w = difference(p, a, q, c);
        BigDecimal det = determinant(way, u, v);
        if (det.signum() == 0) {
            return false;
        }
        BigDecimal s = determinant(w, u, v), bu = determinant(way, w, v), bv = determinant(way, u, w);
        if (det.signum() < 0) {
            det = det.negate();
            s = s.negate();
            bu = bu.negate();
            bv = bv.negate();
        }
        return s.signum() >= 0 && s.compareTo(det) <= 0 && bu.signum() >= 0 && bv.signum() >= 0 && bu.add(bv).compareTo(det) <= 0;
    }

    private static BigDecimal[] difference(float[] p, int a, float[] q, int b) {
        BigDecimal[] out = new BigDecimal[3];
        for (int k = 0; k < 3; k++) {
            out[k] = new BigDecimal(p[a + k]).subtract(new BigDecimal(q[b + k]));
        }
        return out;
    }

    private static BigDecimal determinant(BigDecimal[] x, BigDecimal[] y, BigDecimal[] z) {
        BigDecimal sum = BigDecimal.ZERO;
        for (int k = 0; k < 3; k++) {
            int i = (k + 1) % 3, j = (k + 2) % 3;
            sum = sum.add(x[k].multiply(y[i].multiply(z[j]).subtract(y[j].multiply(z[i]))));
        }
        return sum;
    }

    private static void isCertified(Cage cage) {
        assertThat(cage.conflicts()).isEmpty();
        assertThat(cage.findings()).extracting(Finding::kind).doesNotContain("outside-cage", "cage-crossings", "inverted-cage-prisms",
                "cage-self-crossings", "cage-below-surface");
    }

    @Test
    void fittedCage_meetsNoHighPolyTriangle_asAnExactOracleCountsThem() {
        Cage cage = CageFit.around(SPHERE, BUMPY).build();
        isCertified(cage);
        assertThat(meetings(BUMPY, cage.mesh())).isZero();
        assertThat(Shapes.smallestCell(cage, 8)).isPositive();
    }

    @Test
    void crossingsOfACageThatIsTooSmall_areThoseOfTheOracle() {
        Cage cage = Cage.offset(SPHERE, 0.04);
        CageReport report = CageCheck.report(SPHERE, BUMPY, cage, CageCheck.SLANT_LIMIT, Task.silent());
        long pairs = report.conflicts().stream().filter(c -> c.kind() == CageConflict.Kind.CROSSING).count();
        assertThat(pairs).isPositive().isEqualTo(meetings(BUMPY, cage.mesh()));
    }

    @Test
    void scaledByAThousand_staysCertified() {
        for (double factor : new double[] {1000, 0.001}) {
            isCertified(CageFit.around(Shapes.scaled(SPHERE, factor), Shapes.scaled(BUMPY, factor)).build());
        }
    }

    @Test
    void largestOffset_leavesATipOutside_andListsItWithItsMissingHeight() {
        Mesh low = plane(6, 0);
        // an even grid of 48 steps has a vertex in the middle, which alone stands 0.5 high
        Mesh high = Shapes.grid(48, 48, (s, t, p) -> {
            p[0] = s;
            p[1] = t;
            p[2] = Math.abs(s - 0.5) < 1e-6 && Math.abs(t - 0.5) < 1e-6 ? 0.5 : 0;
        });
        Cage cage = CageFit.around(low, high).largestOffset(0.2).build();
        assertThat(cage.largestOffset()).isLessThanOrEqualTo(0.2f + 1e-6f); // positions are rounded
        assertThat(cage.conflicts()).filteredOn(c -> c.kind() == CageConflict.Kind.OUTSIDE && c.highElement() >= 0).singleElement()
                .satisfies(c -> {
                    assertThat(c.z()).isEqualTo(0.5f);
                    // a cage 0.2 high at the most below a tip at 0.5, along the normal of a triangle that rises by 0.2 over a step of 1/6 at the most
                    assertThat((double) c.missing()).isBetween(0.3 * (1 / 6.0) / Math.hypot(1 / 6.0, 0.2), 0.5);
                });
        assertThat(cage.conflicts()).anyMatch(c -> c.kind() == CageConflict.Kind.CROSSING);
        assertThat(cage.findings().ofKind("cage-crossings")).hasSize(1);
        isCertified(CageFit.around(low, high).build()); // without a limit all fits
    }

    private static Mesh plane(int steps, double z) {
        return Shapes.grid(steps, steps, (s, t, p) -> {
            p[0] = s;
            p[1] = t;
            p[2] = z;
        });
    }

    @Test
    void sheetsThatFaceEachOther_crossWhenOffsetPastTheMiddle() {
        // a low poly of two balls a gap of 0.2 apart
        Mesh a = SPHERE, b = Shapes.moved(SPHERE, 2.2f, 0, 0);
        float[] p = new float[a.positions().length * 2];
        System.arraycopy(a.positions(), 0, p, 0, a.positions().length);
        System.arraycopy(b.positions(), 0, p, a.positions().length, a.positions().length);
        int[] t = new int[2 * a.positionIndices().length];
        for (int i = 0; i < t.length; i++) {
            int half = t.length / 2;
            t[i] = i < half ? a.positionIndices()[i] : a.positionIndices()[i - half] + a.vertexCount();
        }
        Mesh both = Mesh.builder(p, t).build();
        assertThat(Cage.offset(both, 0.09).findings().ofKind("cage-self-crossings")).isEmpty();
        assertThat(Cage.offset(both, 0.15).findings().ofKind("cage-self-crossings")).hasSize(1);
        assertThat(Cage.imported(both, Cage.offset(both, 0.15).mesh()).findings().ofKind("cage-self-crossings")).hasSize(1);
    }

    @Test
    void offsetFromAColour_isTheChannelTimesTheLength() {
        float[] colours = new float[3 * SPHERE.vertexCount()];
        for (int v = 0; v < SPHERE.vertexCount(); v++) {
            colours[3 * v + 1] = SPHERE.positions()[3 * v + 1] > 0 ? 1 : 0.25f;
        }
        Mesh low = SPHERE.toBuilder().colourSet(new Attribute("push", 3, colours, SPHERE.positionIndices())).build();
        Cage cage = Cage.offset(low, "push", 1, 0.1);
        for (int v : low.positionIndices()) {
            // the reach is the distance again; a float's rounding
            assertThat((double) cage.reaches()[v]).isCloseTo(low.positions()[3 * v + 1] > 0 ? 0.1 : 0.025, within(1e-8));
        }
    }

    @Test
    void steepRays_areListedAboveTheLimitAlone() {
        Mesh cube = Shapes.star(1, (x, y, z) -> 1);
        Cage cage = Cage.offset(cube, 0.1);
        // between a face's normal and the space diagonal: acos(1/√3) = 54.7356°, at all eight corners
        Findings below = CageCheck.report(cube, cube, cage, 54, Task.silent()).findings();
        assertThat(below.ofKind("steep-cage-rays")).singleElement().satisfies(f -> assertThat(f.count()).isEqualTo(8));
        assertThat(CageCheck.report(cube, cube, cage, 55, Task.silent()).findings().ofKind("steep-cage-rays")).isEmpty();
        for (int v : cube.positionIndices()) {
            assertThat((double) cage.slants()[v]).isCloseTo(54.7356, within(1e-3)); // positions are floats of a short way
        }
    }
}
