package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.nio.file.Path;
import java.util.Arrays;
import java.util.Optional;
import java.util.Random;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.HemisphereBatch;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.HemisphereQuery.Distribution;
import org.estampage.cage.Cage;
import org.estampage.image.FloatImage;
import org.estampage.internal.kernel.Directions;
import org.estampage.internal.kernel.RayStart;
import org.estampage.maps.BentNormalMap;
import org.estampage.maps.ObjectNormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.maps.ThicknessMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Axis;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.task.Task;
import org.estampage.testresources.DisplacedSphere;
import org.estampage.testresources.FetchedMeshes;
import org.estampage.testresources.OcclusionScene;
import org.estampage.testresources.OffReader;
import org.estampage.testresources.Shape;
import org.estampage.testresources.ShapeMeasures;
import org.estampage.testresources.Shapes;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Thickness, bent normals and a ground against closed forms. */
class SurroundingsReferenceTest {
    private static final float INF = Float.POSITIVE_INFINITY;

    /** A unit sphere of 81,920 triangles, 0.02 wide: its facets lie up to 5e-5 inside the sphere. */
    private static Mesh ball() {
        return ball(6);
    }

    static Mesh ball(int splits) {
        Shape shape = Shapes.icosphere(1, splits);
        return BakeReferenceTest.mesh(shape, "ball").toBuilder()
                .normals(new Attribute("normal", 3, shape.positions(), shape.triangles())).build();
    }

    private static BakeResult bakeBall(SurfaceMap... maps) {
        return bakeBall(ball(), maps);
    }

    static BakeResult bakeBall(Mesh ball, SurfaceMap... maps) {
        Mesh low = BakeReferenceTest.mesh(DisplacedSphere.lowPoly(6, 1.0 / 32), "low");
        return Baker.create().bake(BakeJob.of(Cage.imported(low, low.unit(1.2)), ball).size(96).padding(0).maps(maps).build(),
                Task.silent());
    }

    static double mean(BakeResult result, String map) {
        FloatImage image = result.map(map);
        double sum = 0;
        int n = 0;
        for (int y = 0; y < image.height(); y++) {
            for (int x = 0; x < image.width(); x++) {
                if (result.hit().get(x, y)) {
                    sum += image.get(x, y, 0);
                    n++;
                }
            }
        }
        assertThat(n).isGreaterThan(2000);
        return sum / n;
    }

    // Chords of the unit sphere are 2 cos θ long. Over the half space: cosine-weighted 4/3, uniform 1; in a cone with k = cos α: uniform 1 + k,
    // cosine-weighted 4/3 · (1 − k³)/(1 − k²).
    @ParameterizedTest
    @CsvSource({"90, false, 1.3333333333", "90, true, 1", "30, true, 1.8660254038", "30, false, 1.8692317182", "45, true, 1.7071067812",
            "45, false, 1.7238576251"})
    void thicknessOfABall_isItsMeanChord(double halfAngle, boolean uniform, double expected) {
        ThicknessMap map = ThicknessMap.create(64).cone(halfAngle);
        BakeResult result = bakeBall(uniform ? map.uniform() : map);
        // Facets sink by 5e-5; the mean over some 5,000 texels of 64 stratified rays is good to 1e-4; grazing rays end early at the facet's own neighbours.
        assertThat(mean(result, "thickness")).isCloseTo(expected, within(1e-3));
    }

    @Test
    void thicknessWithReach_countsNoRayLonger() {
        // ∫ min(2c, 1)·2c dc, c from 0 to 1: 4/3·c³ up to ½, then c²: 1/6 + 3/4.
        BakeResult result = bakeBall(ThicknessMap.create(64).reach(1));
        assertThat(mean(result, "thickness")).isCloseTo(1.0 / 6 + 0.75, within(1e-3));
        assertThat(result.range("thickness").atZero()).isZero();
    }

    @Test
    void thicknessOfASheet_isNone() {
        Mesh sheet = Patches.flat(2, 0.1);
        BakeResult result = Baker.create().bake(
                BakeJob.of(Cage.offset(sheet, 0.1), sheet).size(8).maps(ThicknessMap.create(16)).build(), Task.silent());
        assertThat(result.map("thickness").get(4, 4, 0)).isZero();
    }

    private static Mesh[] closed() throws Exception {
        Optional<Path> elephant = FetchedMeshes.elephant();
        Assumptions.assumeTrue(elephant.isPresent());
        return new Mesh[] {BakeReferenceTest.mesh(OffReader.read(elephant.orElseThrow()), "elephant"),
                BakeReferenceTest.mesh(Shapes.torus(2, 0.5, 96, 48), "torus"), BakeReferenceTest.mesh(Shapes.box(1, 2, 3), "box")};
    }

