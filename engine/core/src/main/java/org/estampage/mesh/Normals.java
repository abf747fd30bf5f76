package org.estampage.mesh;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;

/**
 * Computes normals: smooth, with hard edges, by smoothing groups, or as a map should see them.
 *
 * <p>A normal is the mean of the facet normals around a corner, each weighted by the triangle's angle there, so the way a surface is cut into
 * triangles does not show. Vertices at exactly the same position count as one. Sums run in double in the order of the triangles, on one thread: the
 * result has the same bits everywhere.
 *
 * <p>Every method returns a mesh that differs in its normals alone; tangents that it was given are dropped, since they belonged to the old normals.
 *
 * @space object; unit length
 * @edge a triangle without area, or with a coordinate that is not finite, gives nothing. Where the sum around a corner vanishes (two triangles back to
 *       back), each corner takes its own triangle's normal. Where that is missing too, (0, 0, 1): no direction is right, but a unit vector can't poison
 *       what is computed from it.
 * @threads safe for concurrent calls
 * @source angle weights: Thürmer and Wüthrich, Computing Vertex Normals from Polygonal Facets, Journal of Graphics Tools 3(1), 1998; Baerentzen and
 *         Aanaes, Signed Distance Computation Using the Angle Weighted Pseudonormal, 2005
 */
public final class Normals {
    /** The dihedral angle, in degrees, above which {@link #shading} reports an edge that it smoothed. */
    public static final double SHARP_DEGREES = 40;

    // Coordinates are floats: a facet normal is off by up to about 1e-7 radians (6e-6°) for well-shaped triangles, and slices of a cylinder with a round
    // number of sides lie exactly on round angles. So "exceeds" starts a little above the angle asked for.
    private static final double DEGREE_TOLERANCE = 1e-3;
    // Facet normals are units in double, so opposite ones cancel to about 1e-16; a true sum is at least as long as its angle, in radians.
    private static final double VANISHED = 1e-9;

    private Normals() {
    }

    /**
     * Returns the mesh with smooth normals: every edge is smooth, also across boundaries and where more than two triangles meet.
     *
     * @cost O(triangles); one normal a position
     */
    public static Mesh smooth(Mesh mesh) {
        return smooth(mesh, Welding.canonicalVertices(mesh));
    }

    private static Mesh smooth(Mesh mesh, int[] canonical) {
        int[] indices = mesh.positionIndices();
        // Number the welded vertices that triangles use, in their order.
        int[] number = new int[mesh.vertexCount()];
        for (int index : indices) {
            number[canonical[index]] = 1;
        }
        int count = 0;
        for (int v = 0; v < number.length; v++) {
            number[v] = number[v] == 0 ? -1 : count++;
        }
        if (count == number.length) { // nothing to weld, nothing unused: the normals need no indices of their own
            return withNormals(mesh, indices, count);
        }
        int[] fan = new int[indices.length];
        for (int c = 0; c < fan.length; c++) {
            fan[c] = number[canonical[indices[c]]];
        }
        return withNormals(mesh, fan, count);
    }

    /**
     * Returns the mesh with normals that break at every edge whose facets turn by more than an angle.
     *
     * <p>Around a welded vertex, triangles that hang together over edges that are not hard form a fan; each fan has one normal. Boundary edges and edges
     * that {@link Adjacency} can't pair end a fan. Triangles without area pass it on: what counts is the turn between the facets on either side.
     *
     * @param degrees the largest turn between facet normals that stays smooth, 0 … 180; 0 makes every facet flat, 180 no edge hard. Turns up to 0.001°
     *                above count as equal.
     * @throws IllegalArgumentException if the angle is outside 0 … 180
     * @cost O(triangles)
     */
    public static Mesh hardEdges(Mesh mesh, double degrees) {
        if (!(degrees >= 0 && degrees <= 180)) {
            throw new IllegalArgumentException("degrees = " + degrees + " must be 0 … 180");
        }
        int[] fan = new int[mesh.positionIndices().length];
        int count = new Fans(Adjacency.of(mesh).opposite(), FacetNormals.unitInDouble(mesh), leastCosine(degrees)).number(fan);
        return withNormals(mesh, fan, count);
    }

