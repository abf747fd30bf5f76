package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Arrays;
import java.util.HashMap;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.cage.Cage;
import org.estampage.image.FloatImage;
import org.estampage.maps.NormalMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.task.Task;
import org.estampage.testresources.FetchedMeshes;
import org.estampage.testresources.OffReader;
import org.estampage.uv.Unwrap;
import org.estampage.uv.UvCharts;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.Test;

/** Tangent-space maps of 16 bits, decoded by an independent frame, against the high poly's own normals, found by rays of this test. */
class TangentSpaceReferenceTest {
    private static final int SIZE = 128;
    /** A texel is smooth if the high poly's normals at its middle and its corners lean by no more than this against their mean, in degrees. */
    private static final double SMOOTH = 1.5;

    /** Angles over the smooth texels, in degrees: to the high poly's normal at the middle, and between 4 × 4 and 8 × 8 samples. */
    record Angles(int texels, double median, double percentile95, double largest, double samples95) {
    }

    /** The normals of the high poly where a ray from the cage through a point of the low poly meets it. */
    private static final class Probe {
        private final Cage cage;
        private final Mesh high;
        private final RayTracer tracer;
        private final IndependentFrame frame;
        private final RayBatch ray = new RayBatch(1);
        private final HitBatch hit = new HitBatch(1);

        Probe(Cage cage, Mesh high, IndependentFrame frame) {
            this.cage = cage;
            this.high = high;
            this.frame = frame;
            tracer = Bvh.build(high, Task.silent());
        }

        /** Returns the normal, null if nothing is hit. */
        double @Nullable [] at(int t, double u, double v) {
            Mesh low = cage.low();
            double[] w = frame.weights(t, u, v), point = new double[3], outer = new double[3], way = new double[3];
            for (int k = 0; k < 3; k++) {
                int vertex = low.positionIndices()[3 * t + k];
                for (int axis = 0; axis < 3; axis++) {
                    point[axis] += w[k] * low.positions()[3 * vertex + axis];
                    outer[axis] += w[k] * cage.positions()[3 * vertex + axis];
                }
            }
            for (int axis = 0; axis < 3; axis++) {
                way[axis] = point[axis] - outer[axis];
            }
            ray.size = 0;
            // From the cage to as far below the low poly: twice the way.
            ray.add((float) outer[0], (float) outer[1], (float) outer[2], (float) way[0], (float) way[1], (float) way[2], 0, 2);
            tracer.closestHits(ray, Facing.FRONT, hit);
            if (hit.triangle[0] < 0) {
                return null;
            }
            Attribute normals = high.normals().orElseThrow();
            double[] b = {1.0 - hit.b1[0] - hit.b2[0], hit.b1[0], hit.b2[0]}, normal = new double[3];
            for (int k = 0; k < 3; k++) {
                for (int axis = 0; axis < 3; axis++) {
                    normal[axis] += b[k] * normals.values()[3 * normals.indices()[3 * hit.triangle[0] + k] + axis];
                }
            }
            double length = Math.sqrt(IndependentFrame.dot(normal, normal));
            return new double[] {normal[0] / length, normal[1] / length, normal[2] / length};
        }
    }

    private static BakeResult bake(Cage cage, Mesh high, int samples) {
        return Baker.create().bake(BakeJob.of(cage, high).size(SIZE).samples(samples).padding(0).maps(NormalMap.create()).build(),
                Task.silent());
    }

    static Angles compare(Cage cage, Mesh high) {
        Mesh low = cage.low();
        IndependentFrame frame = new IndependentFrame(low);
        FloatImage four = bake(cage, high, 4).map("normal"), eight = bake(cage, high, 8).map("normal");
        int[] middles = frame.trianglesAt(SIZE, 0.5, SIZE), corners = frame.trianglesAt(SIZE + 1, 0, SIZE),
                charts = UvCharts.ofTriangles(low);
        Probe probe = new Probe(cage, high, frame);
        double[] angles = new double[SIZE * SIZE], between = new double[SIZE * SIZE];
        int n = 0;
        for (int y = 0; y < SIZE; y++) {
            for (int x = 0; x < SIZE; x++) {
                int t = middles[y * SIZE + x];
                double u = (x + 0.5) / SIZE, v = 1 - (y + 0.5) / SIZE;
                double[] normal = t < 0 ? null : probe.at(t, u, v);
                if (normal == null || !smooth(probe, corners, charts, x, y, t, normal)) {
                    continue;
                }
                double[] weights = frame.weights(t, u, v);
                angles[n] = IndependentFrame.degrees(frame.decode(four, x, y, t, weights), normal);
                between[n++] = IndependentFrame.degrees(vector(four, x, y), vector(eight, x, y));
            }
        }
        double[] sorted = Arrays.copyOf(angles, n), samples = Arrays.copyOf(between, n);
        Arrays.sort(sorted);
        Arrays.sort(samples);
        return new Angles(n, sorted[n / 2], sorted[(int) (0.95 * n)], sorted[n - 1], samples[(int) (0.95 * n)]);
    }

