package org.estampage.lowpoly;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.estampage.lowpoly.LowPolyShapes.mesh;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.IOException;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ForkJoinPool;
import java.util.concurrent.atomic.AtomicInteger;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.io.MeshFiles;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Axis;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Task;
import org.estampage.testresources.EncrustedBollard;
import org.estampage.testresources.FetchedMeshes;
import org.estampage.testresources.OcclusionScene;
import org.estampage.testresources.OffReader;
import org.estampage.testresources.Shape;
import org.estampage.testresources.Shapes;
import org.junit.jupiter.api.Test;

class HiddenPartsTest {
    private static final Shape SHELL = Shapes.icosphere(1, 3);
    private static final Shape CORE = Shapes.icosphere(0.5, 2);

    @Test
    void ballInABall_goesWhole_andIsCounted() {
        Mesh shell = mesh(SHELL);
        Mesh result = HiddenParts.of(mesh(Shapes.together(SHELL, CORE))).build();
        assertThat(result.positions()).isEqualTo(shell.positions());
        assertThat(result.positionIndices()).isEqualTo(shell.positionIndices());
        Finding finding = result.findings().ofKind("hidden-parts-taken-away").get(0);
        assertThat(finding.count()).isEqualTo(CORE.triangleCount());
        assertThat(finding.message()).contains("320 of 1600 triangles", "1 whole pieces, 0 parts of pieces");
        assertThat(finding.places()).hasSize(1);
        Place.Point place = (Place.Point) finding.places().get(0);
        // The core's facets lie between its radius and what a facet of an icosphere of 320 cuts off, less than 3 %.
        assertThat(Math.sqrt(place.x() * place.x() + place.y() * place.y() + place.z() * place.z())).isBetween(0.485, 0.5);
    }

    @Test
    void ballInABall_goes_whateverTheWindingsAre() {
        Mesh both = mesh(Shapes.together(SHELL, CORE));
        int[] turned = both.positionIndices().clone();
        for (int t = 0; t < turned.length; t += 3) {
            int first = turned[t];
            turned[t] = turned[t + 1];
            turned[t + 1] = first;
        }
        Mesh result = HiddenParts.of(Mesh.builder(both.positions(), turned)).build();
        assertThat(result.triangleCount()).isEqualTo(SHELL.triangleCount());
    }

    @Test
    void ballSeenThroughAHole_keepsWhatIsSeen() {
        Mesh shell = mesh(SHELL);
        // The triangles around a vertex of the shell are left out: the hole's rim is about 0.15 from its middle.
        int[] indices = shell.positionIndices();
        int[] open = new int[indices.length];
        int count = 0;
        for (int t = 0; t < indices.length; t += 3) {
            if (indices[t] != 0 && indices[t + 1] != 0 && indices[t + 2] != 0) {
                System.arraycopy(indices, t, open, count, 3);
                count += 3;
            }
        }
        Mesh before = mesh(Shapes.together(new Shape(shell.positions(), Arrays.copyOf(open, count)), CORE));
        Mesh result = HiddenParts.of(before).build();
        // From the middle of the hole, at a distance of 1, tangents touch the core at 60° from the axis: that cap, a quarter of the core, is seen well.
        // From the hole's rim, 0.15 aside, they touch it at 69°: a third of the core; another ring of triangles stays with that.
        int hidden = before.triangleCount() - result.triangleCount();
        assertThat(hidden).isBetween((int) (0.4 * CORE.triangleCount()), (int) (0.75 * CORE.triangleCount()));
        assertThat(result.findings().toString()).contains("0 whole pieces, 1 parts of pieces");
        assertThat(OutsideRays.changed(before, result, 200_000, 1)).isZero();
        float[] p = shell.positions();
        for (int t = result.triangleCount() - 1; 3 * t >= count; t--) {
            double towards = 0;
            for (int k = 0; k < 3; k++) {
                towards += result.positions()[3 * result.positionIndices()[3 * t] + k] * p[k];
            }
            assertThat(towards).isGreaterThan(-0.45); // the far pole of the core, at −0.5, is gone
        }
    }

    @Test
    void cupAndTrenches_loseNothing() {
        for (OcclusionScene scene : List.of(OcclusionScene.cup(0.2, 1.5), OcclusionScene.trench(0.02, 1), OcclusionScene.pit(0.5))) {
            Mesh mesh = mesh(scene.highPoly());
            assertThat(HiddenParts.of(mesh).build()).as(scene.name()).isSameAs(mesh);
        }
    }

    @Test
    void deepNarrowGroove_losesNothing() {
        for (double width : new double[] {0.05, 0.01}) {
            // A puck with a ring groove cut into its top: what the floor of the groove sees of the sky is about width / (2 · depth).
            double depth = 0.9;
            Mesh puck = turned(
                    new double[][] {{0, 0}, {1, 0}, {1, 1}, {0.5 + width, 1}, {0.5 + width, 1 - depth}, {0.5, 1 - depth}, {0.5, 1},
                            {0, 1}},
                    24, 48);
            assertThat(HiddenParts.of(puck).build()).as("groove of %s", width).isSameAs(puck);
        }
    }

