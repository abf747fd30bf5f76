package org.estampage.mesh;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.finding.Severity;

/**
 * Looks a mesh over: what makes a job impossible, and what is worth knowing. Changes nothing.
 *
 * @threads safe for concurrent calls
 */
public final class MeshCheck {
    // A sum of up to ten million rounded products is off by at most about 1e-9 of the sum of their sizes; a volume below that is no volume.
    private static final double NO_VOLUME = 1e-9;
    // Shells around which a cavity may lie; the largest are enough, since a cavity's own shell is larger than it.
    private static final int LARGEST_SHELLS = 64;

    // The cosine of 1°. Files that round normals to signed bytes turn each by up to √3/2 · 1/127 = 0.39°, so two copies of one differ by 0.78° at most.
    private static final double SAME_NORMAL = 0.99984769515639;

    private MeshCheck() {
    }

    /**
     * Returns what makes a job with this mesh impossible; empty when nothing does.
     *
     * @param needsUvs whether the job bakes to this mesh's first UV set
     */
    public static List<MeshProblem> problems(Mesh mesh, boolean needsUvs) {
        List<MeshProblem> problems = new ArrayList<>(shapeProblems(mesh, mesh.name()));
        mesh.normals().ifPresent(normals -> addNotFinite(problems, mesh.name(), "normals", normals.values(), 3));
        if (needsUvs) {
            if (mesh.uvSets().isEmpty()) {
                problems.add(new MeshProblem.NoUvs(mesh.name()));
            } else {
                addNotFinite(problems, mesh.name(), "UVs", mesh.uvSets().get(0).values(), 2);
            }
        }
        return List.copyOf(problems);
    }

    /**
     * Returns what makes it impossible to work with the mesh's triangles alone: there are none, or positions are not finite.
     *
     * @param calledAs what messages call the mesh
     */
    public static List<MeshProblem> shapeProblems(Mesh mesh, String calledAs) {
        List<MeshProblem> problems = new ArrayList<>();
        if (mesh.triangleCount() == 0) {
            problems.add(new MeshProblem.NoTriangles(calledAs));
        }
        addNotFinite(problems, calledAs, "positions", mesh.positions(), 3);
        return problems;
    }

    private static void addNotFinite(List<MeshProblem> problems, String calledAs, String what, float[] values, int components) {
        long count = 0;
        int first = -1;
        for (int i = 0; i < values.length / components; i++) {
            if (!isFinite(values, i, components)) {
                count++;
                first = first < 0 ? i : first;
            }
        }
        if (count > 0) {
            problems.add(new MeshProblem.NotFinite(calledAs, what, count, first));
        }
    }

    private static boolean isFinite(float[] values, int element, int components) {
        for (int k = 0; k < components; k++) {
            if (!Float.isFinite(values[components * element + k])) {
                return false;
            }
        }
        return true;
    }

    /**
     * Returns what its file and the mesh itself give reason to say: first the mesh's own {@link Mesh#findings}, then, each with its count and first places,
     * in this order: {@code no-triangles}, {@code positions-not-finite}, {@code repeated-vertex}, {@code zero-area}, {@code unusable-normals},
     * {@code normals-against-winding}, {@code boundary-edges}, {@code non-manifold-edges}, {@code inconsistent-winding}, {@code inside-out},
     * {@code unused-vertices}, {@code duplicate-positions}, {@code no-uvs} or, of the first UV set, {@code uvs-not-finite}, {@code uvs-zero-area},
     * {@code uvs-outside}, {@code uvs-mirrored}, and {@code hard-edges-without-seam}.
     *
     * @edge edges and winding are judged over welded positions; a triangle that stands on one position twice takes no part. A closed shell that faces
     *       inwards is a cavity, and no finding, if its box lies within the box of a shell that faces outwards.
     * @cost O(triangles)
     */
    public static Findings check(Mesh mesh) {
        List<Finding> found = new ArrayList<>(mesh.findings());
        if (mesh.triangleCount() == 0) {
            found.add(Finding.error("no-triangles", 1, mesh.name() + " has no triangles", "load a file with faces", List.of()));
        }
        int[] canonical = Welding.canonicalVertices(mesh);
        checkPositions(mesh, found);
        checkTriangles(mesh, found);
        checkNormals(mesh, found);
        Adjacency adjacency = Adjacency.of(mesh, canonical);
        checkEdges(mesh, adjacency, found);
        checkVertices(mesh, canonical, found);
        checkUvs(mesh, found);
        checkSeams(mesh, adjacency, found);
        return Findings.of(found);
    }

