package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Arrays;
import java.util.Objects;
import java.util.stream.Stream;
import org.estampage.cage.Cage;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.maps.CoverageMap;
import org.estampage.maps.HeightMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.ObjectNormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.maps.PositionMap;
import org.estampage.mesh.Adjacency;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.task.Task;
import org.estampage.testresources.DisplacedSphere;
import org.estampage.testresources.OcclusionScene;
import org.estampage.testresources.Shape;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/** Whole bakes against exact values. */
class BakeReferenceTest {
    static Mesh mesh(Shape shape, String name) {
        Mesh.Builder builder = Mesh.builder(shape.positions(), shape.triangles()).name(name);
        float[] normals = shape.normals();
        if (normals != null) {
            builder.normals(new Attribute("normal", 3, normals, shape.triangles()));
        }
        float[] uvs = shape.uvs();
        if (uvs != null) {
            builder.uvSet(new Attribute("uv", 2, uvs, Objects.requireNonNull(shape.uvTriangles())));
        }
        return builder.build();
    }

    static BakeResult sphere(int size, int triangles, double scale, SurfaceMap... maps) {
        Mesh low = mesh(DisplacedSphere.lowPoly(6, 1.0 / 64), "low").unit(scale);
        Mesh high = mesh(DisplacedSphere.highPoly(triangles), "high").unit(scale);
        // A cage straight out from the middle, so that the ray through every point of the low poly is radial.
        Cage cage = Cage.imported(low, low.unit(1.2));
        return Baker.create().bake(BakeJob.of(cage, high).size(size).padding(0).maps(maps).build(), Task.silent());
    }

    @Test
    void displacedSphere_hasItsExactNormalsAndHeights() {
        // Source: derived in closed form, see DisplacedSphere: the normal of a star-shaped surface and its radius. The tolerances are the tessellation's:
        // facets of 1.5 million triangles are 2e-3 wide, so the surface is off by 1e-6 and interpolated normals by far less than 0.05°.
        BakeResult result = sphere(1024, 1_500_000, 1, ObjectNormalMap.create(), HeightMap.create(), PositionMap.create(),
                NormalMap.create());
        assertThat(result.missedSampleCount()).isZero();
        double[] errors = sphereErrors(result);
        assertThat(errors[0]).isGreaterThan(600_000);
        assertThat(errors[1]).as("median angle in degrees").isLessThanOrEqualTo(0.05);
        assertThat(errors[2]).as("99th percentile of radius error").isLessThanOrEqualTo(1e-4);
        checkHeights(result, result.map("height"));
    }

    /** Returns the number of texels, the median angle in degrees, the 99th percentile of the radius' error and the 95th of the angle. */
    static double[] sphereErrors(BakeResult result) {
        FloatImage normal = result.map("object-normal"), position = result.map("position");
        double[] angles = new double[normal.width() * normal.height()];
        double[] heights = new double[normal.width() * normal.height()];
        int n = 0;
        double[] exact = new double[3];
        for (int y = 0; y < normal.width(); y++) {
            for (int x = 0; x < normal.width(); x++) {
                if (!result.hit().get(x, y)) {
                    continue;
                }
                double px = position.get(x, y, 0), py = position.get(x, y, 1), pz = position.get(x, y, 2);
                double r = Math.sqrt(px * px + py * py + pz * pz);
                DisplacedSphere.normal(px / r, py / r, pz / r, exact);
                angles[n] = degrees(normal.get(x, y, 0), normal.get(x, y, 1), normal.get(x, y, 2), exact[0], exact[1], exact[2]);
                // The low poly's point on the same ray lies at the radius less the height; what must agree is the radius itself.
                heights[n++] = Math.abs(r - DisplacedSphere.radius(px / r, py / r, pz / r));
            }
        }
        return new double[] {n, median(angles, n), quantile(heights, n, 0.99), quantile(angles, n, 0.95)};
    }

    /** Heights against radius − |p|, p the low poly's own point, by an interpolation of its own. */
    private static void checkHeights(BakeResult result, FloatImage height) {
        Mesh low = result.job().low();
        float[] uv = low.uvSets().get(0).values();
        int[] uvOf = low.uvSets().get(0).indices();
        double worst = 0;
        int checked = 0;
        for (int t = 0; t < low.triangleCount(); t++) {
            // The texel nearest to the middle of the triangle: all its samples lie inside.
            double u = 0, v = 0;
            for (int k = 0; k < 3; k++) {
                u += uv[2 * uvOf[3 * t + k]] / 3.0;
                v += uv[2 * uvOf[3 * t + k] + 1] / 3.0;
            }
            int x = (int) (u * 1024), y = (int) ((1 - v) * 1024);
            double[] p = pointAt(low, t, (x + 0.5) / 1024, 1 - (y + 0.5) / 1024);
            double length = Math.sqrt(p[0] * p[0] + p[1] * p[1] + p[2] * p[2]);
            double exact = DisplacedSphere.radius(p[0] / length, p[1] / length, p[2] / length) - length;
            worst = Math.max(worst, Math.abs(height.get(x, y, 0) - exact));
            checked++;
        }
        assertThat(checked).isGreaterThan(300);
        assertThat(worst).as("largest height error at the middles of the triangles").isLessThanOrEqualTo(1e-4);
    }