    @Test
    void closedSlot_losesItsInside() {
        // The same groove under a lid that has no gap: a cavity.
        Mesh puck = turned(new double[][] {{0, 0}, {1, 0}, {1, 1}, {0, 1}}, 24, 48);
        Mesh cavity = turned(new double[][] {{0, 0.9}, {0.5, 0.9}, {0.5, 0.1}, {0, 0.1}}, 24, 48);
        Mesh both = mesh(Shapes.together(new Shape(puck.positions(), puck.positionIndices()),
                new Shape(cavity.positions(), cavity.positionIndices())));
        assertThat(HiddenParts.of(both).build().triangleCount()).isEqualTo(puck.triangleCount());
    }

    @Test
    void barnaclesPushedIntoABollard_loseTheirBases_andTheOutsideStays() {
        Shape dirty = EncrustedBollard.generate(12_000, 24, 3);
        Mesh before = mesh(dirty);
        Mesh after = HiddenParts.of(before).build();
        assertThat(OutsideRays.changed(before, after, 300_000, 7)).isZero();
        // Middles lie a quarter of the radius under the surface: three eighths of a ball's area are above it, and the iron beneath is covered.
        int barnacles = 24 * 20 * 64;
        int gone = before.triangleCount() - after.triangleCount();
        assertThat(gone).isGreaterThan(barnacles / 3);
        assertThat(after.findings().ofKind("hidden-parts-taken-away").get(0).count()).isEqualTo(gone);
    }

    @Test
    void aPairOfHiddenTriangles_isNotCutOut() {
        // A cube of two triangles a side stands on a plate whose middle cell it covers exactly.
        Mesh plate = turned(new double[][] {{0, 0}, {1, 0}, {1, 0.1}, {0, 0.1}}, 1, 24);
        Shape cube = Shapes.cube(0.2);
        float[] p = cube.positions().clone();
        for (int i = 1; i < p.length; i += 3) {
            p[i] += 0.15f; // sunk by half
        }
        Mesh both = mesh(Shapes.together(new Shape(plate.positions(), plate.positionIndices()), new Shape(p, cube.triangles())));
        // Every triangle of the plate's top reaches out from under it, the cube's bottom is two triangles.
        assertThat(HiddenParts.of(both).build()).isSameAs(both);
    }

    @Test
    void openBelow_staysSeen_unlessItStandsOnTheGround() {
        // A bell without a floor, and a ball in it.
        Mesh bell = turned(new double[][] {{1, 0}, {1, 2}, {0, 2}}, 16, 48);
        Mesh both = mesh(Shapes.together(new Shape(bell.positions(), bell.positionIndices()), moved(CORE, 1)));
        Mesh seen = HiddenParts.of(both).build();
        Mesh standing = HiddenParts.of(both).onGround(Axis.Y).build();
        assertThat(seen.triangleCount()).isGreaterThan(bell.triangleCount() + CORE.triangleCount() / 2);
        assertThat(standing.triangleCount()).isEqualTo(bell.triangleCount());
        assertThat(OutsideRays.changed(both, seen, 200_000, 3)).isZero();
    }

    @Test
    void openness_clearsWhatAChinkShows() {
        // A ball in a shell that lacks one triangle of 1280: a point of the ball that faces it is open to a part of about 1/500 of its half space.
        int[] open = Arrays.copyOf(SHELL.triangles(), SHELL.triangles().length - 3);
        Mesh both = mesh(Shapes.together(new Shape(SHELL.positions(), open), CORE));
        assertThat(HiddenParts.of(both).build().triangleCount()).isGreaterThan(open.length / 3);
        assertThat(HiddenParts.of(both).openness(0.05).build().triangleCount()).isEqualTo(open.length / 3);
    }

    @Test
    void whatTrianglesCarry_staysWithThem() {
        Shape both = Shapes.together(CORE, SHELL);
        int[] t = both.triangles();
        int inner = CORE.triangleCount(), all = both.triangleCount();
        int[] label = new int[all];
        int[] groups = new int[all];
        float[] uv = new float[2 * both.vertexCount()];
        for (int i = 0; i < all; i++) {
            label[i] = i < inner ? 0 : 1;
            groups[i] = i;
        }
        for (int v = 0; v < uv.length; v++) {
            uv[v] = v;
        }
        Mesh mesh = Mesh.builder(both.positions(), t).name("both").uvSet(new Attribute("uv", 2, uv, t))
                .parts(List.of(new Part("core"), new Part("shell")), label).smoothingGroups(groups).build();
        Mesh result = HiddenParts.of(mesh).build();
        assertThat(result.triangleCount()).isEqualTo(all - inner);
        assertThat(result.smoothingGroups()).isEqualTo(Arrays.copyOfRange(groups, inner, all));
        assertThat(result.partLabels().of(0)).isEqualTo(1);
        assertThat(result.uvSets().get(0).indices()).isEqualTo(Arrays.copyOfRange(t, 3 * inner, 3 * all));
        assertThat(result.vertexCount()).isEqualTo(SHELL.vertexCount());
    }

