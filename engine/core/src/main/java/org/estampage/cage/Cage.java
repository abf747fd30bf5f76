package org.estampage.cage;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshCheck;
import org.estampage.mesh.MeshProblem;
import org.estampage.mesh.MeshSource;
import org.estampage.mesh.Polygons;

/**
 * An envelope around a low poly with its topology. A projection ray starts on it, goes through the point of the low poly with the same barycentrics,
 * and goes on below that for the reach.
 *
 * <p>Arrays are shared with every caller and must not be changed.
 *
 * @shape every array has one entry a low-poly vertex; positions and directions are xyz interleaved. Vertices at exactly the same position have the
 *        same entries, so hard edges and UV seams do not tear the cage
 * @space the low poly's object space
 * @units mesh units
 * @edge vertices that no triangle uses stay where they are and have the reach 0
 * @threads immutable
 */
public final class Cage implements CageSource {
    private final Mesh low;
    private final float[] positions;
    private final float[] reaches;
    private final float[] directions;
    private final Findings findings;
    private final List<CageConflict> conflicts;
    private final double largestOffset;
    private final double meanOffset;
    private final double largestReach;

    Cage(Mesh low, float[] positions, float[] reaches, float[] directions, Findings findings, List<CageConflict> conflicts) {
        this.low = low;
        this.positions = positions;
        this.reaches = reaches;
        this.directions = directions;
        this.findings = findings;
        this.conflicts = List.copyOf(conflicts);
        float[] p = low.positions();
        boolean[] used = new boolean[low.vertexCount()];
        for (int v : low.positionIndices()) {
            used[v] = true;
        }
        double most = 0, sum = 0, deepest = 0;
        int count = 0;
        for (int v = 0; v < used.length; v++) {
            if (used[v]) {
                double x = (double) positions[3 * v] - p[3 * v];
                double y = (double) positions[3 * v + 1] - p[3 * v + 1];
                double z = (double) positions[3 * v + 2] - p[3 * v + 2];
                double length = Math.sqrt(x * x + y * y + z * z);
                most = Math.max(most, length);
                deepest = Math.max(deepest, reaches[v]);
                sum += length;
                count++;
            }
        }
        largestOffset = most;
        meanOffset = count == 0 ? 0 : sum / count;
        largestReach = deepest;
    }

    /**
     * Returns a cage at the same distance from every low-poly vertex, each moved in the direction whose worst angle with the facets around it is
     * smallest. The reach is the distance again.
     *
     * @param low      the low poly
     * @param distance how far out, in mesh units; 0 leaves the cage on the surface, its reach is then 0 until {@link #withReach} sets one
     * @throws IllegalArgumentException if the distance is negative or not finite
     * @throws InvalidMeshException     if the low poly has no triangles or positions that are not finite
     */
    public static Cage offset(MeshSource low, double distance) {
        checkLength("distance", distance);
        Mesh mesh = usable(low, "the low poly");
        Shell shell = Shell.of(mesh);
        double[] offsets = new double[shell.nodeCount];
        Arrays.fill(offsets, distance);
        return offset(shell, offsets);
    }

    /**
     * Returns a cage whose distance at each vertex stands in a colour set of the low poly: a channel's value, 0 to 1, times a length. The reach is the
     * distance again. Where corners at one position have different colours, their mean counts.
     *
     * @param low       the low poly
     * @param colourSet the colour set's name
     * @param channel   which channel, from 0
     * @param length    the distance where the channel is 1, in mesh units
     * @throws IllegalArgumentException if the low poly has no such colour set or channel, or the length is negative or not finite
     * @throws InvalidMeshException     if the low poly has no triangles or positions that are not finite
     * @edge values outside 0 … 1 and NaN are taken to 0 … 1 and 0
     */
    public static Cage offset(MeshSource low, String colourSet, int channel, double length) {
        checkLength("length", length);
        Mesh mesh = usable(low, "the low poly");
        Attribute colours = mesh.colourSets().stream().filter(set -> set.name().equals(colourSet)).findFirst()
                .orElseThrow(() -> new IllegalArgumentException("colourSet = \"" + colourSet + "\" must be one of "
                        + mesh.colourSets().stream().map(Attribute::name).toList()));
        if (channel < 0 || channel >= colours.components()) {
            throw new IllegalArgumentException("channel = " + channel + " must be 0 … " + (colours.components() - 1));
        }
        Shell shell = Shell.of(mesh);
        double[] offsets = new double[shell.nodeCount];
        int[] counts = new int[shell.nodeCount];
        for (int c = 0; c < shell.triangles.length; c++) {
            float value = colours.values()[colours.components() * colours.indices()[c] + channel];
            offsets[shell.triangles[c]] += value > 0 ? Math.min(1, value) : 0;
            counts[shell.triangles[c]]++;
        }
        for (int n = 0; n < offsets.length; n++) {
            offsets[n] *= length / counts[n];
        }
        return offset(shell, offsets);
    }