    private static boolean smooth(Probe probe, int[] corners, int[] charts, int x, int y, int t, double[] middle) {
        double[][] normals = new double[5][];
        normals[0] = middle;
        double[] mean = middle.clone();
        for (int k = 0; k < 4; k++) {
            int cx = x + (k & 1), cy = y + (k >> 1), other = corners[cy * (SIZE + 1) + cx];
            double[] normal = other < 0 || charts[other] != charts[t]
                    ? null
                    : probe.at(other, (double) cx / SIZE, 1 - (double) cy / SIZE);
            if (normal == null) {
                return false;
            }
            normals[k + 1] = normal;
            for (int axis = 0; axis < 3; axis++) {
                mean[axis] += normal[axis];
            }
        }
        return Arrays.stream(normals).allMatch(normal -> IndependentFrame.degrees(normal, mean) <= SMOOTH);
    }

    private static double[] vector(FloatImage image, int x, int y) {
        return new double[] {image.get(x, y, 0), image.get(x, y, 1), image.get(x, y, 2)};
    }

    private static void check(Angles angles, int least) {
        String what = String.format(Locale.ROOT,
                "%d texels: median %.4f°, 95th percentile %.4f°, largest %.3f°; 4 × 4 against 8 × 8: %.4f°",
                angles.texels, angles.median, angles.percentile95, angles.largest, angles.samples95);
        System.getLogger(TangentSpaceReferenceTest.class.getName()).log(System.Logger.Level.INFO, what);
        assertThat(angles.texels).as(what).isGreaterThan(least);
        // The bounds were set before anything was measured; rounding to 16 bits alone turns a normal by up to 0.0012°.
        assertThat(angles.median).as(what).isLessThanOrEqualTo(0.03);
        assertThat(angles.percentile95).as(what).isLessThanOrEqualTo(0.15);
        assertThat(angles.samples95).as(what).isLessThanOrEqualTo(0.01);
    }

    /** The elephant's coarse mesh, unwrapped, its UVs enlarged about the middle: a map of 128² shows there what one of 2048² does. */
    static Optional<Cage> elephant() throws Exception {
        if (FetchedMeshes.elephant().isEmpty() || FetchedMeshes.refinedElephant().isEmpty()) {
            return Optional.empty();
        }
        Mesh mesh = BakeReferenceTest.mesh(OffReader.read(FetchedMeshes.elephant().orElseThrow()), "low");
        Mesh low = Normals.smooth(SharingTest.enlarged(Unwrap.of(mesh).size(2048).packedInRows().build(), 16));
        return Optional.of(Cage.offset(low, 0.01 * low.bounds().diagonal()));
    }

    static Mesh refinedElephant() throws Exception {
        return Normals.smooth(BakeReferenceTest.mesh(OffReader.read(FetchedMeshes.refinedElephant().orElseThrow()), "high"));
    }

    /** A bumpy shell whose left half has mirrored UVs, beside those of the right half. */
    static Cage shell() {
        Mesh flat = shell(12, 0);
        float[] uv = flat.uvSets().get(0).values().clone();
        float[] twice = Arrays.copyOf(uv, 2 * uv.length);
        int[] of = flat.positionIndices().clone();
        for (int v = 0; v < uv.length / 2; v++) {
            float x = flat.positions()[3 * v];
            twice[2 * v] = 0.52f + 0.46f * x;
            twice[uv.length + 2 * v] = 0.02f - 0.46f * x;
            twice[uv.length + 2 * v + 1] = uv[2 * v + 1];
        }
        for (int t = 0; t < of.length; t += 3) {
            float middle = flat.positions()[3 * of[t]] + flat.positions()[3 * of[t + 1]] + flat.positions()[3 * of[t + 2]];
            for (int k = 0; k < 3; k++) {
                of[t + k] += middle < 0 ? uv.length / 2 : 0;
            }
        }
        Mesh low = Normals.smooth(flat.toBuilder().noUvSets().uvSet(new Attribute("uv", 2, twice, of)).build());
        return Cage.offset(low, 0.15);
    }

    private static Mesh shell(int cells, double bumps) {
        return Patches.grid(cells, 0.02,
                (x, z) -> 0.5 * (1 - x * x) - 0.2 * z * z + bumps * StrictMath.cos(6 * x + 1) * StrictMath.cos(5 * z));
    }

    static Mesh bumpyShell() {
        return Normals.smooth(shell(200, 0.03));
    }

    private static final Map<String, Angles> MEASURED = new HashMap<>();

    /** Returns the elephant's angles, measured once; none without the fetched meshes. */
    static synchronized Optional<Angles> elephantAngles() throws Exception {
        if (!MEASURED.containsKey("elephant")) {
            Optional<Cage> cage = elephant();
            if (cage.isPresent()) {
                MEASURED.put("elephant", compare(cage.orElseThrow(), refinedElephant()));
            }
        }
        return Optional.ofNullable(MEASURED.get("elephant"));
    }

    /** Returns the shell's angles, measured once. */
    static synchronized Angles shellAngles() {
        return MEASURED.computeIfAbsent("shell", name -> compare(shell(), bumpyShell()));
    }

    @Test
    void elephant_decodedByAnIndependentFrame_hasTheHighPolysNormals() throws Exception {
        Assumptions.assumeTrue(elephantAngles().isPresent());
        check(elephantAngles().orElseThrow(), 4_000);
    }

    @Test
    void mirroredShell_decodedByAnIndependentFrame_hasTheHighPolysNormals() {
        Cage cage = shell();
        int mirrored = 0;
        IndependentFrame frame = new IndependentFrame(cage.low());
        for (int t = 0; t < cage.low().triangleCount(); t++) {
            mirrored += frame.mirrored(t) ? 1 : 0;
        }
        assertThat(mirrored).isEqualTo(cage.low().triangleCount() / 2);
        check(shellAngles(), 10_000);
    }
}
