package org.estampage.testresources;

import java.util.List;
import java.util.Objects;

/**
 * A scene whose ambient occlusion (cosine-weighted, 1 is open) is known in closed form all over a patch.
 *
 * <p>Source of the values, unless a factory says otherwise: one minus the configuration factor of the occluder, or the factor of the opening; J. R.
 * Howell, A Catalog of Radiation Configuration Factors, 1982; strips by Hottel's crossed strings. The catalogue is cited from memory; a test confirms
 * every formula by summing Lambert's polygon formula over the mesh.
 *
 * @space right-handed, Y up
 * @units mesh units
 * @threads immutable
 */
public final class OcclusionScene {
    /** Long things that stand for infinite ones reach this far to either side. */
    private static final double FAR = 100;
    /** Corners of polygons that stand for circles. */
    private static final int ROUND = 1024;
    /**
     * Bound of what is missing beyond {@link #FAR}: a window of width 2 and height 1 at that distance, seen at a grazing angle from the floor, has
     * the factor width · height² / (2π ·
     * distance³) = 3.2e-7 at either end.
     */
    private static final double FINITE_ERROR = 1e-6;
    /** Bound for inscribed polygons of {@link #ROUND} corners: the area falls short by 2π²/(3 · corners²) = 6.3e-6. */
    private static final double ROUND_ERROR = 1e-5;

    /** The value at a point. */
    private interface Value {
        double at(double x, double y, double z);
    }

    private final String name;
    private final Shape highPoly;
    private final Shape patch;
    private final double reach;
    private final double modelError;
    private final Value value;

    private OcclusionScene(String name, Shape highPoly, Shape patch, double reach, double modelError, Value value) {
        this.name = name;
        this.highPoly = highPoly;
        this.patch = patch;
        this.reach = reach;
        this.modelError = modelError;
        this.value = value;
    }

    /** Returns what the scene is, in words. */
    public String name() {
        return name;
    }

    /** Returns the scene's mesh: the ground and what stands on it, with normals where the surface is round. */
    public Shape highPoly() {
        return highPoly;
    }

    /** Returns the low poly: the part of the ground where {@link #exact} holds, with normals and with UVs that fill 0–1. */
    public Shape patch() {
        return patch;
    }

    /** Returns the distance up to which things occlude, infinite if there is no limit. */
    public double reach() {
        return reach;
    }

    /** Returns a bound of how much the mesh's own occlusion differs from {@link #exact}: round things are polygons, infinite ones end somewhere. */
    public double modelError() {
        return modelError;
    }

    /** Returns the exact occlusion at a point of the patch, 0 … 1, 1 is open. */
    public double exact(double x, double y, double z) {
        return value.at(x, y, z);
    }

    @Override
    public String toString() {
        return name;
    }

    /** Returns all scenes in their usual sizes. */
    public static List<OcclusionScene> all() {
        return List.of(trench(1, 1), groove(60), groove(90), groove(120), wall(1), wallWithin(1), diskOverhead(1, 1), squareOverhead(1, 1),
                restingSphere(),
                cup(1, 1), pit(1), pit(0.5));
    }

    /** Returns an infinite trench along z with its floor at y = 0 and x in 0 … width. */
    public static OcclusionScene trench(double width, double depth) {
        Shape high = Shapes.together(quad(0, 0, FAR, width, 0, FAR, width, 0, -FAR, 0, 0, -FAR),
                quad(0, 0, -FAR, 0, depth, -FAR, 0, depth, FAR, 0, 0, FAR),
                quad(width, 0, FAR, width, depth, FAR, width, depth, -FAR, width, 0, -FAR),
                quad(-width, depth, FAR, 0, depth, FAR, 0, depth, -FAR, -width, depth, -FAR),
                quad(width, depth, FAR, 2 * width, depth, FAR, 2 * width, depth, -FAR, width, depth, -FAR));
        double margin = 0.02 * width;
        return new OcclusionScene("trench " + width + " wide, " + depth + " deep", high, flatPatch(margin, width - margin, -0.5, 0.5),
                Double.POSITIVE_INFINITY, FINITE_ERROR,
                (x, y, z) -> (x / Math.hypot(x, depth) + (width - x) / Math.hypot(width - x, depth)) / 2);
    }

