package org.estampage.cage;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.Random;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ForkJoinPool;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.finding.Place;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshProblem;
import org.estampage.task.Task;
import org.estampage.testresources.Bollard;
import org.estampage.testresources.Shape;
import org.junit.jupiter.api.Test;

class CageFitTest {
    private static double knobs(double x, double y, double z) {
        double r = 1 + 0.06 * Math.sin(9 * x) * Math.sin(8 * y) * Math.cos(7 * z);
        double toTip = (x - 0.6) * (x - 0.6) + (y - 0.64) * (y - 0.64) + (z - 0.48) * (z - 0.48);
        return r + 0.25 * Math.exp(-toTip / 0.01);
    }

    private static final Mesh SPHERE = Shapes.star(6, (x, y, z) -> 1);
    private static final Mesh KNOBBY = Shapes.star(32, CageFitTest::knobs);

    private static void isOnlyANote(Findings findings) {
        assertThat(findings).extracting(Finding::kind).containsExactly("cage-slant");
    }

    @Test
    void fit_aroundAKnobbySphere_holdsEveryVertexAndFoldsNowhere() {
        Cage cage = CageFit.around(SPHERE, KNOBBY).build();
        assertThat(Shapes.outside(cage, KNOBBY, 1)).isZero();
        assertThat(Shapes.smallestCell(cage, 8)).isPositive();
        isOnlyANote(cage.findings());
        assertThat(Shapes.outside(Cage.offset(SPHERE, 0.01), KNOBBY, 1)).isPositive(); // the test can fail
    }

    @Test
    void fit_aroundABumpyCylinder_holdsEveryVertexAndFoldsNowhere() {
        Mesh low = Shapes.cylinder(16, 4, 3, (a, y, r) -> r[0] = 1);
        Mesh high = Shapes.cylinder(120, 60, 3.1,
                (a, y, r) -> r[0] = 1.02 + 0.05 * Math.sin(11 * a) * Math.sin(6 * y) + (Math.abs(y - 1.5) < 0.1 ? 0.2 : 0));
        Cage cage = CageFit.around(low, high).build();
        assertThat(Shapes.outside(cage, high, 1)).isZero();
        assertThat(Shapes.smallestCell(cage, 8)).isPositive();
        isOnlyANote(cage.findings());
    }

    @Test
    void fit_aroundABollard_holdsEveryVertex() {
        Mesh low = mesh(Bollard.generate(1200));
        Mesh high = mesh(Bollard.generate(30_000));
        Cage cage = CageFit.around(low, high).build();
        assertThat(Shapes.outside(cage, high, 7)).isZero();
        assertThat(Shapes.smallestCell(cage, 6)).isPositive();
        isOnlyANote(cage.findings());
    }

    private static Mesh mesh(Shape shape) {
        return Mesh.builder(shape.positions(), shape.triangles()).build();
    }

    @Test
    void fit_aroundAConcentricSphere_isAsSmallAsItCanBe() {
        Mesh high = Shapes.star(24, (x, y, z) -> 1.05);
        Cage cage = CageFit.around(SPHERE, high).build();
        assertThat(Shapes.outside(cage, high, 1)).isZero();
        // The cage triangle above one at distance ρ from the centre, corners at 1, just clears 1.05 when its corners are at 1.05 / ρ.
        double nearest = 1;
        float[] p = SPHERE.positions();
        for (int i = 0; i < SPHERE.positionIndices().length; i += 3) {
            double[] d = new double[3];
            double[] q = new double[p.length];
            for (int k = 0; k < q.length; k++) {
                q[k] = p[k];
            }
            int[] t = SPHERE.positionIndices();
            Shell.unitNormal(q, t[i], t[i + 1], t[i + 2], d, 0);
            nearest = Math.min(nearest, d[0] * p[3 * t[i]] + d[1] * p[3 * t[i] + 1] + d[2] * p[3 * t[i] + 2]);
        }
        double needed = 1.05 / nearest - 1;
        // fitting raises 2 % over and lowers by fifths until something escapes: a fifth more than needed is the most it may leave
        assertThat((double) cage.largestOffset()).isBetween(needed * 0.5, needed * 1.25);
    }

    @Test
    void fit_ofHardEdges_equalsThatOfWeldedOnes() {
        Mesh hard = Shapes.exploded(SPHERE);
        float[] welded = CageFit.around(SPHERE, KNOBBY).build().positions();
        float[] split = CageFit.around(hard, KNOBBY).build().positions();
        int[] corners = SPHERE.positionIndices();
        for (int c = 0; c < corners.length; c++) {
            for (int k = 0; k < 3; k++) {
                assertThat(split[3 * c + k]).isEqualTo(welded[3 * corners[c] + k]);
            }
        }
    }

