package org.estampage.lowpoly;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;
import static org.estampage.lowpoly.LowPolyShapes.blindVertices;
import static org.estampage.lowpoly.LowPolyShapes.eulerCharacteristic;
import static org.estampage.lowpoly.LowPolyShapes.mesh;
import static org.estampage.lowpoly.LowPolyShapes.nonManifoldEdges;
import static org.estampage.lowpoly.LowPolyShapes.openEdges;
import static org.estampage.lowpoly.LowPolyShapes.square;

import java.util.Arrays;
import java.util.List;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ForkJoinPool;
import org.estampage.finding.Finding;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.mesh.Part;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.estampage.testresources.Bollard;
import org.estampage.testresources.Shapes;
import org.junit.jupiter.api.Test;

class DecimateTest {
    // Distances are floats of coordinates up to 1: they are rounded at 2⁻²⁴ a few times.
    private static final double FLOAT = 1e-6;

    @Test
    void plane_decimatesToTwoTrianglesWithoutError() {
        Mesh plane = square(20, 15);
        Mesh low = Decimate.of(plane).triangles(2).build();
        assertThat(low.triangleCount()).isEqualTo(2);
        assertThat(LowPolyShapes.area(low)).isCloseTo(1, within(FLOAT)); // nothing is cut off: it is the whole square
        assertThat(SurfaceDistance.bothWays(plane, low).largest()).isLessThan(FLOAT);
        assertThat(Decimate.of(plane).error(0).build().triangleCount()).isEqualTo(2);
    }

    @Test
    void slantedPlane_decimatesToTwoTrianglesAtErrorZero() {
        // Floats put its points beside the plane: an error of 0 allows for that.
        Mesh plane = square(16, 16);
        float[] p = plane.positions().clone();
        for (int i = 0; i < p.length; i += 3) {
            p[i + 2] = (float) (0.3 * p[i] + 0.7 * p[i + 1]);
        }
        Mesh low = Decimate.of(plane.toBuilder().positions(p)).error(0).build();
        assertThat(low.triangleCount()).isEqualTo(2);
    }

    @Test
    void cube_keepsItsTwelveTrianglesAtErrorZero() {
        Mesh cube = finelyCutBox();
        Mesh low = Decimate.of(cube).error(0).build();
        assertThat(low.triangleCount()).isEqualTo(12);
        assertThat(low.vertexCount()).isEqualTo(8);
        assertThat(SurfaceDistance.bothWays(cube, low).largest()).isLessThan(FLOAT);
        // Asked for 12, quadrics alone find the same corners.
        Mesh asked = Decimate.of(cube).triangles(12).build();
        assertThat(SurfaceDistance.bothWays(cube, asked).largest()).isLessThan(1e-3);
    }

    @Test
    void prism_withHardEdges_keepsThemAsNormalsThatBreak() {
        Mesh prism = Normals.hardEdges(mesh(Shapes.prism(24, 1, 2)), 30);
        Mesh fine = prism;
        Mesh low = Decimate.of(fine).triangles(40).build();
        assertThat(low.triangleCount()).isLessThanOrEqualTo(40);
        assertThat(nonManifoldEdges(low)).isZero();
        // The rims are still hard: a corner of a cap points along the axis, that of a side across it.
        Attribute normals = low.normals().orElseThrow();
        for (int c = 0; c < 3 * low.triangleCount(); c++) {
            double along = Math.abs(normals.values()[3 * normals.indices()[c] + 1]);
            assertThat(along < 0.1 || along > 0.99).isTrue();
        }
    }

