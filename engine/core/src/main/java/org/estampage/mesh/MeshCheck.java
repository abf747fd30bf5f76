package org.estampage.mesh;

import java.util.ArrayList;
import java.util.List;
import java.util.function.IntFunction;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.finding.Place;
import org.estampage.finding.Severity;

/** Looks a mesh over: what makes a job impossible, and what is worth knowing. */
public final class MeshCheck {
    private MeshCheck() {
    }

    /**
     * Returns what makes a job with this mesh impossible; empty when nothing does.
     *
     * @param needsUvs whether the job bakes to this mesh's UVs
     */
    public static List<MeshProblem> problems(Mesh mesh, boolean needsUvs) {
        List<MeshProblem> problems = new ArrayList<>();
        if (mesh.triangleCount() == 0) {
            problems.add(new MeshProblem.NoTriangles(mesh.name()));
        }
        addNotFinite(problems, mesh, "positions", mesh.positions(), 3);
        mesh.normals().ifPresent(normals -> addNotFinite(problems, mesh, "normals", normals.values(), 3));
        if (needsUvs) {
            if (mesh.uvSets().isEmpty()) {
                problems.add(new MeshProblem.NoUvs(mesh.name()));
            } else {
                addNotFinite(problems, mesh, "UVs", mesh.uvSets().get(0).values(), 2);
            }
        }
        return problems;
    }

    private static void addNotFinite(List<MeshProblem> problems, Mesh mesh, String what, float[] values, int components) {
        long count = 0;
        int first = -1;
        for (int i = 0; i < values.length; i += components) {
            for (int k = 0; k < components; k++) {
                if (!Float.isFinite(values[i + k])) {
                    count++;
                    first = first < 0 ? i / components : first;
                    break;
                }
            }
        }
        if (count > 0) {
            problems.add(new MeshProblem.NotFinite(mesh.name(), what, count, first));
        }
    }

    /** Counts one kind of finding and keeps its first places. */
    private static final class Tally {
        private final List<Place> places = new ArrayList<>();
        private long count;

        void add(int index, IntFunction<Place> place) {
            count++;
            if (places.size() < Finding.MAX_PLACES) {
                places.add(place.apply(index));
            }
        }

        void into(List<Finding> all, String kind, Severity severity, String message, String remedy) {
            if (count > 0) {
                all.add(new Finding(kind, severity, count, count + " " + message, remedy, places));
            }
        }
    }

    /** Returns what its file and the mesh itself give reason to say. */
    public static Findings check(Mesh mesh) {
        List<Finding> all = new ArrayList<>(mesh.findings());
        for (MeshProblem problem : problems(mesh, false)) {
            all.add(Finding.error("unusable-mesh", 1, problem.message(), "repair the file it came from", List.of()));
        }
        IntFunction<Place> triangle = t -> new Place.Element("triangle", t);
        IntFunction<Place> vertex = v -> new Place.Element("vertex", v);
        checkFacets(mesh, all, triangle);
        checkEdges(mesh, all);
        checkVertices(mesh, all, vertex);
        checkUvs(mesh, all, triangle);
        return Findings.of(all);
    }

    private static void checkFacets(Mesh mesh, List<Finding> all, IntFunction<Place> triangle) {
        Tally repeated = new Tally(), flat = new Tally(), against = new Tally();
        float[] p = mesh.positions();
        int[] corners = mesh.positionIndices();
        Attribute normals = mesh.normals().orElse(null);
        double[] n = new double[3];
        for (int t = 0; t < mesh.triangleCount(); t++) {
            int a = corners[3 * t], b = corners[3 * t + 1], c = corners[3 * t + 2];
            if (a == b || b == c || c == a) {
                repeated.add(t, triangle);
                continue;
            }
            facetNormal(p, a, b, c, n);
            double area = n[0] * n[0] + n[1] * n[1] + n[2] * n[2];
            if (!(area > 0)) {
                flat.add(t, triangle);
                continue;
            }
            if (normals != null) {
                double sum = 0;
                for (int k = 0; k < 3; k++) {
                    int at = 3 * normals.indices()[3 * t + k];
                    for (int axis = 0; axis < 3; axis++) {
                        sum += n[axis] * normals.values()[at + axis];
                    }
                }
                if (sum < 0) {
                    against.add(t, triangle);
                }
            }
        }
        repeated.into(all, "repeated-vertex", Severity.WARNING, "triangles name a vertex twice",
                "they are passed over; remove them at the source");
        flat.into(all, "zero-area", Severity.NOTE, "triangles have no area", "they are passed over; nothing needs to be done");
        against.into(all, "normals-against-winding", Severity.WARNING, "triangles have normals that point to their back",
                "turn their winding or recompute the normals at the source");
    }

    private static void facetNormal(float[] p, int a, int b, int c, double[] dest) {
        double ux = (double) p[3 * b] - p[3 * a], uy = (double) p[3 * b + 1] - p[3 * a + 1], uz = (double) p[3 * b + 2] - p[3 * a + 2];
        double vx = (double) p[3 * c] - p[3 * a], vy = (double) p[3 * c + 1] - p[3 * a + 1], vz = (double) p[3 * c + 2] - p[3 * a + 2];
        dest[0] = uy * vz - uz * vy;
        dest[1] = uz * vx - ux * vz;
        dest[2] = ux * vy - uy * vx;
    }