    @Test
    void fit_scaledByAPowerOfTwo_hasTheSameBits() {
        Cage one = CageFit.around(SPHERE, KNOBBY).build();
        for (double factor : new double[] {1024, 1.0 / 1024}) {
            Cage scaled = CageFit.around(Shapes.scaled(SPHERE, factor), Shapes.scaled(KNOBBY, factor)).build();
            for (int i = 0; i < one.positions().length; i++) {
                assertThat(scaled.positions()[i]).isEqualTo((float) (one.positions()[i] * factor));
            }
            for (int i = 0; i < one.reaches().length; i++) {
                assertThat(scaled.reaches()[i]).isEqualTo((float) (one.reaches()[i] * factor));
            }
        }
    }

    @Test
    void fit_scaledByAThousand_isTheSameCage() {
        Cage one = CageFit.around(SPHERE, KNOBBY).build();
        for (double factor : new double[] {1000, 0.001}) {
            Cage scaled = CageFit.around(Shapes.scaled(SPHERE, factor), Shapes.scaled(KNOBBY, factor)).build();
            for (int i = 0; i < one.positions().length; i++) {
                // positions round differently; a rise is a quotient by a weight, which enlarges that
                assertThat(scaled.positions()[i] / factor).isCloseTo(one.positions()[i], within(2e-5));
            }
            for (int i = 0; i < one.reaches().length; i++) {
                assertThat(scaled.reaches()[i] / factor).isCloseTo(one.reaches()[i], within(2e-5));
            }
        }
    }

    @Test
    void fit_farFromTheOrigin_stillHoldsEveryVertex() {
        Mesh low = Shapes.moved(SPHERE, 100, -200, 50);
        Mesh high = Shapes.moved(KNOBBY, 100, -200, 50);
        Cage cage = CageFit.around(low, high).build();
        // a float near 200 is exact to 8e-6, the air left is 2.4 × 1e-5
        assertThat(Shapes.outside(cage, high, 1)).isZero();
    }

    @Test
    void fit_onOneThreadOrFour_hasTheSameBits() throws Exception {
        Cage[] cages = new Cage[2];
        int[] threads = {1, 4};
        for (int i = 0; i < 2; i++) {
            int number = i;
            try (ForkJoinPool pool = new ForkJoinPool(threads[i])) {
                pool.submit(() -> cages[number] = CageFit.around(SPHERE, KNOBBY).build()).get();
            }
        }
        assertThat(cages[0].positions()).containsExactly(cages[1].positions());
        assertThat(cages[0].reaches()).containsExactly(cages[1].reaches());
        assertThat(cages[0].findings()).isEqualTo(cages[1].findings());
    }

    @Test
    void fit_overAPlane_risesAboveATerrainUpToItsBorder() {
        Mesh low = Shapes.grid(8, 8, (s, t, p) -> {
            p[0] = s;
            p[1] = t;
            p[2] = 0;
        });
        Mesh high = Shapes.grid(64, 64, (s, t, p) -> {
            p[0] = s;
            p[1] = t;
            p[2] = 0.05 * Math.sin(20 * s + 1) * Math.cos(17 * t);
        });
        Cage cage = CageFit.around(low, high).build();
        isOnlyANote(cage.findings());
        // Over a plane all directions are its normal, so the cage is a height field on the same grid; it must lie above every vertex.
        float[] q = high.positions();
        int[] t = low.positionIndices();
        float[] p = low.positions();
        for (int v = 0; v < high.vertexCount(); v++) {
            double above = Double.NEGATIVE_INFINITY;
            for (int i = 0; i < t.length; i += 3) {
                double ax = p[3 * t[i]], ay = p[3 * t[i] + 1], bx = p[3 * t[i + 1]] - ax, by = p[3 * t[i + 1] + 1] - ay;
                double cx = p[3 * t[i + 2]] - ax, cy = p[3 * t[i + 2] + 1] - ay, x = q[3 * v] - ax, y = q[3 * v + 1] - ay;
                double det = bx * cy - by * cx, w1 = (x * cy - y * cx) / det, w2 = (bx * y - by * x) / det;
                if (w1 >= -1e-9 && w2 >= -1e-9 && w1 + w2 <= 1 + 1e-9) { // on an edge either side will do
                    float[] r = cage.positions();
                    above = Math.max(above, (1 - w1 - w2) * r[3 * t[i] + 2] + w1 * r[3 * t[i + 1] + 2] + w2 * r[3 * t[i + 2] + 2]);
                }
            }
            assertThat(above).isGreaterThanOrEqualTo(q[3 * v + 2]);
        }
        assertThat(cage.largestReach()).isGreaterThanOrEqualTo(0.05f);
    }

