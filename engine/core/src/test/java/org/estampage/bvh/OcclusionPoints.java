package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.estampage.bvh.HemisphereQuery.Distribution;
import org.estampage.internal.kernel.Directions;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.OcclusionScene;
import org.estampage.testresources.Shape;
import org.estampage.testresources.Shapes;

/**
 * Single points whose occlusion is published or follows by hand, and what the engine's hemispheres give there.
 *
 * <p>Values: Howell, A Catalog of Radiation Configuration Factors, 1982 (from memory); strips by Hottel's crossed strings; bent normals derived by hand.
 */
public final class OcclusionPoints {
    private static final float INF = Float.POSITIVE_INFINITY;

    private OcclusionPoints() {
    }

    /** A point of a mesh, the normal there, and the exact value. */
    public record Case(String name, Mesh mesh, double reach, double x, double y, double nx, double ny, double exact) {
        /** Returns the open shares of many texels at the point. */
        public double[] open(int texels, int rays) {
            RayTracer tracer = Bvh.build(mesh, Task.silent());
            HemisphereBatch points = new HemisphereBatch(texels);
            for (int i = 0; i < texels; i++) {
                put(points, (float) x, (float) y, (float) nx, (float) ny, Directions.texelSeed(i & 63, i >>> 6), 0, rays);
            }
            tracer.hemispheres(new HemisphereQuery(Distribution.COSINE, rays, (float) reach), points);
            double[] open = new double[texels];
            for (int i = 0; i < texels; i++) {
                open[i] = (double) points.open[i] / rays;
            }
            return open;
        }

        /** Returns the mean open share of many texels at the point. */
        public double mean(int texels, int rays) {
            return Arrays.stream(open(texels, rays)).sum() / texels;
        }
    }

    /** A floor point of a scene; its own formula and the published number must agree, so that neither is mistyped. */
    static Case floor(OcclusionScene scene, double x, double exact) {
        assertThat(scene.exact(x, 0, 0)).isCloseTo(exact, within(1e-10));
        float[] p = scene.highPoly().positions();
        int[] t = scene.highPoly().triangles();
        int[] occluders = new int[t.length];
        int n = 0;
        for (int i = 0; i < t.length; i += 3) { // the floor does not occlude itself, and so the rays may start on it
            if (p[3 * t[i] + 1] != 0 || p[3 * t[i + 1] + 1] != 0 || p[3 * t[i + 2] + 1] != 0) {
                System.arraycopy(t, i, occluders, n, 3);
                n += 3;
            }
        }
        return new Case(scene.name() + ", point at " + x, Mesh.builder(p, Arrays.copyOf(occluders, n)).build(), scene.reach(), x, 0, 0, 1,
                exact);
    }

    /**
     * One length up the right wall of a groove. The wall itself is left out: a plane does not occlude itself, and so the rays may start on it. The other
     * one is a thousand long, which stands for endless within 4e-4.
     */
    private static Case groove(double degrees, double exact) {
        float sin = (float) StrictMath.sin(StrictMath.toRadians(degrees / 2));
        float cos = (float) StrictMath.cos(StrictMath.toRadians(degrees / 2));
        float far = 1000;
        float[] p = {0, 0, -far, 0, 0, far, -sin * far, cos * far, far, -sin * far, cos * far, -far};
        return new Case("endless groove of " + degrees + " degrees", Mesh.builder(p, new int[] {0, 2, 1, 0, 3, 2}).build(), INF, sin, cos,
                -cos, sin, exact);
    }

    /** Returns the eight points that the measured errors of the recipe were taken at. */
    static List<Case> eight() {
        OcclusionScene trench = OcclusionScene.trench(1, 1);
        return List.of(floor(trench, 0.5, 0.4472135955), floor(trench, 0.25, 0.4212678125), floor(trench, 0.01, trench.exact(0.01, 0, 0)),
                floor(OcclusionScene.diskOverhead(1, 1), 0, 0.5), floor(OcclusionScene.diskOverhead(1, 2), 0, 0.8),
                floor(OcclusionScene.diskOverhead(2, 1), 0, 0.2), groove(60, 0.25), groove(120, 0.75));
    }

    /** A ball of radius 1 two away from a point, so many degrees off its normal: cos β (R/H)² is hidden, as long as all of it is above the ground. */
    private static Case ball(double degrees, double exact) {
        Shape unit = Shapes.icosphere(1, 5);
        float[] p = unit.positions().clone();
        for (int i = 0; i < p.length; i += 3) {
            p[i] += (float) (2 * StrictMath.sin(StrictMath.toRadians(degrees)));
            p[i + 1] += (float) (2 * StrictMath.cos(StrictMath.toRadians(degrees)));
        }
        return new Case("ball two away, " + (int) degrees + "° off the normal", Mesh.builder(p, unit.triangles()).build(), INF, 0, 0, 0, 1,
                exact);
    }

