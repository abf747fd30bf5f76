package org.estampage.cage;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
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
import org.jspecify.annotations.Nullable;

/** Verifies a cage, however it was made, against all vertices and all triangles of a high poly. */
public final class CageCheck {
    /** High-poly vertices farther beside an open border than this part of the diagonal are worth a note. */
    private static final double BESIDE = 1e-3;

    /** The preset limit of a ray's slant, in degrees: twice the sideways shift that 45° gives at the same height, rounded. */
    public static final double SLANT_LIMIT = 60;
    private static final String WAYS_OUT = "put more low-poly vertices there so that the cage can rise without folding, loosen the limits of its offsets,"
            + " or bake with a ray blend, which needs no slant there";

    private CageCheck() {
    }

    /** Verifies a cage as {@link #report} does with the preset limit, and returns the findings. */
    public static Findings check(MeshSource low, MeshSource high, CageSource cage, Task task) {
        return report(low, high, cage, SLANT_LIMIT, task).findings();
    }

    /**
     * Verifies a cage. Kinds of findings: {@code outside-cage}: high-poly vertices that stand out of it, the worst places first
     * (or points between them, where only the middles of large triangles do); {@code cage-crossings}: high-poly triangles that meet the cage, exactly, so
     * that without one no edge of either goes through the other; {@code cage-below-surface}: points of the cage that lie under the high poly's surface,
     * by sampling; {@code cage-self-crossings}: cage triangles that meet where they are not joined, exactly; {@code inverted-cage-prisms}; {@code
     * no-cage-direction}; {@code beside-open-border}: high-poly vertices beside the low poly where no ray goes; {@code cage-slant}: how far rays lean
     * away from the normals of the faces they pass; {@code steep-cage-rays}: low-poly vertices where they lean by more than a limit, the worst first.
     *
     * @param slantLimit in degrees; {@value #SLANT_LIMIT} is the preset
     * @throws InvalidMeshException     if a mesh has no triangles or positions that are not finite, or the cage is of another low poly
     * @throws IllegalArgumentException if the limit is not 0 … 180
     */
    public static CageReport report(MeshSource low, MeshSource high, CageSource cage, double slantLimit, Task task) {
        return examine(low.build(), high.build(), cage.build(), slantLimit, task).report;
    }

    /** What an examination leaves behind beside its report. */
    static final class Examination {
        final CageReport report;
        final Stored stored;
        /** Pairs of cage triangles that cross, as {@link Crossings#findOwn} gives them. */
        final long[] ownCrossings;
        final CageRays rays;

        Examination(CageReport report, Stored stored, long[] ownCrossings, CageRays rays) {
            this.report = report;
            this.stored = stored;
            this.ownCrossings = ownCrossings;
            this.rays = rays;
        }
    }

    static Examination examine(Mesh floor, Mesh dense, Cage roof, double slantLimit, Task task) {
        if (!(slantLimit >= 0 && slantLimit <= 180)) {
            throw new IllegalArgumentException("slantLimit = " + slantLimit + " must be 0 … 180 degrees");
        }
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
        RayTracer lowTracer = Trees.small(floor, task);
        Feet feet = Feet.of(shell, dense, lowTracer, task);
        RayTracer tracer = Bvh.build(dense, task);
        return examine(feet, new HighTriangles(dense, task), lowTracer, new CageRays(shell, dense, tracer, task), roof, null, slantLimit,
                task);
    }

    /** As above with what a fit has at hand; {@code known} are the crossings of this very cage, null where they are still to be found. */
    static Examination examine(Feet feet, HighTriangles high, RayTracer lowTracer, CageRays rays, Cage cage, long @Nullable [] known,
            double slantLimit, Task task) {
        Shell shell = feet.shell;
        Stored stored = new Stored(shell, cage);
        double[] moves = stored.moves, lengths = stored.lengths, directions = stored.directions;
        float[] roof = stored.positions;
        Escapes escapes = new Escapes(feet, directions, 0, task);
        escapes.cage(moves);
        escapes.test(escapes.all(), 1);
        Crossings crossings = new Crossings(high, roof, shell.triangles, task);
        List<CageConflict> out = outsiders(feet, escapes);
        List<CageConflict> crossing = crossings(shell, directions, high.mesh, lowTracer, roof,
                known == null ? crossings.find(null) : known);
        List<Finding> findings = new ArrayList<>();
        findings.addAll(outside(out));
        findings.addAll(crossing(crossing));
        findings.addAll(buried(shell, rays.outwards(moves, lengths, 0, 0), rays.pointsPerTriangle));
        long[] own = crossings.findOwn();
        findings.addAll(CageFindings.selfCrossings(own));
        findings.addAll(CageFindings.inverted(shell, moves, directions));
        findings.addAll(CageFindings.withoutDirection(shell));
        findings.addAll(beside(feet));
        findings.add(slant(shell, directions));
        findings.addAll(steep(shell, directions, slantLimit));
        List<CageConflict> conflicts = new ArrayList<>(out);
        conflicts.addAll(crossing);
        return new Examination(new CageReport(Findings.of(findings), conflicts), stored, own, rays);
    }

    /** A cage as it is stored, rounded to floats, a value a node: what every check must speak of. */
    static final class Stored {
        final float[] positions;
        final double[] moves;
        final double[] lengths;
        /** Unit directions of the moves; where there is none, the shell's. */
        final double[] directions;

