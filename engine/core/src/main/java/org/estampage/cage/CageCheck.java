package org.estampage.cage;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.RayTracer;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.finding.Place;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshProblem;
import org.estampage.mesh.MeshSource;
import org.estampage.task.Task;

/** Verifies a cage, however it was made, against all vertices of a high poly. */
public final class CageCheck {
    /** High-poly vertices farther beside an open border than this part of the diagonal are worth a note. */
    private static final double BESIDE = 1e-3;

    private CageCheck() {
    }

    /**
     * Verifies a cage. Kinds of findings: {@code outside-cage}: high-poly vertices that stand out of it, the worst places first
     * (or points between them, where only the middles of large triangles do); {@code
     * cage-below-surface}: points of the cage that lie under the high poly's surface, by sampling; {@code inverted-cage-prisms}; {@code
     * no-cage-direction}; {@code beside-open-border}: high-poly vertices beside the low poly where no ray goes; {@code cage-slant}: how far rays lean
     * away from the normals of the faces they pass.
     *
     * @throws InvalidMeshException if a mesh has no triangles or positions that are not finite, or the cage is of another low poly
     */
    public static Findings check(MeshSource low, MeshSource high, CageSource cage, Task task) {
        Mesh floor = low.build();
        Mesh dense = high.build();
        Cage roof = cage.build();
        List<MeshProblem> problems = new ArrayList<>(Cage.problems(floor, "the low poly"));
        problems.addAll(Cage.problems(dense, "the high poly"));
        if (floor.vertexCount() != roof.low().vertexCount()) {
            problems.add(new MeshProblem.CageMismatch("vertices", roof.low().vertexCount(), floor.vertexCount()));
        } else if (!Arrays.equals(floor.positionIndices(), roof.low().positionIndices())) {
            problems.add(new MeshProblem.CageMismatch("triangles as the low poly has them", Cage.equalTriangles(floor, roof.low()),
                    floor.triangleCount()));
        }
        InvalidMeshException.throwIfAny(problems);
        Shell shell = Shell.of(floor);
        Feet feet = Feet.of(shell, dense, Bvh.build(floor, task), task);
        RayTracer tracer = Bvh.build(dense, task);
        return Findings.of(findings(shell, feet, new CageRays(shell, dense, tracer, task), roof, task));
    }

    static List<Finding> findings(Shell shell, Feet feet, CageRays rays, Cage cage, Task task) {
        // the cage as it is stored: rounded to floats
        double[] moves = new double[3 * shell.nodeCount];
        double[] lengths = new double[shell.nodeCount];
        double[] directions = shell.directions.clone();
        for (int n = 0; n < shell.nodeCount; n++) {
            double square = 0;
            for (int k = 0; k < 3; k++) {
                moves[3 * n + k] = cage.positions()[3 * shell.vertexOf[n] + k] - shell.xyz[3 * n + k];
                square += moves[3 * n + k] * moves[3 * n + k];
            }
            lengths[n] = Math.sqrt(square);
            for (int k = 0; k < 3 && lengths[n] > 0; k++) {
                directions[3 * n + k] = moves[3 * n + k] / lengths[n];
            }
        }
        Escapes escapes = new Escapes(feet, directions, 0, task);
        escapes.cage(moves);
        escapes.test(escapes.all(), 1);
        List<Finding> findings = new ArrayList<>();
        findings.addAll(outside(feet, escapes));
        findings.addAll(buried(shell, rays.outwards(moves, lengths, 0, 0), rays.pointsPerTriangle));
        findings.addAll(CageFindings.inverted(shell, moves, directions));
        findings.addAll(CageFindings.withoutDirection(shell));
        findings.addAll(beside(feet));
        findings.add(slant(shell, directions));
        return findings;
    }

    private static List<Finding> outside(Feet feet, Escapes escapes) {
        if (escapes.outsideCount == 0) {
            return List.of();
        }
        // vertices are counted; points on large triangles only where no vertex is out
        int[] all = escapes.atLeast(Escapes.OUTSIDE);
        int[] vertices = Arrays.stream(all).filter(o -> feet.vertices[feet.outer[o]] < feet.vertexCount).toArray();
        int[] list = vertices.length > 0 ? vertices : all;
        float[] excesses = new float[list.length];
        for (int j = 0; j < list.length; j++) {
            excesses[j] = escapes.missing[list[j]];
        }
        int[] worstFirst = largestFirst(excesses);
        List<Place> places = new ArrayList<>();
        for (int j = 0; j < worstFirst.length && j < Finding.MAX_PLACES; j++) {
            int v = 3 * feet.vertices[feet.outer[list[worstFirst[j]]]];
            places.add(new Place.Point(feet.xyz[v], feet.xyz[v + 1], feet.xyz[v + 2]));
        }
        float worst = excesses[worstFirst[0]];
        return List.of(Finding.warning("outside-cage", list.length,
                String.format(Locale.ROOT, "%s outside the cage, up to %.4g",
                        vertices.length > 0
                                ? CageFindings.counted(list.length, "high-poly vertex stands", "high-poly vertices stand")
                                : CageFindings.counted(list.length, "high-poly point stands", "high-poly points stand"),
                        worst),
                "refine or move the low poly there, so that the cage can rise without folding, or use a larger cage", places));
    }