    /** Returns the cosine below which a turn exceeds an angle; below every cosine for 180. */
    private static double leastCosine(double degrees) {
        double limit = degrees + DEGREE_TOLERANCE;
        return limit >= 180 ? -2 : StrictMath.cos(Math.toRadians(limit));
    }

    /**
     * Returns the mesh with normals that are smooth within each smoothing group and break between groups; triangles of group 0 are flat.
     *
     * @throws IllegalArgumentException if the mesh has no smoothing groups
     * @cost O(triangles · groups at a vertex)
     */
    public static Mesh bySmoothingGroups(Mesh mesh) {
        int[] groups = mesh.smoothingGroups();
        if (groups == null) {
            throw new IllegalArgumentException("mesh " + mesh.name() + " has no smoothing groups");
        }
        int[] corners = Welding.cornerVertices(mesh, Welding.canonicalVertices(mesh));
        // Chain the fans of each vertex: one a group; group 0 opens a new one for each corner and need not be found again.
        int[] firstOfVertex = new int[mesh.vertexCount()];
        Arrays.fill(firstOfVertex, -1);
        int[] nextOfVertex = new int[corners.length];
        int[] groupOfFan = new int[corners.length];
        int[] fan = new int[corners.length];
        int count = 0;
        for (int c = 0; c < corners.length; c++) {
            int group = groups[c / 3];
            int f = group == 0 ? -1 : firstOfVertex[corners[c]];
            while (f >= 0 && groupOfFan[f] != group) {
                f = nextOfVertex[f];
            }
            if (f < 0) {
                f = count++;
                groupOfFan[f] = group;
                if (group != 0) {
                    nextOfVertex[f] = firstOfVertex[corners[c]];
                    firstOfVertex[corners[c]] = f;
                }
            }
            fan[c] = f;
        }
        return withNormals(mesh, fan, count);
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
        int most = -1;
        for (int c = 0; c < fan.length; c++) {
            if (fan[c] < 0) {
                throw new IllegalArgumentException("fan[" + c + "] = " + fan[c] + " must be at least 0");
            }
            most = Math.max(most, fan[c]);
        }
        int[] number = new int[most + 1];
        Arrays.fill(number, -1);
        int[] dense = new int[fan.length];
        int count = 0;
        for (int c = 0; c < fan.length; c++) {
            if (number[fan[c]] < 0) {
                number[fan[c]] = count++;
            }
            dense[c] = number[fan[c]];
        }
        return withNormals(mesh, dense, count);
    }