    @Test
    void anyNumberOfThreads_givesTheSameBits() {
        Mesh mesh = mesh(EncrustedBollard.generate(4_000, 8, 3));
        Mesh common = HiddenParts.of(mesh).build();
        for (int threads = 1; threads <= 2; threads++) {
            try (ForkJoinPool pool = new ForkJoinPool(threads)) {
                Mesh result = pool.submit(() -> HiddenParts.of(mesh).build()).join();
                assertThat(result.sameAs(common)).isTrue();
                assertThat(result.findings()).isEqualTo(common.findings());
            }
        }
    }

    @Test
    void scale_changesNothingButUnits() {
        Mesh mesh = mesh(EncrustedBollard.generate(4_000, 8, 2));
        // A power of two moves no bit of a fraction: exactly the same mesh.
        Mesh result = HiddenParts.of(mesh.unit(1024)).build();
        assertThat(result.sameAs(HiddenParts.of(mesh).build().unit(1024))).isTrue();
    }

    @Test
    void cancelling_stopsTheRays() {
        Cancellation cancellation = new Cancellation();
        AtomicInteger reports = new AtomicInteger();
        Task task = new Task((stage, done, total) -> {
            if (stage.equals("looking for hidden parts") && reports.incrementAndGet() == 2) {
                cancellation.cancel();
            }
        }, cancellation, MemoryBudget.ofHeap());
        Mesh mesh = mesh(EncrustedBollard.generate(20_000, 4, 2));
        assertThatThrownBy(() -> HiddenParts.of(mesh).task(task).build()).isInstanceOf(CancellationException.class);
        assertThat(reports.get()).isLessThan(8); // one or two pieces more, on other threads
    }

    @Test
    void openScans_loseNothing() throws IOException {
        Optional<Path> bunny = FetchedMeshes.bunny();
        Optional<Path> elephant = FetchedMeshes.elephant();
        assumeTrue(bunny.isPresent() && elephant.isPresent(), "not fetched");
        Mesh scan = MeshFiles.read(bunny.get(), Task.silent());
        assertThat(HiddenParts.of(scan).build()).isSameAs(scan);
        Mesh model = mesh(OffReader.read(elephant.get()));
        assertThat(HiddenParts.of(model).build()).isSameAs(model);
    }

    @Test
    void oddMeshes_comeBackAsTheyAre() {
        Mesh none = Mesh.builder(new float[0], new int[0]).build();
        assertThat(HiddenParts.of(none).build()).isSameAs(none);
        // Triangles without area, alone, are neither seen nor hidden.
        Mesh flat = Mesh.builder(new float[] {0, 0, 0, 1, 0, 0, 2, 0, 0}, new int[] {0, 1, 2, 0, 0, 1}).build();
        assertThat(HiddenParts.of(flat).build()).isSameAs(flat);
        Mesh broken = Mesh.builder(new float[] {0, 0, Float.NaN, 1, 0, 0, 0, 1, 0}, new int[] {0, 1, 2}).build();
        assertThatThrownBy(() -> HiddenParts.of(broken).build()).isInstanceOf(InvalidMeshException.class);
        assertThatThrownBy(() -> HiddenParts.of(none).openness(0.5)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("openness = 0.5 must be 0 … 0.25");
        assertThatThrownBy(() -> HiddenParts.of(none).openness(Double.NaN)).isInstanceOf(IllegalArgumentException.class);
    }

    private static Shape moved(Shape shape, double up) {
        float[] p = shape.positions().clone();
        for (int i = 1; i < p.length; i += 3) {
            p[i] += (float) up;
        }
        return new Shape(p, shape.triangles());
    }

    /** An outline of radius and height turned about the y axis, each of its pieces cut into so many. */
    private static Mesh turned(double[][] outline, int cuts, int sides) {
        int rings = (outline.length - 1) * cuts + 1;
        float[] p = new float[3 * rings * sides];
        for (int r = 0; r < rings; r++) {
            double[] a = outline[Math.min(r / cuts, outline.length - 2)], b = outline[Math.min(r / cuts, outline.length - 2) + 1];
            double s = (r - Math.min(r / cuts, outline.length - 2) * cuts) / (double) cuts;
            double radius = a[0] + s * (b[0] - a[0]), height = a[1] + s * (b[1] - a[1]);
            for (int j = 0; j < sides; j++) {
                double angle = 2 * Math.PI * j / sides;
                int v = 3 * (r * sides + j);
                p[v] = (float) (radius * StrictMath.cos(angle));
                p[v + 1] = (float) height;
                p[v + 2] = (float) (-radius * StrictMath.sin(angle));
            }
        }
        int[] t = new int[6 * (rings - 1) * sides];
        int at = 0;
        for (int r = 0; r + 1 < rings; r++) {
            for (int j = 0; j < sides; j++) {
                int a = r * sides + j, b = r * sides + (j + 1) % sides;
                for (int v : new int[] {a, b, b + sides, a, b + sides, a + sides}) {
                    t[at++] = v;
                }
            }
        }
        return Mesh.builder(p, t).build();
    }
}