    /** Returns the numbers of the values above 0, the largest value first, then the lower number. */
    private static int[] largestFirst(float[] values) {
        long[] keys = new long[values.length];
        int count = 0;
        for (int i = 0; i < values.length; i++) {
            if (values[i] > 0) { // the bits of positive floats are in their order
                keys[count++] = (long) ~Float.floatToRawIntBits(values[i]) << 32 | i;
            }
        }
        Arrays.sort(keys, 0, count);
        int[] numbers = new int[count];
        for (int i = 0; i < count; i++) {
            numbers[i] = (int) keys[i];
        }
        return numbers;
    }

    private static List<Finding> buried(Shell shell, CageRays.Buried buried, int pointsPerTriangle) {
        if (buried.points == 0) {
            return List.of();
        }
        List<Place> places = new ArrayList<>();
        for (int t : largestFirst(buried.depths)) {
            CageFindings.add(places, new Place.Element("triangle", t));
        }
        return List.of(Finding.warning("cage-below-surface", buried.points,
                String.format(Locale.ROOT, "%,d of %,d sampled cage points lie under the high poly, up to %.4g deep", buried.points,
                        (long) shell.triangleCount * pointsPerTriangle, buried.deepest),
                "rays from there miss the outer surface: raise the cage there", places));
    }

    private static List<Finding> beside(Feet feet) {
        double limit = BESIDE * feet.shell.mesh.bounds().diagonal();
        List<Place> places = new ArrayList<>();
        long count = 0;
        for (int i = 0; i < feet.vertices.length; i++) {
            if (feet.vertices[i] >= feet.vertexCount || feet.triangles[i] < 0 || !feet.onBorder(i)) {
                continue;
            }
            double along = 0;
            double square = 0;
            double unit = 0;
            for (int k = 0; k < 3; k++) {
                double w = feet.xyz[3 * feet.vertices[i] + k] - feet.blend(feet.shell.xyz, i, k);
                double d = feet.blend(feet.shell.directions, i, k);
                along += w * d;
                square += w * w;
                unit += d * d;
            }
            if (square - along * along / unit > limit * limit) {
                count++;
                CageFindings.add(places,
                        new Place.Point(feet.xyz[3 * feet.vertices[i]], feet.xyz[3 * feet.vertices[i] + 1],
                                feet.xyz[3 * feet.vertices[i] + 2]));
            }
        }
        return count == 0
                ? List.of()
                : List.of(Finding.note("beside-open-border", count,
                        CageFindings.counted(count, "high-poly vertex lies", "high-poly vertices lie")
                                + " beside the open border of the low poly, where no ray goes",
                        "extend the low poly if they should be seen", places));
    }

    private static Finding slant(Shell shell, double[] directions) {
        double[] cosines = new double[shell.triangles.length];
        int count = 0;
        int steepest = 0;
        double least = Double.POSITIVE_INFINITY;
        for (int c = 0; c < cosines.length; c++) {
            int t = c - c % 3;
            if (!shell.hasArea(c / 3)) {
                continue;
            }
            int n = 3 * shell.triangles[c];
            double cosine = directions[n] * shell.normals[t] + directions[n + 1] * shell.normals[t + 1]
                    + directions[n + 2] * shell.normals[t + 2];
            if (cosine < least) {
                least = cosine;
                steepest = shell.triangles[c];
            }
            cosines[count++] = -cosine; // sorts small angles first
        }
        Arrays.sort(cosines, 0, count);
        return Finding.note("cage-slant", Math.max(1, count),
                String.format(Locale.ROOT,
                        "at the corners of faces, rays lean %.1f° (median), %.1f° (99 %%), %.1f° (most) away from the normal",
                        degrees(cosines, count, 0.5), degrees(cosines, count, 0.99), degrees(cosines, count, 1)),
                "more faces where the low poly bends lean less", count == 0 ? List.of() : List.of(CageFindings.vertex(shell, steepest)));
    }

    private static double degrees(double[] negated, int count, double quantile) {
        if (count == 0) {
            return 0;
        }
        double cosine = -negated[Math.min(count - 1, (int) (quantile * count))];
        return StrictMath.toDegrees(StrictMath.acos(Math.max(-1, Math.min(1, cosine))));
    }
}
