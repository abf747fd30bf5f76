package org.estampage.lowpoly;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Objects;
import org.estampage.finding.Finding;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshCheck;
import org.estampage.mesh.MeshSource;
import org.estampage.mesh.MeshSubset;
import org.estampage.mesh.Normals;
import org.estampage.mesh.Welding;
import org.estampage.task.Task;

/**
 * A mesh with fewer triangles and nearly the same surface: edges collapse one after the other, the one that costs least first.
 *
 * <p>What an edge costs is the squared distance of the merged vertex to the planes of all triangles that it stands for, weighted by their areas.
 * Positions are welded for this: vertices at exactly the same place are one. {@link #withoutWelding} takes vertices as triangles name them instead.
 *
 * <p>Kept are open borders, seams of UVs, colours and further attributes, hard edges, and the borders of parts and of materials. Vertices on them move
 * only along them, from vertex to vertex, so that what is left of a border runs through places of the old one with their old values on both sides; where
 * borders meet or end, and where more than two triangles share an edge or a vertex has two fans, the vertex stays. No triangle turns by more than 78°,
 * none is mirrored in any UV set, no needle is made. Topology stays: no hole opens or closes, no non-manifold edge comes into being. Around every vertex
 * that had a direction which sees all its triangles by at least 75°, there is one afterwards, so that a cage can go out from it.
 *
 * <p>UVs, colours and extras of a merged vertex are those at the nearest point of the triangles around the collapsed edge. Normals are new: smooth, or, if
 * the mesh had hard edges, broken at these. An edge is hard where the mesh's own normals, or its smoothing groups, break <em>and</em> its facets turn by more
 * than {@value #LEAST_HARD_DEGREES}°; facetted normals of a finely cut round thing are no reason to keep it all.
 *
 * @space the mesh's own
 * @edge a mesh that has no more triangles than asked for is returned as it is. A triangle that stands on one position twice is left out, with a finding;
 *       other triangles without area stay, but neither hold nor push. Unused vertices, tangents and polygons are dropped.
 * @threads confined; {@link #build} sets up on the caller's fork-join pool or the common one and gives the same bits on any number of threads
 * @source Garland and Heckbert, Surface Simplification Using Quadric Error Metrics, SIGGRAPH 1997 (from memory); more at {@code EdgeCollapse}
 */
public final class Decimate implements MeshSource {
    /** Edges at which normals break, but facets turn by no more than this, are not hard. */
    public static final double LEAST_HARD_DEGREES = 20;

    private static final double NONE = -2; // below any cosine
    // Floats put points of a plane up to 2⁻²⁴ of its size beside it: an error of 0 would keep every plane that isn't along the axes.
    private static final double FLAT = 0x1p-20;

    private final MeshSource source;
    private int target = -1;
    private double error = -1;
    private boolean errorIsFraction;
    private double hardCosine = NONE;
    private boolean welding = true;
    private Task task = Task.silent();

    private Decimate(MeshSource source) {
        this.source = source;
    }

    /** Starts the decimation of a mesh; {@link #triangles} or {@link #error} must follow. */
    public static Decimate of(MeshSource mesh) {
        return new Decimate(Objects.requireNonNull(mesh, "mesh"));
    }

    /**
     * Sets how many triangles may be left: at most so many, and mostly so many or one fewer. If borders and topology need more, a finding says how many
     * are left and why.
     *
     * @throws IllegalArgumentException if it is below 1
     */
    public Decimate triangles(int most) {
        if (most < 1) {
            throw new IllegalArgumentException("triangles = " + most + " must be at least 1");
        }
        target = most;
        return this;
    }

    /**
     * Sets how far the surface may move: no point of the result is farther from the mesh, and no point of the mesh farther from the result, up to the
     * rounding of float coordinates (a millionth of the root of the surface). What is held is a sum of bounds, so mostly the true distance is about half
     * of it. Without {@link #triangles} as many triangles as possible go; with it, decimation stops at what comes first.
     *
     * @param meshUnits a length in mesh units
     * @throws IllegalArgumentException if it is not finite or negative
     */
    public Decimate error(double meshUnits) {
        error = checkedError("error", meshUnits);
        errorIsFraction = false;
        return this;
    }