    /**
     * Returns a V-groove along z, its bottom at the origin, symmetric about x = 0; the patch lies on the side of positive x. The walls are 10 long,
     * and the
     * value is that of walls 10 long; infinite ones would give sin²(opening/2), 0.001 … 0.05 away.
     */
    public static OcclusionScene groove(double openingDegrees) {
        if (!(openingDegrees > 0 && openingDegrees < 180)) {
            throw new IllegalArgumentException("openingDegrees: " + openingDegrees + " must be between 0 and 180");
        }
        double opening = StrictMath.toRadians(openingDegrees);
        double sin = StrictMath.sin(opening / 2);
        double cos = StrictMath.cos(opening / 2);
        double wall = 10;
        double far = wall * FAR;
        Shape high = Shapes.together(quad(0, 0, far, wall * sin, wall * cos, far, wall * sin, wall * cos, -far, 0, 0, -far),
                quad(-wall * sin, wall * cos, far, 0, 0, far, 0, 0, -far, -wall * sin, wall * cos, -far));
        Shape patch = quad(0.1 * sin, 0.1 * cos, 0.5, 1.1 * sin, 1.1 * cos, 0.5, 1.1 * sin, 1.1 * cos, -0.5, 0.1 * sin, 0.1 * cos, -0.5)
                .withUvs(new float[] {0, 0, 1, 0, 1, 1, 0, 1});
        return new OcclusionScene("groove of " + openingDegrees + " degrees", high, patch, Double.POSITIVE_INFINITY, FINITE_ERROR,
                (x, y, z) -> {
                    // The opposite wall as a strip: half the difference of the sines of its ends' angles from the normal.
                    double s = Math.hypot(x, y);
                    double along = wall * StrictMath.cos(opening) - s;
                    return (1 - along / Math.hypot(along, wall * StrictMath.sin(opening))) / 2;
                });
    }

    /** Returns an infinitely long wall at x = 0, of some height, beside a floor at x &gt; 0. */
    public static OcclusionScene wall(double height) {
        Shape high = Shapes.together(flat(0, 6, -4, 4), quad(0, 0, -FAR, 0, height, -FAR, 0, height, FAR, 0, 0, FAR));
        return new OcclusionScene("wall " + height + " high", high, flatPatch(0.05, 2.05, -0.5, 0.5), Double.POSITIVE_INFINITY,
                FINITE_ERROR,
                (x, y, z) -> (1 + x / Math.hypot(x, height)) / 2);
    }

    /**
     * Returns a wall at x = 0 higher and longer than the reach, where only what is nearer than the reach occludes: 1 − (acos c − c√(1 − c²))/π, c =
     * x/reach. Derived here: the cosine-weighted share of directions that meet the plane within the reach is a circular segment of the unit disk.
     */
    public static OcclusionScene wallWithin(double reach) {
        double big = 1.5 * reach;
        Shape high = Shapes.together(flat(0, 2 * reach, -big, big), quad(0, 0, -2 * big, 0, big, -2 * big, 0, big, 2 * big, 0, 0, 2 * big));
        return new OcclusionScene("wall within " + reach, high, flatPatch(0.02 * reach, 1.02 * reach, -0.25 * reach, 0.25 * reach), reach,
                0,
                (x, y, z) -> {
                    double c = Math.min(1, x / reach);
                    return 1 - (StrictMath.acos(c) - c * Math.sqrt(1 - c * c)) / Math.PI;
                });
    }

    /** Returns a disk at some height over a floor. */
    public static OcclusionScene diskOverhead(double radius, double height) {
        Shape high = Shapes.together(flat(-3 * radius, 3 * radius, -3 * radius, 3 * radius), disk(radius, height));
        return new OcclusionScene("disk of radius " + radius + ", " + height + " overhead", high,
                flatPatch(-radius, radius, -radius, radius), Double.POSITIVE_INFINITY, ROUND_ERROR,
                (x, y, z) -> 1 - diskFactor(Math.hypot(x, z), radius, height));
    }

    /** Returns the configuration factor of a parallel disk, its axis at some distance. */
    private static double diskFactor(double distance, double radius, double height) {
        double d2 = distance * distance;
        double r2 = radius * radius;
        double h2 = height * height;
        double sum = d2 + h2 + r2;
        return (1 - (d2 + h2 - r2) / Math.sqrt(sum * sum - 4 * r2 * d2)) / 2;
    }

    /** Returns a square at some height over a floor. */
    public static OcclusionScene squareOverhead(double side, double height) {
        double half = side / 2;
        Shape high = Shapes.together(flat(-3 * side, 3 * side, -3 * side, 3 * side),
                quad(-half, height, -half, half, height, -half, half, height, half, -half, height, half));
        return new OcclusionScene("square overhead", high, flatPatch(-side, side, -side, side), Double.POSITIVE_INFINITY, 0,
                (x, y, z) -> 1 - cornerFactor((half - x) / height, (half - z) / height)
                        - cornerFactor((half + x) / height, (half - z) / height)
                        - cornerFactor((half - x) / height, (half + z) / height) - cornerFactor((half + x) / height, (half + z) / height));
    }