    private static Cage offset(Shell shell, double[] offsets) {
        List<Finding> findings = new ArrayList<>(CageFindings.withoutDirection(shell));
        double[] moves = shell.moves(offsets);
        findings.addAll(CageFindings.inverted(shell, moves, shell.directions));
        findings.addAll(CageFindings.selfCrossings(shell, moves));
        if (Arrays.stream(offsets).allMatch(o -> o == 0)) {
            findings.add(Finding.warning("no-reach", 1, "the cage lies on the low poly and has no reach, so rays look nowhere",
                    "set a reach on the cage", List.of()));
        }
        return new Cage(shell.mesh, shell.vertexPositions(moves), shell.vertexValues(offsets), shell.vertexDirections(),
                Findings.of(findings), List.of());
    }

    /**
     * Returns a cage that was made elsewhere: {@code cage} has the low poly's vertices and faces in its order, and other positions. The reach is the
     * outward length again.
     *
     * <p>Vertices that share a position on the low poly get the mean of their cage positions; where those differ, a finding says so.
     *
     * @throws InvalidMeshException if the numbers of vertices or triangles, or the faces, differ, a mesh has no triangles, or positions are not finite
     */
    public static Cage imported(MeshSource low, MeshSource cage) {
        Mesh floor = low.build();
        Mesh roof = cage.build();
        List<MeshProblem> problems = new ArrayList<>(problems(floor, "the low poly"));
        problems.addAll(problems(roof, "the cage"));
        if (floor.vertexCount() != roof.vertexCount()) {
            problems.add(new MeshProblem.CageMismatch("vertices", roof.vertexCount(), floor.vertexCount()));
        }
        if (floor.triangleCount() != roof.triangleCount()) {
            problems.add(new MeshProblem.CageMismatch("triangles", roof.triangleCount(), floor.triangleCount()));
        } else if (!samePolygons(floor, roof)) {
            int same = equalTriangles(floor, roof);
            if (same < floor.triangleCount()) {
                problems.add(new MeshProblem.CageMismatch("triangles as the low poly has them", same, floor.triangleCount()));
            }
        }
        InvalidMeshException.throwIfAny(problems);
        return imported(Shell.of(floor), roof.positions());
    }

    private static Cage imported(Shell shell, float[] roof) {
        // the mean of the cage positions of each node, summed in vertex order
        double[] moves = new double[3 * shell.nodeCount];
        int[] counts = new int[shell.nodeCount];
        for (int v = 0; v < shell.nodes.length; v++) {
            int n = shell.nodes[v];
            if (n >= 0) {
                counts[n]++;
                for (int k = 0; k < 3; k++) {
                    moves[3 * n + k] += (double) roof[3 * v + k] - shell.xyz[3 * n + k];
                }
            }
        }
        double[] lengths = new double[shell.nodeCount];
        double[] directions = shell.directions.clone();
        for (int n = 0; n < shell.nodeCount; n++) {
            double square = 0;
            for (int k = 0; k < 3; k++) {
                moves[3 * n + k] /= counts[n];
                square += moves[3 * n + k] * moves[3 * n + k];
            }
            lengths[n] = Math.sqrt(square);
            for (int k = 0; k < 3 && lengths[n] > 0; k++) {
                directions[3 * n + k] = moves[3 * n + k] / lengths[n];
            }
        }
        List<Finding> findings = new ArrayList<>(CageFindings.split(shell, roof, moves));
        findings.addAll(CageFindings.inside(shell, moves));
        findings.addAll(CageFindings.inverted(shell, moves, directions));
        findings.addAll(CageFindings.selfCrossings(shell, moves));
        return new Cage(shell.mesh, shell.vertexPositions(moves), shell.vertexValues(lengths), shell.vertexDirections(),
                Findings.of(findings), List.of());
    }