    @Test
    void sphere_staysRoundAndSmooth() {
        Mesh ball = mesh(Shapes.icosphere(1, 5));
        Mesh low = Decimate.of(ball).triangles(500).build();
        assertThat(low.triangleCount()).isBetween(499, 500);
        assertThat(eulerCharacteristic(low)).isEqualTo(2);
        // 500 equal facets of a unit ball have edges of about 0.24 and lie up to about 0.0097 (a³√3/… by hand: e²/6) within it; the quadrics' optimum
        // halves that by lying on both sides. Twice the inscribed value leaves room for facets that are not equal.
        assertThat(SurfaceDistance.bothWays(ball, low).largest()).isLessThan(0.02);
        Attribute normals = low.normals().orElseThrow();
        for (int c = 0; c < low.positionIndices().length; c++) {
            double dot = 0;
            for (int k = 0; k < 3; k++) {
                dot += normals.values()[3 * normals.indices()[c] + k] * low.positions()[3 * low.positionIndices()[c] + k];
            }
            assertThat(dot).isGreaterThan(0.98); // 11°: less than the 14° that an edge of 0.24 spans
        }
    }

    @Test
    void torus_keepsItsHole() {
        Mesh torus = mesh(Shapes.torus(2, 0.5, 64, 32));
        Mesh low = Decimate.of(torus).triangles(60).build();
        assertThat(low.triangleCount()).isLessThanOrEqualTo(60);
        assertThat(eulerCharacteristic(low)).isZero();
        assertThat(nonManifoldEdges(low)).isZero();
        assertThat(blindVertices(low)).isZero();
    }

    @Test
    void bollard_keepsTopologyAndDirections() {
        Mesh high = mesh(Bollard.generate(60_000));
        int before = blindVertices(high);
        Mesh low = Decimate.of(high).triangles(1500).build();
        assertThat(low.triangleCount()).isLessThanOrEqualTo(1500);
        assertThat(nonManifoldEdges(low)).isEqualTo(nonManifoldEdges(high));
        assertThat(openEdges(low)).isLessThanOrEqualTo(openEdges(high));
        assertThat(eulerCharacteristic(low)).isEqualTo(eulerCharacteristic(high));
        assertThat(blindVertices(low)).isLessThanOrEqualTo(before);
    }

    @Test
    void openBorder_keepsVerticesOfTheOldBorder() {
        // A bent sheet: a quarter of a cylinder.
        Mesh flat = square(40, 20);
        float[] p = flat.positions().clone();
        for (int i = 0; i < p.length; i += 3) {
            double angle = p[i] * Math.PI / 2;
            p[i] = (float) StrictMath.cos(angle);
            p[i + 2] = (float) StrictMath.sin(angle);
        }
        Mesh sheet = flat.toBuilder().positions(p).build();
        Mesh low = Decimate.of(sheet).triangles(60).build();
        assertThat(low.triangleCount()).isLessThanOrEqualTo(60);
        assertThat(eulerCharacteristic(low)).isEqualTo(1);
        for (int v = 0; v < low.vertexCount(); v++) {
            float y = low.positions()[3 * v + 1];
            if (y == 0 || y == 1) { // the curved borders: their vertices are old ones, bit by bit
                assertThat(hasVertex(sheet, low, v)).isTrue();
            }
        }
        assertThat(SurfaceDistance.bothWays(sheet, low).largest()).isLessThan(0.02);
    }

    @Test
    void uvSeam_staysWhereItWasOnBothSides() {
        Mesh ball = seamedBall(48, 24);
        Mesh low = Decimate.of(ball).triangles(300).build();
        assertThat(low.triangleCount()).isLessThanOrEqualTo(300);
        Attribute uv = low.uvSets().get(0);
        // Every place on the seam (x = 0, z > 0) still has u = 0 on one side and u = 1 on the other, and the same v.
        int onSeam = 0;
        for (int t = 0; t < low.triangleCount(); t++) {
            double least = 1, most = 0;
            for (int k = 0; k < 3; k++) {
                int c = 3 * t + k;
                double u = uv.values()[2 * uv.indices()[c]];
                least = Math.min(least, u);
                most = Math.max(most, u);
                int v = 3 * low.positionIndices()[c];
                float x = low.positions()[v], y = low.positions()[v + 1], z = low.positions()[v + 2];
                if (x == 0 && z > 0.01 && Math.abs(y) < 0.99) {
                    assertThat(u).isIn(0.0, 1.0);
                    onSeam++;
                    assertThat(hasVertex(ball, low, low.positionIndices()[c])).isTrue();
                }
            }
            assertThat(most - least).isLessThan(0.6); // no triangle spans the seam
        }
        assertThat(onSeam).isGreaterThan(6);
        assertThat(mirroredUvs(low)).isZero();
    }

