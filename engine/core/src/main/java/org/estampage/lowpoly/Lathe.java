package org.estampage.lowpoly;

import java.util.List;
import java.util.Objects;
import java.util.OptionalInt;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Axis;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshCheck;
import org.estampage.mesh.MeshProblem;
import org.estampage.mesh.MeshSource;
import org.estampage.mesh.Polygons;

/**
 * A low poly turned on a lathe around a high poly: rings of vertices that follow its outer profile, with UVs and normals, ready to be baked to.
 *
 * <p>The line it is turned around runs along an axis through a fitted centre (see {@code Turning.fit}: handles and spikes do not move it). The
 * profile is the largest radius by height, of which what sticks out over less than a twentieth of the way round is left out. The first and the last
 * ring stand at the ends of the high poly; the others where the polyline through the rings follows the profile best, measured as the squared
 * distance between the two along the profile. No ring is smaller than 1 % of the largest radius. Vertices lie on the profile, so between them the
 * facets cut a circle's corners by r(1 − cos(π/sides)).
 *
 * <p>The side is one chart, u around and v up along the outline, with one seam; each cap is a disc. Normals are smooth around the side and hard at
 * the caps.
 *
 * @shape triangles: 2 · sides · (rings − 1), then with caps sides at the low end and sides at the high end; vertices: sides · rings, ring by ring
 *        from the low end, then the centres of the caps
 * @space the mesh's own; angles run from +Z to +X about Y, from +Y to +Z about X, from +X to +Y about Z
 * @threads confined
 */
public final class Lathe implements MeshSource {
    /** The most sides. */
    public static final int MAX_SIDES = 4096;
    /** The most rings; half as many as there are heights that a ring may stand at. */
    public static final int MAX_RINGS = Profile.LEVELS / 2;

    private final MeshSource high;
    private int sides = 96;
    private int rings = 12;
    private Axis axis = Axis.Y;
    private boolean capped = true;
    private int size = 2048;
    private OptionalInt gutterTexels = OptionalInt.empty();
    private double seamRadians;

    private Lathe(MeshSource high) {
        this.high = high;
    }

    /** Starts a lathe around a high poly: 96 sides, 12 rings, about Y, capped, for 2048 texels with a gutter of 16. */
    public static Lathe around(MeshSource high) {
        return new Lathe(Objects.requireNonNull(high, "high"));
    }

    /**
     * Sets how many sides there are.
     *
     * @throws IllegalArgumentException if it is not 3 … {@value #MAX_SIDES}
     */
    public Lathe sides(int count) {
        sides = inRange("sides", count, 3, MAX_SIDES);
        return this;
    }

    /**
     * Sets how many circles of vertices there are, the two ends included.
     *
     * @throws IllegalArgumentException if it is not 2 … {@value #MAX_RINGS}
     */
    public Lathe rings(int count) {
        rings = inRange("rings", count, 2, MAX_RINGS);
        return this;
    }

    /** Sets the axis that the line runs along. */
    public Lathe axis(Axis direction) {
        axis = Objects.requireNonNull(direction, "direction");
        return this;
    }

    /** Closes both ends with a fan about a centre vertex. */
    public Lathe capped() {
        capped = true;
        return this;
    }

    /** Leaves both ends open. */
    public Lathe open() {
        capped = false;
        return this;
    }

    /**
     * Sets the gap between charts; by default it is a 128th of the size, and at least 1. The border keeps half of it.
     *
     * @throws IllegalArgumentException if it is negative or above 1024
     */
    public Lathe gutterTexels(int texels) {
        gutterTexels = OptionalInt.of(inRange("gutterTexels", texels, 0, 1024));
        return this;
    }

    /**
     * Sets the side of the image that the gutter is counted in.
     *
     * @throws IllegalArgumentException if it is not 16 … 65536
     */
    public Lathe size(int texels) {
        size = inRange("size", texels, 16, 65536);
        return this;
    }

    /**
     * Sets where the seam is.
     *
     * @param radians the angle about the axis
     * @throws IllegalArgumentException if it is not finite
     */
    public Lathe seamAt(double radians) {
        if (!Double.isFinite(radians)) {
            throw new IllegalArgumentException("radians = " + radians + " must be finite");
        }
        seamRadians = radians;
        return this;
    }

    private static int inRange(String name, int value, int low, int high) {
        if (value < low || value > high) {
            throw new IllegalArgumentException(name + " = " + value + " must be " + low + " … " + high);
        }
        return value;
    }