    /**
     * Sets how far the surface may move, as a fraction of the diagonal of the mesh's box. Otherwise as {@link #error}.
     *
     * @throws IllegalArgumentException if it is not finite or negative
     */
    public Decimate errorFraction(double ofDiagonal) {
        error = checkedError("errorFraction", ofDiagonal);
        errorIsFraction = true;
        return this;
    }

    private static double checkedError(String name, double value) {
        if (!(value >= 0) || Double.isInfinite(value)) {
            throw new IllegalArgumentException(name + " = " + value + " must be finite and at least 0");
        }
        return value;
    }

    /**
     * Makes exactly those edges hard whose facets turn by more than an angle, whatever normals the mesh has.
     *
     * @throws IllegalArgumentException if the angle is outside 0 … 180; 180 makes none hard
     */
    public Decimate hardEdges(double degrees) {
        if (!(degrees >= 0 && degrees <= 180)) {
            throw new IllegalArgumentException("degrees = " + degrees + " must be 0 … 180");
        }
        // Just above −1 no cosine is below it, yet it says that the angle was given.
        hardCosine = degrees == 180 ? Math.nextUp(-1.0) : StrictMath.cos(Math.toRadians(degrees));
        return this;
    }

    /**
     * Takes vertices as triangles name them and welds none: surfaces that only touch, and that {@link org.estampage.mesh.Cleanup} has set apart, don't hold
     * each other fast, and smooth normals don't run from one to the other. A mesh whose seams are cut by vertices, as after many files, comes apart there;
     * so do surfaces that touched along a line, each of which moves by itself.
     */
    public Decimate withoutWelding() {
        welding = false;
        return this;
    }

    /** Sets who hears of progress and can cancel. */
    public Decimate task(Task value) {
        task = Objects.requireNonNull(value, "value");
        return this;
    }

    /**
     * Returns the decimated mesh; it is named after the mesh, with the ending {@code -low} in place of {@code -high}, if it ends in that.
     *
     * @throws IllegalStateException                      if neither a number of triangles nor an error was set
     * @throws InvalidMeshException                       if a position is not finite
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     * @cost about 4 µs a triangle that goes; 260 bytes a triangle of the mesh. With an error bound several times as much.
     */
    @Override
    public Mesh build() {
        if (target < 0 && error < 0) {
            throw new IllegalStateException("neither triangles nor error was set: call one of them before build");
        }
        return task.recalled(Mesh.class, this, this::decimated);
    }

    private Mesh decimated() {
        Mesh mesh = source.build();
        if (mesh.triangleCount() == 0) {
            return mesh;
        }
        InvalidMeshException.throwIfAny(MeshCheck.shapeProblems(mesh, mesh.name()));
        if (mesh.triangleCount() <= target) {
            return mesh;
        }
        int[] canonical = welding ? Welding.canonicalVertices(mesh, task) : Welding.unwelded(mesh);
        Wedges wedges = Wedges.of(mesh, canonical, hardCosine, StrictMath.cos(Math.toRadians(LEAST_HARD_DEGREES)));
        task.check();
        Frame frame = Frame.of(mesh);
        List<Carried> carried = new ArrayList<>();
        mesh.uvSets().forEach(a -> carried.add(new Carried(a, wedges)));
        mesh.colourSets().forEach(a -> carried.add(new Carried(a, wedges)));
        mesh.extras().forEach(a -> carried.add(new Carried(a, wedges)));
        double[] positions = frame.inside(mesh.positions());
        MemoryOrder order = new MemoryOrder(positions, wedges.vertex, wedges.collapsed);
        EdgeCollapse collapse = new EdgeCollapse(positions, wedges, order, carried.toArray(Carried[]::new), mesh.uvSets().size(), task);
        ErrorBound bound = error < 0
                ? null
                : new ErrorBound((errorIsFraction ? error * mesh.bounds().diagonal() : error) / frame.unit() + FLAT, mesh.vertexCount());
        collapse.run(Math.max(target, 0), bound, task);
        return result(mesh, wedges, order, frame, collapse, carried);
    }