    @Test
    void carriedAttributes_areThoseOfThePlaceOnTheSurface() {
        // u, v and a colour are linear in the place: whatever collapses, they must fit it afterwards.
        Mesh plane = square(24, 24);
        float[] uv = new float[2 * plane.vertexCount()];
        float[] colour = new float[3 * plane.vertexCount()];
        float[] bone = new float[plane.vertexCount()];
        float[] p = plane.positions().clone();
        for (int v = 0; v < plane.vertexCount(); v++) {
            uv[2 * v] = 0.1f + 0.8f * p[3 * v];
            uv[2 * v + 1] = 0.1f + 0.8f * p[3 * v + 1];
            colour[3 * v] = p[3 * v];
            colour[3 * v + 1] = p[3 * v + 1];
            bone[v] = v % 3;
        }
        int[] t = plane.positionIndices();
        Mesh high = plane.toBuilder().uvSet(new Attribute("uv", 2, uv, t)).colourSet(new Attribute("colour", 3, colour, t))
                .extra(new Attribute("bone", 1, bone, t, Attribute.Storage.INTEGER)).build();
        Mesh low = Decimate.of(high).triangles(60).build();
        assertThat(low.triangleCount()).isLessThanOrEqualTo(60);
        for (int c = 0; c < low.positionIndices().length; c++) {
            int v = 3 * low.positionIndices()[c];
            float x = low.positions()[v], y = low.positions()[v + 1];
            int i = 2 * low.uvSets().get(0).indices()[c];
            // Float blending, once a collapse, at most a few dozen times: 2⁻²⁴ each.
            assertThat(low.uvSets().get(0).values()[i]).isCloseTo(0.1f + 0.8f * x, within(2e-5f));
            assertThat(low.uvSets().get(0).values()[i + 1]).isCloseTo(0.1f + 0.8f * y, within(2e-5f));
            int k = 3 * low.colourSets().get(0).indices()[c];
            assertThat(low.colourSets().get(0).values()[k]).isCloseTo(x, within(2e-5f));
            assertThat(low.extras().get(0).values()[low.extras().get(0).indices()[c]]).isIn(0f, 1f, 2f);
        }
        assertThat(low.extras().get(0).storage()).isEqualTo(Attribute.Storage.INTEGER);
    }

    @Test
    void partBorders_stayBetweenTheSameTriangles() {
        Mesh plane = square(20, 20);
        int[] part = new int[plane.triangleCount()];
        for (int t = 0; t < part.length; t++) {
            part[t] = t / 2 % 20 < 7 ? 0 : 1; // x below and above 0.35
        }
        Mesh high = plane.toBuilder().parts(List.of(new Part("shaft"), new Part("foot")), part).build();
        Mesh low = Decimate.of(high).triangles(4).build();
        assertThat(low.triangleCount()).isEqualTo(4); // two rectangles
        for (int t = 0; t < 4; t++) {
            for (int k = 0; k < 3; k++) {
                float x = low.positions()[3 * low.positionIndices()[3 * t + k]];
                assertThat(low.partLabels().of(t) == 0 ? x <= 0.35f : x >= 0.35f).isTrue();
            }
        }
    }