    private static double[] pointAt(Mesh low, int t, double u, double v) {
        float[] uv = low.uvSets().get(0).values();
        int[] uvOf = low.uvSets().get(0).indices();
        int a = 2 * uvOf[3 * t], b = 2 * uvOf[3 * t + 1], c = 2 * uvOf[3 * t + 2];
        double area = cross(uv[b] - uv[a], uv[b + 1] - uv[a + 1], uv[c] - uv[a], uv[c + 1] - uv[a + 1]);
        double w1 = cross(u - uv[a], v - uv[a + 1], uv[c] - uv[a], uv[c + 1] - uv[a + 1]) / area;
        double w2 = cross(uv[b] - uv[a], uv[b + 1] - uv[a + 1], u - uv[a], v - uv[a + 1]) / area;
        double[] p = new double[3];
        for (int k = 0; k < 3; k++) {
            p[k] = (1 - w1 - w2) * low.positions()[3 * low.positionIndices()[3 * t] + k]
                    + w1 * low.positions()[3 * low.positionIndices()[3 * t + 1] + k]
                    + w2 * low.positions()[3 * low.positionIndices()[3 * t + 2] + k];
        }
        return p;
    }

    private static double cross(double ax, double ay, double bx, double by) {
        return ax * by - ay * bx;
    }

    @Test
    void displacedSphere_scaled_hasTheSameNormalMap() {
        BakeResult plain = sphere(256, 200_000, 1, NormalMap.create(), CoverageMap.create());
        for (double scale : new double[] {1000, 0.001}) {
            BakeResult scaled = sphere(256, 200_000, scale, NormalMap.create(), CoverageMap.create());
            // Scaled coordinates are rounded anew; interpolated normals move by less than a 16-bit step, 1.7e-3°.
            assertThat(largestAngle(plain, scaled)).as("largest angle at scale " + scale).isLessThanOrEqualTo(5e-3);
        }
    }

    /** Returns the largest angle, in degrees, between two normal maps whose hits and coverage are equal. */
    static double largestAngle(BakeResult plain, BakeResult scaled) {
        FloatImage a = plain.map("normal"), b = scaled.map("normal");
        double[] angles = new double[a.width() * a.height()];
        int n = 0;
        for (int y = 0; y < a.height(); y++) {
            for (int x = 0; x < a.width(); x++) {
                assertThat(scaled.hit().get(x, y)).isEqualTo(plain.hit().get(x, y));
                assertThat(scaled.map("coverage").get(x, y, 0)).isEqualTo(plain.map("coverage").get(x, y, 0));
                if (plain.hit().get(x, y)) {
                    angles[n++] = degrees(a.get(x, y, 0), a.get(x, y, 1), a.get(x, y, 2), b.get(x, y, 0), b.get(x, y, 1),
                            b.get(x, y, 2));
                }
            }
        }
        return quantile(angles, n, 1);
    }