    @Test
    void meanThicknessOfClosedMeshes_isFourTimesVolumeOverSurface() throws Exception {
        // Source: Cauchy's mean chord, 4V/S, of any body; from memory. The mean is over the surface's area, cosine-weighted.
        for (Mesh mesh : closed()) {
            Shape shape = new Shape(mesh.positions(), mesh.positionIndices());
            double expected = 4 * ShapeMeasures.volume(shape) / ShapeMeasures.area(shape);
            assertThat(meanThickness(mesh, 40_000, 4)).as(mesh.name()).isCloseTo(expected, within(0.01 * expected));
        }
    }

    /** Points by area, their rays about the facet's own normal; 160,000 chords with a spread like their mean leave a standard error below 0.5 %. */
    static double meanThickness(Mesh mesh, int pointCount, int rays) {
        HemisphereBatch points = pointsByArea(mesh, pointCount, rays, true);
        Bvh.build(mesh, Task.silent()).hemispheres(new HemisphereQuery(Distribution.COSINE, rays, INF).inside().measured(), points);
        double sum = 0;
        for (int i = 0; i < pointCount; i++) {
            assertThat(points.open[i]).as("rays that leave a closed mesh").isZero();
            sum += points.distance[i];
        }
        return sum / pointCount / rays;
    }

    /** Returns the mean open share of a mesh's outer side, cosine-weighted about the facets' own normals. */
    static double meanOpenness(Mesh mesh, int pointCount, int rays) {
        HemisphereBatch points = pointsByArea(mesh, pointCount, rays, false);
        Bvh.build(mesh, Task.silent()).hemispheres(new HemisphereQuery(Distribution.COSINE, rays, INF), points);
        return Arrays.stream(points.open).sum() / ((double) pointCount * rays);
    }

    private static HemisphereBatch pointsByArea(Mesh mesh, int pointCount, int rays, boolean inside) {
        float[] p = mesh.positions();
        int[] corners = mesh.positionIndices();
        double[] upTo = new double[mesh.triangleCount()];
        double[][] unit = new double[mesh.triangleCount()][3];
        double total = 0;
        for (int t = 0; t < upTo.length; t++) {
            int a = 3 * corners[3 * t], b = 3 * corners[3 * t + 1], c = 3 * corners[3 * t + 2];
            double ux = p[b] - p[a], uy = p[b + 1] - p[a + 1], uz = p[b + 2] - p[a + 2];
            double vx = p[c] - p[a], vy = p[c + 1] - p[a + 1], vz = p[c + 2] - p[a + 2];
            double nx = uy * vz - uz * vy, ny = uz * vx - ux * vz, nz = ux * vy - uy * vx, l = Math.sqrt(nx * nx + ny * ny + nz * nz);
            unit[t] = new double[] {nx / l, ny / l, nz / l};
            total += l;
            upTo[t] = total;
        }
        Random random = new Random(4);
        HemisphereBatch points = new HemisphereBatch(pointCount);
        float[] point = new float[3], start = new float[3];
        for (int i = 0; i < pointCount; i++) {
            int t = Arrays.binarySearch(upTo, (i + random.nextDouble()) / pointCount * total);
            t = Math.min(upTo.length - 1, t < 0 ? -t - 1 : t);
            double r = Math.sqrt(random.nextDouble()), b2 = r * random.nextDouble(), b1 = r - b2, b0 = 1 - r;
            for (int k = 0; k < 3; k++) {
                point[k] = (float) (b0 * p[3 * corners[3 * t] + k] + b1 * p[3 * corners[3 * t + 1] + k]
                        + b2 * p[3 * corners[3 * t + 2] + k]);
            }
            if (inside) {
                RayStart.inside(p, corners, t, point, 0, start);
            } else {
                RayStart.outside(p, corners, t, point, 0, start);
            }
            double side = inside ? -1 : 1;
            points.x[i] = start[0];
            points.y[i] = start[1];
            points.z[i] = start[2];
            points.normalX[i] = (float) (side * unit[t][0]);
            points.normalY[i] = (float) (side * unit[t][1]);
            points.normalZ[i] = (float) (side * unit[t][2]);
            points.seed[i] = Directions.texelSeed(i & 255, i >>> 8);
            points.count[i] = rays;
        }
        points.size = pointCount;
        return points;
    }