    /** Returns the factor of a parallel rectangle with a corner straight above; odd in both sides, so four of them make any rectangle. */
    private static double cornerFactor(double a, double b) {
        double rootA = Math.sqrt(1 + a * a);
        double rootB = Math.sqrt(1 + b * b);
        return (a / rootA * StrictMath.atan(b / rootA) + b / rootB * StrictMath.atan(a / rootB)) / (2 * Math.PI);
    }

    /** Returns a unit sphere that rests on a floor: 1 − R³/(d² + R²)^1.5. */
    public static OcclusionScene restingSphere() {
        // 20 · 96² triangles: an edge spans at most 0.0155 radians, facets dip (0.0155/√3)²/2 = 4e-5 at most below the sphere.
        Shape ball = SphereGrids.icosphere(96);
        float[] p = ball.positions().clone();
        for (int i = 1; i < p.length; i += 3) {
            p[i] += 1;
        }
        Shape high = Shapes.together(flat(-4, 4, -4, 4), new Shape(p, ball.triangles()).withNormals(ball.positions()));
        return new OcclusionScene("resting sphere", high, flatPatch(0.4, 2.4, -1, 1), Double.POSITIVE_INFINITY, 1e-4, (x, y, z) -> {
            double q = x * x + z * z + 1;
            return 1 - 1 / (q * Math.sqrt(q));
        });
    }

    /** Returns a round pit with upright walls in a plane; its floor, where the patch lies, at y = 0. */
    public static OcclusionScene cup(double radius, double depth) {
        float[] p = new float[3 * (3 * ROUND + 1)];
        float[] n = new float[p.length];
        int[] t = new int[3 * 5 * ROUND];
        int at = 0;
        n[3 * 3 * ROUND + 1] = 1;
        float[] wallP = new float[6 * ROUND];
        float[] wallN = new float[wallP.length];
        int[] wallT = new int[6 * ROUND];
        for (int i = 0; i < ROUND; i++) {
            double cos = StrictMath.cos(2 * Math.PI * i / ROUND);
            double sin = StrictMath.sin(2 * Math.PI * i / ROUND);
            int next = (i + 1) % ROUND;
            double[] level = {0, depth, depth};
            double[] r = {radius, radius, 2 * radius};
            for (int ring = 0; ring < 3; ring++) {
                Shapes.set(p, ring * ROUND + i, r[ring] * cos, level[ring], -r[ring] * sin);
                n[3 * (ring * ROUND + i) + 1] = 1;
            }
            for (int ring = 0; ring < 2; ring++) {
                Shapes.set(wallP, ring * ROUND + i, radius * cos, level[ring], -radius * sin);
                Shapes.set(wallN, ring * ROUND + i, -cos, 0, sin);
            }
            // Floor fan, rim ring; the wall apart, because it has normals of its own.
            for (int corner : new int[] {3 * ROUND, i, next, ROUND + i, 2 * ROUND + i, 2 * ROUND + next, ROUND + i, 2 * ROUND + next,
                    ROUND + next}) {
                t[at++] = corner;
            }
            int[] wall = {i, ROUND + next, next, i, ROUND + i, ROUND + next};
            System.arraycopy(wall, 0, wallT, 6 * i, 6);
        }
        Shape high = Shapes.together(new Shape(p, java.util.Arrays.copyOf(t, at)).withNormals(n),
                new Shape(wallP, wallT).withNormals(wallN));
        double half = 0.65 * radius;
        return new OcclusionScene("cup", high, flatPatch(-half, half, -half, half), Double.POSITIVE_INFINITY, ROUND_ERROR,
                (x, y, z) -> diskFactor(Math.hypot(x, z), radius, depth));
    }

