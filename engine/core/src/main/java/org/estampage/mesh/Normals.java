package org.estampage.mesh;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Objects;
import java.util.OptionalDouble;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Computes normals: smooth, with hard edges, by smoothing groups, or as a map should see them.
 *
 * <p>A normal is the mean of the facet normals around a corner, each weighted by the triangle's angle there, so the way a surface is cut into
 * triangles does not show; {@link #weighted} changes the weights. Vertices at exactly the same position count as one. Sums run in double in the order
 * of the triangles, on one thread: the result has the same bits everywhere.
 *
 * <p>What is smooth and what is hard can be combined, {@code Normals.of(mesh).hardAbove(40).hardAtUvBorders().build()}: an edge is hard if any option
 * says so. Usual wishes are one call, {@link #smooth}, {@link #hardEdges}, {@link #hardAtUvBorders(Mesh)}, {@link #bySmoothingGroups}.
 *
 * <p>Every method returns a mesh that differs in its normals alone; tangents that it was given are dropped, since they belonged to the old normals.
 *
 * @space object; unit length
 * @edge a triangle without area, or with a coordinate that is not finite, gives nothing. Where the sum around a corner vanishes (two triangles back to
 *       back), each corner takes its own triangle's normal. Where that is missing too, (0, 0, 1): no direction is right, but a unit vector can't poison
 *       what is computed from it.
 * @threads static methods are safe for concurrent calls; an object is confined until {@link #build}
 * @source angle weights: Thürmer and Wüthrich, Computing Vertex Normals from Polygonal Facets, Journal of Graphics Tools 3(1), 1998; Baerentzen and
 *         Aanaes, Signed Distance Computation Using the Angle Weighted Pseudonormal, 2005
 */
public final class Normals implements MeshSource {
    /** The dihedral angle, in degrees, above which {@link #shading} reports an edge that it smoothed. */
    public static final double SHARP_DEGREES = 40;

    // Coordinates are floats: a facet normal is off by up to about 1e-7 radians (6e-6°) for well-shaped triangles, and slices of a cylinder with a round
    // number of sides lie exactly on round angles. So "exceeds" starts a little above the angle asked for.
    private static final double DEGREE_TOLERANCE = 1e-3;
    // Facet normals are units in double, so opposite ones cancel to about 1e-16; a true sum is at least as long as its angle, in radians. Other weights
    // have no size of their own: for them it is a part of their sum.
    private static final double VANISHED = 1e-9;
    /** Below every cosine: no turn is too large. */
    private static final double NO_ANGLE = -2;

    private final Mesh mesh;
    private OptionalDouble leastCosine = OptionalDouble.empty();
    private @Nullable Attribute borders;
    private int @Nullable [] groups;
    private NormalWeight weight = NormalWeight.ANGLE;

    private Normals(Mesh mesh) {
        this.mesh = mesh;
    }

    /** Starts with smooth normals: every edge is smooth, also across boundaries and where more than two triangles meet. */
    public static Normals of(MeshSource mesh) {
        return new Normals(mesh.build());
    }

    /**
     * Makes edges hard whose facets turn by more than an angle.
     *
     * <p>Around a welded vertex, triangles that hang together over edges that are not hard form a fan; each fan has one normal. Boundary edges and edges
     * that {@link Adjacency} can't pair end a fan. Triangles without area pass it on: what counts is the turn between the facets on either side.
     *
     * @param degrees the largest turn between facet normals that stays smooth, 0 … 180; 0 makes every facet flat, 180 no edge hard. Turns up to 0.001°
     *                above count as equal.
     * @throws IllegalArgumentException if the angle is outside 0 … 180
     */
    public Normals hardAbove(double degrees) {
        if (!(degrees >= 0 && degrees <= 180)) {
            throw new IllegalArgumentException("degrees = " + degrees + " must be 0 … 180");
        }
        leastCosine = OptionalDouble.of(leastCosine(degrees));
        return this;
    }

    /** Returns the cosine below which a turn exceeds an angle. */
    private static double leastCosine(double degrees) {
        double limit = degrees + DEGREE_TOLERANCE;
        return limit >= 180 ? NO_ANGLE : StrictMath.cos(Math.toRadians(limit));
    }

    /**
     * Makes the edges hard along which the first UV set breaks. A fan, as in {@link #hardAbove}, ends there; a vertex at which a lone border ends keeps
     * one normal, since the triangles around it still hang together.
     *
     * @throws IllegalArgumentException if the mesh has no UVs
     */
    public Normals hardAtUvBorders() {
        if (mesh.uvSets().isEmpty()) {
            throw new IllegalArgumentException(mesh.title() + " has no UVs, so no borders of UVs");
        }
        borders = mesh.uvSets().get(0);
        return this;
    }

    /**
     * Makes edges hard between smoothing groups; triangles of group 0 are flat. Triangles of one group at a vertex share a normal there, unless another
     * option parts them.
     *
     * @throws IllegalArgumentException if the mesh has no smoothing groups
     */
    public Normals hardBetweenSmoothingGroups() {
        groups = mesh.smoothingGroups();
        if (groups == null) {
            throw new IllegalArgumentException(mesh.title() + " has no smoothing groups");
        }
        return this;
    }

    /** Sets how much each triangle at a corner counts; by its angle unless said otherwise. */
    public Normals weighted(NormalWeight by) {
        weight = Objects.requireNonNull(by, "by");
        return this;
    }

    /**
     * Returns the mesh with these normals.
     *
     * @cost O(triangles), with smoothing groups O(triangles · groups at a vertex)
     */
    @Override
    public Mesh build() {
        return withNormals(mesh, fans(Welding.canonicalVertices(mesh)), weight);
    }

    private NormalFans fans(int[] canonical) {
        NormalFans fans = groups == null ? NormalFans.smooth(mesh, canonical) : NormalFans.bySmoothingGroups(mesh, groups, canonical);
        if (leastCosine.isEmpty() && borders == null) {
            return fans;
        }
        NormalFans cut = NormalFans.cut(Adjacency.of(mesh, canonical).opposite(), FacetNormals.unitInDouble(mesh),
                leastCosine.orElse(NO_ANGLE), borders);
        return groups == null ? cut : cut.and(fans);
    }

    /**
     * Returns the mesh with smooth normals: every edge is smooth, also across boundaries and where more than two triangles meet.
     *
     * @cost O(triangles); one normal a position
     */
    public static Mesh smooth(Mesh mesh) {
        return of(mesh).build();
    }

    /**
     * Returns the mesh with normals that break at every edge whose facets turn by more than an angle, as {@link #hardAbove} says.
     *
     * @throws IllegalArgumentException if the angle is outside 0 … 180
     * @cost O(triangles)
     */
    public static Mesh hardEdges(Mesh mesh, double degrees) {
        return of(mesh).hardAbove(degrees).build();
    }

    /**
     * Returns the mesh with normals that break at the borders of its UVs and nowhere else, so that every hard edge can bake cleanly.
     *
     * @throws IllegalArgumentException if the mesh has no UVs
     * @cost O(triangles)
     */
    public static Mesh hardAtUvBorders(Mesh mesh) {
        return of(mesh).hardAtUvBorders().build();
    }

    /**
     * Returns the mesh with normals that are smooth within each smoothing group and break between groups; triangles of group 0 are flat.
     *
     * @throws IllegalArgumentException if the mesh has no smoothing groups
     * @cost O(triangles · groups at a vertex)
     */
    public static Mesh bySmoothingGroups(Mesh mesh) {
        return of(mesh).hardBetweenSmoothingGroups().build();
    }

    /**
     * Returns the mesh with one normal a fan.
     *
     * @param fan a number a corner, at least 0: corners with the same number share their normal; numbers may be left out
     * @throws IllegalArgumentException if there is not one number a corner, or one is negative
     * @cost O(triangles + largest number)
     */
    public static Mesh byFans(Mesh mesh, int[] fan) {
        if (fan.length != mesh.positionIndices().length) {
            throw new IllegalArgumentException(
                    "fan has " + fan.length + " numbers, must have one a corner, " + mesh.positionIndices().length);
        }
        return withNormals(mesh, NormalFans.of(fan), NormalWeight.ANGLE);
    }

    /**
     * Returns the mesh as a map should see it: with the file's normals; where the file has none, with normals by its smoothing groups; else smooth, and
     * then with a finding {@code sharp-edges-smoothed} when edges that turn by more than {@value #SHARP_DEGREES}° lose their sharpness that way.
     *
     * @edge a mesh that has normals is returned as it is, also when some of them are not unit vectors; {@link MeshCheck} reports those
     * @cost O(triangles)
     */
    public static Mesh shading(Mesh mesh) {
        return shading(mesh, Task.silent());
    }

    /**
     * Does the same for a task, which can be cancelled.
     *
     * @throws java.util.concurrent.CancellationException if it is
     */
    public static Mesh shading(Mesh mesh, Task task) {
        if (mesh.normals().isPresent()) {
            return mesh;
        }
        if (mesh.smoothingGroups() != null) {
            return bySmoothingGroups(mesh);
        }
        int[] canonical = Welding.canonicalVertices(mesh, task);
        NormalFans fans = NormalFans.smooth(mesh, canonical);
        task.check();
        Mesh smooth = withNormals(mesh, fans, NormalWeight.ANGLE, task);
        int[] opposite = Adjacency.of(mesh, canonical, task).opposite();
        double[] facets = FacetNormals.unitInDouble(mesh);
        task.check();
        double cosine = leastCosine(SHARP_DEGREES);
        long count = 0;
        List<Place> places = new ArrayList<>();
        for (int edge = 0; edge < opposite.length; edge++) {
            task.check(edge);
            int other = opposite[edge];
            if (other > edge && NormalFans.turns(facets, edge / 3, other / 3, cosine)) {
                count++;
                if (places.size() < Finding.MAX_PLACES) {
                    places.add(MeshTally.middle(mesh, edge, Adjacency.next(edge)));
                }
            }
        }
        if (count == 0) {
            return smooth;
        }
        Finding finding = Finding.warning("sharp-edges-smoothed", count,
                mesh.name() + " came without normals; " + count + (count == 1 ? " edge" : " edges") + " sharper than "
                        + (int) SHARP_DEGREES + "° will look rounded",
                "export it with normals or smoothing groups, or call hardEdges with the angle that should stay hard", places);
        return smooth.toBuilder().findings(List.of(finding)).build();
    }

    /** Sums, normalises and attaches: corners of a fan share one normal. */
    private static Mesh withNormals(Mesh mesh, NormalFans fans, NormalWeight weight) {
        return withNormals(mesh, fans, weight, Task.silent());
    }

    private static Mesh withNormals(Mesh mesh, NormalFans fans, NormalWeight weight, Task task) {
        int[] fan = fans.ofCorner();
        double @Nullable [] factors = factors(mesh, weight);
        double[] sum = new double[3 * fans.count()];
        // With factors, what the weights of a fan add up to.
        double[] total = new double[factors == null ? 0 : fans.count()];
        addFacets(mesh, fan, factors, sum, total, task);
        float[] values = new float[sum.length];
        boolean[] vanished = new boolean[fans.count()];
        boolean any = false;
        for (int f = 0; f < vanished.length; f++) {
            task.check(f);
            double x = sum[3 * f], y = sum[3 * f + 1], z = sum[3 * f + 2];
            double length = Math.sqrt(x * x + y * y + z * z);
            if (length > (factors == null ? VANISHED : VANISHED * total[f])) {
                values[3 * f] = (float) (x / length);
                values[3 * f + 1] = (float) (y / length);
                values[3 * f + 2] = (float) (z / length);
            } else {
                vanished[f] = true;
                any = true;
                values[3 * f + 2] = 1;
            }
        }
        Attribute normals = new Attribute("normals", 3, values, fan);
        if (any) {
            normals = withOwnFacets(mesh, normals, vanished);
        }
        return mesh.toBuilder().normals(normals).tangents(null).build();
    }

    private static void addFacets(Mesh mesh, int[] fan, double @Nullable [] factors, double[] sum, double[] total, Task task) {
        float[] positions = mesh.positions();
        int[] indices = mesh.positionIndices();
        Facet facet = new Facet();
        for (int c = 0; c < indices.length; c += 3) {
            task.check(c / 3);
            if (facet.set(positions, indices[c], indices[c + 1], indices[c + 2])) {
                if (factors != null) {
                    total[fan[c]] += facet.angle0 *= factors[c];
                    total[fan[c + 1]] += facet.angle1 *= factors[c + 1];
                    total[fan[c + 2]] += facet.angle2 *= factors[c + 2];
                }
                add(sum, fan[c], facet, facet.angle0);
                add(sum, fan[c + 1], facet, facet.angle1);
                add(sum, fan[c + 2], facet, facet.angle2);
            }
        }
    }

    private static void add(double[] sum, int fan, Facet facet, double weight) {
        int i = 3 * fan;
        sum[i] += weight * facet.nx;
        sum[i + 1] += weight * facet.ny;
        sum[i + 2] += weight * facet.nz;
    }

    /**
     * Returns what the angle at each corner is to be multiplied by, or null for 1: the area of its polygon, over the polygon's angle at that vertex if
     * angles are not to count. Shared out by angle like that, a polygon has its area once at each vertex, in however many triangles.
     */
    private static double @Nullable [] factors(Mesh mesh, NormalWeight weight) {
        if (weight == NormalWeight.ANGLE) {
            return null;
        }
        int[] indices = mesh.positionIndices();
        double[] areas = FacetNormals.areas(mesh);
        double[] factors = new double[indices.length];
        double[] angleAt = new double[mesh.vertexCount()];
        Facet facet = new Facet();
        Polygons polygons = mesh.polygons().orElse(null);
        int count = polygons == null ? areas.length : polygons.count();
        for (int p = 0; p < count; p++) {
            int first = polygons == null ? p : polygons.firstTriangle(p);
            int end = polygons == null ? p + 1 : polygons.firstTriangle(p + 1);
            double area = 0;
            for (int t = first; t < end; t++) {
                area += areas[t];
                facet.set(mesh.positions(), indices[3 * t], indices[3 * t + 1], indices[3 * t + 2]);
                angleAt[indices[3 * t]] += facet.angle0;
                angleAt[indices[3 * t + 1]] += facet.angle1;
                angleAt[indices[3 * t + 2]] += facet.angle2;
            }
            for (int c = 3 * first; c < 3 * end; c++) {
                double angle = angleAt[indices[c]];
                factors[c] = weight == NormalWeight.AREA_AND_ANGLE ? area : angle > 0 ? area / angle : 0;
            }
            for (int c = 3 * first; c < 3 * end; c++) {
                angleAt[indices[c]] = 0;
            }
        }
        return factors;
    }

    /** Gives the corners of vanished sums the normals of their own triangles. */
    private static Attribute withOwnFacets(Mesh mesh, Attribute normals, boolean[] vanished) {
        float[] positions = mesh.positions();
        int[] indices = mesh.positionIndices();
        int[] fan = normals.indices().clone();
        float[] values = normals.values();
        int count = normals.count();
        Facet facet = new Facet();
        for (int c = 0; c < fan.length; c += 3) {
            if ((vanished[fan[c]] || vanished[fan[c + 1]] || vanished[fan[c + 2]])
                    && facet.setNormal(positions, indices[c], indices[c + 1], indices[c + 2])) {
                if (3 * count == values.length) {
                    values = Arrays.copyOf(values, values.length + Math.max(48, values.length / 2 / 3 * 3));
                }
                values[3 * count] = (float) facet.nx;
                values[3 * count + 1] = (float) facet.ny;
                values[3 * count + 2] = (float) facet.nz;
                for (int k = c; k < c + 3; k++) {
                    fan[k] = vanished[fan[k]] ? count : fan[k];
                }
                count++;
            }
        }
        return new Attribute(normals.name(), 3, Arrays.copyOf(values, 3 * count), fan);
    }
}