    @Test
    void bentNormal_besideAnEndlessWall_hasItsClosedForm() {
        // Half of the cosine-weighted directions: z 1/3 of all, towards the open side 2/(3π): (2, π)/√(4 + π²), and 2·√((2/3π)² + 1/9) long; uniform: (1, 1)/√2.
        OcclusionScene scene = OcclusionScene.wall(50_000);
        Mesh low = BakeReferenceTest.mesh(scene.patch(), "patch");
        Mesh high = Normals.hardEdges(BakeReferenceTest.mesh(scene.highPoly(), scene.name()), 30);
        BakeResult result = Baker.create().bake(BakeJob.of(Cage.offset(low, 0.01), high).size(24).padding(0)
                .maps(BentNormalMap.create(1024).objectSpace(), OcclusionMap.create(1024)).build(), Task.silent());
        FloatImage bent = result.map("bent-normal");
        double side = 2 / Math.sqrt(4 + Math.PI * Math.PI), up = Math.PI / Math.sqrt(4 + Math.PI * Math.PI);
        int n = 0;
        for (int y = 0; y < 24; y++) {
            for (int x = 0; x < 24; x++) {
                // The wall is 200 long in place of endless: near it that makes no difference.
                if (result.hit().get(x, y) && Math.abs(result.map("occlusion").get(x, y, 0) - 0.5) < 0.01) {
                    assertThat(Math.abs(bent.get(x, y, 0))).isCloseTo((float) side, within(0.01f));
                    assertThat(bent.get(x, y, 1)).isCloseTo((float) up, within(0.01f));
                    assertThat(bent.get(x, y, 2)).isCloseTo(0f, within(0.01f));
                    n++;
                }
            }
        }
        assertThat(n).isGreaterThan(50);
        assertThat(result.hemisphereRayCount()).as("the two maps share their rays").isEqualTo(1024L * result.coveredCount());
    }

    @Test
    void bentNormal_onAnOpenBall_isItsNormal_andTwoThirdsLong() {
        BakeResult result = bakeBall(BentNormalMap.create(256).objectSpace(), ObjectNormalMap.create());
        FloatImage bent = result.map("bent-normal"), normal = result.map("object-normal");
        FloatImage tangent = bakeBall(BentNormalMap.create(256)).map("bent-normal");
        FloatImage length = bakeBall(BentNormalMap.create(256).keepingLength()).map("bent-normal");
        for (int y = 0; y < 96; y++) {
            for (int x = 0; x < 96; x++) {
                if (result.hit().get(x, y)) {
                    double dot = 0, square = 0;
                    for (int k = 0; k < 3; k++) {
                        dot += bent.get(x, y, k) * normal.get(x, y, k);
                        square += length.get(x, y, k) * length.get(x, y, k);
                    }
                    assertThat(dot).as("cosine of the angle between").isGreaterThan(0.999);
                    assertThat(tangent.get(x, y, 2)).isGreaterThan(0.995f); // the low poly's shading normal is the ball's within its own facets
                    assertThat(Math.sqrt(square)).isCloseTo(2.0 / 3, within(0.01));
                }
            }
        }
    }

    @Test
    void ballAboveTheGround_isHalfClosedFromBelow() {
        // The configuration factor of an endless plane from a surface that leans by β from facing away is (1 − cos β)/2; Howell, from memory. The ball itself
        // is convex and hides nothing.
        BakeResult result = bakeBall(OcclusionMap.create(256).ground(Axis.Z), ObjectNormalMap.create());
        FloatImage occlusion = result.map("occlusion"), normal = result.map("object-normal");
        for (int y = 0; y < 96; y++) {
            for (int x = 0; x < 96; x++) {
                if (result.hit().get(x, y)) {
                    // 256 rays: rms 0.007 a texel where half is closed; the facets' own slant adds a little.
                    assertThat(occlusion.get(x, y, 0)).isCloseTo((1 + normal.get(x, y, 2)) / 2, within(0.04f));
                }
            }
        }
        assertThat(mean(bakeBall(OcclusionMap.create(16).ground(Axis.Z, -100).reach(5)), "occlusion")).as("too far below").isEqualTo(1.0);
    }

    @Test
    void fadingReach_liesBetweenItsHardReachAndOpen() {
        OcclusionScene scene = OcclusionScene.cup(1, 1);
        Mesh low = BakeReferenceTest.mesh(scene.patch(), "patch");
        Mesh high = Normals.hardEdges(BakeReferenceTest.mesh(scene.highPoly(), scene.name()), 30);
        BakeJob.Builder job = BakeJob.of(Cage.offset(low, 0.01), high).size(24).padding(0);
        BakeResult hard = Baker.create().bake(job.maps(OcclusionMap.create(256).reach(1.2)).build(), Task.silent());
        BakeResult faded = Baker.create().bake(BakeJob.of(Cage.offset(low, 0.01), high).size(24).padding(0)
                .maps(OcclusionMap.create(256).fadingReach(1.2)).build(), Task.silent());
        BakeResult back = Baker.create().bake(BakeJob.of(Cage.offset(low, 0.01), high).size(24).padding(0)
                .maps(OcclusionMap.create(256).fadingReach(3).reach(1.2)).build(), Task.silent());
        int lighter = 0;
        for (int y = 0; y < 24; y++) {
            for (int x = 0; x < 24; x++) {
                float h = hard.map("occlusion").get(x, y, 0), f = faded.map("occlusion").get(x, y, 0);
                assertThat(f).isBetween(h, 1f);
                assertThat(back.map("occlusion").get(x, y, 0)).isEqualTo(h);
                lighter += f > h + 0.05f ? 1 : 0;
            }
        }
        assertThat(lighter).isGreaterThan(50);
    }
}