    private static void checkPositions(Mesh mesh, List<Finding> found) {
        MeshTally notFinite = new MeshTally();
        for (int v = 0; v < mesh.vertexCount(); v++) {
            if (!isFinite(mesh.positions(), v, 3)) {
                notFinite.addElement("vertex", v);
            }
        }
        notFinite.report(found, "positions-not-finite", Severity.ERROR, "position is not a finite point", "positions are not finite points",
                "repair the file it came from");
    }

    private static void checkTriangles(Mesh mesh, List<Finding> found) {
        MeshTally repeated = new MeshTally(), flat = new MeshTally();
        float[] p = mesh.positions();
        int[] t = mesh.positionIndices();
        Facet facet = new Facet();
        for (int i = 0; i < mesh.triangleCount(); i++) {
            int a = t[3 * i], b = t[3 * i + 1], c = t[3 * i + 2];
            if (a == b || b == c || c == a) {
                repeated.addElement("triangle", i);
            } else if (!facet.setNormal(p, a, b, c) && isFinite(p, a, 3) && isFinite(p, b, 3) && isFinite(p, c, 3)) {
                flat.addElement("triangle", i);
            }
        }
        repeated.report(found, "repeated-vertex", Severity.WARNING, "triangle names a vertex twice", "triangles name a vertex twice",
                "they are passed over; a clean-up takes them away");
        flat.report(found, "zero-area", Severity.NOTE, "triangle has no area", "triangles have no area",
                "they are passed over; nothing needs to be done");
    }

    private static void checkNormals(Mesh mesh, List<Finding> found) {
        Attribute normals = mesh.normals().orElse(null);
        if (normals == null) {
            return;
        }
        float[] n = normals.values();
        MeshTally unusable = new MeshTally(), against = new MeshTally();
        for (int i = 0; i < normals.count(); i++) {
            if (!isFinite(n, i, 3) || (n[3 * i] == 0 && n[3 * i + 1] == 0 && n[3 * i + 2] == 0)) {
                unusable.addElement("normal", i);
            }
        }
        int[] t = mesh.positionIndices();
        Facet facet = new Facet();
        for (int c = 0; c < t.length; c += 3) {
            if (facet.setNormal(mesh.positions(), t[c], t[c + 1], t[c + 2])) {
                double sum = 0;
                for (int k = c; k < c + 3; k++) {
                    int i = 3 * normals.indices()[k];
                    sum += facet.nx * n[i] + facet.ny * n[i + 1] + facet.nz * n[i + 2];
                }
                if (sum < 0) {
                    against.addElement("triangle", c / 3);
                }
            }
        }
        unusable.report(found, "unusable-normals", Severity.WARNING, "normal has no direction", "normals have no direction",
                "compute normals anew, for example smooth ones");
        against.report(found, "normals-against-winding", Severity.WARNING, "triangle has normals that point to its back",
                "triangles have normals that point to their back", "turn their winding, or compute normals anew");
    }

    private static void checkEdges(Mesh mesh, Adjacency adjacency, List<Finding> found) {
        int[] opposite = adjacency.opposite();
        MeshTally boundary = new MeshTally(), crowded = new MeshTally(), opposing = new MeshTally();
        for (int e = 0; e < opposite.length; e++) {
            if (opposite[e] == Adjacency.BOUNDARY) {
                boundary.addEdge(mesh, e);
            }
        }
        EdgeRuns runs = adjacency.runs(adjacency.inOrder());
        int[] order = runs.order();
        for (int from = 0, to; from < order.length; from = to) {
            to = runs.endOf(from);
            if (opposite[order[from]] == Adjacency.NON_MANIFOLD) {
                (to - from == 2 ? opposing : crowded).addEdge(mesh, order[from]);
            }
        }
        boundary.report(found, "boundary-edges", Severity.NOTE, "edge has one triangle only: the mesh is open there",
                "edges have one triangle only: the mesh is open there", "nothing, if that is meant; else close the holes");
        crowded.report(found, "non-manifold-edges", Severity.WARNING, "edge joins more than two triangles",
                "edges join more than two triangles",
                "they act as borders; a clean-up sets the surfaces apart, if shading or flattening breaks there");
        opposing.report(found, "inconsistent-winding", Severity.WARNING, "edge joins two triangles of which one is turned over",
                "edges join two triangles of which one is turned over",
                "make the winding consistent at the source; until then they act as borders");
        new Shells(mesh, adjacency).report(found);
    }

    /** The pieces of a mesh that hang together over edges; of those without an open edge, the signed volume. */
    private static final class Shells {
        private record Shell(int firstTriangle, Bounds bounds) {
            boolean within(Shell o) {
                return bounds.minX() >= o.bounds.minX() && bounds.minY() >= o.bounds.minY() && bounds.minZ() >= o.bounds.minZ()
                        && bounds.maxX() <= o.bounds.maxX() && bounds.maxY() <= o.bounds.maxY() && bounds.maxZ() <= o.bounds.maxZ();
            }
        }