    @Test
    void tangentSpaceMap_decodedThroughAnIndependentFrame_givesTheObjectNormals() {
        // 16-bit codes of the tangent-space map, decoded here with a frame computed by finite differences of the low poly's own interpolation,
        // against the object-space map. Where MikkTSpace and the plain derivative agree (a smooth chart), the median shows any slip of convention.
        BakeResult result = sphere(512, 400_000, 1, NormalMap.create(), ObjectNormalMap.create());
        Mesh low = result.job().low();
        Attribute tangents = result.low().tangents().orElseThrow();
        FloatImage normal = result.map("normal"), object = result.map("object-normal");
        Encoding codes = normal.encoding();
        float[] uv = low.uvSets().get(0).values();
        int[] uvOf = low.uvSets().get(0).indices();
        double[] angles = new double[512 * 512];
        int n = 0;
        for (int t = 0; t < low.triangleCount(); t++) {
            double[] box = {1, 1, 0, 0};
            for (int k = 0; k < 3; k++) {
                box[0] = Math.min(box[0], uv[2 * uvOf[3 * t + k]]);
                box[1] = Math.min(box[1], uv[2 * uvOf[3 * t + k] + 1]);
                box[2] = Math.max(box[2], uv[2 * uvOf[3 * t + k]]);
                box[3] = Math.max(box[3], uv[2 * uvOf[3 * t + k] + 1]);
            }
            for (int y = (int) ((1 - box[3]) * 512); y <= (1 - box[1]) * 512; y++) {
                for (int x = (int) (box[0] * 512); x <= box[2] * 512; x++) {
                    double[] w = weights(low, t, (x + 0.5) / 512, 1 - (y + 0.5) / 512);
                    if (w[0] < 0.02 || w[1] < 0.02 || w[2] < 0.02) {
                        continue;
                    }
                    double[] frame = new double[9];
                    for (int k = 0; k < 3; k++) {
                        for (int axis = 0; axis < 3; axis++) {
                            frame[axis] += w[k] * tangents.values()[4 * tangents.indices()[3 * t + k] + axis];
                            // On this low poly vertex normals are the positions.
                            frame[6 + axis] += w[k] * low.positions()[3 * low.positionIndices()[3 * t + k] + axis];
                        }
                    }
                    double hand = tangents.values()[4 * tangents.indices()[3 * t] + 3];
                    frame[3] = hand * (frame[7] * frame[2] - frame[8] * frame[1]);
                    frame[4] = hand * (frame[8] * frame[0] - frame[6] * frame[2]);
                    frame[5] = hand * (frame[6] * frame[1] - frame[7] * frame[0]);
                    double[] world = new double[3];
                    for (int c = 0; c < 3; c++) {
                        double decoded = codes.quantise(c, normal.get(x, y, c), 16) / 65535.0 * 2 - 1;
                        for (int axis = 0; axis < 3; axis++) {
                            world[axis] += decoded * frame[3 * c + axis];
                        }
                    }
                    double length = Math.sqrt(world[0] * world[0] + world[1] * world[1] + world[2] * world[2]);
                    angles[n++] = degrees(object.get(x, y, 0), object.get(x, y, 1), object.get(x, y, 2), world[0] / length,
                            world[1] / length,
                            world[2] / length);
                }
            }
        }
        assertThat(n).isGreaterThan(120_000);
        assertThat(median(angles, n)).isLessThanOrEqualTo(0.1);
        assertThat(quantile(angles, n, 0.999)).isLessThanOrEqualTo(0.5);
    }

    private static double[] weights(Mesh low, int t, double u, double v) {
        float[] uv = low.uvSets().get(0).values();
        int[] uvOf = low.uvSets().get(0).indices();
        int a = 2 * uvOf[3 * t], b = 2 * uvOf[3 * t + 1], c = 2 * uvOf[3 * t + 2];
        double area = cross(uv[b] - uv[a], uv[b + 1] - uv[a + 1], uv[c] - uv[a], uv[c + 1] - uv[a + 1]);
        double w1 = cross(u - uv[a], v - uv[a + 1], uv[c] - uv[a], uv[c + 1] - uv[a + 1]) / area;
        double w2 = cross(uv[b] - uv[a], uv[b + 1] - uv[a + 1], u - uv[a], v - uv[a + 1]) / area;
        return new double[] {1 - w1 - w2, w1, w2};
    }

    @Test
    void seams_lookTheSameFromBothSides_afterPadding() {
        // Along every UV seam the two sides show the same points of the surface; a bilinear lookup there reads the padding of both. One step of
        // 8 bits is what an eye or an 8-bit file can tell apart.
        Mesh low = mesh(DisplacedSphere.lowPoly(6, 1.0 / 32), "low");
        Mesh high = mesh(DisplacedSphere.highPoly(200_000), "high");
        BakeResult result = Baker.create().bake(BakeJob.of(Cage.imported(low, low.unit(1.2)), high).size(512)
                .maps(ObjectNormalMap.create(), HeightMap.create(), PositionMap.create()).build(), Task.silent());
        FloatImage normal = result.map("object-normal"), position = result.map("position"), height = result.map("height");
        float[] uv = low.uvSets().get(0).values();
        int[] uvOf = low.uvSets().get(0).indices();
        Adjacency adjacency = Adjacency.of(low);
        int seams = 0;
        double worstNormal = 0, worstPosition = 0, worstHeight = 0;
        for (int e = 0; e < adjacency.edgeCount(); e++) {
            int o = adjacency.opposite(e);
            if (o < e || uvOf[e] == uvOf[Adjacency.next(o)]) {
                continue;
            }
            seams++;
            for (double t = 0.05; t < 1; t += 0.1) {
                double[] a = along(uv, uvOf[e], uvOf[Adjacency.next(e)], t), b = along(uv, uvOf[Adjacency.next(o)], uvOf[o], t);
                for (int c = 0; c < 3; c++) {
                    worstNormal = Math.max(worstNormal, Math.abs(bilinear(normal, a, c) - bilinear(normal, b, c)) / 2);
                    worstPosition = Math.max(worstPosition, Math.abs(bilinear(position, a, c) - bilinear(position, b, c)) / 2);
                }
                double span = 2 * result.range("height").atOne();
                worstHeight = Math.max(worstHeight, Math.abs(bilinear(height, a, 0) - bilinear(height, b, 0)) / span);
            }
        }
        assertThat(seams).isEqualTo(12 * 6);
        assertThat(worstNormal).as("normal").isLessThanOrEqualTo(1 / 255.0);
        assertThat(worstPosition).as("position").isLessThanOrEqualTo(1 / 255.0);
        assertThat(worstHeight).as("height").isLessThanOrEqualTo(1 / 255.0);
    }