        Stored(Shell shell, Cage cage) {
            positions = new float[3 * shell.nodeCount];
            moves = new double[3 * shell.nodeCount];
            lengths = new double[shell.nodeCount];
            directions = shell.directions.clone();
            for (int n = 0; n < shell.nodeCount; n++) {
                double square = 0;
                for (int k = 0; k < 3; k++) {
                    positions[3 * n + k] = cage.positions()[3 * shell.vertexOf[n] + k];
                    moves[3 * n + k] = positions[3 * n + k] - shell.xyz[3 * n + k];
                    square += moves[3 * n + k] * moves[3 * n + k];
                }
                lengths[n] = Math.sqrt(square);
                for (int k = 0; k < 3 && lengths[n] > 0; k++) {
                    directions[3 * n + k] = moves[3 * n + k] / lengths[n];
                }
            }
        }
    }

    private static List<CageConflict> outsiders(Feet feet, Escapes escapes) {
        List<CageConflict> list = new ArrayList<>();
        for (int o : escapes.atLeast(Escapes.OUTSIDE)) {
            int i = feet.outer[o];
            int v = feet.vertices[i];
            list.add(new CageConflict(CageConflict.Kind.OUTSIDE, v < feet.vertexCount ? v : -1, feet.triangles[i], feet.xyz[3 * v],
                    feet.xyz[3 * v + 1], feet.xyz[3 * v + 2], escapes.missing[o]));
        }
        return list;
    }

    private static List<CageConflict> crossings(Shell shell, double[] directions, Mesh high, RayTracer low, float[] roof, long[] pairs) {
        List<CageConflict> list = new ArrayList<>();
        Overhangs overhangs = new Overhangs(shell, directions, high, low, roof);
        double[] unused = new double[shell.nodeCount];
        for (long pair : pairs) {
            overhangs.measure(pair, 0, unused);
            list.add(new CageConflict(CageConflict.Kind.CROSSING, (int) (pair >>> 32), (int) pair, (float) overhangs.place[0],
                    (float) overhangs.place[1], (float) overhangs.place[2], (float) overhangs.missing));
        }
        return list;
    }

    /** Returns the conflicts, the largest missing height first. */
    private static List<CageConflict> worstFirst(List<CageConflict> conflicts) {
        return conflicts.stream().sorted(Comparator.comparingDouble((CageConflict c) -> -c.missing())).toList(); // stable
    }

    private static List<Place> places(List<CageConflict> conflicts) {
        return conflicts.stream().limit(Finding.MAX_PLACES).map(c -> (Place) new Place.Point(c.x(), c.y(), c.z())).toList();
    }

    private static List<Finding> crossing(List<CageConflict> conflicts) {
        if (conflicts.isEmpty()) {
            return List.of();
        }
        List<CageConflict> worst = worstFirst(conflicts);
        long count = conflicts.stream().mapToInt(CageConflict::highElement).distinct().count();
        return List.of(Finding.warning("cage-crossings", count,
                String.format(Locale.ROOT, "%s the cage, which would have to be up to %.4g higher",
                        CageFindings.counted(count, "high-poly triangle crosses", "high-poly triangles cross"), worst.get(0).missing()),
                WAYS_OUT, places(worst)));
    }

    private static List<Finding> outside(List<CageConflict> conflicts) {
        if (conflicts.isEmpty()) {
            return List.of();
        }
        // vertices are counted; points on large triangles only where no vertex is out
        List<CageConflict> vertices = conflicts.stream().filter(c -> c.highElement() >= 0).toList();
        List<CageConflict> worst = worstFirst(vertices.isEmpty() ? conflicts : vertices);
        return List.of(Finding.warning("outside-cage", worst.size(),
                String.format(Locale.ROOT, "%s outside the cage, up to %.4g",
                        vertices.isEmpty()
                                ? CageFindings.counted(worst.size(), "high-poly point stands", "high-poly points stand")
                                : CageFindings.counted(worst.size(), "high-poly vertex stands", "high-poly vertices stand"),
                        worst.get(0).missing()),
                WAYS_OUT, places(worst)));
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

    private static List<Finding> steep(Shell shell, double[] directions, double limit) {
        double[] slants = slants(shell, directions);
        float[] above = new float[slants.length];
        long count = 0;
        for (int n = 0; n < slants.length; n++) {
            if (slants[n] > limit) {
                above[n] = (float) slants[n];
                count++;
            }
        }
        if (count == 0) {
            return List.of();
        }
        List<Place> places = new ArrayList<>();
        for (int n : largestFirst(above)) {
            CageFindings.add(places, CageFindings.vertex(shell, n));
        }
        return List.of(Finding.note("steep-cage-rays", count,
                String.format(Locale.ROOT, "at %s rays lean more than %.4g° away from the normal of a face",
                        CageFindings.counted(count, "low-poly vertex", "low-poly vertices"), limit),
                "put more low-poly vertices where it bends there, or bake with a ray blend, which straightens rays away from the bends",
                places));
    }

    /** Returns for every node the largest angle in degrees between its direction and a facet around it; 0 without facets. */
    static double[] slants(Shell shell, double[] directions) {
        double[] slants = new double[shell.nodeCount];
        for (int n = 0; n < slants.length; n++) {
            double least = 1;
            for (int i = shell.facetStarts[n]; i < shell.facetStarts[n + 1]; i++) {
                int f = 3 * shell.facets[i];
                least = Math.min(least, directions[3 * n] * shell.normals[f] + directions[3 * n + 1] * shell.normals[f + 1]
                        + directions[3 * n + 2] * shell.normals[f + 2]);
            }
            slants[n] = StrictMath.toDegrees(StrictMath.acos(Math.max(-1, least)));
        }
        return slants;
    }

    private static double degrees(double[] negated, int count, double quantile) {
        if (count == 0) {
            return 0;
        }
        double cosine = -negated[Math.min(count - 1, (int) (quantile * count))];
        return StrictMath.toDegrees(StrictMath.acos(Math.max(-1, Math.min(1, cosine))));
    }
}
