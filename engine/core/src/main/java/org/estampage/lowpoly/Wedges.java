package org.estampage.lowpoly;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.estampage.mesh.Adjacency;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.FacetNormals;
import org.estampage.mesh.Labels;
import org.estampage.mesh.Mesh;

/**
 * The corners around each welded vertex, cut into wedges at the borders that decimation keeps: open edges, UV and other attribute seams, hard edges,
 * borders of parts and of materials, edges that can't be paired. Within a wedge every attribute has one value.
 *
 * @threads immutable after construction
 */
final class Wedges {
    /** No border runs through the vertex. */
    static final byte FREE = 0;
    /** One border runs through it. */
    static final byte LINE = 1;
    /** Borders end or meet there, or the surface can't be ordered into fans: the vertex stays. */
    static final byte FIXED = 2;

    // Values that differ by less than this angle in given normals are one normal that a file wrote twice.
    private static final double SAME_NORMAL_COSINE = 0.99985; // 1°

    /** The welded vertex of each corner. */
    final int[] vertex;
    /** The wedge of each corner; −1 in triangles that take no part. */
    final int[] wedge;
    final int count;
    /** What each welded vertex may do. */
    final byte[] kind;
    /** Of each edge 3t + k: whether it is a border. */
    final boolean[] border;
    /** Of each wedge: which normal it has; null when no edge is hard. */
    final int[] normalFan;
    final boolean hasHardEdges;
    /** Triangles that stand on one position twice. */
    final boolean[] collapsed;
    final int collapsedCount;
    final int[] opposite;

    private Wedges(Adjacency adjacency, boolean[] border, boolean[] hard, boolean anyHard, boolean[] collapsed, int vertexCount) {
        vertex = adjacency.cornerVertices();
        opposite = adjacency.opposite();
        this.border = border;
        this.collapsed = collapsed;
        int dropped = 0;
        for (boolean c : collapsed) {
            dropped += c ? 1 : 0;
        }
        collapsedCount = dropped;
        wedge = new int[vertex.length];
        count = adjacency.fans(border, wedge);
        hasHardEdges = anyHard;
        normalFan = new int[anyHard ? count : 0];
        if (anyHard) {
            int[] fan = new int[vertex.length];
            adjacency.fans(hard, fan);
            for (int c = 0; c < fan.length; c++) {
                if (wedge[c] >= 0) {
                    normalFan[wedge[c]] = fan[c];
                }
            }
        }
        kind = kinds(vertexCount);
    }

    /**
     * Cuts a mesh.
     *
     * @param canonical  the welding of the mesh
     * @param hardCosine edges whose facets have a lower cosine are hard; below −1: those where the mesh's own normals or smoothing groups break
     * @param turn       below which cosine facets must be at a break of normals
     */
    static Wedges of(Mesh mesh, int[] canonical, double hardCosine, double turn) {
        Adjacency adjacency = Adjacency.of(mesh, canonical);
        int[] vertex = adjacency.cornerVertices();
        int[] opposite = adjacency.opposite();
        boolean[] collapsed = new boolean[vertex.length / 3];
        for (int t = 0; t < collapsed.length; t++) {
            collapsed[t] = Adjacency.repeats(vertex, t);
        }
        boolean[] hard = new boolean[vertex.length];
        boolean anyHard = markHard(mesh, opposite, hard, hardCosine, turn);
        boolean[] border = hard.clone();
        List<Attribute> attributes = new ArrayList<>(mesh.uvSets());
        attributes.addAll(mesh.colourSets());
        attributes.addAll(mesh.extras());
        Labels parts = mesh.partLabels();
        Optional<Labels> materials = mesh.materialLabels();
        for (int e = 0; e < opposite.length; e++) {
            int o = opposite[e];
            if (o < 0) {
                border[e] = true;
                hard[e] = true;
            } else if (o > e && (parts.of(e / 3) != parts.of(o / 3)
                    || (materials.isPresent() && materials.get().of(e / 3) != materials.get().of(o / 3))
                    || breaks(attributes, e, o))) {
                border[e] = true;
                border[o] = true;
            }
        }
        return new Wedges(adjacency, border, hard, anyHard, collapsed, canonical.length);
    }