    @Test
    void smallMeshes_areReturnedAsTheyAre() {
        Mesh empty = Mesh.builder(new float[0], new int[0]).build();
        assertThat(Decimate.of(empty).triangles(10).build()).isSameAs(empty);
        Mesh one = Mesh.builder(new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0}, new int[] {0, 1, 2}).build();
        assertThat(Decimate.of(one).triangles(1).build()).isSameAs(one);
        assertThat(Decimate.of(one).error(10).build().triangleCount()).isEqualTo(1);
        Mesh ball = mesh(Shapes.icosphere(1, 2));
        assertThat(Decimate.of(ball).triangles(ball.triangleCount()).build()).isSameAs(ball);
        assertThat(Decimate.of(ball).triangles(Integer.MAX_VALUE).build()).isSameAs(ball);
    }

    @Test
    void degenerateTriangles_doNoHarm() {
        Mesh ball = mesh(Shapes.icosphere(1, 4));
        int[] t = Arrays.copyOf(ball.positionIndices(), ball.positionIndices().length + 6);
        int end = ball.positionIndices().length;
        t[end] = 5; // stands on one vertex twice
        t[end + 1] = 5;
        t[end + 2] = 9;
        float[] p = Arrays.copyOf(ball.positions(), ball.positions().length + 9);
        for (int k = 0; k < 3; k++) { // a needle without area far off
            p[ball.positions().length + 3 * k] = 3 + k;
            t[end + 3 + k] = ball.vertexCount() + k;
        }
        Mesh low = Decimate.of(Mesh.builder(p, t).build()).triangles(200).build();
        assertThat(low.triangleCount()).isLessThanOrEqualTo(200);
        assertThat(low.findings().ofKind("repeated-vertex-dropped")).extracting(Finding::count).containsExactly(1L);
        for (float value : low.positions()) {
            assertThat(value).isFinite();
        }
    }

    @Test
    void nonManifoldEdges_stayAsTheyAre() {
        // Three sheets that share one edge line, like a book.
        Mesh flat = square(12, 12);
        int n = flat.vertexCount();
        float[] p = new float[9 * n];
        int[] t = new int[3 * flat.positionIndices().length];
        for (int sheet = 0; sheet < 3; sheet++) {
            double angle = sheet * 2 * Math.PI / 3;
            for (int v = 0; v < n; v++) {
                float x = flat.positions()[3 * v];
                p[3 * (sheet * n + v)] = x == 0 ? 0 : (float) (x * StrictMath.cos(angle));
                p[3 * (sheet * n + v) + 1] = flat.positions()[3 * v + 1];
                p[3 * (sheet * n + v) + 2] = x == 0 ? 0 : (float) (x * StrictMath.sin(angle));
            }
            for (int c = 0; c < flat.positionIndices().length; c++) {
                t[sheet * flat.positionIndices().length + c] = sheet * n + flat.positionIndices()[c];
            }
        }
        Mesh book = Mesh.builder(p, t).build();
        Mesh low = Decimate.of(book).triangles(60).build();
        assertThat(nonManifoldEdges(low)).isEqualTo(nonManifoldEdges(book)).isPositive();
        assertThat(SurfaceDistance.bothWays(book, low).largest()).isLessThan(FLOAT);
    }

    @Test
    void notFinitePositions_areRefusedWithTheirPlace() {
        Mesh ball = mesh(Shapes.icosphere(1, 1));
        float[] p = ball.positions().clone();
        p[7] = Float.NaN;
        assertThatThrownBy(() -> Decimate.of(ball.toBuilder().positions(p)).triangles(10).build()).isInstanceOf(InvalidMeshException.class);
    }

    @Test
    void unreachableTarget_saysWhy() {
        Mesh tetrahedron = Decimate.of(mesh(Shapes.icosphere(1, 3))).triangles(4).build();
        assertThat(tetrahedron.triangleCount()).isEqualTo(4);
        Mesh low = Decimate.of(mesh(Shapes.icosphere(1, 3))).triangles(1).build();
        assertThat(low.triangleCount()).isEqualTo(4);
        Finding finding = low.findings().ofKind("decimation-stopped").get(0);
        assertThat(finding.count()).isEqualTo(3);
        assertThat(finding.message()).contains("4 triangles instead of 1").contains("topology");
    }

    @Test
    void options_areCheckedAtTheDoor() {
        Decimate decimate = Decimate.of(square(2, 2));
        assertThatThrownBy(decimate::build).isInstanceOf(IllegalStateException.class).hasMessageContaining("triangles");
        assertThatThrownBy(() -> decimate.triangles(0)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("triangles = 0");
        assertThatThrownBy(() -> decimate.error(-1)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("error = -1.0");
        assertThatThrownBy(() -> decimate.errorFraction(Double.NaN)).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> decimate.hardEdges(181)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("181");
    }

    @Test
    void cancelling_stopsTheWork() {
        Cancellation cancellation = new Cancellation();
        Task task = new Task((name, done, total) -> {
            if (done > 0) {
                cancellation.cancel();
            }
        }, cancellation, MemoryBudget.ofHeap());
        assertThatThrownBy(() -> Decimate.of(mesh(Shapes.icosphere(1, 5))).triangles(100).task(task).build())
                .isInstanceOf(CancellationException.class);
    }

    @Test
    void progress_reachesItsTotal() {
        long[] last = new long[2];
        Progress progress = (name, done, total) -> {
            last[0] = done;
            last[1] = total;
        };
        Decimate.of(mesh(Shapes.icosphere(1, 4))).triangles(100).task(Task.reporting(progress)).build();
        assertThat(last[0]).isBetween(last[1], last[1] + 1);
    }

    @Test
    void anyNumberOfThreads_givesTheSameBits() {
        Mesh high = mesh(Bollard.generate(40_000));
        Mesh common = Decimate.of(high).triangles(900).build();
        try (ForkJoinPool one = new ForkJoinPool(1)) {
            Mesh alone = one.submit(() -> Decimate.of(high).triangles(900).build()).join();
            assertThat(alone.sameAs(common)).isTrue();
        }
    }

    @Test
    void scale_changesNothingButUnits() {
        Mesh high = mesh(Bollard.generate(20_000));
        Mesh low = Decimate.of(high).triangles(600).build();
        // A power of two moves no bit of a fraction: exactly the same mesh.
        Mesh doubled = Decimate.of(high.unit(1024)).triangles(600).build();
        assertThat(doubled.sameAs(Normals.smooth(low.unit(1024)))).isTrue();
        // Others round: another mesh of the same quality.
        double error = SurfaceDistance.between(high, low).mean();
        for (double factor : new double[] {1000, 0.001}) {
            Mesh scaled = high.unit(factor);
            Mesh other = Decimate.of(scaled).triangles(600).build();
            assertThat(other.triangleCount()).isEqualTo(low.triangleCount());
            // Orders differ where costs lie at the border of a bucket; 5 % is far above what that did in trials (below 1 %).
            assertThat(SurfaceDistance.between(scaled, other).mean() / factor).isCloseTo(error, within(0.05 * error));
        }
    }

    @Test
    void rigidMotion_changesNothingButRounding() {
        Mesh high = mesh(Bollard.generate(20_000));
        double error = SurfaceDistance.between(high, Decimate.of(high).triangles(600)).mean();
        float[] p = high.positions().clone();
        double c = StrictMath.cos(0.7), s = StrictMath.sin(0.7);
        for (int i = 0; i < p.length; i += 3) {
            double x = p[i], y = p[i + 1], z = p[i + 2];
            p[i] = (float) (c * x - s * y + 3);
            p[i + 1] = (float) (0.6 * (s * x + c * y) - 0.8 * z);
            p[i + 2] = (float) (0.8 * (s * x + c * y) + 0.6 * z - 1);
        }
        Mesh moved = high.toBuilder().positions(p).build();
        Mesh low = Decimate.of(moved).triangles(600).build();
        assertThat(SurfaceDistance.between(moved, low).mean()).isCloseTo(error, within(0.05 * error)); // as above
    }

    @Test
    void errorBound_isHeldBothWays() {
        Mesh high = mesh(Bollard.generate(30_000));
        double diagonal = high.bounds().diagonal();
        int last = high.triangleCount();
        for (double fraction : new double[] {3e-4, 1e-3, 5e-3}) {
            Mesh low = Decimate.of(high).errorFraction(fraction).build();
            double met = SurfaceDistance.bothWays(high, low).largest() / diagonal;
            assertThat(met).isLessThanOrEqualTo(fraction);
            assertThat(low.triangleCount()).isLessThan(last);
            last = low.triangleCount();
            // and it is used: a bound that is never nearly met would be a poor one
            assertThat(met).isGreaterThan(fraction / 4);
        }
        assertThat(last).isLessThan(high.triangleCount() / 10);
        Mesh both = Decimate.of(high).errorFraction(1e-3).triangles(20_000).build();
        assertThat(both.triangleCount()).isBetween(19_999, 20_000);
    }

    private static boolean hasVertex(Mesh high, Mesh low, int v) {
        for (int w = 0; w < high.vertexCount(); w++) {
            if (Arrays.equals(high.positions(), 3 * w, 3 * w + 3, low.positions(), 3 * v, 3 * v + 3)) {
                return true;
            }
        }
        return false;
    }

    static int mirroredUvs(Mesh mesh) {
        Attribute uv = mesh.uvSets().get(0);
        int mirrored = 0;
        for (int t = 0; t < mesh.triangleCount(); t++) {
            int a = 2 * uv.indices()[3 * t], b = 2 * uv.indices()[3 * t + 1], c = 2 * uv.indices()[3 * t + 2];
            float[] v = uv.values();
            double area = ((double) v[b] - v[a]) * ((double) v[c + 1] - v[a + 1]) - ((double) v[b + 1] - v[a + 1]) * ((double) v[c] - v[a]);
            mirrored += area < 0 ? 1 : 0;
        }
        return mirrored;
    }

    /** A ball of radius 1 with UVs by longitude and latitude and a seam at x = 0, z > 0. */
    static Mesh seamedBall(int around, int rings) {
        float[] p = new float[3 * (around + 1) * (rings + 1)];
        float[] uv = new float[2 * (around + 1) * (rings + 1)];
        for (int j = 0; j <= rings; j++) {
            for (int i = 0; i <= around; i++) {
                int v = j * (around + 1) + i;
                double theta = Math.PI * (1 - (double) j / rings), phi = 2 * Math.PI * (i % around) / around;
                double ring = j == 0 || j == rings ? 0 : StrictMath.sin(theta);
                p[3 * v] = (float) (ring * StrictMath.sin(phi));
                p[3 * v + 1] = (float) StrictMath.cos(theta);
                p[3 * v + 2] = (float) (ring * StrictMath.cos(phi));
                uv[2 * v] = (float) i / around;
                uv[2 * v + 1] = (float) j / rings;
            }
        }
        int[] t = LowPolyShapes.cells(around, rings, around + 1);
        int[] kept = new int[t.length];
        int at = 0;
        for (int k = 0; k < t.length; k += 3) { // the triangles that the poles swallow
            boolean flat = (t[k] / (around + 1) == 0 && t[k + 1] / (around + 1) == 0)
                    || (t[k + 1] / (around + 1) == rings && t[k + 2] / (around + 1) == rings);
            if (!flat) {
                System.arraycopy(t, k, kept, at, 3);
                at += 3;
            }
        }
        kept = Arrays.copyOf(kept, at);
        return Mesh.builder(p, kept).uvSet(new Attribute("uv", 2, uv, kept)).name("ball").build();
    }

    /** The cube 0 … 1, each side cut into 8 × 8 cells; corners of cells at the same places have the same bits. */
    private static Mesh finelyCutBox() {
        int n = 8;
        Mesh side = square(n, n);
        int count = side.vertexCount();
        float[] p = new float[18 * count];
        int[] t = new int[6 * side.positionIndices().length];
        for (int s = 0; s < 6; s++) {
            int axis = s / 2;
            boolean far = s % 2 == 1;
            for (int v = 0; v < count; v++) {
                float a = side.positions()[3 * v], b = side.positions()[3 * v + 1];
                int at = 3 * (s * count + v);
                p[at + axis] = far ? 1 : 0;
                p[at + (axis + 1) % 3] = a;
                p[at + (axis + 2) % 3] = b;
            }
            for (int c = 0; c < side.positionIndices().length; c += 3) {
                int at = s * side.positionIndices().length + c;
                t[at] = s * count + side.positionIndices()[c];
                t[at + (far ? 1 : 2)] = s * count + side.positionIndices()[c + 1];
                t[at + (far ? 2 : 1)] = s * count + side.positionIndices()[c + 2];
            }
        }
        return Mesh.builder(p, t).name("cube").build();
    }
}