    /**
     * Returns the mesh as a map should see it: with the file's normals; where the file has none, with normals by its smoothing groups; else smooth, and
     * then with a finding {@code sharp-edges-smoothed} when edges that turn by more than {@value #SHARP_DEGREES}° lose their sharpness that way.
     *
     * @edge a mesh that has normals is returned as it is, also when some of them are not unit vectors; {@link MeshCheck} reports those
     * @cost O(triangles)
     */
    public static Mesh shading(Mesh mesh) {
        if (mesh.normals().isPresent()) {
            return mesh;
        }
        if (mesh.smoothingGroups() != null) {
            return bySmoothingGroups(mesh);
        }
        int[] canonical = Welding.canonicalVertices(mesh);
        Mesh smooth = smooth(mesh, canonical);
        int[] opposite = Adjacency.of(mesh, canonical).opposite();
        double[] facets = FacetNormals.unitInDouble(mesh);
        double cosine = leastCosine(SHARP_DEGREES);
        long count = 0;
        List<Place> places = new ArrayList<>();
        for (int edge = 0; edge < opposite.length; edge++) {
            int other = opposite[edge];
            if (other > edge && isHard(facets, edge / 3, other / 3, cosine)) {
                count++;
                if (places.size() < Finding.MAX_PLACES) {
                    places.add(Tally.middle(mesh, edge, Adjacency.next(edge)));
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

    private static boolean hasArea(double[] facets, int t) {
        return facets[3 * t] != 0 || facets[3 * t + 1] != 0 || facets[3 * t + 2] != 0;
    }

    private static boolean isHard(double[] facets, int a, int b, double leastCosine) {
        double dot = facets[3 * a] * facets[3 * b] + facets[3 * a + 1] * facets[3 * b + 1] + facets[3 * a + 2] * facets[3 * b + 2];
        return hasArea(facets, a) && hasArea(facets, b) && dot < leastCosine;
    }

    /** Sums, normalises and attaches: corners with the same fan number share one normal. */
    private static Mesh withNormals(Mesh mesh, int[] fan, int fanCount) {
        float[] positions = mesh.positions();
        int[] indices = mesh.positionIndices();
        double[] sum = new double[3 * fanCount];
        Facet facet = new Facet();
        for (int c = 0; c < indices.length; c += 3) {
            if (facet.set(positions, indices[c], indices[c + 1], indices[c + 2])) {
                add(sum, fan[c], facet, facet.angle0);
                add(sum, fan[c + 1], facet, facet.angle1);
                add(sum, fan[c + 2], facet, facet.angle2);
            }
        }
        float[] values = new float[3 * fanCount];
        boolean[] vanished = new boolean[fanCount];
        boolean any = false;
        for (int f = 0; f < fanCount; f++) {
            double x = sum[3 * f], y = sum[3 * f + 1], z = sum[3 * f + 2];
            double length = Math.sqrt(x * x + y * y + z * z);
            if (length > VANISHED) {
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

    private static void add(double[] sum, int fan, Facet facet, double angle) {
        int i = 3 * fan;
        sum[i] += angle * facet.nx;
        sum[i + 1] += angle * facet.ny;
        sum[i + 2] += angle * facet.nz;
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

    /** Cuts the ring of corners around each vertex into fans at its hard edges. */
    private static final class Fans {
        private final int[] opposite;
        private final double[] facets;
        private final double leastCosine;
        private int[] ring = new int[64];
        private int length;

        Fans(int[] opposite, double[] facets, double leastCosine) {
            this.opposite = opposite;
            this.facets = facets;
            this.leastCosine = leastCosine;
        }

        /** Numbers the fan of each corner in order of first use and returns how many there are. */
        int number(int[] fan) {
            Arrays.fill(fan, -1);
            int count = 0;
            for (int c = 0; c < fan.length; c++) {
                if (fan[c] < 0) {
                    boolean closed = collect(c);
                    int first = closed ? firstBreak() : 0;
                    fan[ring[first]] = count;
                    int last = hasArea(facets, ring[first] / 3) ? ring[first] / 3 : -1;
                    for (int i = 1; i < length; i++) {
                        int corner = ring[(first + i) % length];
                        int t = corner / 3;
                        if (hasArea(facets, t)) {
                            if (last >= 0 && isHard(facets, last, t, leastCosine)) {
                                count++;
                            }
                            last = t;
                        }
                        fan[corner] = count;
                    }
                    count++;
                }
            }
            return count;
        }

        /** Lists the corners around corner c's vertex, in the order of turning over outgoing edges; returns whether they close. */
        private boolean collect(int c) {
            length = 0;
            int corner = c;
            do {
                push(corner);
                int across = opposite[corner];
                corner = across < 0 ? -1 : Adjacency.next(across);
            } while (corner >= 0 && corner != c);
            if (corner == c) {
                return true;
            }
            // Open: what lies before c comes first.
            int ahead = length;
            for (int across = opposite[Adjacency.previous(c)]; across >= 0; across = opposite[Adjacency.previous(across)]) {
                push(across);
            }
            reverse(0, ahead);
            reverse(0, length);
            return false;
        }

        private void push(int corner) {
            if (length == ring.length) {
                ring = Arrays.copyOf(ring, 2 * length);
            }
            ring[length++] = corner;
        }

        private void reverse(int from, int to) {
            for (int i = from, j = to - 1; i < j; i++, j--) {
                int swap = ring[i];
                ring[i] = ring[j];
                ring[j] = swap;
            }
        }

        /** Returns the place in a closed ring that follows a hard edge; 0 when there is none. */
        private int firstBreak() {
            int last = -1;
            for (int i = length - 1; i >= 0 && last < 0; i--) {
                last = hasArea(facets, ring[i] / 3) ? ring[i] / 3 : -1;
            }
            for (int i = 0; i < length && last >= 0; i++) {
                int t = ring[i] / 3;
                if (hasArea(facets, t)) {
                    if (isHard(facets, last, t, leastCosine)) {
                        return i;
                    }
                    last = t;
                }
            }
            return 0;
        }
    }
}
