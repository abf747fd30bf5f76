package org.estampage.cage;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Objects;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshJoin;
import org.estampage.mesh.MeshProblem;
import org.estampage.mesh.MeshSource;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Fits the smallest cage around a low poly that takes in all of a high poly that it can, without folding over itself.
 *
 * <p>Every welded vertex moves in the direction whose worst angle with the facets around it is smallest. The cage starts close to the low poly and is
 * raised where high-poly vertices stand out, then lowered as far as nothing escapes, and raised again where its own points lie under the high poly, and
 * where a triangle of the one still meets a triangle of the other, which is tested exactly. Where raising would fold it, it stays lower, and the findings say what stands out there and by how much. The reach inwards is found by rays.
 *
 * @units mesh units; fractions are of the high poly's bounding-box diagonal
 * @threads confined; {@link #build} works on the caller's fork-join pool or the common one, and gives the same cage on any number of threads
 * @cost the nearest low-poly point of every high-poly vertex once, about 20 bytes a high-poly vertex, and a tracer of the high poly
 * @source Aubry, Löhner, On the 'most normal' normal, 2008 (directions); Jiang, Schneider, Zorin, Panozzo, Bijective Projection in a Shell, 2020
 *         (validity); both from memory. Raising and lowering are our own
 */
public final class CageFit implements CageSource {
    /** Offset of the start, a fraction. */
    private static final double START = 2e-4;
    /** Repair leaves offsets of this fraction alone. */
    private static final double LEAST_REPAIRED = 4e-6;
    /** Lowering stops at this part of the start. */
    private static final double FLOOR = 0.2;
    /** Rises are taken a little larger, so that rounds end. */
    private static final double RISE_FACTOR = 1.02;
    /** In so many first rounds, nodes also rise to half the mean of their neighbours: a lone peak would slant the rays around it. */
    private static final int SMOOTHING_ROUNDS = 3;
    private static final int FULL_ROUNDS = 6;
    private static final int PARTIAL_ROUNDS = 12;
    private static final int LOWERING_ROUNDS = 4;
    private static final double LOWERING = 0.8;
    /** Vertices above this part of the cage's height can come out while the cage is lowered: 1 / 0.8⁴, rounded up. */
    private static final double IN_DANGER = 2.5;
    private static final int UNBURY_ROUNDS = 8;
    private static final int UNCROSS_ROUNDS = 24;
    /** Where a far sheet of the low poly faces a vertex, the cage starts, and is smoothed, up to this part of the way at most, so as to leave it room. */
    private static final double GAP_PART = 0.45;
    private static final double REPAIR_FACTOR = 0.85;
    private static final int REPAIR_ROUNDS = 180;
    /** The reach is at least this part of the offset. */
    private static final double LEAST_REACH = 0.25;
    /** Rays look for the surface this many times as far down as the deepest high-poly vertex lies from the low poly, for slanted ones. */
    private static final double LIMIT_FACTOR = 2;
    private static final double LARGEST_LIMIT = 0.5;

    private final MeshSource low;
    private final List<MeshSource> highs;
    private @Nullable RayTracer tracer;
    private @Nullable Double reach;
    private double margin = 1e-5;
    private double largestOffset = Double.POSITIVE_INFINITY;
    private float @Nullable [] offsetLimits;
    private double slantLimit = CageCheck.SLANT_LIMIT;
    private Task task = Task.silent();

    private CageFit(MeshSource low, List<MeshSource> highs) {
        this.low = low;
        this.highs = highs;
    }

    /**
     * Starts a fit.
     *
     * @param low   the low poly
     * @param highs the high poly, in one or several meshes
     * @throws IllegalArgumentException if there is no high poly
     */
    public static CageFit around(MeshSource low, MeshSource... highs) {
        if (highs.length == 0) {
            throw new IllegalArgumentException("a cage is fitted around a high poly: highs = 0 must be at least 1");
        }
        return new CageFit(Objects.requireNonNull(low, "low"), List.of(highs));
    }

    /**
     * Sets the reach everywhere, in place of the one found by rays.
     *
     * @param value how far rays go on below the low poly, in mesh units
     * @throws IllegalArgumentException if it is negative or not finite
     */
    public CageFit reach(double value) {
        Cage.checkLength("reach", value);
        reach = value;
        return this;
    }

    /**
     * Sets how much air to leave between the high poly and the cage. The preset is 0.00001.
     *
     * @param fraction a fraction of the high poly's bounding-box diagonal
     * @throws IllegalArgumentException if it is not 0 … 1
     */
    public CageFit margin(double fraction) {
        if (!(fraction >= 0 && fraction <= 1)) {
            throw new IllegalArgumentException("margin = " + fraction + " must be 0 … 1");
        }
        margin = fraction;
        return this;
    }

    /**
     * Sets how far out the cage may be at most. What stands out farther is left outside, and stands among the conflicts.
     *
     * @param length in mesh units
     * @throws IllegalArgumentException if it is not above 0
     */
    public CageFit largestOffset(double length) {
        if (!(length > 0)) {
            throw new IllegalArgumentException("largestOffset = " + length + " must be above 0");
        }
        largestOffset = length;
        return this;
    }

    /**
     * Sets how far out the cage may be at most at each vertex. Of vertices at one position, the smallest limit counts. Together with
     * {@link #largestOffset}, the smaller one does.
     *
     * @param lengths one a low-poly vertex, in mesh units; infinite for no limit; copied
     * @throws IllegalArgumentException if one is not above 0
     */
    public CageFit offsetLimits(float[] lengths) {
        for (int v = 0; v < lengths.length; v++) {
            if (!(lengths[v] > 0)) {
                throw new IllegalArgumentException("lengths[" + v + "] = " + lengths[v] + " must be above 0");
            }
        }
        offsetLimits = lengths.clone();
        return this;
    }

    /**
     * Sets the slant above which a low-poly vertex is listed in the finding {@code steep-cage-rays}. The preset is {@value CageCheck#SLANT_LIMIT}.
     *
     * @param degrees between a ray and the normal of a face
     * @throws IllegalArgumentException if it is not 0 … 180
     */
    public CageFit slantLimit(double degrees) {
        if (!(degrees >= 0 && degrees <= 180)) {
            throw new IllegalArgumentException("slantLimit = " + degrees + " must be 0 … 180 degrees");
        }
        slantLimit = degrees;
        return this;
    }

    /**
     * Lends a tracer of the high poly that exists already.
     *
     * @throws IllegalStateException if there are several high polys
     */
    public CageFit tracer(RayTracer high) {
        if (highs.size() > 1) {
            throw new IllegalStateException("a tracer can be lent for one high poly, there are " + highs.size());
        }
        tracer = Objects.requireNonNull(high, "high");
        return this;
    }

    /** Sets whom to report to, and who may cancel. */
    public CageFit task(Task value) {
        task = Objects.requireNonNull(value, "value");
        return this;
    }

    /**
     * Fits the cage. Its findings hold the verification by {@link CageCheck}.
     *
     * @throws InvalidMeshException                       if a mesh has no triangles, or positions that are not finite
     * @throws IllegalArgumentException                   if the lent tracer has more triangles than the high poly, or there are not as many offset limits
     *                                                    as low-poly vertices
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    @Override
    public Cage build() {
        Mesh floor = low.build();
        Fitted fitted = task.recalled(Fitted.class, this, () -> Fitted.of(fit(floor)));
        return new Cage(floor, fitted.arrays.get(0), fitted.arrays.get(1), fitted.arrays.get(2), Findings.of(fitted.findings),
                fitted.conflicts);
    }

    /**
     * A cage without its low poly, which its caller has.
     *
     * @param arrays    positions, reaches, directions
     * @param findings  what was found
     * @param conflicts what was left out
     */
    private record Fitted(List<float[]> arrays, List<Finding> findings, List<CageConflict> conflicts) {
        static Fitted of(Cage cage) {
            return new Fitted(List.of(cage.positions(), cage.reaches(), cage.directions()), cage.findings(), cage.conflicts());
        }
    }

    private Cage fit(Mesh floor) {
        List<Mesh> meshes = highs.stream().map(MeshSource::build).toList();
        List<MeshProblem> problems = new ArrayList<>(Cage.problems(floor, "the low poly"));
        meshes.forEach(high -> problems.addAll(Cage.problems(high, "the high poly")));
        InvalidMeshException.throwIfAny(problems);
        Mesh high = MeshJoin.shapes(meshes);
        RayTracer highTracer = tracer == null ? Bvh.build(high, task) : tracer;
        if (highTracer.triangleCount() > high.triangleCount()) {
            throw new IllegalArgumentException("the lent tracer has " + highTracer.triangleCount() + " triangles, the high poly "
                    + high.triangleCount());
        }
        if (offsetLimits != null && offsetLimits.length != floor.vertexCount()) {
            throw new IllegalArgumentException("offsetLimits has " + offsetLimits.length + " entries, must have one a low-poly vertex, "
                    + floor.vertexCount());
        }
        Shell shell = Shell.of(floor);
        RayTracer lowTracer = Trees.small(floor, task);
        Feet feet = Feet.of(shell, high, lowTracer, task);
        return new Fit(shell, feet, high, lowTracer, highTracer).run();
    }

    /** The state of one fit: an offset a node, and the offset that repair allows it at most. */
    private final class Fit {
        private final Shell shell;
        private final Feet feet;
        private final HighTriangles high;
        private final RayTracer lowTracer;
        private final CageRays rays;
        private final Escapes escapes;
        private final double diagonal;
        private final double start;
        private final double floor;
        private final double air;
        private double[] offsets;
        private final double[] caps;
        /** Up to where a node goes without need. */
        private final double[] room;
        private int smoothed;
        /** Offsets whose crossings were found, all of them, and those. */
        private double[] searched = new double[0];
        private long[] crossings = new long[0];

        Fit(Shell shell, Feet feet, Mesh high, RayTracer lowTracer, RayTracer highTracer) {
            this.shell = shell;
            this.feet = feet;
            this.high = new HighTriangles(high, task);
            this.lowTracer = lowTracer;
            diagonal = high.bounds().diagonal();
            air = margin * diagonal;
            start = Math.max(START * diagonal, air);
            floor = Math.max(FLOOR * START * diagonal, air);
            rays = new CageRays(shell, high, highTracer, task);
            escapes = new Escapes(feet, shell.directions, air, task);
            offsets = new double[shell.nodeCount];
            caps = limits();
            room = room();
        }

        private double[] limits() {
            double[] limits = new double[shell.nodeCount];
            Arrays.fill(limits, largestOffset);
            for (int v = 0; v < shell.nodes.length && offsetLimits != null; v++) {
                if (shell.nodes[v] >= 0) {
                    limits[shell.nodes[v]] = Math.min(limits[shell.nodes[v]], offsetLimits[v]);
                }
            }
            return limits;
        }

        /** Looks from every node along its direction for a sheet of the low poly that faces it. */
        private double[] room() {
            RayBatch rays = new RayBatch(shell.nodeCount);
            for (int n = 0; n < shell.nodeCount; n++) { // beyond the faces around the node itself
                rays.add((float) shell.xyz[3 * n], (float) shell.xyz[3 * n + 1], (float) shell.xyz[3 * n + 2],
                        (float) shell.directions[3 * n],
                        (float) shell.directions[3 * n + 1], (float) shell.directions[3 * n + 2], (float) (LEAST_REPAIRED * diagonal),
                        Float.POSITIVE_INFINITY);
            }
            HitBatch hits = new HitBatch(shell.nodeCount);
            lowTracer.closestHits(rays, Facing.FRONT, hits);
            double[] found = new double[shell.nodeCount];
            for (int n = 0; n < found.length; n++) {
                found[n] = hits.triangle[n] < 0 ? Double.POSITIVE_INFINITY : GAP_PART * hits.t[n];
            }
            return found;
        }

        Cage run() {
            for (int n = 0; n < offsets.length; n++) {
                offsets[n] = Math.min(Math.min(start, room[n]), caps[n]);
            }
            repair();
            raiseUntilInside();
            lower();
            raiseUntilInside();
            if (enclose()) {
                raiseUntilInside();
            }
            double[] reaches = reaches();
            Cage cage = new Cage(shell.mesh, shell.vertexPositions(shell.moves(offsets)), shell.vertexValues(reaches),
                    shell.vertexDirections(),
                    Findings.none(), List.of());
            CageReport report = CageCheck.examine(feet, high, lowTracer, rays, cage, Arrays.equals(searched, offsets) ? crossings : null,
                    slantLimit,
                    task).report;
            return new Cage(cage.low(), cage.positions(), cage.reaches(), cage.directions(), report.findings(), report.conflicts());
        }

        /** Raises where triangles meet though all vertices are inside, then where the cage lies under a surface that it does not meet. */
        private boolean enclose() {
            double[] before = offsets.clone();
            for (int round = 0; round < UNBURY_ROUNDS; round++) {
                uncross();
                CageRays.Buried buried = rays.outwards(shell.moves(offsets), offsets, start, air);
                if (buried.points == 0 || !rise(buried.rises, RISE_FACTOR, caps)) {
                    break;
                }
                repair();
            }
            return !Arrays.equals(before, offsets);
        }

        /** Raises where a high-poly triangle meets the cage, until none does or caps hold back all that would help. */
        private void uncross() {
            int @Nullable [] some = null;
            for (int round = 0; round < UNCROSS_ROUNDS; round++) {
                float[] roof = shell.nodePositions(shell.moves(offsets));
                long[] pairs = new Crossings(high, roof, shell.triangles, task).find(some);
                double[] rises = new double[shell.nodeCount];
                Overhangs overhangs = new Overhangs(shell, shell.directions, high.mesh, lowTracer, roof);
                for (long pair : pairs) {
                    overhangs.measure(pair, air, rises);
                }
                boolean risen = rise(rises, RISE_FACTOR, caps);
                if (!risen && some == null) {
                    searched = offsets.clone();
                    crossings = pairs;
                    return;
                }
                repair();
                // first only those that crossed, then all again: a rising cage can meet others
                some = risen ? Arrays.stream(pairs).mapToInt(pair -> (int) (pair >>> 32)).distinct().toArray() : null;
            }
        }

        /** Raises until no vertex is outside, or caps hold back all that would help. */
        private void raiseUntilInside() {
            int before = Integer.MAX_VALUE;
            for (int full = 0; full < FULL_ROUNDS; full++) {
                escapes.cage(shell.moves(offsets));
                int outside = escapes.test(escapes.all(), 1);
                if (outside == 0 || outside >= before) {
                    return;
                }
                before = outside;
                // then only those that were outside: what is inside seldom comes out while the cage rises
                int[] some = escapes.atLeast(Escapes.OUTSIDE);
                for (int round = 0; round < PARTIAL_ROUNDS && outside > 0; round++) {
                    if (!rise(escapes.rises, RISE_FACTOR, caps)) {
                        break;
                    }
                    smooth();
                    repair();
                    escapes.cage(shell.moves(offsets));
                    outside = escapes.test(some, 1);
                }
            }
        }

        /** Lowers all, and raises again what that let out, as long as no more vertices are outside than before. */
        private void lower() {
            escapes.cage(shell.moves(offsets));
            int before = escapes.test(escapes.all(), IN_DANGER);
            int[] some = escapes.atLeast(Escapes.NEAR);
            for (int round = 0; round < LOWERING_ROUNDS; round++) {
                double[] kept = offsets.clone();
                for (int n = 0; n < offsets.length; n++) {
                    offsets[n] = Math.min(offsets[n], Math.max(floor, LOWERING * offsets[n]));
                }
                escapes.cage(shell.moves(offsets));
                int outside = escapes.test(some, 1);
                for (int raise = 0; raise < PARTIAL_ROUNDS && outside > before; raise++) {
                    if (!rise(escapes.rises, RISE_FACTOR, kept)) {
                        break;
                    }
                    escapes.cage(shell.moves(offsets));
                    outside = escapes.test(some, 1);
                }
                if (outside > before || folds()) {
                    offsets = kept;
                    return;
                }
            }
        }

        private double[] reaches() {
            double[] least = new double[shell.nodeCount];
            for (int n = 0; n < least.length; n++) {
                least[n] = Math.max(start, LEAST_REACH * offsets[n]);
            }
            if (reach != null) {
                Arrays.fill(least, reach);
                return least;
            }
            double limit = Math.min(LIMIT_FACTOR * feet.deepest + 10 * start, LARGEST_LIMIT * diagonal);
            return rays.inwards(shell.moves(offsets), feet, limit, least);
        }

        private boolean rise(double[] rises, double factor, double[] limits) {
            boolean any = false;
            for (int n = 0; n < offsets.length; n++) {
                double risen = Math.min(limits[n], offsets[n] + factor * rises[n]);
                // less than that is not worth a round
                any |= risen > offsets[n] * (1 + 1e-7);
                offsets[n] = Math.max(offsets[n], risen);
            }
            return any;
        }

        private void smooth() {
            if (smoothed >= SMOOTHING_ROUNDS) {
                return;
            }
            smoothed++;
            double[] sums = new double[shell.nodeCount];
            int[] counts = new int[shell.nodeCount];
            for (int c = 0; c < shell.triangles.length; c++) {
                int n = shell.triangles[c];
                for (int k = 1; k < 3; k++) {
                    sums[n] += offsets[shell.triangles[c - c % 3 + (c + k) % 3]];
                    counts[n]++;
                }
            }
            for (int n = 0; n < offsets.length; n++) {
                offsets[n] = Math.max(offsets[n], Math.min(Math.min(caps[n], room[n]), 0.5 * sums[n] / counts[n]));
            }
        }

        /**
         * Unfolds prisms: lowers the corner of each that helps most, all three where none helps, until no prism folds. The new offsets are kept as caps.
         */
        private void repair() {
            double least = LEAST_REPAIRED * diagonal;
            for (int round = 0; round < REPAIR_ROUNDS; round++) {
                double[] moves = shell.moves(offsets);
                boolean[] lowered = new boolean[shell.nodeCount];
                boolean any = false;
                for (int t = 0; t < shell.triangleCount; t++) {
                    double value = shell.canHavePrism(t) ? CageFindings.prism(shell, moves, shell.directions, t) : 1;
                    if (value > CageFindings.LEAST_PRISM) {
                        continue;
                    }
                    int best = -1;
                    double most = value;
                    for (int k = 0; k < 3; k++) {
                        int n = shell.triangles[3 * t + k];
                        double without = offsets[n] > least ? prismWithLowered(moves, t, n) : Double.NEGATIVE_INFINITY;
                        if (without > most) {
                            most = without;
                            best = k;
                        }
                    }
                    for (int k = 0; k < 3; k++) {
                        lowered[shell.triangles[3 * t + k]] |= best < 0 || best == k;
                    }
                }
                for (int n = 0; n < offsets.length; n++) {
                    if (lowered[n] && offsets[n] > least) {
                        offsets[n] *= REPAIR_FACTOR;
                        caps[n] = Math.min(caps[n], offsets[n]);
                        any = true;
                    }
                }
                if (!any) {
                    return;
                }
            }
        }

        /** Returns the value of a prism as it would be with one node lowered. */
        private double prismWithLowered(double[] inoutMoves, int t, int node) {
            double x = inoutMoves[3 * node], y = inoutMoves[3 * node + 1], z = inoutMoves[3 * node + 2];
            for (int k = 0; k < 3; k++) {
                inoutMoves[3 * node + k] *= REPAIR_FACTOR;
            }
            double value = CageFindings.prism(shell, inoutMoves, shell.directions, t);
            inoutMoves[3 * node] = x;
            inoutMoves[3 * node + 1] = y;
            inoutMoves[3 * node + 2] = z;
            return value;
        }

        private boolean folds() {
            double[] moves = shell.moves(offsets);
            for (int t = 0; t < shell.triangleCount; t++) {
                if (shell.canHavePrism(t) && !(CageFindings.prism(shell, moves, shell.directions, t) > CageFindings.LEAST_PRISM)) {
                    return true;
                }
            }
            return false;
        }
    }
}