    private static void checkEdges(Mesh mesh, List<Finding> all) {
        Adjacency adjacency = Adjacency.of(mesh);
        Tally boundary = new Tally(), nonManifold = new Tally();
        IntFunction<Place> place = e -> {
            int v = 3 * adjacency.vertex(e);
            return new Place.Point(mesh.positions()[v], mesh.positions()[v + 1], mesh.positions()[v + 2]);
        };
        for (int e = 0; e < adjacency.edgeCount(); e++) {
            if (adjacency.opposite(e) == Adjacency.BOUNDARY) {
                boundary.add(e, place);
            } else if (adjacency.opposite(e) == Adjacency.NON_MANIFOLD && adjacency.vertex(e) != adjacency.vertex(Adjacency.next(e))) {
                nonManifold.add(e, place);
            }
        }
        boundary.into(all, "boundary-edges", Severity.NOTE, "edges have only one triangle: the mesh is open",
                "nothing, if it is meant to be open; else close the holes");
        nonManifold.into(all, "non-manifold-edges", Severity.WARNING,
                "triangle sides meet where more than two triangles do, or where neighbours run opposite ways",
                "they act as borders; repair them at the source if shading breaks there");
        if (boundary.count == 0 && nonManifold.count == 0 && mesh.triangleCount() > 0 && volume(mesh) < 0) {
            all.add(Finding.warning("inside-out", 1, mesh.name() + " is closed and its triangles face inward",
                    "turn the winding of all its faces at the source", List.of()));
        }
    }

    /** Returns the enclosed volume of a closed mesh, negative if it is inside out. */
    static double volume(Mesh mesh) {
        float[] p = mesh.positions();
        int[] corners = mesh.positionIndices();
        double sum = 0;
        double ox = p[0], oy = p[1], oz = p[2]; // about a vertex: far from the origin the products would cancel out
        double[] n = new double[3];
        for (int t = 0; t < mesh.triangleCount(); t++) {
            int a = corners[3 * t];
            facetNormal(p, a, corners[3 * t + 1], corners[3 * t + 2], n);
            sum += n[0] * (p[3 * a] - ox) + n[1] * (p[3 * a + 1] - oy) + n[2] * (p[3 * a + 2] - oz);
        }
        return sum / 6;
    }

    private static void checkVertices(Mesh mesh, List<Finding> all, IntFunction<Place> vertex) {
        boolean[] used = new boolean[mesh.vertexCount()];
        for (int v : mesh.positionIndices()) {
            used[v] = true;
        }
        int[] canonical = Welding.canonicalVertices(mesh);
        Tally unused = new Tally(), twice = new Tally();
        for (int v = 0; v < used.length; v++) {
            if (!used[v]) {
                unused.add(v, vertex);
            }
            if (canonical[v] != v) {
                twice.add(v, vertex);
            }
        }
        unused.into(all, "unused-vertices", Severity.NOTE, "vertices belong to no triangle", "nothing needs to be done");
        twice.into(all, "duplicate-positions", Severity.NOTE, "vertices stand where another one stands",
                "nothing: they are welded wherever it matters");
    }

    private static void checkUvs(Mesh mesh, List<Finding> all, IntFunction<Place> triangle) {
        if (mesh.uvSets().isEmpty()) {
            all.add(Finding.note("no-uvs", 1, mesh.name() + " has no UVs",
                    "nothing for a high poly; a low poly must be laid flat before it is baked to",
                    List.of()));
            return;
        }
        Attribute uv = mesh.uvSets().get(0);
        float[] p = uv.values();
        Tally flat = new Tally(), mirrored = new Tally(), outside = new Tally();
        for (int t = 0; t < mesh.triangleCount(); t++) {
            int a = 2 * uv.indices()[3 * t], b = 2 * uv.indices()[3 * t + 1], c = 2 * uv.indices()[3 * t + 2];
            double area = ((double) p[b] - p[a]) * ((double) p[c + 1] - p[a + 1]) - ((double) p[b + 1] - p[a + 1]) * ((double) p[c] - p[a]);
            if (area < 0) {
                mirrored.add(t, triangle);
            } else if (!(area > 0)) {
                flat.add(t, triangle);
            }
            if (outsideUnit(p, a) || outsideUnit(p, b) || outsideUnit(p, c)) {
                outside.add(t, triangle);
            }
        }
        flat.into(all, "zero-area-uvs", Severity.WARNING, "triangles have no area in the UV layout", "lay them flat again");
        mirrored.into(all, "mirrored-uvs", Severity.NOTE, "triangles are mirrored in the UV layout", "nothing, if that is meant");
        outside.into(all, "uvs-outside", Severity.WARNING, "triangles reach outside 0–1 in the UV layout",
                "move them inside, or declare whether they are tiles or copies");
    }

    private static boolean outsideUnit(float[] p, int at) {
        return !(p[at] >= 0 && p[at] <= 1 && p[at + 1] >= 0 && p[at + 1] <= 1);
    }
}