    /** On the floor of a corner of three endless planes: a quarter is open, by symmetry. Walls are 10⁵ long and high. */
    private static Case corner() {
        float far = 1e5f;
        float[] p = {-1, 0, -1, -1, 0, far, -1, far, far, -1, far, -1, far, 0, -1, far, far, -1};
        return new Case("corner of three planes", Mesh.builder(p, new int[] {0, 1, 2, 0, 2, 3, 0, 3, 5, 0, 5, 4}).build(), INF, 0, 0, 0, 1,
                0.25);
    }

    /** Returns the mean open share of a cup's floor, of radius and depth 1, over its area. */
    public static double meanOfACupsFloor(int points, int rays) {
        Case cup = floor(OcclusionScene.cup(1, 1), 0, 0.5);
        HemisphereBatch batch = new HemisphereBatch(points);
        for (int i = 0; i < points; i++) {
            // Rings of equal area; the cup looks the same all around.
            put(batch, (float) Math.sqrt((i + 0.5) / points), 0, 0, 1, Directions.texelSeed(i & 63, i >>> 6), 0, rays);
        }
        Bvh.build(cup.mesh, Task.silent()).hemispheres(new HemisphereQuery(Distribution.COSINE, rays, INF), batch);
        return Arrays.stream(batch.open).sum() / ((double) rays * points);
    }

    /** Returns all points. */
    public static List<Case> all() {
        List<Case> cases = new ArrayList<>(eight());
        cases.add(groove(90, 0.5));
        OcclusionScene wall = OcclusionScene.wall(1);
        cases.add(floor(wall, 0.25, 0.6212678125));
        cases.add(floor(wall, 0.5, 0.7236067977));
        cases.add(floor(wall, 1, 0.8535533906));
        cases.add(floor(wall, 2, 0.9472135955));
        cases.add(floor(OcclusionScene.squareOverhead(1, 1), 0, 1 - 0.2394564705));
        OcclusionScene within = OcclusionScene.wallWithin(1);
        cases.add(floor(within, 0.25, 0.6574811788));
        cases.add(floor(within, 0.5, 0.8044988905));
        cases.add(floor(within, 0.75, 0.9278531936));
        OcclusionScene ball = OcclusionScene.restingSphere();
        cases.add(floor(ball, 0.5, 0.2844582472));
        cases.add(floor(ball, 1, 0.6464466094));
        cases.add(floor(ball, 2, 0.9105572809));
        OcclusionScene cup = OcclusionScene.cup(1, 1);
        cases.add(floor(cup, 0, 0.5));
        cases.add(floor(cup, 0.5, 0.4379826327));
        cases.add(ball(0, 1 - 0.25));
        cases.add(ball(60, 1 - 0.125));
        cases.add(corner());
        return cases;
    }

    /** Sums over the open half space beside an endless wall: the mean direction's x and y, its length, and the open share. */
    public record Bent(double x, double y, double z, double length, double open) {
    }

    /** Returns the bent normal on a floor along y beside an endless wall over x &lt; 0. */
    public static Bent besideWall(Distribution distribution, int texels, int rays) {
        float far = 1e5f;
        Mesh wall = Mesh.builder(new float[] {0, 0, -far, 0, far, 0, 0, 0, far, 0, -far, 0}, new int[] {0, 1, 2, 0, 2, 3}).build();
        HemisphereBatch points = new HemisphereBatch(texels);
        for (int i = 0; i < points.capacity(); i++) {
            put(points, 1, 0, 0, 1, Directions.texelSeed(i, 9), 0, rays);
        }
        Bvh.build(wall, Task.silent()).hemispheres(new HemisphereQuery(distribution, rays, INF), points);
        double x = 0, y = 0, z = 0, open = 0;
        for (int i = 0; i < points.size; i++) {
            x += points.sumX[i];
            y += points.sumY[i];
            z += points.sumZ[i];
            open += points.open[i];
        }
        double length = Math.sqrt(x * x + y * y + z * z);
        return new Bent(x / length, y / length, z / length, length / open, open / ((double) rays * points.size));
    }

    static void put(HemisphereBatch points, float x, float y, float nx, float ny, int seed, int first, int count) {
        int i = points.size++;
        points.x[i] = x;
        points.y[i] = y;
        points.z[i] = 0;
        points.normalX[i] = nx;
        points.normalY[i] = ny;
        points.normalZ[i] = 0;
        points.seed[i] = seed;
        points.first[i] = first;
        points.count[i] = count;
    }
}