        private final Mesh mesh;
        private final Adjacency adjacency;
        private final List<Shell> outward = new ArrayList<>();
        private final List<Shell> inward = new ArrayList<>();
        private final int[] queue;
        private final boolean[] seen;

        Shells(Mesh mesh, Adjacency adjacency) {
            this.mesh = mesh;
            this.adjacency = adjacency;
            queue = new int[mesh.triangleCount()];
            seen = new boolean[queue.length];
        }

        void report(List<Finding> found) {
            for (int t = 0; t < seen.length; t++) {
                if (!seen[t]) {
                    collect(t);
                }
            }
            outward.sort(Comparator.comparingDouble((Shell shell) -> -shell.bounds.diagonal()));
            List<Shell> around = outward.subList(0, Math.min(LARGEST_SHELLS, outward.size()));
            MeshTally insideOut = new MeshTally();
            for (Shell shell : inward) {
                if (around.stream().noneMatch(shell::within)) {
                    insideOut.addElement("triangle", shell.firstTriangle);
                }
            }
            insideOut.report(found, "inside-out", Severity.WARNING, "closed shell is turned inside out",
                    "closed shells are turned inside out", "turn the winding of all their faces at the source");
        }

        private void collect(int first) {
            int[] t = mesh.positionIndices();
            float[] p = mesh.positions();
            int[] opposite = adjacency.opposite();
            int end = 0;
            boolean closed = true;
            seen[first] = true;
            queue[end++] = first;
            for (int i = 0; i < end; i++) {
                for (int e = 3 * queue[i]; e < 3 * queue[i] + 3; e++) {
                    if (opposite[e] < 0) {
                        closed = false;
                    } else if (!seen[opposite[e] / 3]) {
                        seen[opposite[e] / 3] = true;
                        queue[end++] = opposite[e] / 3;
                    }
                }
            }
            if (!closed) {
                return;
            }
            // About a vertex of its own: far from the origin the products would cancel out.
            int o = 3 * t[3 * first];
            double sum = 0, size = 0;
            float[] low = {p[o], p[o + 1], p[o + 2]}, high = low.clone();
            for (int i = 0; i < end; i++) {
                int a = 3 * t[3 * queue[i]], b = 3 * t[3 * queue[i] + 1], c = 3 * t[3 * queue[i] + 2];
                double ax = (double) p[a] - p[o], ay = (double) p[a + 1] - p[o + 1], az = (double) p[a + 2] - p[o + 2];
                double bx = (double) p[b] - p[o], by = (double) p[b + 1] - p[o + 1], bz = (double) p[b + 2] - p[o + 2];
                double cx = (double) p[c] - p[o], cy = (double) p[c + 1] - p[o + 1], cz = (double) p[c + 2] - p[o + 2];
                double six = ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx);
                sum += six;
                size += Math.abs(six);
                for (int k = 0; k < 3; k++) {
                    low[k] = Math.min(low[k], Math.min(p[a + k], Math.min(p[b + k], p[c + k])));
                    high[k] = Math.max(high[k], Math.max(p[a + k], Math.max(p[b + k], p[c + k])));
                }
            }
            if (Math.abs(sum) > NO_VOLUME * size) {
                (sum > 0 ? outward : inward).add(new Shell(first, new Bounds(low[0], low[1], low[2], high[0], high[1], high[2])));
            }
        }
    }

    private static void checkVertices(Mesh mesh, int[] canonical, List<Finding> found) {
        boolean[] used = new boolean[mesh.vertexCount()];
        for (int v : mesh.positionIndices()) {
            used[v] = true;
        }
        MeshTally unused = new MeshTally(), duplicate = new MeshTally();
        for (int v = 0; v < used.length; v++) {
            if (!used[v]) {
                unused.addElement("vertex", v);
            }
            if (canonical[v] != v) {
                duplicate.addElement("vertex", v);
            }
        }
        unused.report(found, "unused-vertices", Severity.NOTE, "vertex belongs to no triangle", "vertices belong to no triangle",
                "nothing needs to be done");
        duplicate.report(found, "duplicate-positions", Severity.NOTE, "vertex stands where another one stands",
                "vertices stand where another one stands", "nothing: they are welded wherever it matters");
    }

    private static void checkUvs(Mesh mesh, List<Finding> found) {
        if (mesh.uvSets().isEmpty()) {
            found.add(Finding.note("no-uvs", 1, mesh.name() + " has no UVs",
                    "nothing for a high poly; a low poly must be laid flat before it is baked to", List.of()));
            return;
        }
        Attribute uv = mesh.uvSets().get(0);
        float[] p = uv.values();
        MeshTally notFinite = new MeshTally(), flat = new MeshTally(), outside = new MeshTally(), mirrored = new MeshTally();
        for (int t = 0; t < mesh.triangleCount(); t++) {
            int i = uv.indices()[3 * t], j = uv.indices()[3 * t + 1], k = uv.indices()[3 * t + 2];
            if (!isFinite(p, i, 2) || !isFinite(p, j, 2) || !isFinite(p, k, 2)) {
                notFinite.addElement("triangle", t);
                continue;
            }
            // Differences of floats are exact in double, or nearly so: the sign is right unless exponents lie 2²⁰ apart.
            double area = ((double) p[2 * j] - p[2 * i]) * ((double) p[2 * k + 1] - p[2 * i + 1])
                    - ((double) p[2 * j + 1] - p[2 * i + 1]) * ((double) p[2 * k] - p[2 * i]);
            if (area == 0) {
                flat.addElement("triangle", t);
            } else if (area < 0) {
                mirrored.addElement("triangle", t);
            }
            if (isOutside(p, i) || isOutside(p, j) || isOutside(p, k)) {
                outside.addElement("triangle", t);
            }
        }
        notFinite.report(found, "uvs-not-finite", Severity.ERROR, "triangle has UVs that are not finite numbers",
                "triangles have UVs that are not finite numbers", "lay them flat again; they get no texels");
        flat.report(found, "uvs-zero-area", Severity.WARNING, "triangle has no area in its UVs", "triangles have no area in their UVs",
                "lay them flat again; they get no texels");
        outside.report(found, "uvs-outside", Severity.WARNING, "triangle reaches outside UVs 0 to 1", "triangles reach outside UVs 0 to 1",
                "declare UDIM tiles or whole-unit copies, or move the charts");
        mirrored.report(found, "uvs-mirrored", Severity.NOTE, "triangle is mirrored in its UVs", "triangles are mirrored in their UVs",
                "nothing, if that is meant");
    }

    /**
     * Reports edges at which normals break and the first UV set goes on: texels on both sides are neighbours, yet one tangent space ends between them,
     * so that filtering and padding mix values of both.
     */
    private static void checkSeams(Mesh mesh, Adjacency adjacency, List<Finding> found) {
        Attribute normals = mesh.normals().orElse(null);
        if (normals == null || mesh.uvSets().isEmpty()) {
            return;
        }
        Attribute uvs = mesh.uvSets().get(0);
        MeshTally hard = new MeshTally();
        double length = 0;
        for (int edge = 0; edge < adjacency.edgeCount(); edge++) {
            int other = adjacency.opposite(edge);
            if (other > edge && !uvs.breaksAt(edge, other)
                    && (isBreak(normals, edge, Adjacency.next(other)) || isBreak(normals, Adjacency.next(edge), other))) {
                hard.addEdge(mesh, edge);
                length += length(mesh, edge);
            }
        }
        String over = String.format(Locale.ROOT, ", over a length of %.4g", length);
        hard.report(found, "hard-edges-without-seam", Severity.WARNING, "hard edge has no UV seam: it can't bake cleanly" + over,
                "hard edges have no UV seam: they can't bake cleanly" + over,
                "call Normals.of(mesh).hardAtUvBorders() for normals that break at the seams, or unwrap(mesh).seamsAtHardEdges() for seams there");
    }

    private static boolean isBreak(Attribute normals, int corner, int other) {
        if (normals.sameAt(corner, other)) {
            return false;
        }
        float[] n = normals.values();
        int i = 3 * normals.indices()[corner], j = 3 * normals.indices()[other];
        double dot = (double) n[i] * n[j] + (double) n[i + 1] * n[j + 1] + (double) n[i + 2] * n[j + 2];
        return dot < SAME_NORMAL * Math.sqrt(square(n, i) * square(n, j));
    }

    private static double square(float[] n, int i) {
        return (double) n[i] * n[i] + (double) n[i + 1] * n[i + 1] + (double) n[i + 2] * n[i + 2];
    }

    private static double length(Mesh mesh, int edge) {
        float[] p = mesh.positions();
        int a = 3 * mesh.positionIndices()[edge], b = 3 * mesh.positionIndices()[Adjacency.next(edge)];
        double x = (double) p[b] - p[a], y = (double) p[b + 1] - p[a + 1], z = (double) p[b + 2] - p[a + 2];
        return Math.sqrt(x * x + y * y + z * z);
    }

    private static boolean isOutside(float[] uv, int i) {
        float u = uv[2 * i], v = uv[2 * i + 1];
        return u < 0 || u > 1 || v < 0 || v > 1;
    }
}
