package org.estampage.mesh;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;

/**
 * Vertex normals: the mean of the facet normals around a welded vertex, weighted by the angle that each facet has there.
 *
 * @source Thürmer, Wüthrich, Computing Vertex Normals from Polygonal Facets, 1998 (from memory)
 * @space object; counter-clockwise triangles face outward
 * @edge zero-area triangles give nothing; a corner that no facet gives a direction gets (0, 0, 1), so that every normal has unit length
 */
public final class Normals {
    /** An edge sharper than this that gets smoothed because the file says nothing is worth a note; common practice, no source. */
    private static final double SHARP_DEGREES = 40;

    private Normals() {
    }

    /** Returns the mesh with all edges smooth, over welded positions. Its normals are one a welded vertex. */
    public static Mesh smooth(Mesh mesh) {
        int[] canonical = Welding.canonicalVertices(mesh);
        int vertices = mesh.vertexCount();
        double[] sum = new double[3 * vertices];
        double[] facet = new double[6];
        int[] corners = mesh.positionIndices();
        for (int t = 0; t < mesh.triangleCount(); t++) {
            if (facet(mesh, t, facet)) {
                for (int k = 0; k < 3; k++) {
                    int v = 3 * canonical[corners[3 * t + k]];
                    sum[v] += facet[3 + k] * facet[0];
                    sum[v + 1] += facet[3 + k] * facet[1];
                    sum[v + 2] += facet[3 + k] * facet[2];
                }
            }
        }
        float[] normals = new float[3 * vertices];
        for (int v = 0; v < vertices; v++) {
            writeUnit(sum, 3 * canonical[v], normals, 3 * v);
        }
        return withNormals(mesh, normals, corners);
    }

    /**
     * Returns the mesh with hard edges where facets meet at more than an angle.
     *
     * @param degrees the dihedral turn, 0 … 180, above which an edge is hard; boundary and non-manifold edges always are
     * @throws IllegalArgumentException if it is out of range
     */
    public static Mesh hardEdges(Mesh mesh, double degrees) {
        if (!(degrees >= 0 && degrees <= 180)) {
            throw new IllegalArgumentException("degrees = " + degrees + " must be 0 … 180");
        }
        double[] units = facetUnits(mesh);
        double cosine = StrictMath.cos(StrictMath.toRadians(degrees));
        return byFans(mesh, (t, o) -> {
            // A flat edge counts as smooth whatever its rounding: only an angle of 0 would ask otherwise.
            return dot(units, t, o) >= cosine - 1e-9;
        });
    }

    /**
     * Returns the mesh with the hard edges of its smoothing groups: an edge is smooth if both triangles have the same group, not 0. Without
     * groups all edges are hard.
     */
    public static Mesh bySmoothingGroups(Mesh mesh) {
        int[] groups = mesh.smoothingGroups();
        return byFans(mesh, (t, o) -> groups != null && groups[t] != 0 && groups[t] == groups[o]);
    }

    /**
     * Returns the mesh with the normals that maps and shaders see: the file's own; else by its smoothing groups; else smooth, with a finding when
     * sharp edges get smoothed by that.
     */
    public static Mesh shading(Mesh mesh) {
        if (mesh.normals().isPresent()) {
            return mesh;
        }
        if (mesh.smoothingGroups() != null) {
            return bySmoothingGroups(mesh);
        }
        Mesh smooth = smooth(mesh);
        List<Finding> sharp = sharpEdges(mesh);
        return sharp.isEmpty() ? smooth : smooth.toBuilder().findings(sharp).build();
    }

    private static List<Finding> sharpEdges(Mesh mesh) {
        Adjacency adjacency = Adjacency.of(mesh);
        double[] units = facetUnits(mesh);
        double cosine = StrictMath.cos(StrictMath.toRadians(SHARP_DEGREES));
        long count = 0;
        List<Place> places = new ArrayList<>();
        for (int e = 0; e < adjacency.edgeCount(); e++) {
            int o = adjacency.opposite(e);
            if (o > e && isFacet(units, e / 3) && isFacet(units, o / 3) && dot(units, e / 3, o / 3) < cosine) {
                count++;
                if (places.size() < Finding.MAX_PLACES) {
                    int v = 3 * adjacency.vertex(e);
                    places.add(new Place.Point(mesh.positions()[v], mesh.positions()[v + 1], mesh.positions()[v + 2]));
                }
            }
        }
        return count == 0
                ? List.of()
                : List.of(Finding.note("sharp-edges-smoothed", count,
                        mesh.name() + " has no normals: " + count + " edges sharper than " + (int) SHARP_DEGREES + "° were smoothed",
                        "export it with normals, or call hardEdges(mesh, degrees) if they should stay hard", places));
    }

    private static boolean isFacet(double[] units, int t) {
        return units[3 * t] != 0 || units[3 * t + 1] != 0 || units[3 * t + 2] != 0;
    }

    private static double dot(double[] units, int t, int o) {
        return units[3 * t] * units[3 * o] + units[3 * t + 1] * units[3 * o + 1] + units[3 * t + 2] * units[3 * o + 2];
    }

    private static double[] facetUnits(Mesh mesh) {
        double[] units = new double[3 * mesh.triangleCount()];
        double[] facet = new double[6];
        for (int t = 0; t < mesh.triangleCount(); t++) {
            if (facet(mesh, t, facet)) {
                System.arraycopy(facet, 0, units, 3 * t, 3);
            }
        }
        return units;
    }