    @Test
    void spikeTallerThanTheBendOfAGroove_isReported() {
        // a half-round groove of radius 1 about the y axis, seen from inside; a spike on its wall reaches past the axis
        Mesh low = Shapes.grid(12, 6, (s, t, p) -> groove(s, t, 1, p));
        Mesh high = Shapes.grid(96, 48, (s, t, p) -> {
            double d = (s - 0.5) * (s - 0.5) + (t - 0.5) * (t - 0.5);
            groove(s, t, 0.98 - 1.38 * Math.exp(-d / 0.003), p);
        });
        Cage cage = CageFit.around(low, high).build();
        // what a fold keeps out is named, with its place on the spike: within 0.3 of the line through it
        assertThat(cage.findings().ofKind("outside-cage")).singleElement()
                .satisfies(f -> assertThat(f.places()).isNotEmpty()
                        .allSatisfy(place -> assertThat(place).isInstanceOfSatisfying(Place.Point.class,
                                p -> assertThat(Math.hypot(p.x(), p.y() - 1)).isLessThan(0.3))));
        // the cage can't rise past the axis, so points of it stay inside the spike, whose walls cross it: within 0.4 of the line through the tip
        assertThat(cage.conflicts()).filteredOn(c -> c.kind() == CageConflict.Kind.CROSSING).isNotEmpty()
                .allSatisfy(c -> assertThat(Math.hypot(c.x(), c.y() - 1)).isLessThan(0.4));
        assertThat(cage.findings().ofKind("cage-below-surface")).singleElement().satisfies(f -> {
            assertThat(f.places().get(0)).isInstanceOfSatisfying(Place.Element.class, e -> assertThat(e.what()).isEqualTo("triangle"));
        });
        assertThat(cage.findings().ofKind("beside-open-border")).hasSize(1); // what has passed the axis is nearer to the rim
        assertThat(cage.findings().ofKind("inverted-cage-prisms")).isEmpty();
        assertThat(Shapes.smallestCell(cage, 8)).isPositive();
    }

    private static void groove(double s, double t, double r, double[] p) {
        double angle = Math.PI * (1 + s);
        p[0] = r * Math.cos(angle);
        p[1] = 2 * t;
        p[2] = r * Math.sin(angle);
    }

    @Test
    void edgesBetweenVerticesBesideTheLowPoly_raiseTheCageToo() {
        // a ridge whose only vertices lie beside the plane passes over its middle at 0.3
        Mesh low = Shapes.grid(6, 6, (s, t, p) -> {
            p[0] = s;
            p[1] = t;
            p[2] = 0;
        });
        Mesh high = Mesh.builder(
                new float[] {-0.5f, 0.5f, 0.3f, 1.5f, 0.5f, 0.3f, -0.5f, 0, 0.01f, 1.5f, 0, 0.01f, -0.5f, 1, 0.01f, 1.5f, 1, 0.01f},
                new int[] {2, 3, 1, 2, 1, 0, 0, 1, 5, 0, 5, 4}).build();
        Findings before = CageCheck.check(low, high, Cage.offset(low, 0.1), Task.silent());
        assertThat(before.ofKind("cage-below-surface")).hasSize(1);
        Cage cage = CageFit.around(low, high).build();
        assertThat(cage.largestOffset()).isGreaterThan(0.3f);
        assertThat(cage.findings().ofKind("cage-below-surface")).isEmpty();
        assertThat(cage.findings().ofKind("beside-open-border")).singleElement().satisfies(f -> assertThat(f.count()).isEqualTo(6));
    }

    @Test
    void reach_letsRandomRaysFindTheHighPoly() {
        Mesh high = Shapes.star(48, (x, y, z) -> 1 + 0.08 * Math.sin(25 * x) * Math.sin(23 * y) * Math.sin(21 * z) - 0.05);
        Cage cage = CageFit.around(SPHERE, high).build();
        assertThat(missed(cage, high)).isZero();
        assertThat(missed(cage.withReach(0.001), high)).isGreaterThan(1000); // the test can fail
    }

    @Test
    void reach_isLongWhereTheLowPolyIsFar() {
        // a low poly turned around a slim waist: the surface lies 0.7 below it there
        Mesh low = Shapes.cylinder(24, 6, 3, (a, y, r) -> r[0] = 1.05);
        Mesh high = Shapes.cylinder(60, 60, 3, (a, y, r) -> r[0] = 0.65 - 0.35 * Math.cos(2 * Math.PI * y / 3 + Math.PI));
        Cage cage = CageFit.around(low, high).build();
        assertThat(missed(cage, high)).isZero();
        assertThat(cage.largestReach()).isGreaterThan(0.7f);
    }