    private static boolean markHard(Mesh mesh, int[] opposite, boolean[] hard, double hardCosine, double turn) {
        Attribute normals = mesh.normals().orElse(null);
        int[] groups = mesh.smoothingGroups();
        boolean byAngle = hardCosine > -1;
        if (!byAngle && normals == null && groups == null) {
            return false;
        }
        float[] facets = FacetNormals.unit(mesh);
        boolean any = false;
        for (int e = 0; e < opposite.length; e++) {
            int o = opposite[e];
            if (o <= e) {
                continue;
            }
            boolean is;
            if (byAngle) {
                is = facetCosine(facets, e / 3, o / 3) < hardCosine;
            } else if (normals != null) {
                is = (normalsDiffer(normals, e, Adjacency.next(o)) || normalsDiffer(normals, Adjacency.next(e), o))
                        && facetCosine(facets, e / 3, o / 3) < turn;
            } else {
                is = groups != null && (groups[e / 3] != groups[o / 3] || groups[e / 3] == 0) && facetCosine(facets, e / 3, o / 3) < turn;
            }
            if (is) {
                hard[e] = true;
                hard[o] = true;
                any = true;
            }
        }
        return any;
    }

    /** Returns the cosine of the turn between two facets; 1 if one has no area. */
    private static double facetCosine(float[] n, int s, int t) {
        int a = 3 * s, b = 3 * t;
        if ((n[a] == 0 && n[a + 1] == 0 && n[a + 2] == 0) || (n[b] == 0 && n[b + 1] == 0 && n[b + 2] == 0)) {
            return 1;
        }
        return (double) n[a] * n[b] + (double) n[a + 1] * n[b + 1] + (double) n[a + 2] * n[b + 2];
    }

    private static boolean normalsDiffer(Attribute normals, int c, int d) {
        int i = normals.indices()[c], j = normals.indices()[d];
        if (i == j) {
            return false;
        }
        float[] v = normals.values();
        double dot = 0, a = 0, b = 0;
        for (int k = 0; k < 3; k++) {
            double x = v[3 * i + k], y = v[3 * j + k];
            dot += x * y;
            a += x * x;
            b += y * y;
        }
        return dot < SAME_NORMAL_COSINE * Math.sqrt(a * b);
    }

    private static boolean breaks(List<Attribute> attributes, int e, int o) {
        for (Attribute a : attributes) {
            if (a.breaksAt(e, o)) {
                return true;
            }
        }
        return false;
    }

    private byte[] kinds(int vertexCount) {
        int[] borders = new int[vertexCount];
        int[] wedges = new int[vertexCount];
        boolean[] locked = new boolean[vertexCount];
        int seen = -1;
        for (int e = 0; e < vertex.length; e++) {
            if (collapsed[e / 3]) {
                continue;
            }
            if (wedge[e] > seen) { // numbers were given in the order of corners
                seen = wedge[e];
                wedges[vertex[e]]++;
            }
            int from = vertex[e], to = vertex[Adjacency.next(e)];
            if (opposite[e] == Adjacency.NON_MANIFOLD) {
                locked[from] = true;
                locked[to] = true;
            } else if (border[e] && opposite[e] < e) {
                borders[from]++;
                borders[to]++;
            }
        }
        byte[] kinds = new byte[vertexCount];
        for (int v = 0; v < vertexCount; v++) {
            if (locked[v] || borders[v] > 2 || borders[v] == 1 || (borders[v] == 0 && wedges[v] > 1) || wedges[v] > 2) {
                kinds[v] = FIXED;
            } else if (borders[v] == 2) {
                kinds[v] = LINE;
            }
        }
        return kinds;
    }
}