    private Mesh result(Mesh mesh, Wedges wedges, MemoryOrder order, Frame frame, EdgeCollapse collapse, List<Carried> carried) {
        int live = collapse.liveTriangles();
        int[] corners = new int[3 * live];
        int[] wedge = new int[3 * live];
        int[] triangle = new int[live];
        // In the order of the mesh: which internal triangle each old one was.
        int[] inside = new int[mesh.triangleCount()];
        Arrays.fill(inside, -1);
        for (int t = 0; t < order.triangle.length; t++) {
            if (collapse.vertex[3 * t] >= 0) {
                inside[order.triangle[t]] = t;
            }
        }
        int[] number = new int[order.vertex.length];
        int vertexCount = 0;
        int at = 0;
        for (int t = 0; t < inside.length; t++) {
            if (inside[t] < 0) {
                continue;
            }
            triangle[at] = t;
            for (int k = 0; k < 3; k++) {
                int c = 3 * inside[t] + k;
                int v = collapse.vertex[c];
                if (number[v] == 0) {
                    number[v] = ++vertexCount;
                }
                corners[3 * at + k] = number[v] - 1;
                wedge[3 * at + k] = collapse.wedge[c];
            }
            at++;
        }
        float[] xyz = new float[3 * vertexCount];
        for (int v = 0; v < number.length; v++) {
            if (number[v] > 0) {
                frame.outside(collapse.position, v, mesh.positions(), order.vertex[v], xyz, number[v] - 1);
            }
        }
        Mesh.Builder out = Mesh.builder(xyz, corners).name(name(mesh.name()));
        int next = 0;
        for (int i = 0; i < mesh.uvSets().size(); i++) {
            out.uvSet(carried.get(next++).result(wedge, wedges.count));
        }
        for (int i = 0; i < mesh.colourSets().size(); i++) {
            out.colourSet(carried.get(next++).result(wedge, wedges.count));
        }
        for (int i = 0; i < mesh.extras().size(); i++) {
            out.extra(carried.get(next++).result(wedge, wedges.count));
        }
        MeshSubset.addLabels(out, mesh, triangle);
        out.findings(mesh.findings());
        out.findings(findings(mesh, wedges, collapse));
        if (wedges.hasHardEdges) {
            int[] fan = new int[wedge.length];
            for (int c = 0; c < fan.length; c++) {
                fan[c] = wedges.normalFan[wedge[c]];
            }
            return Normals.byFans(out.build(), fan);
        }
        return welding ? Normals.smooth(out.build()) : Normals.byFans(out.build(), corners);
    }

    private static String name(String highName) {
        return highName.endsWith("-high") ? highName.substring(0, highName.length() - 5) + "-low" : highName;
    }

    private List<Finding> findings(Mesh mesh, Wedges wedges, EdgeCollapse collapse) {
        List<Finding> findings = new ArrayList<>();
        if (wedges.collapsedCount > 0) {
            findings.add(Finding.note("repeated-vertex-dropped", wedges.collapsedCount,
                    mesh.name() + " had " + wedges.collapsedCount + " triangles that stand on one position twice; they were left out",
                    "nothing needs to be done", List.of()));
        }
        int live = collapse.liveTriangles();
        if (target > 0 && live > target) {
            StringBuilder why = new StringBuilder();
            for (EdgeCollapse.Refusal refusal : EdgeCollapse.Refusal.values()) {
                long count = collapse.refusals(refusal);
                if (count > 0) {
                    why.append(why.isEmpty() ? "" : ", ").append(count).append(switch (refusal) {
                        case BORDER -> " would break a border";
                        case TOPOLOGY -> " would change the topology";
                        case FLIP -> " would turn a triangle over or make it a needle";
                        case DIRECTION -> " would leave a vertex without a direction that sees its triangles";
                        case ERROR -> " would leave the error bound";
                    });
                }
            }
            String reason = why.isEmpty() ? "both ends of every edge stay where borders meet" : "of the edges that are left, " + why;
            findings.add(Finding.warning("decimation-stopped", live - target,
                    mesh.name() + " was decimated to " + live + " triangles instead of " + target + ": " + reason,
                    "allow more triangles, or have fewer seams, hard edges, parts, open borders or tunnels", List.of()));
        }
        return findings;
    }
}