    private static int missed(Cage cage, Mesh high) {
        Random random = new Random(7);
        int count = 20_000;
        RayBatch rays = new RayBatch(count);
        int[] t = cage.low().positionIndices();
        float[] p = cage.low().positions(), q = cage.positions(), r = cage.reaches();
        for (int i = 0; i < count; i++) {
            int f = 3 * random.nextInt(t.length / 3);
            double w1 = random.nextDouble(), w2 = random.nextDouble();
            if (w1 + w2 > 1) {
                w1 = 1 - w1;
                w2 = 1 - w2;
            }
            double[] w = {1 - w1 - w2, w1, w2};
            double[] o = new double[3], d = new double[3];
            double reach = 0;
            for (int k = 0; k < 3; k++) {
                int v = t[f + k];
                reach += w[k] * r[v];
                for (int x = 0; x < 3; x++) {
                    o[x] += w[k] * q[3 * v + x];
                    d[x] += w[k] * (p[3 * v + x] - (double) q[3 * v + x]);
                }
            }
            double length = Math.sqrt(d[0] * d[0] + d[1] * d[1] + d[2] * d[2]);
            rays.add((float) o[0], (float) o[1], (float) o[2], (float) (d[0] / length), (float) (d[1] / length), (float) (d[2] / length), 0,
                    (float) (length + reach));
        }
        HitBatch hits = new HitBatch(count);
        Bvh.build(high, Task.silent()).closestHits(rays, Facing.FRONT, hits);
        int missed = 0;
        for (int i = 0; i < count; i++) {
            missed += hits.triangle[i] < 0 ? 1 : 0;
        }
        return missed;
    }

    @Test
    void options_setTheReachAndTheAir() {
        Cage cage = CageFit.around(SPHERE, KNOBBY).reach(0.2).margin(0.01).build();
        assertThat(cage.reaches()).containsOnly(0.2f);
        // everything pushed outwards by half of the margin is still inside; the diagonal is at least 2·√3
        Mesh larger = Shapes.star(32, (x, y, z) -> knobs(x, y, z) + 0.5 * 0.01 * 2 * Math.sqrt(3));
        assertThat(Shapes.outside(cage, larger, 1)).isZero();
        assertThat(Shapes.outside(CageFit.around(SPHERE, KNOBBY).build(), larger, 1)).isPositive();
    }

    @Test
    void lentTracer_givesTheSameCage() {
        Cage lent = CageFit.around(SPHERE, KNOBBY).tracer(Bvh.build(KNOBBY, Task.silent())).build();
        assertThat(lent.positions()).containsExactly(CageFit.around(SPHERE, KNOBBY).build().positions());
        assertThatThrownBy(() -> CageFit.around(SPHERE, KNOBBY, KNOBBY).tracer(Bvh.build(KNOBBY, Task.silent())))
                .isInstanceOf(IllegalStateException.class).hasMessageContaining("there are 2");
    }

    @Test
    void severalHighPolys_areHeldTogether() {
        Mesh ring = Shapes.moved(Shapes.star(8, (x, y, z) -> 0.2), 1, 0, 0);
        Cage cage = CageFit.around(SPHERE, KNOBBY, ring).build();
        assertThat(Shapes.outside(cage, KNOBBY, 1) + Shapes.outside(cage, ring, 1)).isZero();
        assertThat(Shapes.outside(CageFit.around(SPHERE, KNOBBY).build(), ring, 1)).isPositive();
    }

    @Test
    void build_refusesEmptyAndNotFiniteMeshes() {
        Mesh empty = Mesh.builder(new float[0], new int[0]).build();
        Mesh broken = Mesh.builder(new float[] {0, 0, 0, 1, 0, 0, 0, Float.NaN, 0}, new int[] {0, 1, 2}).build();
        assertThatThrownBy(() -> CageFit.around(empty, broken).build()).isInstanceOfSatisfying(InvalidMeshException.class,
                e -> assertThat(e.problems()).hasSize(2).hasAtLeastOneElementOfType(MeshProblem.NoTriangles.class)
                        .hasAtLeastOneElementOfType(MeshProblem.NotFinite.class));
        assertThatThrownBy(() -> CageFit.around(SPHERE)).isInstanceOf(IllegalArgumentException.class);
    }

    @Test
    void build_ofALowPolyWithoutArea_stillAnswers() {
        Mesh line = Mesh.builder(new float[] {0, 0, 0, 1, 0, 0, 2, 0, 0}, new int[] {0, 1, 2}).build();
        Cage cage = CageFit.around(line, KNOBBY).build();
        assertThat(cage.findings().ofKind("no-cage-direction")).singleElement().satisfies(f -> assertThat(f.count()).isEqualTo(3));
    }

    @Test
    void build_ofACancelledTask_stops() {
        Task task = Task.silent();
        task.cancellation().cancel();
        assertThatThrownBy(() -> CageFit.around(SPHERE, KNOBBY).task(task).build()).isInstanceOf(CancellationException.class);
    }
}