    /**
     * Returns the low poly; it is named after the high poly, with the ending {@code -low}.
     *
     * @throws InvalidMeshException     if the high poly has no triangles or positions that are not finite
     * @throws IllegalArgumentException if the high poly has no extent along the axis or around it, or the gutter leaves no room for charts
     * @cost time: a pass over the triangles and the heights that each spans, then rings · 2¹⁹ steps
     */
    @Override
    public Mesh build() {
        Mesh mesh = high.build();
        List<MeshProblem> problems = MeshCheck.problems(mesh, false);
        InvalidMeshException.throwIfAny(problems);
        Turning turning = Turning.fit(mesh, axis);
        if (!(turning.height() > 0)) {
            throw new IllegalArgumentException(
                    "mesh " + mesh.name() + " has no extent along " + axis + ": nothing can be turned around it");
        }
        Profile profile = Profile.of(mesh, turning);
        double largest = 0;
        for (double r : profile.radius) {
            largest = Math.max(largest, r);
        }
        if (!(largest > 0)) {
            throw new IllegalArgumentException(
                    "mesh " + mesh.name() + " has no extent around " + axis + ": nothing can be turned around it");
        }
        ProfileFit fit = ProfileFit.of(profile, turning.height(), rings);
        double[] height = new double[rings];
        for (int i = 0; i < rings; i++) {
            height[i] = turning.height() * fit.level[i] / Profile.LEVELS;
        }
        return assemble(name(mesh.name()), turning, height, fit.radius);
    }

    /** A name that ends in -high ends in -low instead, so that parts pair by name. */
    private static String name(String highName) {
        return (highName.endsWith("-high") ? highName.substring(0, highName.length() - 5) : highName) + "-low";
    }

    private Mesh assemble(String name, Turning turning, double[] height, double[] radius) {
        double[] cosine = new double[sides + 1];
        double[] sine = new double[sides + 1];
        for (int j = 0; j <= sides; j++) {
            double angle = seamRadians + 2 * Math.PI * j / sides;
            cosine[j] = StrictMath.cos(angle);
            sine[j] = StrictMath.sin(angle);
        }
        int[] corners = new int[3 * (2 * sides * (rings - 1) + (capped ? 2 * sides : 0))];
        int[] normalCorners = new int[corners.length];
        int[] uvCorners = new int[corners.length];
        int at = 0;
        // The side, from the low end up: seen from outside, angles grow to the right.
        for (int i = 0; i + 1 < rings; i++) {
            for (int j = 0; j < sides; j++) {
                int left = i * sides + j;
                int right = i * sides + (j + 1) % sides;
                int uv = i * (sides + 1) + j;
                at = triangle(corners, at, left, right, right + sides);
                at = triangle(corners, at, left, right + sides, left + sides);
                triangle(uvCorners, at - 6, uv, uv + 1, uv + sides + 2);
                triangle(uvCorners, at - 3, uv, uv + sides + 2, uv + sides + 1);
            }
        }
        System.arraycopy(corners, 0, normalCorners, 0, at);
        // The caps turn the other way round at the low end, where they are seen from below.
        for (int end = 0; capped && end < 2; end++) {
            int centre = rings * sides + end;
            int ring = end == 0 ? 0 : (rings - 1) * sides;
            int uv = rings * (sides + 1) + end * (sides + 1);
            for (int j = 0; j < sides; j++) {
                int next = (j + 1) % sides;
                int first = end == 0 ? next : j;
                int second = end == 0 ? j : next;
                triangle(uvCorners, at, uv + sides, uv + first, uv + second);
                triangle(normalCorners, at, centre, centre, centre);
                at = triangle(corners, at, centre, ring + first, ring + second);
            }
        }
        return Mesh.builder(positions(turning, height, radius, cosine, sine), corners).name(name)
                .normals(new Attribute("normal", 3, normals(height, radius, cosine, sine), normalCorners))
                .uvSet(new Attribute("uv", 2, uvs(height, radius, cosine, sine), uvCorners)).polygons(polygons()).build();
    }

    private static int triangle(int[] corners, int at, int a, int b, int c) {
        corners[at] = a;
        corners[at + 1] = b;
        corners[at + 2] = c;
        return at + 3;
    }

    private float[] positions(Turning turning, double[] height, double[] radius, double[] cosine, double[] sine) {
        float[] xyz = new float[3 * (rings * sides + (capped ? 2 : 0))];
        int a = Turning.first(axis).component();
        int b = Turning.second(axis).component();
        int c = axis.component();
        int at = 0;
        for (int i = 0; i < rings; i++) {
            float level = i == 0 ? turning.low() : i == rings - 1 ? turning.high() : (float) (turning.low() + height[i]);
            for (int j = 0; j < sides; j++) {
                xyz[at + a] = (float) (turning.centreA() + radius[i] * cosine[j]);
                xyz[at + b] = (float) (turning.centreB() + radius[i] * sine[j]);
                xyz[at + c] = level;
                at += 3;
            }
        }
        for (int end = 0; capped && end < 2; end++) {
            xyz[at + a] = (float) turning.centreA();
            xyz[at + b] = (float) turning.centreB();
            xyz[at + c] = end == 0 ? turning.low() : turning.high();
            at += 3;
        }
        return xyz;
    }