    /**
     * Returns a pit shaped like a cap of the unit sphere, in the plane y = 0: 1 − depth/2 everywhere in it. Derived here: two elements of one
     * sphere see each other alike wherever they are, so a point sees the
     * cap's share of the sphere's area, blocked, and the opening makes up the rest.
     *
     * @param depth of the cap, more than 0 and at most 1
     */
    public static OcclusionScene pit(double depth) {
        if (!(depth > 0 && depth <= 1)) {
            throw new IllegalArgumentException("depth: " + depth + " must be more than 0 and at most 1");
        }
        int rings = 160;
        int around = 512;
        double centre = 1 - depth;
        double rimAngle = StrictMath.acos(centre);
        float[] p = new float[3 * (rings * around + 1)];
        float[] n = new float[p.length];
        int[] t = new int[3 * around * (2 * rings - 1)];
        Shapes.set(p, 0, 0, -depth, 0);
        Shapes.set(n, 0, 0, 1, 0);
        int at = 0;
        for (int k = 1; k <= rings; k++) {
            double polar = rimAngle * k / rings;
            for (int i = 0; i < around; i++) {
                double nx = -StrictMath.sin(polar) * StrictMath.cos(2 * Math.PI * i / around);
                double ny = StrictMath.cos(polar);
                double nz = StrictMath.sin(polar) * StrictMath.sin(2 * Math.PI * i / around);
                int v = 1 + (k - 1) * around + i;
                Shapes.set(n, v, nx, ny, nz);
                Shapes.set(p, v, -nx, centre - ny, -nz);
                int next = 1 + (k - 1) * around + (i + 1) % around;
                int[] corners = k == 1 ? new int[] {0, v, next} : new int[] {v - around, v, next, v - around, next, next - around};
                System.arraycopy(corners, 0, t, at, corners.length);
                at += corners.length;
            }
        }
        // The plane around the pit: a ring, from the rim outwards.
        float[] rim = new float[6 * around];
        float[] rimN = new float[6 * around];
        int[] rimT = new int[6 * around];
        for (int i = 0; i < around; i++) {
            int v = 3 * (1 + (rings - 1) * around + i);
            int next = (i + 1) % around;
            for (int ring = 0; ring < 2; ring++) {
                Shapes.set(rim, ring * around + i, p[v] * (1.0 + ring), 0, p[v + 2] * (1.0 + ring));
                rimN[3 * (ring * around + i) + 1] = 1;
            }
            System.arraycopy(new int[] {i, around + i, around + next, i, around + next, next}, 0, rimT, 6 * i, 6);
        }
        Shape high = Shapes.together(new Shape(p, t).withNormals(n), new Shape(rim, rimT).withNormals(rimN));
        // Facets span δ = 2π/512 at most. A ray within δ of the smooth surface's horizon may pass behind its own facet: a share of sin²δ = 1.5e-4.
        return new OcclusionScene("pit " + depth + " deep", high, pitPatch(depth), Double.POSITIVE_INFINITY, 2e-4,
                (x, y, z) -> 1 - depth / 2);
    }

    private static Shape pitPatch(double depth) {
        double half = 0.6 * Math.sqrt(depth * (2 - depth));
        Shape grid = Shapes.plane(2 * half, 2 * half, 8, 8);
        float[] p = grid.positions();
        float[] n = new float[p.length];
        for (int i = 0; i < p.length; i += 3) {
            double below = Math.sqrt(1 - (double) p[i] * p[i] - (double) p[i + 2] * p[i + 2]);
            p[i + 1] = (float) (1 - depth - below);
            n[i] = -p[i];
            n[i + 1] = (float) below;
            n[i + 2] = -p[i + 2];
        }
        float[] uvs = Objects.requireNonNull(grid.uvs(), "the plane's UVs");
        return new Shape(p, grid.triangles()).withNormals(n).withUvs(uvs);
    }

    /** Returns a rectangle with the normal of its winding; corners counter-clockwise. */
    private static Shape quad(double... corners) {
        float[] p = new float[12];
        for (int i = 0; i < 12; i++) {
            p[i] = (float) corners[i];
        }
        double ax = corners[3] - corners[0];
        double ay = corners[4] - corners[1];
        double az = corners[5] - corners[2];
        double bx = corners[9] - corners[0];
        double by = corners[10] - corners[1];
        double bz = corners[11] - corners[2];
        double x = ay * bz - az * by;
        double y = az * bx - ax * bz;
        double z = ax * by - ay * bx;
        double length = Math.sqrt(x * x + y * y + z * z);
        float[] n = new float[12];
        for (int v = 0; v < 4; v++) {
            Shapes.set(n, v, x / length, y / length, z / length);
        }
        return new Shape(p, new int[] {0, 1, 2, 0, 2, 3}).withNormals(n);
    }

    private static Shape flat(double x0, double x1, double z0, double z1) {
        return quad(x0, 0, z1, x1, 0, z1, x1, 0, z0, x0, 0, z0);
    }

    private static Shape flatPatch(double x0, double x1, double z0, double z1) {
        return flat(x0, x1, z0, z1).withUvs(new float[] {0, 0, 1, 0, 1, 1, 0, 1});
    }

    /** Returns a disk that faces down. */
    private static Shape disk(double radius, double height) {
        float[] p = new float[3 * (ROUND + 1)];
        float[] n = new float[p.length];
        int[] t = new int[3 * ROUND];
        for (int i = 0; i < ROUND; i++) {
            double angle = 2 * Math.PI * i / ROUND;
            Shapes.set(p, i, radius * StrictMath.cos(angle), height, -radius * StrictMath.sin(angle));
            System.arraycopy(new int[] {ROUND, (i + 1) % ROUND, i}, 0, t, 3 * i, 3);
        }
        Shapes.set(p, ROUND, 0, height, 0);
        for (int i = 1; i < n.length; i += 3) {
            n[i] = -1;
        }
        return new Shape(p, t).withNormals(n);
    }
}