    private static boolean samePolygons(Mesh a, Mesh b) {
        if (a.polygons().isEmpty() || b.polygons().isEmpty()) {
            return false;
        }
        // a reader may cut the same polygon along another diagonal when its corners have moved
        Polygons p = a.polygons().get(), q = b.polygons().get();
        if (p.count() != q.count()) {
            return false;
        }
        for (int i = 0; i < p.count(); i++) {
            if (p.cornerCount(i) != q.cornerCount(i)) {
                return false;
            }
            for (int c = 0; c < p.cornerCount(i); c++) {
                if (a.positionIndices()[p.corner(i, c)] != b.positionIndices()[q.corner(i, c)]) {
                    return false;
                }
            }
        }
        return true;
    }

    static int equalTriangles(Mesh a, Mesh b) {
        int[] p = a.positionIndices(), q = b.positionIndices();
        int same = 0;
        for (int i = 0; i < p.length; i += 3) {
            if (p[i] == q[i] && p[i + 1] == q[i + 1] && p[i + 2] == q[i + 2]) {
                same++;
            }
        }
        return same;
    }

    static Mesh usable(MeshSource source, String role) {
        Mesh mesh = source.build();
        List<MeshProblem> problems = problems(mesh, role);
        InvalidMeshException.throwIfAny(problems);
        return mesh;
    }

    static List<MeshProblem> problems(Mesh mesh, String role) {
        return MeshCheck.shapeProblems(mesh, role + " (" + mesh.name() + ")");
    }

    static void checkLength(String name, double value) {
        if (!(value >= 0) || Double.isInfinite(value)) {
            throw new IllegalArgumentException(name + " = " + value + " must be finite and not negative");
        }
    }

    /**
     * Returns this cage with the same reach everywhere.
     *
     * @param reach how far rays go on below the low poly, in mesh units
     * @throws IllegalArgumentException if the reach is negative or not finite
     */
    public Cage withReach(double reach) {
        checkLength("reach", reach);
        float[] same = new float[reaches.length];
        for (int v : low.positionIndices()) {
            same[v] = (float) reach;
        }
        Findings kept = reach > 0 ? Findings.of(findings.stream().filter(f -> !f.kind().equals("no-reach")).toList()) : findings;
        return new Cage(low, positions, same, directions, kept, conflicts);
    }

    @Override
    public Cage build() {
        return this;
    }

    /** Returns the low poly that this is the cage of. */
    public Mesh low() {
        return low;
    }

    /** Returns the cage positions. */
    public float[] positions() {
        return positions;
    }

    /** Returns how far below the low poly rays go on. */
    public float[] reaches() {
        return reaches;
    }

    /**
     * Returns the unit direction at each vertex whose worst angle with the facet normals around it is smallest: where outside is when the cage lies on
     * the surface. A fitted or offset cage has moved in it; an imported one need not have.
     */
    public float[] directions() {
        return directions;
    }

    /** Returns what was noticed while this cage was made. */
    public Findings findings() {
        return findings;
    }

    /**
     * Returns every place where this cage and the high poly that it was fitted to are in conflict: high-poly vertices left outside, by number, then
     * crossings, by number. Empty for a certified cage, and for one that was not fitted: {@link CageCheck#report} lists those of any.
     */
    public List<CageConflict> conflicts() {
        return conflicts;
    }

    /**
     * Returns for every vertex the largest angle, in degrees, between the way to the cage and the normal of a face around it.
     *
     * @shape one entry a low-poly vertex; 0 where no triangle with area uses it
     */
    public float[] slants() {
        Shell shell = Shell.of(low);
        return shell.vertexValues(CageCheck.slants(shell, new CageCheck.Stored(shell, this).directions));
    }

    /** Returns the low poly's topology, parts and UVs with the cage's positions, for writing; normals and tangents are left out. */
    public Mesh mesh() {
        return low.toBuilder().name(low.name() + "-cage").positions(positions).normals(null).tangents(null).build();
    }

    /** Returns the longest way from the low poly to the cage at a vertex. */
    public float largestOffset() {
        return (float) largestOffset;
    }

    /** Returns the mean way from the low poly to the cage over all vertices that triangles use. */
    public float meanOffset() {
        return (float) meanOffset;
    }

    /** Returns the largest reach. */
    public float largestReach() {
        return (float) largestReach;
    }

    @Override
    public String toString() {
        return String.format(Locale.ROOT, "cage around %s: %d vertices, %.4g out on average, %.4g at most, up to %.4g inwards", low.name(),
                low.vertexCount(), meanOffset, largestOffset, largestReach);
    }
}