    /**
     * Returns one normal a side vertex, weighted by the angles of the facets around it as everywhere in this library, and one a cap. A band's
     * facets are level trapezoids, so the sum has a closed form: the two facets of a band to the left and right of a vertex have the same angle
     * there, and their normals lie π/sides to either side.
     */
    private float[] normals(double[] height, double[] radius, double[] cosine, double[] sine) {
        float[] xyz = new float[3 * (rings * sides + (capped ? 2 : 0))];
        int a = Turning.first(axis).component();
        int b = Turning.second(axis).component();
        int c = axis.component();
        double half = Math.PI / sides;
        double[] out = new double[rings];
        double[] up = new double[rings];
        for (int i = 0; i + 1 < rings; i++) {
            double rise = height[i + 1] - height[i];
            // In the plane through the middle of a facet the radii are those of the circles inside the polygons.
            double inset = (radius[i + 1] - radius[i]) * StrictMath.cos(half);
            double slant = Math.sqrt(rise * rise + inset * inset);
            // The trapezoid's angle at its lower corners; the upper ones have the rest to π.
            double lower = StrictMath.atan2(slant, (radius[i] - radius[i + 1]) * StrictMath.sin(half));
            for (int k = 0; k < 2; k++) {
                double angle = k == 0 ? lower : Math.PI - lower;
                out[i + k] += angle * StrictMath.cos(half) * rise / slant;
                up[i + k] -= angle * inset / slant;
            }
        }
        int at = 0;
        for (int i = 0; i < rings; i++) {
            double length = Math.sqrt(out[i] * out[i] + up[i] * up[i]);
            for (int j = 0; j < sides; j++) {
                xyz[at + a] = (float) (out[i] / length * cosine[j]);
                xyz[at + b] = (float) (out[i] / length * sine[j]);
                xyz[at + c] = (float) (up[i] / length);
                at += 3;
            }
        }
        for (int end = 0; capped && end < 2; end++) {
            xyz[at + c] = end == 0 ? -1 : 1;
            at += 3;
        }
        return xyz;
    }

    private float[] uvs(double[] height, double[] radius, double[] cosine, double[] sine) {
        double[] along = new double[rings];
        double area = 0;
        for (int i = 1; i < rings; i++) {
            double rise = height[i] - height[i - 1];
            double inset = radius[i] - radius[i - 1];
            double slant = Math.sqrt(rise * rise + inset * inset);
            along[i] = along[i - 1] + slant;
            area += Math.PI * (radius[i] + radius[i - 1]) * slant;
        }
        double length = along[rings - 1];
        double low = capped ? 2 * radius[0] : 0;
        double top = capped ? 2 * radius[rings - 1] : 0;
        LatheLayout layout = LatheLayout.of(area / length, length, low, top, size, gutterTexels.orElse(Math.max(1, size / 128)));
        float[] uv = new float[2 * ((sides + 1) * rings + (capped ? 2 * (sides + 1) : 0))];
        int at = 0;
        for (int i = 0; i < rings; i++) {
            for (int j = 0; j <= sides; j++) {
                uv[at++] = layout.uv(layout.sideX + (double) layout.sideWidth * j / sides, layout.sideX, layout.sideX + layout.sideWidth);
                uv[at++] = layout.uv(layout.sideY + layout.sideHeight * along[i] / length, layout.sideY, layout.sideY + layout.sideHeight);
            }
        }
        for (int end = 0; capped && end < 2; end++) {
            int x = layout.discX[end];
            int y = layout.discY[end];
            int box = layout.discSide[end];
            double r = radius[end == 0 ? 0 : rings - 1] * layout.scale;
            for (int j = 0; j < sides; j++) {
                uv[at++] = layout.uv(x + 0.5 * box + r * cosine[j], x, x + box);
                uv[at++] = layout.uv(y + 0.5 * box + (end == 0 ? -r : r) * sine[j], y, y + box);
            }
            uv[at++] = layout.uv(x + 0.5 * box, x, x + box);
            uv[at++] = layout.uv(y + 0.5 * box, y, y + box);
        }
        return uv;
    }

    /** Four corners a facet of the side, three a facet of a cap. */
    private Polygons polygons() {
        int quads = sides * (rings - 1);
        int fans = capped ? 2 * sides : 0;
        int[] starts = new int[quads + fans + 1];
        int[] corners = new int[4 * quads + 3 * fans];
        int at = 0;
        for (int q = 0; q < quads; q++) {
            corners[at++] = 6 * q;
            corners[at++] = 6 * q + 1;
            corners[at++] = 6 * q + 2;
            corners[at++] = 6 * q + 5;
            starts[q + 1] = at;
        }
        for (int f = 0; f < fans; f++) {
            for (int k = 0; k < 3; k++) {
                corners[at++] = 6 * quads + 3 * f + k;
            }
            starts[quads + f + 1] = at;
        }
        return new Polygons(starts, corners);
    }
}
