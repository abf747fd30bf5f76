package org.estampage.cage;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Objects;
import org.estampage.bvh.Bvh;
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
 * raised where high-poly vertices stand out, then lowered as far as nothing escapes, and raised again where its own points lie under the high poly. Where
 * raising would fold it, it stays lower, and the findings say what stands out there and by how much. The reach inwards is found by rays.
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
    private static final double REPAIR_FACTOR = 0.85;
    private static final int REPAIR_ROUNDS = 60;
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
     * @throws IllegalArgumentException                   if the lent tracer has more triangles than the high poly
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    @Override
    public Cage build() {
        Mesh floor = low.build();
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
        Shell shell = Shell.of(floor);
        Feet feet = Feet.of(shell, high, Bvh.build(floor, task), task);
        return new Fit(shell, feet, high, highTracer).run();
    }

    /** The state of one fit: an offset a node, and the offset that repair allows it at most. */
    private final class Fit {
        private final Shell shell;
        private final Feet feet;
        private final CageRays rays;
        private final Escapes escapes;
        private final double diagonal;
        private final double start;
        private final double floor;
        private final double air;
        private double[] offsets;
        private final double[] caps;
        private int smoothed;

        Fit(Shell shell, Feet feet, Mesh high, RayTracer highTracer) {
            this.shell = shell;
            this.feet = feet;
            diagonal = high.bounds().diagonal();
            air = margin * diagonal;
            start = Math.max(START * diagonal, air);
            floor = Math.max(FLOOR * START * diagonal, air);
            rays = new CageRays(shell, high, highTracer, task);
            escapes = new Escapes(feet, shell.directions, air, task);
            offsets = new double[shell.nodeCount];
            caps = new double[shell.nodeCount];
        }

        Cage run() {
            Arrays.fill(offsets, start);
            Arrays.fill(caps, Double.POSITIVE_INFINITY);
            repair();
            raiseUntilInside();
            lower();
            unbury();
            raiseUntilInside();
            double[] reaches = reaches();
            Cage cage = new Cage(shell.mesh, shell.vertexPositions(shell.moves(offsets)), shell.vertexValues(reaches),
                    shell.vertexDirections(),
                    Findings.none());
            List<Finding> findings = CageCheck.findings(shell, feet, rays, cage, task);
            return new Cage(cage.low(), cage.positions(), cage.reaches(), cage.directions(), Findings.of(findings));
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

        /** Raises where points of the cage lie under the high poly though all its vertices are inside. */
        private void unbury() {
            for (int round = 0; round < UNBURY_ROUNDS; round++) {
                CageRays.Buried buried = rays.outwards(shell.moves(offsets), offsets, start, air);
                if (buried.points == 0 || !rise(buried.rises, RISE_FACTOR, caps)) {
                    return;
                }
                repair();
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
                offsets[n] = Math.max(offsets[n], Math.min(caps[n], 0.5 * sums[n] / counts[n]));
            }
        }

        /** Lowers the corners of prisms that fold until none does, and keeps the new offsets as caps. */
        private void repair() {
            double least = LEAST_REPAIRED * diagonal;
            for (int round = 0; round < REPAIR_ROUNDS; round++) {
                double[] moves = shell.moves(offsets);
                boolean[] lowered = new boolean[shell.nodeCount];
                boolean any = false;
                for (int t = 0; t < shell.triangleCount; t++) {
                    if (shell.canHavePrism(t) && !(CageFindings.prism(shell, moves, shell.directions, t) > CageFindings.LEAST_PRISM)) {
                        for (int k = 0; k < 3; k++) {
                            lowered[shell.triangles[3 * t + k]] = true;
                        }
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