    private interface SmoothEdge {
        boolean between(int triangle, int other);
    }

    /** Gives every corner the mean over the triangles that it reaches around its vertex through smooth edges. */
    private static Mesh byFans(Mesh mesh, SmoothEdge smooth) {
        Adjacency adjacency = Adjacency.of(mesh);
        int corners = adjacency.edgeCount();
        int[] fan = new int[corners];
        for (int c = 0; c < corners; c++) {
            fan[c] = c;
        }
        for (int e = 0; e < corners; e++) {
            int o = adjacency.opposite(e);
            if (o > e && smooth.between(e / 3, o / 3)) {
                // The edge's two ends: where e starts, o's next begins; where e's next begins, o starts.
                join(fan, e, Adjacency.next(o));
                join(fan, Adjacency.next(e), o);
            }
        }
        double[] sum = new double[3 * corners];
        double[] facet = new double[6];
        for (int t = 0; t < corners / 3; t++) {
            if (facet(mesh, t, facet)) {
                for (int k = 0; k < 3; k++) {
                    int f = 3 * find(fan, 3 * t + k);
                    sum[f] += facet[3 + k] * facet[0];
                    sum[f + 1] += facet[3 + k] * facet[1];
                    sum[f + 2] += facet[3 + k] * facet[2];
                }
            }
        }
        int[] number = new int[corners];
        Arrays.fill(number, -1);
        int[] indices = new int[corners];
        int count = 0;
        float[] normals = new float[3 * corners];
        for (int c = 0; c < corners; c++) {
            int f = find(fan, c);
            if (number[f] < 0) {
                writeUnit(sum, 3 * f, normals, 3 * count);
                number[f] = count++;
            }
            indices[c] = number[f];
        }
        return withNormals(mesh, Arrays.copyOf(normals, 3 * count), indices);
    }

    private static int find(int[] parent, int i) {
        while (parent[i] != i) {
            parent[i] = parent[parent[i]];
            i = parent[i];
        }
        return i;
    }

    private static void join(int[] parent, int a, int b) {
        int x = find(parent, a), y = find(parent, b);
        parent[Math.max(x, y)] = Math.min(x, y);
    }

    private static Mesh withNormals(Mesh mesh, float[] normals, int[] indices) {
        return mesh.toBuilder().normals(new Attribute("normal", 3, normals, indices)).build();
    }

    private static void writeUnit(double[] sum, int at, float[] dest, int destAt) {
        double x = sum[at], y = sum[at + 1], z = sum[at + 2];
        double length = Math.sqrt(x * x + y * y + z * z);
        if (length > 0 && length < Double.POSITIVE_INFINITY) {
            dest[destAt] = (float) (x / length);
            dest[destAt + 1] = (float) (y / length);
            dest[destAt + 2] = (float) (z / length);
        } else {
            dest[destAt] = 0;
            dest[destAt + 1] = 0;
            dest[destAt + 2] = 1;
        }
    }

    /**
     * Writes a facet's unit normal and the angles at its corners.
     *
     * @param dest normal xyz, then three angles in radians
     * @return whether the facet has an area and finite corners
     */
    private static boolean facet(Mesh mesh, int triangle, double[] dest) {
        float[] p = mesh.positions();
        int[] corners = mesh.positionIndices();
        int a = 3 * corners[3 * triangle], b = 3 * corners[3 * triangle + 1], c = 3 * corners[3 * triangle + 2];
        double ux = (double) p[b] - p[a], uy = (double) p[b + 1] - p[a + 1], uz = (double) p[b + 2] - p[a + 2];
        double vx = (double) p[c] - p[a], vy = (double) p[c + 1] - p[a + 1], vz = (double) p[c + 2] - p[a + 2];
        double nx = uy * vz - uz * vy, ny = uz * vx - ux * vz, nz = ux * vy - uy * vx;
        double area = Math.sqrt(nx * nx + ny * ny + nz * nz);
        if (!(area > 0) || area == Double.POSITIVE_INFINITY) {
            return false;
        }
        dest[0] = nx / area;
        dest[1] = ny / area;
        dest[2] = nz / area;
        // Each angle is atan2(twice the area, dot of the two edges); the edges from b and c follow from u and v.
        double wx = vx - ux, wy = vy - uy, wz = vz - uz;
        double atA = angle(area, ux * vx + uy * vy + uz * vz);
        double atB = angle(area, -(ux * wx + uy * wy + uz * wz));
        dest[3] = atA;
        dest[4] = atB;
        dest[5] = Math.max(0, Math.PI - atA - atB);
        return true;
    }

    /**
     * Returns atan2(y, x) for y > 0, within 1.2e-5 rad, by +, −, × and ÷ alone: a weight needs no more, and every machine gives the same bits.
     *
     * @source the odd minimax polynomial for the arc tangent on [0, 1] of Abramowitz, Stegun, Handbook of Mathematical Functions, 4.4.49 (from
     *         memory; the stated error was checked against StrictMath)
     */
    static double angle(double y, double x) {
        double ax = Math.abs(x);
        boolean steep = y > ax;
        double q = steep ? ax / y : y / ax;
        double s = q * q;
        double a = q * (0.9998660 + s * (-0.3302995 + s * (0.1801410 + s * (-0.0851330 + s * 0.0208351))));
        if (steep) {
            a = Math.PI / 2 - a;
        }
        return x < 0 ? Math.PI - a : a;
    }
}