    private static double[] along(float[] uv, int from, int to, double t) {
        return new double[] {(1 - t) * uv[2 * from] + t * uv[2 * to], (1 - t) * uv[2 * from + 1] + t * uv[2 * to + 1]};
    }

    private static double bilinear(FloatImage image, double[] uv, int channel) {
        double x = uv[0] * image.width() - 0.5, y = (1 - uv[1]) * image.height() - 0.5;
        int x0 = (int) Math.floor(x), y0 = (int) Math.floor(y);
        double fx = x - x0, fy = y - y0;
        return (1 - fy) * ((1 - fx) * image.get(x0, y0, channel) + fx * image.get(x0 + 1, y0, channel))
                + fy * ((1 - fx) * image.get(x0, y0 + 1, channel) + fx * image.get(x0 + 1, y0 + 1, channel));
    }

    static Stream<OcclusionScene> scenes() {
        return OcclusionScene.all().stream();
    }

    @ParameterizedTest
    @MethodSource("scenes")
    void occlusion_hasItsClosedForm(OcclusionScene scene) {
        Difference difference = occlusion(scene, 1024);
        assertThat(difference.texels).as("texels that were compared").isGreaterThan(50);
        // 1,024 scrambled Sobol rays have an rms error of about 0.0023 a texel, 0.0069 where occlusion changes across it.
        assertThat(Math.abs(difference.ours - difference.exact)).as("mean difference").isLessThanOrEqualTo(0.005);
        assertThat(difference.worst).as("largest difference of one texel").isLessThanOrEqualTo(0.02);
    }

    /** Means over the texels of a scene's patch, ours and in closed form, and the largest difference of one texel. */
    record Difference(int texels, double ours, double exact, double worst) {
    }

    static Difference occlusion(OcclusionScene scene, int rays) {
        // Sources are named in OcclusionScene, scene by scene.
        // The scenes have no normals of their own, and their walls meet at sharp edges.
        Mesh low = mesh(scene.patch(), "patch"), high = Normals.hardEdges(mesh(scene.highPoly(), scene.name()), 30);
        OcclusionMap map = OcclusionMap.create(rays);
        if (scene.reach() < Double.POSITIVE_INFINITY) {
            map = map.reach(scene.reach());
        }
        BakeResult result = Baker.create().bake(
                BakeJob.of(Cage.offset(low, 0.01), high).size(24).padding(0).maps(map, PositionMap.create()).build(), Task.silent());
        double worst = 0, ours = 0, exact = 0;
        int n = 0;
        FloatImage occlusion = result.map("occlusion"), position = result.map("position");
        for (int y = 0; y < 24; y++) {
            for (int x = 0; x < 24; x++) {
                if (!result.hit().get(x, y)) {
                    continue;
                }
                double value = scene.exact(position.get(x, y, 0), position.get(x, y, 1), position.get(x, y, 2));
                worst = Math.max(worst, Math.abs(occlusion.get(x, y, 0) - value));
                ours += occlusion.get(x, y, 0);
                exact += value;
                n++;
            }
        }
        return new Difference(n, ours / n, exact / n, worst);
    }

    private static double degrees(double ax, double ay, double az, double bx, double by, double bz) {
        double x = ay * bz - az * by, y = az * bx - ax * bz, z = ax * by - ay * bx;
        return Math.toDegrees(Math.atan2(Math.sqrt(x * x + y * y + z * z), ax * bx + ay * by + az * bz));
    }

    private static double median(double[] values, int n) {
        return quantile(values, n, 0.5);
    }

    static double quantile(double[] values, int n, double part) {
        double[] sorted = Arrays.copyOf(values, n);
        Arrays.sort(sorted);
        return sorted[(int) Math.min(n - 1, part * n)];
    }
}
